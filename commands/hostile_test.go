package commands

import (
	"archive/zip"
	"encoding/csv"
	"encoding/xml"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tinful/commands/line"
	"tinful/store/words"
)

// What text from outside may hold: sequences that steer a terminal (ECMA-48), a line that
// looks like one of the program, letters turned round (UAX 9), letters that nobody sees.
const (
	steering = "x\x1b]0;T\a\x1b[31m\u009b2J\r\b\x7f\ntinful: FORGED\u2028\u2029"
	unseen   = "p1\u202e0\u2066\u200b\ufeff\u200e\u00ad\u2060"
)

// holdsNothingRaw fails where an answer or a message holds what is not seen, or a line
// that came from outside.
func holdsNothingRaw(t *testing.T, what string, w *world) {
	t.Helper()
	for _, text := range []string{w.stdout.String(), w.stderr.String()} {
		for i, r := range text {
			if words.Unseen(r) && r != '\n' && r != '\t' {
				t.Errorf("%s: %U in %q", what, r, text[max(0, i-60):min(len(text), i+60)])
				break
			}
		}
		for l := range strings.Lines(text) {
			if l = strings.TrimSpace(strings.TrimPrefix(l, "tinful: ")); strings.HasPrefix(strings.TrimPrefix(l, "tinful: "), "FORGED") {
				t.Errorf("%s: a line of its own: %q", what, text)
			}
		}
	}
	w.stdout.Reset()
	w.stderr.Reset()
}

// hostileWorld is a demo workshop where nothing typed is waited for.
func hostileWorld(t *testing.T) (w *world, home string) {
	home = t.TempDir()
	if err := os.WriteFile(filepath.Join(home, "w.db"), demoStore(t), 0o600); err != nil {
		t.Fatal(err)
	}
	w = newWorld(t, home)
	t.Chdir(home)
	return w, home
}

func (w *world) typed(t *testing.T, stdin string, args ...string) {
	t.Helper()
	for _, flags := range [][]string{nil, {"--json"}, {"--color", "always"}} {
		w.env.Stdin = strings.NewReader(stdin)
		Run(append(append([]string{"tinful"}, args...), flags...), w.env)
		plain := strings.NewReplacer("\x1b[1m", "", "\x1b[31m", "", "\x1b[34m", "", "\x1b[0m", "")
		if flags != nil && flags[0] == "--color" {
			text := plain.Replace(w.stdout.String())
			w.stdout.Reset()
			w.stdout.WriteString(text)
		}
		holdsNothingRaw(t, strings.Join(args, " "), w)
	}
}

// Every command and flag is given text that nobody sees, and more arguments than it
// takes; unknown ones too.
func TestHostileLine(t *testing.T) {
	w, _ := hostileWorld(t)
	for _, text := range []string{steering, unseen} {
		for _, args := range [][]string{{text}, {"--" + text}, {"--" + text + "=1"}, {"-" + text}, {"help", text}, {"find", "--" + text}, {"count", text}, {"--color=" + text, "low"},
			{"--store=" + text, "low"}, {"--store=" + text, "put", "1", "p1"}, {"--by=" + text, "today"}, {"--at=" + text, "fit", "b203"}} {
			w.typed(t, "", args...)
		}
		for _, cmd := range program().Subcommands {
			for _, one := range append([]*line.Command[*call]{cmd}, cmd.Subcommands...) {
				args := []string{cmd.Name}
				if one != cmd {
					args = append(args, one.Name)
				}
				for n := range 4 {
					w.typed(t, "", append(args[:len(args):len(args)], []string{text, text, text}[:n]...)...)
				}
				for _, f := range one.Takes() {
					w.typed(t, "", append(args[:len(args):len(args)], "--"+f.Name+"="+text)...)
					w.typed(t, "", append(args[:len(args):len(args)], "p1", "--"+f.Name+"="+text)...)
				}
			}
		}
	}
}

// The same by what the environment names, by lines of a pipe and lines of one booking.
func TestHostileSurroundings(t *testing.T) {
	w, _ := hostileWorld(t)
	getenv := w.env.Getenv
	for _, text := range []string{steering, unseen} {
		for _, name := range []string{"TINFUL_STORE", "TINFUL_BY", "USER", "XDG_STATE_HOME", "XDG_DATA_HOME", "HOME", "TINFUL_TERMINAL", "TERM", "COLUMNS", "NO_COLOR"} {
			w.env.Getenv = func(key string) string {
				switch {
				case key == name && strings.HasPrefix(name, "XDG"):
					return "/" + text
				case key == name:
					return text
				case key == "TINFUL_STORE" && name == "XDG_DATA_HOME":
					return ""
				}
				return getenv(key)
			}
			for _, args := range [][]string{{"low"}, {"put", "1", "p1", "from", "bought", "--place", "k1"}, {"log"}, {"undo"}, {"find", "spring"}, {"fit", ":1"}, {"backup", "copy"}, {"check"}} {
				w.typed(t, "", args...)
			}
		}
		w.env.Getenv = getenv
		t.Setenv("TINFUL_CLOCK", text)
		env := System(w.env.Demo, ".")
		env.Stdout, env.Stderr, env.Getenv = w.stdout, w.stderr, getenv
		Run([]string{"tinful", "today"}, env)
		holdsNothingRaw(t, "TINFUL_CLOCK", w)
		for _, lines := range []string{text, "fit " + text, "--" + text, "me " + text, "me \"" + text, "# " + text, "b203 " + text, "find " + text + " --model w1a", "fit b203 --job " + text} {
			w.typed(t, lines+"\nlow\n", "--keep-going")
			w.typed(t, lines, "fit", "-")
			w.typed(t, lines, "strip", "pc5")
			w.typed(t, lines, "strip", "pc5", "-")
			w.typed(t, lines, "import", "-", "--as", "parts")
			w.typed(t, lines, "bought", "-")
			w.typed(t, lines, "look", "pc5", "-")
		}
	}
}

