package sheet

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tinful/store"
	"tinful/store/code"
)

// mistaken are texts that an office program is likely to make something else of, besides
// those of hostile. What cannot be stored is not among them: controls, line ends and
// letters that turn others round are refused before that (store.CleanText).
var mistaken = []string{"=HYPERLINK(\"http://x.invalid\")", "=cmd|' /C calc'!A0", "@SUM(1)", "-2+3", "+49 30 123", "\t=1", "00123", "0.10", "1.0", "1,000", "1.000,00", "12:30", "3/4",
	"03.04.2031", "3-4", "2031-08", "MAR1", "SEPT2", "1 1/2", "5 %", "12 EUR", "1E-3", "1e400", "999999999999999999", "#N/A", "#DIV/0!", "WAHR", "VRAI", "TRUE ", "  x", "x\u00a0", "\u00a0",
	"_x000D_", "&amp;", "<b>", "]]>", "'", "''", "\"\"", "a\"b\"", "`", "\\n", "%s", "${x}", "{=1}", "a;b", "a|b", "e\u0301", "\U0001f468\u200d\U0001f469\u200d\U0001f467", "עברית", "العربية"}

// What goes through an office program, as a workbook and as an OpenDocument, comes back the
// same, record for record: .ci/outside asks for it, as it takes soffice.
func TestThroughAnOffice(t *testing.T) {
	office, err := exec.LookPath("soffice")
	if err != nil || os.Getenv("TINFUL_SOAK") == "" {
		t.Skip("it takes soffice, and TINFUL_SOAK=1")
	}
	checks(t, "3") // each starts it twice
	profile := "-env:UserInstallation=file://" + filepath.ToSlash(t.TempDir())
	through := func(t rapid.TB, dir, kind string) func(out string) string {
		return func(out string) string {
			to := filepath.Join(dir, kind)
			if b, err := exec.Command(office, profile, "--headless", "--convert-to", kind, "--outdir", to, out).CombinedOutput(); err != nil {
				t.Fatalf("%v\n%s", err, b)
			}
			if err := os.Rename(PictureFolder(out), PictureFolder(filepath.Join(to, "out."+kind))); err != nil && !os.IsNotExist(err) {
				t.Fatal(err)
			}
			return filepath.Join(to, "out."+kind)
		}
	}
	kinds := []string{"xlsx", "ods"}
	workshop := t.TempDir()
	load, _ := mustRead(t, demo)
	takenIn(t, load, filepath.Join(workshop, "1.db"))
	for _, kind := range kinds {
		carried(t, filepath.Join(workshop, "1.db"), filepath.Join(workshop, "out.xlsx"), filepath.Join(workshop, kind+".db"), through(t, workshop, kind))
	}
	rapid.Check(t, func(rt *rapid.T) {
		dir, err := os.MkdirTemp("", "office")
		if err != nil {
			rt.Fatal(err)
		}
		defer os.RemoveAll(dir)
		at := func(name string) string { return filepath.Join(dir, name) }
		drawStore(rt, at("1.db"))
		remarked(rt, at("1.db"))
		for _, kind := range kinds {
			carried(rt, at("1.db"), at("out.xlsx"), at(kind+".db"), through(rt, dir, kind))
		}
	})
}

// remarked keeps every hostile text, and one as long as a cell can be, as a remark.
func remarked(t *rapid.T, path string) {
	s, err := store.OpenToBook(path)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	all := append(append([]string{strings.Repeat("=0 ä\"", longest/6) + "'"}, hostile...), mistaken...)
	if _, err := s.Book(whenRead, func(tx *store.Tx) error {
		if err := tx.Put(store.Place{Code: code.Code("HOSTILE")}); err != nil {
			return err
		}
		for _, text := range all {
			text, err := store.CleanText(text)
			if err != nil || text == "" {
				continue
			}
			if _, err := tx.Remark(store.Ref{Kind: "place", Code: "HOSTILE"}, text); err != nil {
				return err
			}
		}
		return nil
	}); err != nil {
		t.Fatal(err)
	}
}
