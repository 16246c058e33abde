//go:build unix

package commands

import (
	"bufio"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/url"
	"os"
	"strings"
	"syscall"
	"testing"
	"time"
)

// An answer of ten lines at 20 000 bags costs the page at most one and a half times what
// it costs the line in the same process: both open the store for the question and let it
// go. What is compared is the processor's time, in turns, the least of some; that of the
// browser is among the page's.
func TestPageCostsLittle(t *testing.T) {
	const most, each = 1.5, 50
	home := t.TempDir()
	w := newWorld(t, home)
	if code := Run([]string{"tinful", "import", ManyBags(t, 20_000, 9)}, w.env); code != exitOK {
		t.Fatal(w.stderr)
	}
	question := []string{"find", "movement", "screw", "77", "--job", "101"}
	p := servePageAt(t, home)
	code, answer := p.line(question...)
	if lines := strings.Count(answer, "\n"); code != exitOK || lines < 10 || lines > 12 {
		t.Fatalf("the answer has %d lines: %s", lines, answer)
	}
	b := p.browser(t)
	if n := len(b.get(t, "/find?q=movement+screw+77&on=101")); n > 60_000 {
		t.Errorf("the page has %d bytes", n)
	}
	rounds := 10
	if os.Getenv("TINFUL_SOAK") != "" {
		rounds = 50
	}
	byLine, byPage := time.Duration(1<<62), time.Duration(1<<62)
	for range rounds {
		byLine = min(byLine, processorTime(t, each, func() { p.line(question...) }))
		byPage = min(byPage, processorTime(t, each, func() { b.get(t, "/find?q=movement+screw+77&on=101") }))
	}
	t.Logf("the line takes %s, the page %s: %.2f times", byLine, byPage, float64(byPage)/float64(byLine))
	if float64(byPage) > most*float64(byLine) {
		t.Errorf("the line takes %s, the page %s: more than %.1f times", byLine, byPage, most)
	}
}

// processorTime is what fn takes of the processor, of so many times.
func processorTime(t *testing.T, times int, fn func()) time.Duration {
	t.Helper()
	used := func() time.Duration {
		var r syscall.Rusage
		if err := syscall.Getrusage(syscall.RUSAGE_SELF, &r); err != nil {
			t.Fatal(err)
		}
		return time.Duration(r.Utime.Nano() + r.Stime.Nano())
	}
	begun := used()
	for range times {
		fn()
	}
	return (used() - begun) / time.Duration(times)
}

// A browserLine is a connection of a browser that does nothing but ask.
type browserLine struct {
	net.Conn
	read *bufio.Reader
	head string
}

func (p *pageWorld) browser(t *testing.T) *browserLine {
	t.Helper()
	u, err := url.Parse(p.root)
	if err != nil {
		t.Fatal(err)
	}
	c, err := net.Dial("tcp", u.Host)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { c.Close() })
	cookie := p.client.Jar.Cookies(u)[0]
	return &browserLine{c, bufio.NewReader(c), fmt.Sprintf("HTTP/1.1\r\nHost: %s\r\nCookie: %s=%s\r\n\r\n", u.Host, cookie.Name, cookie.Value)}
}

func (b *browserLine) get(t *testing.T, path string) []byte {
	t.Helper()
	if _, err := io.WriteString(b, "GET "+path+" "+b.head); err != nil {
		t.Fatal(err)
	}
	r, err := http.ReadResponse(b.read, nil)
	if err != nil {
		t.Fatal(err)
	}
	defer r.Body.Close()
	text, err := io.ReadAll(r.Body)
	if err != nil || r.StatusCode != http.StatusOK {
		t.Fatalf("%s: %d %v", path, r.StatusCode, err)
	}
	return text
}
