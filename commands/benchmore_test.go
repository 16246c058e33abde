package commands

import (
	"fmt"
	"strings"
	"testing"
)

// A screen of ten lines shows seven of an answer: the line typed, the line that says
// how many are left, and the prompt stand there too.
func TestPager(t *testing.T) {
	var b strings.Builder
	p := &pager{out: &b}
	p.begin(20, 10)
	for i := range 12 {
		fmt.Fprintf(p, "line %d\n", i)
	}
	if err := p.end(); err != nil {
		t.Fatal(err)
	}
	if got := b.String(); strings.Count(got, "\n") != 8 || !strings.HasSuffix(got, "line 6\n(5 more lines: Enter or more)\n") {
		t.Errorf("%q", got)
	}
	b.Reset()
	if err := p.next(); err != nil || b.String() != "line 7\nline 8\nline 9\nline 10\nline 11\n" {
		t.Errorf("%q %v", b.String(), err)
	}
	// A line as long as two of the screen counts for two; the one that is left over by
	// itself takes the place of its number.
	b.Reset()
	p.begin(20, 10)
	fmt.Fprint(p, strings.Repeat("x", 40)+"\n"+strings.Repeat("a\n", 6))
	if err := p.end(); err != nil || strings.Contains(b.String(), "more") || strings.Count(b.String(), "\n") != 7 {
		t.Errorf("%q %v", b.String(), err)
	}
	// What is asked is asked about the whole answer.
	b.Reset()
	p.begin(20, 10)
	fmt.Fprint(p, strings.Repeat("a\n", 20))
	p.flush()
	if strings.Count(b.String(), "\n") != 20 {
		t.Errorf("%q", b.String())
	}
	// Off a terminal nothing is held back.
	b.Reset()
	p.begin(0, 0)
	fmt.Fprint(p, strings.Repeat("a\n", 50))
	if strings.Count(b.String(), "\n") != 50 {
		t.Errorf("%q", b.String())
	}
}
