package ask

import (
	"encoding/json"
	"errors"
	"flag"
	"strings"
	"testing"

	"tinful/store"
	"tinful/store/code"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// stockPieces is how many pieces of its own the workshop has by a sheet, parts cameras aside.
func stockPieces(m Month) (n int64) {
	for _, v := range m.Value {
		if v.Class != donorClass {
			n += v.Pieces
		}
	}
	return n
}

// change is what a sheet says came to the workshop's own pieces, less what left them.
func change(m Month) (n int64) {
	sum := func(sign int64, list []MonthMove) {
		for _, x := range list {
			if x.Owner == store.Own && x.Donor == "" {
				n += sign * x.Pieces
			}
		}
	}
	sum(1, m.Came)
	for _, list := range [][]MonthMove{m.Used, m.Sold, m.Scrapped, m.Cut, m.Lost} {
		sum(-1, list)
	}
	for _, x := range m.After {
		switch what := strings.TrimSuffix(x.What, " taken back"); {
		case x.Owner != store.Own && x.Owner != "": // a bag that was taken back has no owner
		case what == "in" || what == "found" || what == "returned" && x.Job != "" || what == "corrected":
			n += x.Pieces
		case what == "fitted" || what == "sold" || what == "scrapped" || what == "cut" || what == "lost":
			n -= x.Pieces
		}
	}
	return n
}

// A month that was handed over stays as it was given whatever is booked later, today or
// dated back, and whatever is taken back; and the stock of the next is that of the sheet
// with what the next says of its own days and of what came after the sheet.
func TestMonthThatWasHandedOverStays(t *testing.T) {
	if f := flag.Lookup("rapid.checks"); f.Value.String() == f.DefValue {
		_ = flag.Set("rapid.checks", "15") // each books 200 times
		defer flag.Set("rapid.checks", f.DefValue)
	}
	rapid.Check(t, func(rt *rapid.T) {
		s, bags, parts := demo(t), sheetCodes(t, "bags", "Bag"), sheetCodes(t, "parts", "Part")
		september := demoDay + 10
		head := func(day code.Day) store.Head {
			return store.Head{Day: day, Today: september, By: "R", Command: "test"}
		}
		var given Month
		_, err := s.Book(head(september), func(x *store.Tx) (err error) {
			given, err = HandOver(x, "2031-08", september)
			return err
		})
		if err != nil {
			rt.Fatal(err)
		}
		sheet, booked := asJSON(rt, given), 0
		var mine []uint64
		for range 200 {
			if len(mine) > 0 && rapid.IntRange(0, 4).Draw(rt, "back") == 0 {
				i := rapid.IntRange(0, len(mine)-1).Draw(rt, "which")
				if _, err := s.Undo(head(september), mine[i]); err == nil {
					mine = append(mine[:i], mine[i+1:]...)
					booked++
				}
				continue
			}
			b := booking{rapid.SampledFrom([]string{"fit", "hold", "lost", "scrapped", "sold", "move", "grade", "put", "want", "cut"}).Draw(rt, "name"),
				rapid.SampledFrom(bags).Draw(rt, "bag"), rapid.SampledFrom(parts).Draw(rt, "part")}.panel(rt)
			day := september - code.Day(rapid.IntRange(0, 20).Draw(rt, "days"))
			res, err := s.Book(head(day), b.book)
			if errors.Is(err, store.ErrDamaged) {
				rt.Fatal(err)
			}
			if err == nil && res.Booking.Number != 0 {
				mine, booked = append(mine, res.Booking.Number), booked+1
			}
		}
		if booked < 20 {
			rt.Skip("hardly anything was booked")
		}
		err = s.View(func(v *store.View) error {
			now, err := MonthOf(v, "2031-08")
			if diff := cmp.Diff(sheet, asJSON(rt, now)); diff != "" {
				rt.Errorf("the sheet is another after %d bookings: %s", booked, diff)
			}
			next, err2 := MonthOf(v, "2031-09")
			if len(next.After) == 0 {
				rt.Error("nothing stands after the sheet")
			}
			if got, want := stockPieces(next), stockPieces(given)+change(next); got != want {
				rt.Errorf("at the end of the next month there are %d pieces, the sheets add up to %d", got, want)
			}
			_, err3 := answers(v) // nothing that the book holds leaves a question without its answer
			return errors.Join(err, err2, err3)
		})
		if err != nil {
			rt.Fatal(err)
		}
	})
}

func asJSON(t rapid.TB, m Month) string {
	b, err := json.Marshal(m)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// Months are handed over once, in their order and when they are over.
func TestMonthsAreHandedOverInOrder(t *testing.T) {
	s := demo(t)
	hand := func(name string, today code.Day) error {
		_, err := s.Book(store.Head{Day: today, Today: today, By: "R", Command: "test"}, func(x *store.Tx) error {
			_, err := HandOver(x, name, today)
			return err
		})
		return err
	}
	for _, step := range []struct {
		name  string
		today code.Day
		text  string
	}{
		{"2031-09", demoDay, "2031-09 is not over: it ends on 2031-09-30"},
		{"2031-08", demoDay, ""},
		{"2031-08", demoDay + 1, "2031-08 was handed over on 2031-08-31: the sheet stays as it was given"},
		{"2031-07", demoDay + 1, "2031-08 was handed over already: a month before it would come too late"},
		{"august", demoDay + 1, `"august" is no month: write it like 2031-08`},
	} {
		text := ""
		if err := hand(step.name, step.today); err != nil {
			text = err.Error()
		}
		if text != step.text {
			t.Errorf("%s on %s: %q, want %q", step.name, step.today, text, step.text)
		}
	}
}
