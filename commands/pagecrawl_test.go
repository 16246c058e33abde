package commands

import (
	"encoding/csv"
	"maps"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// evilName is markup, an end of an attribute, a template and a line's end in one.
const evilName = ` <xq onload=alert(1)>"'{{.}}</xq>`

// mayBeAnything are columns of the sheets that hold what a person likes to write.
var mayBeAnything = strings.Fields("Note Where For Name Maker Family Fault Accessories Why Operation From Owner Told_by Lot Body_no Shutter_no Number Finish Maker_no By")

// evilDemo is the demo with markup in every name and note. It returns how many cells have it.
func evilDemo(t *testing.T) (folder string, cells int) {
	t.Helper()
	folder = t.TempDir()
	files, err := filepath.Glob(filepath.Join(demoFolder(t), "*.csv"))
	if err != nil || len(files) == 0 {
		t.Fatal(files, err)
	}
	for _, file := range files {
		in, err := os.Open(file)
		if err != nil {
			t.Fatal(err)
		}
		rows, err := csv.NewReader(in).ReadAll()
		in.Close()
		if err != nil {
			t.Fatal(err)
		}
		for col, head := range rows[0] {
			if !slices.Contains(mayBeAnything, strings.ReplaceAll(head, " ", "_")) {
				continue
			}
			for _, row := range rows[1:] {
				if row[col] != "" && row[col] != "own" {
					row[col] += evilName
					cells++
				}
			}
		}
		out, err := os.Create(filepath.Join(folder, filepath.Base(file)))
		if err != nil {
			t.Fatal(err)
		}
		w := csv.NewWriter(out)
		if err := w.WriteAll(rows); err != nil {
			t.Fatal(err)
		}
		out.Close()
	}
	return folder, cells
}

var (
	hrefPattern = regexp.MustCompile(`(?:href|src|action)="([^"]*)"`)
	idPattern   = regexp.MustCompile(` id="([^"]*)"`)
)

// Every link of the page is followed, from the first screen on, over a workshop whose
// names and notes are markup: each answers, none has that markup or a template's word for
// an address that is not safe in it, and no link leads elsewhere.
func TestPageCrawled(t *testing.T) {
	home := t.TempDir()
	folder, cells := evilDemo(t)
	w := newWorld(t, home)
	if code := Run([]string{"tinful", "import", folder}, w.env); code != exitOK || cells < 300 {
		t.Fatalf("%d cells: %s%s", cells, w.stdout, w.stderr)
	}
	p := servePageAt(t, home)
	most := 250
	if os.Getenv("TINFUL_SOAK") != "" {
		most = 5000
	}
	seen := map[string]bool{}
	kinds := map[string]int{} // by screen and kind of thing
	shown := 0
	queue := []string{"/", "/find?q=spring", "/find?q=screw&on=105", "/job/105?on=105", "/job/106?on=106", "/low", "/jobs", "/out", "/log"}
	for len(queue) > 0 && len(seen) < most {
		path := queue[0]
		queue = queue[1:]
		if seen[path] {
			continue
		}
		seen[path] = true
		r, err := p.client.Get(p.root + path)
		if err != nil {
			t.Fatal(err)
		}
		kind := r.Header.Get("Content-Type")
		status, text := answered(t, r)
		if status == http.StatusSeeOther {
			continue
		}
		if status != http.StatusOK {
			t.Errorf("a link leads to %s: %d\n%.500s", path, status, plainText(text))
		}
		if r.Header.Get("X-Content-Type-Options") != "nosniff" {
			t.Errorf("of %s a browser may think what it likes", path)
		}
		if !strings.HasPrefix(kind, "application/json") && (strings.Contains(text, "<xq") || strings.Contains(text, "</xq") || strings.Contains(text, "ZgotmplZ")) {
			t.Errorf("%s has a name as markup:\n%.2000s", path, text)
		}
		if kind != "text/html; charset=utf-8" { // nothing else is laid out as a page
			if !slices.Contains([]string{"application/json; charset=utf-8", "text/css; charset=utf-8", "text/javascript; charset=utf-8", "application/pdf", "image/jpeg", "image/svg+xml"}, kind) {
				t.Errorf("%s is %s", path, kind)
			}
			continue
		}
		shown += strings.Count(text, "&lt;xq")
		if n := strings.Count(text, "<h1"); n != 1 {
			t.Errorf("%s has %d headings of the first order", path, n)
		}
		ids := map[string]bool{}
		for _, m := range idPattern.FindAllStringSubmatch(text, -1) {
			if ids[m[1]] {
				t.Errorf("%s has two of id %s", path, m[1])
			}
			ids[m[1]] = true
		}
		for _, m := range hrefPattern.FindAllStringSubmatch(text, -1) {
			to := unescaped(m[1])
			switch {
			case strings.HasPrefix(to, "#"):
				if !ids[to[1:]] {
					t.Errorf("%s leads to %s, which is not there", path, to)
				}
			case !strings.HasPrefix(to, "/") || strings.HasPrefix(to, "//"):
				t.Errorf("%s leads to %s", path, to)
			case strings.HasPrefix(m[0], "action") && !strings.HasPrefix(to, "/go") && to != "/arrive":
			default:
				to, _, _ = strings.Cut(to, "#")
				if of := linkKind(to); !seen[to] && kinds[of] < max(3, most/40) { // some of each kind
					kinds[of]++
					queue = append(queue, to)
				}
			}
		}
	}
	if shown < 1000 || len(seen) < 100 {
		t.Errorf("%d pages were seen, with %d of the names", len(seen), shown)
	}
	t.Logf("%d pages of %d kinds, %d of the names on them", len(seen), len(kinds), shown)
	for _, screen := range []string{"part", "bag", "place", "donor", "model", "need", "job", "look", "strip", "count", "done"} {
		if !slices.ContainsFunc(slices.Collect(maps.Keys(kinds)), func(k string) bool { return strings.HasPrefix(k, "/"+screen) }) {
			t.Errorf("no link leads to a screen %s", screen)
		}
	}
}

// linkKind is a link without the codes in it.
func linkKind(to string) string {
	path, query, _ := strings.Cut(to, "?")
	parts := strings.Split(path, "/")
	if len(parts) > 2 {
		parts = parts[:len(parts)-1]
	}
	kind := strings.Join(parts, "/")
	if strings.Contains(query, "format=json") {
		kind += " as JSON"
	}
	return kind
}
