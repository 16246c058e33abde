package commands

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// A paper for an owner has no code of the workshop: of the demo's parts, bags, parts
// cameras, models and places none stands on any paper of any job.
func TestOwnersReadNoCodes(t *testing.T) {
	var codes []string
	for _, sheet := range []string{"parts", "bags", "donors", "models", "places"} {
		f, err := os.Open(filepath.Join("..", "testdata", "demo", sheet+".csv"))
		if err != nil {
			t.Fatal(err)
		}
		rows, err := csv.NewReader(f).ReadAll()
		f.Close()
		if err != nil {
			t.Fatal(err)
		}
		for _, row := range rows[1:] {
			codes = append(codes, regexp.QuoteMeta(row[0]))
		}
	}
	any := regexp.MustCompile(`\b(` + strings.Join(codes, "|") + `)\b`)
	home := t.TempDir()
	if err := os.WriteFile(filepath.Join(home, "w.db"), demoStore(t), 0o600); err != nil {
		t.Fatal(err)
	}
	papers := 0
	for _, job := range []string{"101", "102", "103", "104", "105", "106", "107", "108"} {
		for _, kind := range []string{"--arrival", "--estimate", "--done"} {
			w := newWorld(t, home)
			file := filepath.Join(t.TempDir(), "p.csv")
			if code := Run([]string{"tinful", "paper", job, kind, "-o", file}, w.env); code != exitOK {
				t.Fatal(w.stderr)
			}
			b, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			if found := any.FindString(string(b)); found != "" {
				t.Errorf("paper %s %s has the code %s:\n%s", job, kind, found, b)
			}
			papers++
		}
	}
	if papers != 24 || len(codes) < 200 {
		t.Errorf("%d papers were held against %d codes", papers, len(codes))
	}
}
