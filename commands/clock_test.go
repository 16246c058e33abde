package commands_test

import (
	"testing"
	"time"
)

// On a terminal a clock far ahead of the last booking is asked about: Enter and no book
// nothing, yes books on the clock's day, and the next booking is not asked about.
func TestClockAsks(t *testing.T) {
	b := newTypist(t)
	b.run("", 0, "fit", "b203", "--job", "106")
	b.env.Now = func() time.Time { return time.Date(2039, 1, 5, 10, 0, 0, 0, time.UTC) }
	for _, no := range []string{"\n", "no\n", "never\nn\nNO\n"} {
		_, asked := b.run(no, 4, "hold", "b283", "--job", "106")
		holds(t, asked, "the clock says 2039-01-05, 2683 days after the last booking made here (booking 2 on 2031-09-01): is that right? (yes or no) [no]")
	}
	b.run("yes\n", 0, "hold", "b283", "--job", "106")
	answer, _ := b.run("", 0, "log", "--json")
	holds(t, answer, `"day":"2039-01-05"`)
	if _, asked := b.run("", 0, "unhold", "b283", "--job", "106"); asked != "" {
		t.Errorf("the clock was said to be right, and is asked about again: %s", asked)
	}
}
