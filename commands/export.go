package commands

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"tinful/commands/line"
	"tinful/commands/tell"
	sheet "tinful/import"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
)

// exportMemory is the memory that an export may take before garbage is collected more
// often than otherwise.
const exportMemory = 200 << 20

func runExport(c *call) error {
	path := c.Args()[0]
	if path == fromLines {
		return exportOut(c)
	}
	if c.Bool("for-spreadsheet") && strings.EqualFold(filepath.Ext(path), ".xlsx") {
		return line.Usagef("--for-spreadsheet is for CSV files: a workbook holds text as text")
	}
	from, err := c.StorePath()
	if err != nil {
		return err
	}
	counts, err := exportTo(c, path, from)
	if err != nil {
		return err
	}
	return printExport(c, path, counts)
}

// exportOut writes a workbook to standard output, or the one sheet that --only names.
func exportOut(c *call) error {
	only, csv := strings.CutSuffix(strings.ToLower(c.String("only")), ".csv")
	if !csv {
		return outThrough(c, "workshop.xlsx", func(file string) (string, error) {
			counts, err := exportTo(c, file, "")
			if n := counts["Pictures"]; n > 0 {
				c.Notef("the files of %s stay behind: they go with a workbook or folder that has a name", tell.Many(n, "picture"))
			}
			return file, err
		})
	}
	if !slices.ContainsFunc(store.Sheets, func(name string) bool { return strings.ToLower(name) == only }) {
		return line.Usagef("--only %s: there is no such sheet, they are %s", c.String("only"), tell.Commas(store.Sheets))
	}
	c.Set("only", "")
	return outThrough(c, "sheets", func(folder string) (string, error) {
		_, err := exportTo(c, folder, "")
		return filepath.Join(folder, only+".csv"), err
	})
}

// exportTo writes the store, or what the flags pick of it, into a file or folder, with the
// pictures of the store at photos.
func exportTo(c *call, path, photos string) (counts map[string]int, err error) {
	p := newProgress(c)
	defer p.done()
	defer store.Collect(0, exportMemory)()
	return counts, c.looks(func(l *lookup) {
		pick, chosen := picked(l)
		src := asked(l, source, pick)
		if l.Err != nil {
			return
		}
		stamp := sheet.Stamp{Store: l.Identity(), Booking: l.LastBooking(), Chosen: chosen}
		counts, l.Err = sheet.Export(src, path, sheet.Output{Stamp: stamp, Replace: c.Bool("replace"), Guard: c.Bool("for-spreadsheet"),
			Photos: photos, Said: func(text string) { c.Warnf("%s", text) },
			Progress: func(rows int) { p.show("writing row %d", rows) }})
	})
}

// picked is what the flags pick of the store, and how an export says it.
func picked(l *lookup) (pick ask.Pick, chosen string) {
	var words []string
	if pick.Low = l.String("only") == "low"; pick.Low {
		pick.Today = l.dayNow(l.View)
		words = append(words, "low="+pick.Today.String())
	} else if l.String("only") != "" {
		l.Keep(line.Usagef("--only %q: it takes low, or with - the name of a sheet: parts.csv", l.String("only")))
	}
	for _, f := range pickedBy(&pick) {
		if l.IsSet(f.kind) {
			*f.at = l.thing(l.String(f.kind), f.kind).Code
			words = append(words, f.kind+"="+string(*f.at))
		}
	}
	return pick, strings.Join(words, " ")
}

// A pickedThing is one of the codes that a pick may have, by its kind.
type pickedThing struct {
	kind string
	at   *code.Code
}

func pickedBy(p *ask.Pick) []pickedThing {
	return []pickedThing{{"place", &p.Place}, {"donor", &p.Donor}, {"model", &p.Model}}
}

// pickOf reads what an export says was chosen.
func pickOf(chosen string) (pick ask.Pick, err error) {
	for _, word := range strings.Fields(chosen) {
		kind, text, _ := strings.Cut(word, "=")
		if kind == "low" {
			pick.Low = true
			pick.Today, err = code.ISODay(text)
		}
		for _, f := range pickedBy(&pick) {
			if f.kind == kind {
				*f.at, err = code.Parse(text)
			}
		}
		if err != nil {
			return pick, err
		}
	}
	return pick, nil
}

// source is the whole store, or what is picked of it.
func source(v *store.View, pick ask.Pick) (sheet.Source, error) {
	if pick == (ask.Pick{}) {
		return v, nil
	}
	return ask.PickFrom(v, pick)
}

func printExport(c *call, file string, counts map[string]int) error {
	if c.JSON() {
		answer := map[string]any{"file": file, "rows": counts}
		if counts["Pictures"] > 0 {
			answer["pictures"] = sheet.PictureFolder(file)
		}
		return c.PrintJSON(answer)
	}
	t := c.Table("sheet", ">rows")
	for i, name := range store.Sheets {
		if i < 10 || counts[name] > 0 { // few workshops have anything for the others
			t.Row(name, fmt.Sprint(counts[name]))
		}
	}
	c.Show(t)
	if n := counts["Pictures"]; n > 0 {
		c.Printf("written to %s, the files of %s to %s\n", file, tell.Many(n, "picture"), sheet.PictureFolder(file))
		return nil
	}
	c.Printf("written to %s\n", file)
	return nil
}

func makeTemplate(c *call) error {
	if c.Args()[0] == fromLines {
		return outThrough(c, "template.xlsx", func(file string) (string, error) { return file, sheet.Template(file, false) })
	}
	if err := sheet.Template(c.Args()[0], c.Bool("replace")); err != nil {
		return err
	}
	return c.Answer(map[string]any{"file": c.Args()[0]}, func() {
		c.Printf("written to %s: fill it in, then tinful import %s\n", c.Args()[0], c.Args()[0])
	})
}
