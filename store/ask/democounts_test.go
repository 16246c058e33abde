package ask

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"tinful/store"
	"tinful/store/code"
)

// The readings that came with the demo's moves.csv, with the reasons of faults 2 and 3.
func TestDemoCount(t *testing.T) {
	view(t, demo(t), func(v *store.View) error {
		c, err := CountOf(v, store.CountID{Day: demoDay})
		for i, want := range []struct {
			bag           code.Code
			book, counted int64
			why           string
			mixed         code.Code
		}{
			{"B208", 3, 2, "probably a third screw fitted on job 107", ""}, // 5 came, 2 went into 107
			{"B210", 7, 8, "probably a mix with B230", "B230"},
			{"B230", 6, 5, "probably a mix with B210", "B210"},
		} {
			l := c.Lines[i]
			if l.Bag != want.bag || l.Book != want.book || l.Counted != want.counted || l.Difference != want.counted-want.book || !l.Open || l.State != "open" {
				t.Errorf("%+v, want %+v", l, want)
			}
			hasAll(t, store.Texts(l.Likely), []string{want.why})
			if mixed := l.MixedWith(); len(mixed) > 0 != (want.mixed != "") || len(mixed) > 0 && mixed[0] != want.mixed {
				t.Errorf("%s is mixed with %v, want %q", l.Bag, mixed, want.mixed)
			}
		}
		if c.Right != 0 || c.Counted != 3 || !c.Open || c.By != "H" || c.Accuracy == nil || c.Accuracy.Mid != 0 {
			t.Errorf("%+v", c)
		}
		_, err2 := CountOf(v, store.CountID{Number: 9})
		if !errors.Is(err2, store.ErrNotFound) {
			t.Errorf("a count that is none: %v", err2)
		}
		return err
	})
}

// The sheet of a drawer: its bags in the order they are counted, each with what tells
// it from its neighbours (parts.csv: P027 is 0.8 longer than P026; P021 and P023
// differ in length).
func TestDemoCountSheet(t *testing.T) {
	var want []code.Code
	for _, b := range sheet(t, "bags") {
		if b["Place"] == "N1" && b["Bag"] != "B240" { // scrapped, both
			want = append(want, b.code("Bag"))
		}
	}
	view(t, demo(t), func(v *store.View) error {
		list, err := CountBags(v, "N1")
		var got []code.Code
		tells := map[code.Code]string{}
		for _, b := range list {
			got = append(got, b.Bag)
			tells[b.Part] = b.Tells
		}
		if slices.Sort(got); !slices.Equal(got, want) {
			t.Errorf("%v, by bags.csv %v", got, want)
		}
		for part, want := range map[code.Code]string{"P026": "length 2 mm (P027: 2.8 mm)", "P027": "length 2.8 mm (P026: 2 mm)"} {
			if tells[part] != want {
				t.Errorf("%s is told by %q, want %q", part, tells[part], want)
			}
		}
		_, err2 := CountBags(v, "NONE")
		if !errors.Is(err2, store.ErrNotFound) {
			t.Errorf("a place that is none: %v", err2)
		}
		return err
	})
}

