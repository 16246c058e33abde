package commands

import (
	"fmt"

	"tinful/import"
	"tinful/store"

	"github.com/urfave/cli/v2"
)

func exportCommand(a *app) *cli.Command {
	return &cli.Command{
		Name:      "export",
		Usage:     "write everything into a workbook or a folder of CSV files",
		ArgsUsage: "FILE",
		Description: `A name that ends in .xlsx becomes a workbook, any other name a folder with one
.csv file a sheet. Taken in again it changes nothing; taken into a new store it
makes the same workshop.`,
		UsageText: "tinful export workshop.xlsx\ntinful export sheets",
		Flags:     []cli.Flag{boolFlag("replace", "write over a file that is there")},
		Action: a.do(func(c *call) error {
			if err := c.want(1, 1); err != nil {
				return err
			}
			var counts map[string]int
			p := c.progress()
			err := c.view(func(v *store.View) (err error) {
				counts, err = sheet.Export(v, c.Args()[0], sheet.Output{Replace: c.Bool("replace"), Progress: func(rows int) { p.show("writing row %d", rows) }})
				return err
			})
			p.done()
			if err != nil {
				return err
			}
			return c.printExport(c.Args()[0], counts)
		}),
	}
}

func (c *call) printExport(file string, counts map[string]int) error {
	if c.JSON() {
		return c.printJSON(map[string]any{"file": file, "rows": counts})
	}
	t := c.table("sheet", ">rows")
	for _, name := range store.Sheets {
		t.row(name, fmt.Sprint(counts[name]))
	}
	if err := t.print(c.env.Stdout); err != nil {
		return err
	}
	c.printf("written to %s\n", file)
	return nil
}

func templateCommand(a *app) *cli.Command {
	return &cli.Command{
		Name:      "template",
		Usage:     "write an empty workbook with the sheets and headings that import reads",
		ArgsUsage: "FILE",
		UsageText: "tinful template mine.xlsx",
		Flags:     []cli.Flag{boolFlag("replace", "write over a file that is there")},
		Action: a.do(func(c *call) error {
			if err := c.want(1, 1); err != nil {
				return err
			}
			if err := sheet.Template(c.Args()[0], c.Bool("replace")); err != nil {
				return err
			}
			if c.JSON() {
				return c.printJSON(map[string]any{"file": c.Args()[0]})
			}
			c.printf("written to %s: fill it in, then tinful import %s\n", c.Args()[0], c.Args()[0])
			return nil
		}),
	}
}