// The same by names of files, and by headings and cells of what they hold.
func TestHostileFiles(t *testing.T) {
	w, home := hostileWorld(t)
	for i, text := range []string{steering, unseen} {
		name := strings.NewReplacer("/", "", "\x00", "").Replace(text)
		folder, empty := filepath.Join(home, fmt.Sprint("folder", i)), filepath.Join(home, fmt.Sprint("empty", i))
		for _, dir := range []string{folder, filepath.Join(empty, name+".csv")} {
			if err := os.MkdirAll(dir, 0o755); err != nil {
				t.Skip(err)
			}
		}
		hostileBook(t, filepath.Join(home, "list.xlsx"), unseen)
		for _, args := range [][]string{{"import", "list.xlsx"}, {"import", "list.xlsx", "--suggest"}, {"import", "list.xlsx", "--suggest", "--sheet", "none"}, {"count", "enter", "--file", "list.xlsx"}} {
			w.typed(t, "", args...)
		}
		for _, head := range [][]string{{"Part", "Name"}, {"Part", "Name", text}, {"Part", text}, {text, text}, {"Code", "Bezeichnung", text, "Anzahl"}} {
			var b strings.Builder
			out := csv.NewWriter(&b)
			row := make([]string, len(head))
			for j := range row {
				row[j] = text
			}
			code := append([]string{"P900"}, row[1:]...)
			if err := out.WriteAll([][]string{head, row, code}); err != nil {
				t.Fatal(err)
			}
			for _, file := range []string{"parts.csv", "list.csv", name + ".csv", filepath.Join(folder, "parts.csv"), filepath.Join(folder, name+".csv"), "parts (2)" + name + ".csv", name} {
				if !filepath.IsAbs(file) {
					file = filepath.Join(home, file)
				}
				if err := os.WriteFile(file, []byte(b.String()), 0o644); err != nil {
					t.Fatal(err)
				}
				for _, args := range [][]string{{"import", file}, {"import", file, "--dry-run", "--as", "parts", "--map", "Code=part"}, {"import", file, "--suggest"}, {"import", file, "--as-count"},
					{"import", file, "--problems", file + ".csv"}, {"import", "list.csv", "--map-file", file}, {"restore", file}, {"donors", "--offers", file}, {"count", "enter", "--file", file},
					{"look", "pc5", "--file", file}, {"strip", "pc5", "--file", file}, {"backup", file}, {"export", file}, {"template", file}, {"low", "-o", file}, {"low", "--store", file},
					{"count", "sheet", "k1", "-o", file}, {"look", "pc5", "--sheet", file}} {
					w.typed(t, "", args...)
				}
			}
			w.typed(t, "", "import", folder)
			w.typed(t, "", "import", empty)
			w.typed(t, b.String(), "import", "-", "--as", "parts")
			w.typed(t, b.String(), "import", "-", "--suggest")
		}
	}
}

// hostileBook writes a workbook whose sheet, headings and cells hold a text: the
// fewest members that ECMA-376 part 1 asks for (from memory), controls as _xHHHH_.
func hostileBook(t *testing.T, file, text string) {
	t.Helper()
	var safe strings.Builder
	for _, r := range text {
		if r < ' ' {
			fmt.Fprintf(&safe, "_x%04X_", r)
			continue
		}
		if err := xml.EscapeText(&safe, []byte(string(r))); err != nil {
			t.Fatal(err)
		}
	}
	cell := func(text string) string { return `<c t="inlineStr"><is><t>` + text + `</t></is></c>` }
	row := "<row>" + cell("Part") + cell(safe.String()) + cell("Name") + "</row>"
	const (
		main = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
		rels = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
		pack = "http://schemas.openxmlformats.org/package/2006/"
		kind = "application/vnd.openxmlformats-officedocument.spreadsheetml."
	)
	out, err := os.Create(file)
	if err != nil {
		t.Fatal(err)
	}
	defer out.Close()
	z := zip.NewWriter(out)
	for _, m := range [][2]string{
		{"[Content_Types].xml", `<Types xmlns="` + pack + `content-types"><Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>` +
			`<Override PartName="/xl/workbook.xml" ContentType="` + kind + `sheet.main+xml"/><Override PartName="/xl/worksheets/sheet1.xml" ContentType="` + kind + `worksheet+xml"/></Types>`},
		{"_rels/.rels", `<Relationships xmlns="` + pack + `relationships"><Relationship Id="r1" Type="` + rels + `/officeDocument" Target="xl/workbook.xml"/></Relationships>`},
		{"xl/workbook.xml", `<workbook xmlns="` + main + `" xmlns:r="` + rels + `"><sheets><sheet name="n` + safe.String() + `" sheetId="1" r:id="r1"/></sheets></workbook>`},
		{"xl/_rels/workbook.xml.rels", `<Relationships xmlns="` + pack + `relationships"><Relationship Id="r1" Type="` + rels + `/worksheet" Target="worksheets/sheet1.xml"/></Relationships>`},
		{"xl/worksheets/sheet1.xml", `<worksheet xmlns="` + main + `"><sheetData>` + row + row + `</sheetData></worksheet>`},
	} {
		w, err := z.Create(m[0])
		if err == nil {
			_, err = io.WriteString(w, m[1])
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
}
