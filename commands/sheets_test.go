package commands_test

import (
	"archive/zip"
	"encoding/xml"
	"fmt"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// How workbooks look is kept as text beside the tests, so that a change is seen: sheets,
// what is frozen, widths, formats, how they print, lists to choose from, the first rows.
// They are read here as the ZIP and XML they are (ECMA-376 part 1), by none of the
// program's readers.
func TestHowSheetsLook(t *testing.T) {
	b := newTypist(t)
	b.env.Terminal = false
	dir := t.TempDir()
	for _, typed := range []string{"note|b291|one has a scar", "measure|b291|--thick|0.47 0.52|--tool|micrometer", "photo|pc5|" + filepath.Join("..", "testdata", "pictures", "top.jpg") + "|--caption|as it came",
		"strip|pc11|" + written(t, dir, "notes.txt", "step 1 wind: note \"as it stood\"\nstep 2 wind: missing p32\n")} {
		b.run("", 0, strings.Split(typed, "|")...)
	}
	for name, typed := range map[string]string{"export": "export|FILE", "template": "template|FILE", "look": "look|pc12|--sheet|FILE", "strip": "strip|pc9|--sheet|FILE",
		"count": "count|sheet|k1|-o|FILE", "buy": "low|-o|FILE", "drawers": "list|drawers|-o|FILE", "seen": "list|seen|-o|FILE", "month": "month|2031-08|-o|FILE", "custody": "out|--on|2031-08-20|-o|FILE"} {
		t.Run(name, func(t *testing.T) {
			file := filepath.Join(dir, name+".xlsx")
			b.run("", 0, strings.Split(strings.ReplaceAll(typed, "FILE", file), "|")...)
			got := strings.ReplaceAll(looksLike(t, file), dir, "FOLDER")
			golden := filepath.Join("..", "testdata", "sheets", name+".txt")
			if *update {
				if err := os.WriteFile(golden, []byte(got), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			want, err := os.ReadFile(golden)
			if err != nil {
				t.Fatal(err)
			}
			if d := cmp.Diff(strings.Split(string(want), "\n"), strings.Split(got, "\n")); d != "" {
				t.Errorf("%s (-kept +now):\n%s", golden, d)
			}
		})
	}
}

func written(t *testing.T, dir, name, text string) string {
	t.Helper()
	file := filepath.Join(dir, name)
	if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	return file
}

type sheetXML struct {
	Fit struct {
		Page string `xml:"fitToPage,attr"`
	} `xml:"sheetPr>pageSetUpPr"`
	Pane *struct {
		TopLeft string `xml:"topLeftCell,attr"`
		State   string `xml:"state,attr"`
	} `xml:"sheetViews>sheetView>pane"`
	Cols []struct {
		Min   int     `xml:"min,attr"`
		Max   int     `xml:"max,attr"`
		Width float64 `xml:"width,attr"`
		Style int     `xml:"style,attr"`
	} `xml:"cols>col"`
	Rows []struct {
		Cells []struct {
			At     string `xml:"r,attr"`
			Style  int    `xml:"s,attr"`
			Kind   string `xml:"t,attr"`
			Value  string `xml:"v"`
			Inline []struct {
				Text string `xml:",chardata"`
			} `xml:"is>t"`
			Formula string `xml:"f"`
		} `xml:"c"`
	} `xml:"sheetData>row"`
	Merged []struct {
		Ref string `xml:"ref,attr"`
	} `xml:"mergeCells>mergeCell"`
	Short []struct {
		Range string `xml:"sqref,attr"`
	} `xml:"conditionalFormatting"`
	Lists []struct {
		Range string `xml:"sqref,attr"`
		From  string `xml:"formula1"`
	} `xml:"dataValidations>dataValidation"`
	Margins struct {
		Left, Right, Top, Bottom float64
	} `xml:"pageMargins"`
	Setup struct {
		Paper string `xml:"paperSize,attr"`
		Lies  string `xml:"orientation,attr"`
		Wide  string `xml:"fitToWidth,attr"`
		High  string `xml:"fitToHeight,attr"`
		Scale string `xml:"scale,attr"`
	} `xml:"pageSetup"`
	Head struct {
		Header string `xml:"oddHeader"`
		Footer string `xml:"oddFooter"`
	} `xml:"headerFooter"`
	Tables []struct{} `xml:"tableParts>tablePart"`
}

type bookXML struct {
	Sheets []struct {
		Name  string `xml:"name,attr"`
		State string `xml:"state,attr"`
		ID    string `xml:"id,attr"`
	} `xml:"sheets>sheet"`
	Names []struct {
		Name  string `xml:"name,attr"`
		Sheet int    `xml:"localSheetId,attr"`
		Of    string `xml:",chardata"`
	} `xml:"definedNames>definedName"`
}

type stylesXML struct {
	Formats []struct {
		ID   int    `xml:"numFmtId,attr"`
		Code string `xml:"formatCode,attr"`
	} `xml:"numFmts>numFmt"`
	Cells []struct {
		Format int `xml:"numFmtId,attr"`
	} `xml:"cellXfs>xf"`
}

// builtIn are formats that stand by their number: ECMA-376 part 1, 18.8.30.
var builtIn = map[int]string{0: "General", 1: "0", 2: "0.00", 14: "mm-dd-yy", 49: "@"}

// looksLike tells how a workbook looks.
func looksLike(t *testing.T, file string) string {
	t.Helper()
	z, err := zip.OpenReader(file)
	if err != nil {
		t.Fatal(err)
	}
	defer z.Close()
	read := func(name string, into any) bool {
		f, err := z.Open(name)
		if err != nil {
			return false
		}
		defer f.Close()
		if err := xml.NewDecoder(f).Decode(into); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		return true
	}
	var book bookXML
	var links struct {
		All []struct {
			ID string `xml:"Id,attr"`
			To string `xml:"Target,attr"`
		} `xml:"Relationship"`
	}
	var styles stylesXML
	var shared struct {
		All []struct {
			Text []string `xml:"t"`
			Runs []string `xml:"r>t"`
		} `xml:"si"`
	}
	if !read("xl/workbook.xml", &book) || !read("xl/_rels/workbook.xml.rels", &links) || !read("xl/styles.xml", &styles) {
		t.Fatalf("%s is no workbook", file)
	}
	read("xl/sharedStrings.xml", &shared)
	format := func(style int) string {
		id := 0
		if style < len(styles.Cells) {
			id = styles.Cells[style].Format
		}
		for _, f := range styles.Formats {
			if f.ID == id {
				return f.Code
			}
		}
		if name, ok := builtIn[id]; ok {
			return name
		}
		return strconv.Itoa(id)
	}
	var out strings.Builder
	say := func(format string, args ...any) { fmt.Fprintf(&out, format+"\n", args...) }
	for i, s := range book.Sheets {
		at := slices.IndexFunc(links.All, func(l struct {
			ID string `xml:"Id,attr"`
			To string `xml:"Target,attr"`
		}) bool {
			return l.ID == s.ID
		})
		var x sheetXML
		if at < 0 || !read(path.Join("xl", strings.TrimPrefix(links.All[at].To, "/xl/")), &x) {
			t.Fatalf("sheet %s is not there", s.Name)
		}
		say("== %s %s", s.Name, s.State)
		if x.Pane != nil {
			say("frozen at %s %s", x.Pane.TopLeft, x.Pane.State)
		}
		say("printed: paper %s, %s, fit %s: %s wide, %s high, scale %s, tables %d", x.Setup.Paper, x.Setup.Lies, x.Fit.Page, x.Setup.Wide, x.Setup.High, x.Setup.Scale, len(x.Tables))
		if x.Head.Header+x.Head.Footer != "" {
			say("head %q, foot %q", x.Head.Header, x.Head.Footer)
		}
		for _, n := range book.Names {
			if n.Sheet == i {
				say("%s %s", n.Name, n.Of)
			}
		}
		for _, c := range x.Cols {
			say("columns %d to %d: %.2f wide, %s", c.Min, c.Max, c.Width, format(c.Style))
		}
		for _, m := range x.Merged {
			say("merged %s", m.Ref)
		}
		for _, l := range x.Lists {
			say("list %s from %s", l.Range, l.From)
		}
		for _, c := range x.Short {
			say("coloured %s", c.Range)
		}
		for n, row := range x.Rows {
			if n == 4 {
				break
			}
			var cells []string
			for _, c := range row.Cells {
				value := c.Value
				if k, err := strconv.Atoi(c.Value); err == nil && c.Kind == "s" && k < len(shared.All) {
					value = strings.Join(append(shared.All[k].Text, shared.All[k].Runs...), "")
				}
				for _, p := range c.Inline {
					value += p.Text
				}
				if c.Formula != "" {
					value = "=" + c.Formula
				}
				if value != "" {
					cells = append(cells, fmt.Sprintf("%s %s %q", c.At, format(c.Style), value))
				}
			}
			say("%s", strings.Join(cells, " | "))
		}
	}
	return out.String()
}
