package commands

import (
	"encoding/xml"
	"io"
	"net/http"
	"strings"
	"testing"
)

// Papers open in the browser, as the line writes them, and book nothing; labels are kept
// as printed, once, by their form alone.
func TestPagePapers(t *testing.T) {
	p := servePageOf(t)
	before := p.bookings()
	for _, test := range []struct {
		path, kind string
		status     int
	}{
		{"/paper/arrival/105", "application/pdf", 200},
		{"/paper/estimate/105", "application/pdf", 200},
		{"/paper/done/105", "application/pdf", 200},
		{"/paper/drawing/P001", "application/pdf", 200},
		{"/paper/drawers/", "application/pdf", 200},
		{"/paper/free/", "application/pdf", 200},
		{"/paper/wants/", "application/pdf", 200},
		{"/paper/month/", "application/pdf", 200},
		{"/paper/month/2031-08", "application/pdf", 200},
		{"/paper/cut/?for=W1-A", "application/pdf", 200},
		{"/paper/cut/?for=W1-A&as=svg", "image/svg+xml", 200},
		{"/paper/labels/?of=bag:B283&of=place:K1", "application/pdf", 200},
		{"/drawing/P001", "image/svg+xml", 200},
		{"/drawing/P021", "image/svg+xml", 200},
		{"/drawing/P069", "image/svg+xml", 200},
		{"/paper/done/999", "text/html", 404},
		{"/paper/nothing/", "text/html", 404},
		{"/paper/cut/?for=nonesuch", "text/html", 404},
		{"/paper/labels/?of=--store=x:y", "text/html", 400},
		{"/paper/labels/?of=bag:B283&paper=nonesuch", "text/html", 404},
		{"/paper/drawing/..%2f..%2fetc%2fpasswd", "text/html", 404},
		{"/drawing/P999", "text/html", 404},
	} {
		r, err := p.client.Get(p.root + test.path)
		if err != nil {
			t.Fatal(err)
		}
		b, _ := io.ReadAll(r.Body)
		r.Body.Close()
		h := r.Header
		if r.StatusCode != test.status || !strings.HasPrefix(h.Get("Content-Type"), test.kind) || h.Get("X-Content-Type-Options") != "nosniff" || !strings.HasPrefix(h.Get("Content-Security-Policy"), "default-src 'none'") {
			t.Errorf("%s: %d %v\n%.300s", test.path, r.StatusCode, h, plainText(string(b)))
			continue
		}
		switch test.kind {
		case "application/pdf":
			if !strings.HasPrefix(string(b), "%PDF-") {
				t.Errorf("%s is no PDF: %.80s", test.path, b)
			}
		case "image/svg+xml":
			for d := xml.NewDecoder(strings.NewReader(string(b))); ; {
				x, err := d.Token()
				if err == io.EOF {
					break
				}
				if err != nil {
					t.Errorf("%s: %v", test.path, err)
					break
				}
				if e, is := x.(xml.StartElement); is && (e.Name.Local == "script" || e.Name.Local == "style") {
					t.Errorf("%s has a %s", test.path, e.Name.Local)
				}
			}
		}
	}
	if n := p.bookings() - before; n != 0 {
		t.Errorf("%d bookings of papers that were looked at", n)
	}
	for part, fits := range map[string]bool{"P001": true, "P069": true, "SKIN-1": false, "P072": false} { // parts.csv: 210 x 297 mm
		_, screen := p.get("/part/" + part)
		if !strings.Contains(screen, `src="/drawing/`+part) || strings.Contains(screen, `"/paper/drawing/`+part) != fits {
			t.Errorf("%s: a drawing as large as it is has room on a page: %t expected\n%s", part, fits, plainText(screen))
		}
	}
	_, screen := p.get("/bag/B283?on=105")
	form := p.form(screen, "/label")
	status, text, to := p.send("/label", form)
	if status != http.StatusSeeOther || to != "/paper/labels/?of=bag%3AB283" {
		t.Fatalf("%d %s %s", status, to, plainText(text))
	}
	if status, _ := p.get(to); status != http.StatusOK {
		t.Error(status)
	}
	if _, book := p.line("log"); p.bookings() != before+1 || !strings.Contains(book, "label bag:B283") {
		t.Errorf("the book: %s", book)
	}
	_, screen = p.get("/more")
	form = p.form(screen, "/label")
	form.Set("what", "drawers")
	form.Set("paper", "roll 50x25")
	if status, text, to := p.send("/label", form); status != http.StatusSeeOther || !strings.Contains(to, "of=place%3AK1") || !strings.Contains(to, "paper=roll") {
		t.Errorf("%d %s %s", status, to, plainText(text))
	}
	_, cut := p.get("/cut?for=w1a")
	p.wants(plainText(cut), "coverings of W1-A", "cuts, with blade and rule", "P069")
	if !strings.Contains(cut, `src="/paper/cut/?as=svg&amp;for=W1-A"`) {
		t.Errorf("no layout is drawn:\n%s", cut)
	}
}
