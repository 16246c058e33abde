package page_test

import (
	"encoding/json"
	"fmt"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// focused says what has the focus, in the words by which a person knows it, and whether it
// is seen that it has.
const focused = `(() => {
	const e = document.activeElement;
	const said = [e.getAttribute("aria-label"), ...[...(e.labels || [])].map(l => l.textContent), e === document.body || e.localName === "input" || e.localName === "select" ? "" : e.textContent];
	return {said: said.map(s => (s || "").trim().replace(/\s+/g, " ")).filter(s => s), seen: e === document.body || e.id === "main" || getComputedStyle(e).outlineStyle !== "none"};
})()`

// reach presses Tab until what begins with those words has the focus, as somebody who has
// no pointer does, and fails where the focus is not seen on the way.
func (x *tab) reach(words string) {
	x.t.Helper()
	var way []string
	for range 120 {
		var at struct {
			Said []string
			Seen bool
		}
		x.do(chromedp.Evaluate(focused, &at))
		if !at.Seen {
			x.t.Errorf("at %s nobody sees that %q has the focus", x.at(), at.Said)
		}
		for _, said := range at.Said {
			if strings.HasPrefix(said, words) {
				return
			}
		}
		way = append(way, strings.Join(at.Said, " "))
		x.do(chromedp.KeyEvent("\t"))
	}
	x.t.Fatalf("at %s no Tab leads to %q, but to\n%s", x.at(), words, strings.Join(way, "\n"))
}

// press reaches something and presses Enter on it.
func (x *tab) press(words string) {
	x.t.Helper()
	x.reach(words)
	x.follow(chromedp.KeyEvent("\r"))
}

// write reaches a field and types into it.
func (x *tab) write(label, text string) {
	x.t.Helper()
	x.reach(label)
	x.do(chromedp.KeyEvent(text))
}

// Every main flow goes by keyboard alone: Tab, Enter, the space bar, arrows and what is
// typed. No pointer is used, and no element is given the focus by the test.
func TestBrowserByKeyboardAlone(t *testing.T) {
	x := serve(t).browse()                         // the box has the focus
	x.do(emulation.SetFocusEmulationEnabled(true)) // as a window in front has it
	x.types("105")

	// Found, taken, taken back; the twin is refused.
	x.types("cover screw pan")
	x.press("take one")
	x.says("B283 cover screw, pan, slotted 8 -> 7 for job 105")
	x.press("undo")
	x.says("is taken back", "7 -> 8")
	x.types("106")
	x.types("b201")
	x.press("take")
	x.says("not done", "opposite-hand")
	x.press("back")

	// A camera arrives, is looked into, taken apart, put back and closed.
	x.press("arrived")
	x.write("model", "w1b")
	x.write("number on it", "77")
	x.write("whose it is", "customer 9")
	x.write("what is wrong", "counter stuck")
	x.press("go on")
	x.write("what came with it", "case")
	x.press("it is here")
	x.says("job 109 (W1-B, customer 9) arrived")
	x.press("look into it")
	x.reach("not looked at") // the arrows choose among the answers of the first part
	x.do(chromedp.KeyEvent(kb.ArrowLeft))
	x.press("keep what was seen")
	x.says("109")
	x.press("109, W1-B")
	x.press("take it apart")
	for i := range 2 {
		x.says(fmt.Sprintf("step %d of 109", i+1))
		x.press("off")
	}
	x.write("as it comes off", "p21 off, hole 2 4")
	x.press("keep")
	x.press("take the last line back")
	x.press("book it")
	x.says("2 steps of 109 booked")
	x.press("back together")
	x.press("it is in: next")
	x.says("step 1", "it is together")
	x.types("109")
	x.press("it is done")
	x.press("close the job")
	x.says("is ready")

	// A drawer is counted with a difference, which is accepted.
	x.types("n2")
	x.press("count it")
	x.press("begin")
	for _, n := range []string{"6", "3", "7", "8", "3"} {
		x.write("how many", n)
		x.press("next")
	}
	x.write("how many", "4")
	x.press("next")
	x.says("counted 4, the book had 5")
	x.reach("accept what was counted")
	x.do(chromedp.KeyEvent(" "))
	x.write("why", "one was in the lid")
	x.press("close the count")
	x.says("6 bags counted, the count is closed")
	if text := x.line("show", "B289", "--json"); !strings.Contains(text, `"on_hand":4`) {
		t.Errorf("after the count: %s", text)
	}
}

// Two tabs with two jobs book in turns, and no booking lands in the other's job.
func TestBrowserTwoTabs(t *testing.T) {
	turns := 30
	if os.Getenv("TINFUL_SOAK") != "" {
		turns = 200
	}
	one := serve(t).browse()
	two := one.open(one.ctx)
	tabs := []struct {
		*tab
		job, bag string
	}{{one, "105", "b283"}, {two, "106", "b255"}}
	for _, x := range tabs {
		x.visit("/jobs")
		x.tap(x.job)
	}
	booked := map[int]string{}
	for i := range turns {
		x := tabs[i%2]
		x.do(chromedp.Focus("#q", chromedp.ByQuery))
		x.types(x.bag)
		x.tap([]string{"take", "put one back"}[i/2%2])
		_, told, _ := strings.Cut(x.at(), "told=")
		n, err := strconv.Atoi(told)
		if err != nil {
			t.Fatalf("turn %d leads to %s:\n%s", i, x.at(), x.text())
		}
		booked[n] = x.job
	}
	var log struct {
		Bookings []struct {
			Booking int
			Entries []struct{ Job string }
		}
	}
	if err := json.Unmarshal([]byte(one.line("log", "--json")), &log); err != nil {
		t.Fatal(err)
	}
	for _, b := range log.Bookings {
		job, ours := booked[b.Booking]
		if !ours {
			continue
		}
		delete(booked, b.Booking)
		if len(b.Entries) != 1 || b.Entries[0].Job != job {
			t.Errorf("booking %d of the tab on %s: %+v", b.Booking, job, b.Entries)
		}
	}
	if len(booked) > 0 {
		t.Errorf("the book does not have %v", booked)
	}
}
