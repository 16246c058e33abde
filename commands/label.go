package commands

import (
	"cmp"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"tinful/commands/line"
	"tinful/commands/paper"
	"tinful/commands/tell"
	sheet "tinful/import"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
	"tinful/store/words"
)

// label prints labels into a file, and keeps what they said.
func label(c *call) error {
	from, err := firstField(c)
	if err != nil {
		return err
	}
	var sheetOf paper.Sheet
	var kept store.Paper
	var list []ask.Label
	var day code.Day
	if c.Bool("test") && !c.IsSet("paper") {
		sheetOf, err = paper.ParseSheet(paper.Usual)
		day = code.DayOf(c.env.Now())
	} else {
		err = c.looks(func(l *lookup) {
			day = c.dayNow(l.View)
			if sheetOf, kept, l.Err = paperOf(c, l.View); l.Err == nil {
				list = labelsAsked(l)
			}
		})
	}
	switch {
	case err != nil:
		return err
	case from > sheetOf.Fields():
		return line.Usagef("--from %d: the paper has %s a page", from, tell.Many(sheetOf.Fields(), "label"))
	case len(list) == 0 && !c.Bool("test"):
		return toldLabels(c, "", sheetOf, nil, store.Result{})
	}
	if over := sheetOf.Over(); over > 0.05 {
		c.Notef("the last labels reach %.1f mm over the edge of the page: what is on it is used", over)
	}
	file := cmp.Or(c.String("output"), "labels.pdf")
	err = writePaper(c, file, "labels", day, func(d *paper.Doc) error {
		if c.Bool("test") {
			d.Test(sheetOf, c.String("paper"))
			return nil
		}
		d.Labels(sheetOf, from, labelsOf(list, day, c.By()), c.Bool("edges"))
		return nil
	})
	if err != nil {
		return err
	}
	res, err := keepLabels(c, kept, list)
	if err != nil {
		return err
	}
	return toldLabels(c, file, sheetOf, list, res)
}

// labelsAsked are the labels of the things named, or of those that a flag chooses.
func labelsAsked(l *lookup) []ask.Label {
	chosen := len(l.SetOf("place", "donor", "new", "drawers", "test"))
	if len(l.Args()) > 0 {
		chosen++
	}
	if chosen != 1 {
		l.Keep(line.Usagef("label wants codes, or one of --place, --donor, --new, --drawers, --test"))
	}
	list := tell.Each(l.Args(), func(token string) ask.Label {
		return asked(l, ask.LabelOf, l.thing(token, "bag", "part", "donor", "job", "place"))
	})
	if len(list) > 0 || l.Bool("test") {
		return list
	}
	return asked(l, ask.Labels, ask.LabelsWanted{Drawers: l.Bool("drawers"), New: l.Bool("new"), Place: l.flag("place"), Donor: l.flag("donor")})
}

// paperOf reads --paper: measures, the name of a paper that is kept, or name=measures,
// which are to be kept.
func paperOf(c *call, v *store.View) (s paper.Sheet, kept store.Paper, err error) {
	text := cmp.Or(c.String("paper"), paper.Usual)
	if name, measures, keep := strings.Cut(text, "="); keep {
		s, err = paper.ParseSheet(measures)
		return s, store.Paper{Name: strings.ToLower(name), Sheet: s.String()}, line.AsUsage(err)
	}
	if !strings.Contains(text, " ") {
		p, err := v.Paper(strings.ToLower(text))
		if errors.Is(err, store.ErrNotFound) {
			return s, kept, noSuchPaper(v, text)
		}
		if err != nil {
			return s, kept, err
		}
		text = p.Sheet
	}
	s, err = paper.ParseSheet(text)
	return s, kept, line.AsUsage(err)
}

// noSuchPaper says which papers are kept.
func noSuchPaper(v *store.View, name string) error {
	all, err := v.Papers()
	if err != nil {
		return err
	}
	names := tell.Each(all, func(p store.Paper) string { return p.Name })
	if len(names) == 0 {
		return store.Absent("no paper is called %s: give its measures once, --paper %s=%q", name, name, paper.Usual)
	}
	return store.Absent("no paper is called %s; kept are %s", name, words.And(names))
}

func firstField(c *call) (int, error) {
	text := c.String("from")
	if text == "" {
		return 1, nil
	}
	q, err := code.ParseQty(text, "pc")
	if err != nil || q.About || q.N < 1 {
		return 0, line.Usagef("--from %s: 1 is the first field", text)
	}
	return int(q.N), nil
}

