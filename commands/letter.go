package commands

import (
	"cmp"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"tinful/commands/line"
	"tinful/commands/paper"
	"tinful/commands/tell"
	sheet "tinful/import"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
)

// ownersPaper writes a paper for the owner of a camera.
func ownersPaper(c *call) error {
	kinds := slices.DeleteFunc(slices.Clone(ask.Letters), func(k string) bool { return !c.Bool(k) })
	if len(kinds) != 1 {
		return line.Usagef("which paper? one of --arrival, --estimate, --done")
	}
	_, page, err := paper.ParsePage(cmp.Or(c.String("paper"), "A4"))
	if err != nil {
		return line.AsUsage(err)
	}
	token, err := jobToken(c)
	if err != nil {
		return err
	}
	var letter ask.Letter
	var job code.Code
	var day code.Day
	err = c.looks(func(l *lookup) {
		day = c.dayNow(l.View)
		if job = l.thing(token, "job").Code; l.Err == nil {
			letter, l.Err = ask.LetterOf(l.View, job, kinds[0], c.Bool("notes"))
		}
	})
	if err != nil {
		return err
	}
	if letter.Shop.Name == "" {
		c.Notef("the paper has no head: edit shop --name says how the workshop is called")
	}
	file := cmp.Or(c.String("output"), strings.ToLower(strings.ReplaceAll(string(job), "/", "-"))+"-"+kinds[0]+".pdf")
	if err := writeLetter(c, file, page, day, letter); err != nil {
		return err
	}
	return c.Answer(map[string]any{"file": file, "job": job, "paper": kinds[0], "sections": letterJSON(letter)}, func() {
		if file != fromLines {
			c.Printf("job %s, %s: written to %s\n", job, strings.ToLower(letter.Title), file)
		}
	})
}

// writeLetter writes a letter by the ending of its file.
func writeLetter(c *call, file string, page paper.Size, day code.Day, l ask.Letter) error {
	if ext := strings.ToLower(filepath.Ext(file)); ext == ".xlsx" || ext == ".csv" {
		return sheet.WriteLetter(file, letterRows(l), c.Bool("replace"))
	}
	return writePaper(c, file, "paper", day, func(d *paper.Doc) error {
		d.Letter(page, paperOfLetter(l, day))
		return nil
	})
}

// paperOfLetter is a letter as paper has it.
func paperOfLetter(l ask.Letter, day code.Day) paper.Letter {
	p := paper.Letter{Head: l.Shop.Name, Address: l.Shop.Lines, Title: l.Title, Sign: l.Sign,
		Foot: strings.Join(tell.Filled(strings.TrimRight(l.Shop.Terms, ". "), "written "+ask.DayWords(day), "a record, no invoice"), "; ")}
	for _, f := range l.Facts {
		p.Facts = append(p.Facts, [2]string{f.Name, f.Text})
	}
	for _, s := range l.Sections {
		out := paper.LetterSection{Title: s.Title}
		for _, x := range s.Lines {
			out.Lines = append(out.Lines, [2]string{x.Text, tell.Money(x.Sum)})
		}
		p.Sections = append(p.Sections, out)
	}
	return p
}

// letterRows are a letter as rows of about, text and sum.
func letterRows(l ask.Letter) (rows [][]string) {
	for _, s := range append([]string{l.Shop.Name}, l.Shop.Lines...) {
		if s != "" {
			rows = append(rows, []string{"", s, ""})
		}
	}
	rows = append(rows, []string{l.Title, "", ""})
	for _, f := range l.Facts {
		rows = append(rows, []string{f.Name, f.Text, ""})
	}
	for _, s := range l.Sections {
		for _, x := range s.Lines {
			rows = append(rows, []string{s.Title, x.Text, tell.Money(x.Sum)})
		}
	}
	if l.Shop.Terms != "" {
		rows = append(rows, []string{"Terms", l.Shop.Terms, ""})
	}
	return rows
}

// A sectionJSON is a section of a letter as JSON.
type sectionJSON struct {
	Title string             `json:"title"`
	Lines []tell.JobLineJSON `json:"lines"`
}

func letterJSON(l ask.Letter) []sectionJSON {
	return tell.Each(l.Sections, func(s ask.Section) sectionJSON { return sectionJSON{s.Title, tell.JobLines(s.Lines)} })
}

// estimateLines sets the lines of a job's estimate that flags give.
func estimateLines(c *call, j *store.Job) error {
	for _, typed := range c.List("line") {
		i := strings.LastIndexByte(typed, '=')
		l := store.JobLine{Text: strings.TrimSpace(typed)}
		gone := false
		if i >= 0 {
			l.Text = strings.TrimSpace(typed[:i])
			sum := strings.TrimSpace(typed[i+1:])
			if gone = sum == ""; !gone {
				n, err := code.ParseCents(sum)
				if err != nil {
					return line.Usagef("--line %s: %w", typed, err)
				}
				l.Sum = &n
			}
			if l.Text == "" {
				return line.Usagef("--line %s: what is it for? write the text before the =", typed)
			}
		}
		if err := j.Line(l, gone); err != nil {
			return err
		}
	}
	return nil
}

// editShop says how papers name the workshop.
func editShop(c *call) error {
	for _, f := range c.Flags {
		if c.IsSet(f.Name) && !slices.Contains([]string{"name", "address", "terms"}, f.Name) {
			return line.Usagef("the shop has no --%s that could be changed: it has --name, --address, --terms", f.Name)
		}
	}
	var shop store.Shop
	res, err := c.book(false, func(t *store.Tx) (err error) {
		if shop, err = t.Shop(); err != nil {
			return err
		}
		if c.IsSet("name") {
			shop.Name = c.String("name")
		}
		if c.IsSet("address") {
			shop.Lines = slices.DeleteFunc(slices.Clone(c.List("address")), func(s string) bool { return s == "" })
		}
		if c.IsSet("terms") {
			shop.Terms = c.String("terms")
		}
		return t.Put(shop)
	})
	if err != nil {
		return err
	}
	if c.JSON() {
		return c.PrintJSON(catalogueAnswer(res, tell.Known(map[string]any{"name": shop.Name, "address": shop.Lines, "terms": shop.Terms})))
	}
	if res.Booking.Number == 0 {
		c.Println("the shop: nothing to change")
		return nil
	}
	c.Println(strings.Join(tell.WithUndo([]string{fmt.Sprintf("papers are headed %s", shop.Name)}, res), "\n"))
	return nil
}
