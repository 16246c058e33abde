package commands

import (
	"fmt"
	"path/filepath"
	"runtime/debug"
	"slices"
	"strings"

	"tinful/commands/line"
	"tinful/commands/tell"
	sheet "tinful/import"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
)

// exportMemory is the memory that an export may take, besides as much again as the
// store has bytes, before garbage is collected more often than otherwise: parts of a
// workbook wait in memory until all sheets are there.
const exportMemory = 192 << 20

func runExport(c *call) error {
	path := c.Args()[0]
	if path == fromLines {
		return exportOut(c)
	}
	if c.Bool("for-spreadsheet") && strings.EqualFold(filepath.Ext(path), ".xlsx") {
		return line.Usagef("--for-spreadsheet is for CSV files: a workbook holds text as text")
	}
	counts, err := exportTo(c, path)
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
			_, err := exportTo(c, file)
			return file, err
		})
	}
	if !slices.ContainsFunc(store.Sheets, func(name string) bool { return strings.ToLower(name) == only }) {
		return line.Usagef("--only %s: there is no such sheet, they are %s", c.String("only"), tell.Commas(store.Sheets))
	}
	c.Set("only", "")
	return outThrough(c, "sheets", func(folder string) (string, error) {
		_, err := exportTo(c, folder)
		return filepath.Join(folder, only+".csv"), err
	})
}

// exportTo writes the store, or what the flags pick of it, into a file or folder.
func exportTo(c *call, path string) (counts map[string]int, err error) {
	p := newProgress(c)
	defer p.done()
	return counts, c.view(func(v *store.View) error {
		src, err := source(c, v)
		if err != nil {
			return err
		}
		defer debug.SetMemoryLimit(debug.SetMemoryLimit(exportMemory + v.Size()))
		counts, err = sheet.Export(src, path, sheet.Output{Replace: c.Bool("replace"), Guard: c.Bool("for-spreadsheet"),
			Progress: func(rows int) { p.show("writing row %d", rows) }})
		return err
	})
}

// source is the whole store, or what the flags pick of it.
func source(c *call, v *store.View) (sheet.Source, error) {
	pick := ask.Pick{}
	if pick.Low = c.String("only") == "low"; pick.Low {
		pick.Today = c.dayNow(v)
	} else if c.String("only") != "" {
		return nil, line.Usagef("--only %q: it takes low, or with - the name of a sheet: parts.csv", c.String("only"))
	}
	for _, f := range []struct {
		kind string
		at   *code.Code
	}{{"place", &pick.Place}, {"donor", &pick.Donor}, {"model", &pick.Model}} {
		if !c.IsSet(f.kind) {
			continue
		}
		ref, err := c.thing(v, c.String(f.kind), f.kind)
		if err != nil {
			return nil, err
		}
		*f.at = ref.Code
	}
	if pick == (ask.Pick{}) {
		return v, nil
	}
	return ask.PickFrom(v, pick)
}

func printExport(c *call, file string, counts map[string]int) error {
	if c.JSON() {
		return c.PrintJSON(map[string]any{"file": file, "rows": counts})
	}
	t := c.Table("sheet", ">rows")
	for _, name := range store.Sheets {
		t.Row(name, fmt.Sprint(counts[name]))
	}
	c.Show(t)
	c.Printf("written to %s\n", file)
	return nil
}

func makeTemplate(c *call) error {
	if err := sheet.Template(c.Args()[0], c.Bool("replace")); err != nil {
		return err
	}
	return c.Answer(map[string]any{"file": c.Args()[0]}, func() {
		c.Printf("written to %s: fill it in, then tinful import %s\n", c.Args()[0], c.Args()[0])
	})
}
