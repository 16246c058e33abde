package commands

import (
	"encoding/json"
	"net/http"
	"strings"
	"testing"
)

// What runs short, what goes missing and the month have what the line says of them.
func TestPageReports(t *testing.T) {
	p := servePageOf(t)
	var low struct {
		Low []struct {
			Part, Name string
			Do         *struct{ Text string }
		}
	}
	var odds struct {
		Common []struct{ Part, Why string }
	}
	for line, to := range map[string]any{"low": &low, "odds": &odds} {
		_, text := p.line(line, "--json")
		if err := json.Unmarshal([]byte(text), to); err != nil {
			t.Fatal(err)
		}
	}
	screen := func(path string) string {
		t.Helper()
		status, text := p.get(path)
		if status != http.StatusOK || len(text) > 60_000 {
			t.Errorf("%s: %d, %d bytes", path, status, len(text))
		}
		return plainText(text)
	}
	text := screen("/low")
	for _, l := range low.Low {
		p.wants(text, l.Part+" "+l.Name)
		if l.Do != nil {
			p.wants(text, strings.Join(strings.Fields(l.Do.Text), " "))
		}
	}
	text = screen("/missing")
	for _, c := range odds.Common[:5] {
		p.wants(text, c.Part, c.Why)
	}
	if _, raw := p.get("/missing"); !strings.Contains(raw, `role="img" aria-label="`) || !strings.Contains(raw, "missing, likely from") {
		t.Error("no share is drawn")
	}
	p.wants(screen("/missing?model=w1b"), "what goes missing in W1-B", "by part and history")
	p.wants(screen("/month"), "Month 2031-09", "wanted and not found", "the month before")
	p.wants(screen("/month?of=2031-07"), "Month 2031-07", "the month after")
	for path, want := range map[string]int{"/month?of=2032-01": 400, "/month?of=--store%3Dx": 400, "/missing?model=nonesuch": 404} {
		if status, text := p.get(path); status != want {
			t.Errorf("%s: %d %s", path, status, plainText(text))
		}
	}
}