// labelsOf are labels as paper has them.
func labelsOf(list []ask.Label, day code.Day, by string) (out []paper.Label) {
	for _, l := range list {
		p := paper.Label{Stops: l.Stops, Wound: l.Wound, Word: l.Word, Tells: l.Tells, Place: string(l.Place), Theirs: l.Theirs, Held: l.Held,
			Care: l.Care, Code: string(l.Thing.Code), Square: string(l.Typed), Stub: l.Stub}
		p.Lines = append(tell.Filled(l.From), l.Lines...)
		if l.Quantity != "" {
			p.Lines = append(p.Lines, strings.Join([]string{l.Quantity, day.String(), by}, ", "))
		}
		out = append(out, p)
	}
	return out
}

// writePaper makes a document and writes it to a file, or to standard output.
func writePaper(c *call, file, title string, day code.Day, draw func(*paper.Doc) error) error {
	fonts := paper.GoFonts
	if own := c.String("font"); own != "" {
		data, err := os.ReadFile(own)
		if err != nil {
			return err
		}
		f, err := paper.TrueType(data)
		if err != nil {
			return line.Usagef("%s: %w", filepath.Base(own), err)
		}
		fonts = func() paper.Fonts { return f }
	}
	name := file
	if file == fromLines {
		name = title + ".pdf"
	}
	d, err := paper.New(name, title, fonts(), day.Time())
	if err != nil {
		return line.AsUsage(err)
	}
	if err := draw(d); err != nil {
		return err
	}
	data, err := d.Bytes()
	if err != nil {
		return line.AsUsage(err)
	}
	if lacks := d.Lacks(); len(lacks) > 0 {
		c.Warnf("%s", lackWordsOf(lacks))
	}
	if c.env.print != nil {
		c.env.print.data = data
		return nil
	}
	if file == fromLines {
		_, err = c.env.Stdout.Write(data) // as it is
		return err
	}
	return sheet.WriteFile(file, data, c.Bool("replace"))
}

// mostLacking is how many letters that a font lacks are named.
const mostLacking = 12

func lackWordsOf(lacks []rune) string {
	named := tell.Each(lacks[:min(len(lacks), mostLacking)], func(r rune) string { return fmt.Sprintf("%c (%U)", r, r) })
	text := "the font has no " + words.Or(named)
	if more := len(lacks) - mostLacking; more > 0 {
		text = fmt.Sprintf("the font has no %s and %d more", strings.Join(named, ", "), more)
	}
	return text + ": boxes stand for them; --font takes a TrueType file that has them"
}

// keepLabels keeps the paper that was named, and what labels said where that is new.
func keepLabels(c *call, kept store.Paper, list []ask.Label) (store.Result, error) {
	all := tell.Each(list, func(l ask.Label) store.Label {
		return store.Label{Kind: l.Thing.Kind, Code: l.Thing.Code, Text: l.Text()}
	})
	news := kept.Name != ""
	if len(all) == 0 && !news || c.env.print != nil && c.env.print.trial {
		return store.Result{}, nil
	}
	err := c.view(func(v *store.View) error {
		for _, l := range all {
			was, err := v.LastLabel(store.Ref{Kind: l.Kind, Code: l.Code})
			if err != nil {
				return err
			}
			news = news || was.Text != l.Text
		}
		return nil
	})
	if err != nil || !news {
		return store.Result{}, err
	}
	return c.book(false, func(t *store.Tx) error {
		if kept.Name != "" {
			if err := t.Put(kept); err != nil {
				return err
			}
		}
		return t.Labelled(all)
	})
}

// labelJSON is a label as JSON.
type labelJSON struct {
	Thing string   `json:"thing"`
	Stops []string `json:"stops,omitempty"`
	Word  string   `json:"word"`
	Tells string   `json:"tells,omitempty"`
	Place string   `json:"place,omitempty"`
	Owner string   `json:"owner,omitempty"`
	Held  string   `json:"held,omitempty"`
}

func toldLabels(c *call, file string, s paper.Sheet, list []ask.Label, res store.Result) error {
	if c.JSON() {
		out := tell.Each(list, func(l ask.Label) labelJSON {
			return labelJSON{l.Thing.String(), l.Stops, l.Word, l.Tells, string(l.Place), l.Theirs, l.Held}
		})
		return c.PrintJSON(tell.Known(catalogueAnswer(res, map[string]any{"file": file, "paper": s.String(), "labels": out})))
	}
	if file == fromLines {
		return nil
	}
	switch {
	case file == "" && c.Bool("new"):
		c.Println("every label is as it was printed last")
		return nil
	case file == "":
		c.Println("nothing to label there")
		return nil
	case c.Bool("test"):
		c.Printf("the edges of %s written to %s: print it at 100 %%\n", s, file)
		return nil
	}
	text := fmt.Sprintf("%s written to %s: print at 100 %%", tell.Many(len(list), "label"), file)
	if res.Booking.Number != 0 {
		text = strings.Join(tell.WithUndo([]string{text}, res), "\n")
	}
	c.Println(text)
	return nil
}