// Counts one after the other: which is meant, how right the book was before, and what
// moved between a count's beginning and its readings.
func TestCountsInTurn(t *testing.T) {
	s := drawer(t)
	one := func(bag code.Code, n int64) []store.Given { return []store.Given{{Bag: bag, Qty: code.Qty{N: n}}} }
	read := func(day code.Day, list []store.Given) {
		book(t, s, day, func(x *store.Tx) error { _, err := x.ReadAll(list, 0); return err })
	}
	read(22010, append(one("B1", 6), one("B3", 1)...)) // count 1 of N1: all right
	book(t, s, 22010, func(x *store.Tx) error { _, err := x.CloseCount(store.CountID{Number: 1}, nil, nil); return err })
	read(22020, one("B2", 5)) // count 2 of N2: one short, left open
	book(t, s, 22030, func(x *store.Tx) error { _, err := x.BeginCount([]code.Code{"N1"}, 0); return err })
	book(t, s, 22031, func(x *store.Tx) error {
		return errors.Join(x.Fit(store.Take{Bag: "B1", N: 1, Job: "105"}), x.Lend(store.Take{Bag: "B1", N: 1, To: "H"}))
	})
	read(22032, one("B1", 4))
	book(t, s, 22033, func(x *store.Tx) error { return x.Away(store.Scrapped, store.Take{Bag: "B1", N: 1, Why: "bent"}) })
	view(t, s, func(v *store.View) error {
		all, err := Counts(v)
		if got, want := SayCounts(all), "1 of N1, 2 of N2, 3 of N1"; got != want {
			t.Errorf("%s, want %s", got, want)
		}
		for i, want := range []struct {
			state      string
			right, not int64
		}{{"closed", 2, 0}, {"open", 0, 1}, {"open", 1, 0}} {
			if h := all[i]; h.State != want.state || h.Right != want.right || h.Differences != want.not {
				t.Errorf("count %s: %+v, want %+v", h.Count, h, want)
			}
		}
		for place, want := range map[code.Code]string{"": "3 beside 2", "N2": "2 beside ", "N1": "3 beside "} {
			id, others, err := PickCount(v, place)
			text := ""
			for _, o := range others {
				text += o.Count
			}
			if got := fmt.Sprintf("%s beside %s", id, text); err != nil || got != want {
				t.Errorf("of %q: %s, %v; want %s", place, got, err, want)
			}
		}
		_, _, err2 := PickCount(v, "K9")
		if !errors.Is(err2, store.ErrNotFound) || err2.Error() != "no count of K9 here" {
			t.Errorf("of K9: %v", err2)
		}
		c, err3 := CountOf(v, store.CountID{Number: 3})
		if want := []string{"1 fitted on job 105 between the count's beginning and its reading", "1 lent to H between the count's beginning and its reading", "1 scrapped after it was read"}; !slices.Equal(c.Lines[0].Moved, want) {
			t.Errorf("moved %q, want %q", c.Lines[0].Moved, want)
		}
		if !slices.Equal(c.Missed, []code.Code{"B3"}) {
			t.Errorf("not read yet is %v, want B3", c.Missed)
		}
		before, err4 := Trend(v, c, 5)
		if len(before) != 2 || before[0].Count != "1" || before[1].Count != "2" {
			t.Errorf("before it %+v, want counts 1 and 2", before)
		}
		if before, _ = Trend(v, c, 1); len(before) != 1 || before[0].Count != "2" {
			t.Errorf("the one before it: %+v", before)
		}
		return errors.Join(err, err3, err4)
	})
}

// What is due in the demo's week: 95 bags hold something of a known part here, 101 less
// B202, B214 and B223, which are empty, B240, which is scrapped, B220, which is lent, and
// B301, which has no part. Three were counted on Sunday; a week of 50 takes a fiftieth
// of each class's times a year.
func TestDemoDue(t *testing.T) {
	holds, read := map[string]bool{}, map[string]bool{}
	for bag, l := range demoBook(t, "Bag") {
		holds[bag], read[bag] = l.onHand() > l["lent"], l["counted"] > 0
	}
	all, never := int64(0), int64(0)
	for _, b := range sheet(t, "bags") {
		if b["Part"] != "" && b["Owner"] == "own" && holds[b["Bag"]] {
			all++
			if !read[b["Bag"]] {
				never++
			}
		}
	}
	view(t, demo(t), func(v *store.View) error {
		d, err := DueOn(v, demoDay, UsualRules)
		yearly := int64(0)
		for _, c := range d.Classes {
			yearly += c.Bags * c.Times
		}
		if all != 100 || d.All != all || d.Never != never || d.Done != 3 || math.Abs(float64(d.Week)-float64(yearly)/50) >= 1 {
			t.Errorf("%d bags, %d never counted, %d of %d counted; by the sheets %d, %d, 3 of about %.1f", d.All, d.Never, d.Done, d.Week, all, never, float64(yearly)/50)
		}
		for _, b := range d.Bags {
			if b.Why != "never counted" || read[string(b.Bag)] || !holds[string(b.Bag)] {
				t.Errorf("%+v is due", b)
			}
		}
		hasAll(t, d.Said(), []string{fmt.Sprintf("3 of this week's %d are counted (", d.Week), fmt.Sprintf("%d of %d bags were never counted", never, all), "to know how the book stands "})
		return err
	})
	view(t, bench(t, nil), func(v *store.View) error {
		d, err := DueOn(v, demoDay, UsualRules)
		if said := d.Said(); len(said) != 1 || !strings.HasPrefix(said[0], "nothing to count") {
			t.Errorf("an empty store: %q", said)
		}
		_, _, err2 := PickCount(v, "")
		if !errors.Is(err2, store.ErrNotFound) {
			t.Errorf("no count: %v", err2)
		}
		return err
	})
}
