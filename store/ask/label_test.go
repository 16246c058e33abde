package ask

import (
	"slices"
	"strings"
	"testing"

	"tinful/store"
	"tinful/store/code"
)

// What labels of the demo have to say. Source: the README of the demo (what a part is not
// for, hands, whose it is, what is held) and the trade's example of a label of P021.
func TestLabelsOfTheDemo(t *testing.T) {
	view(t, demo(t), func(v *store.View) error {
		tests := []struct {
			kind string
			code code.Code
			want func(Label) bool
			says string
		}{
			{"bag", "B228", func(l Label) bool {
				return slices.Equal(l.Stops, []string{"NOT for W3 (60 deg)"}) && l.Place == "N1" && l.From == "from PC-02" && l.Quantity == "4 pc"
			}, "NOT for W3 (60 deg), N1, PC-02, 4"},
			{"bag", "B228", func(l Label) bool { return strings.HasSuffix(l.Tells, ", 53 deg") }, "53 deg"},
			{"bag", "B201", func(l Label) bool { return l.Wound == "right" && strings.Contains(l.Tells, "P002: left-hand") }, "its twin in the same drawer"},
			{"part", "P002", func(l Label) bool {
				return len(l.Stops) == 1 && strings.HasSuffix(l.Stops[0], "(right-hand)") && l.Wound == "left"
			}, "the twin's models"},
			{"part", "P034", func(l Label) bool { return slices.Contains(l.Stops, "LEFT-HAND, loosens clockwise") }, "LEFT-HAND"},
			{"bag", "B281", func(l Label) bool { return l.Held == "held: 1 for job 105" && l.Theirs == "" }, "held for 105"},
			{"donor", "PC-13", func(l Label) bool { return l.Theirs == "NOT STOCK: customer 6's" }, "a customer's"},
			{"donor", "PC-14", func(l Label) bool { return l.Theirs == "NOT STOCK until the notice has run" }, "held until the notice has run"},
			{"donor", "PC-08", func(l Label) bool { return slices.Contains(l.Lines, "lacks P037, P064, P066, P080") }, "what it lacks"},
			{"bag", "B301", func(l Label) bool { return l.Word == "unsorted" && l.Quantity == "about 37 pc" }, "unsorted, about 37"},
			{"job", "105", func(l Label) bool {
				return l.Place == "J3" && strings.Contains(l.Held, "customer 5's") && len(l.Stub) > 3
			}, "tray, owner, a part to tear off"},
			{"job", "108", func(l Label) bool { return slices.Contains(l.Stops, "NO used or made parts") }, "no used parts agreed to"},
			{"place", "K1", func(l Label) bool { return l.Word == "K1" && l.Tells == "springs cabinet K, drawer 1" }, "the drawer"},
		}
		for _, x := range tests {
			l, err := LabelOf(v, store.Ref{Kind: x.kind, Code: x.code})
			if err != nil {
				return err
			}
			if !x.want(l) {
				t.Errorf("%s %s: %+v, and it should say: %s", x.kind, x.code, l, x.says)
			}
		}
		return nil
	})
}

// A label is new where it would say something else than its last one did. How many there
// are is not among it.
func TestNewLabels(t *testing.T) {
	s := demo(t)
	count := func() (n int, all []store.Label) {
		view(t, s, func(v *store.View) error {
			list, err := Labels(v, LabelsWanted{New: true})
			for _, l := range list {
				all = append(all, store.Label{Kind: l.Thing.Kind, Code: l.Thing.Code, Text: l.Text()})
			}
			return err
		})
		return len(all), all
	}
	n, all := count()
	// 106 bags, of which B202, B223, B240 and others are empty: those with something on hand by bags.csv and moves.csv.
	if n < 85 || n > 106 {
		t.Fatalf("%d labels of bags that never had one", n)
	}
	book(t, s, demoDay, func(tx *store.Tx) error { return tx.Labelled(all) })
	if n, _ := count(); n != 0 {
		t.Errorf("%d are new right after they were printed", n)
	}
	book(t, s, demoDay, func(tx *store.Tx) error {
		p, err := tx.Part("P021")
		if err != nil {
			return err
		}
		p.Name = "top plate screw"
		return tx.Put(p)
	})
	got, changed := count()
	var bags []string
	for _, l := range changed {
		bags = append(bags, string(l.Code))
	}
	// The bags of P021 with something in them: B208 (5 less 2), B228 and what bags.csv has besides.
	want := 0
	for _, r := range sheet(t, "bags") {
		if r["Part"] == "P021" && r["Bag"] != "B240" {
			want++
		}
	}
	if got != want || !slices.Contains(bags, "B208") || !slices.Contains(bags, "B228") {
		t.Errorf("after a part was renamed %d labels are new (%v), and P021 has %d bags", got, bags, want)
	}
}

// A letter has the sums that were typed, and no other.
func TestLettersReckonNothing(t *testing.T) {
	s := demo(t)
	book(t, s, day("2031-08-31"), func(tx *store.Tx) error {
		j, err := tx.Job("105")
		if err != nil {
			return err
		}
		for _, l := range []store.JobLine{{Text: "clean shutter", Sum: new(code.Cents(4800))}, {Text: "fit spring", Sum: new(code.Cents(2250))}, {Text: "film"}} {
			if err := j.Line(l, false); err != nil {
				return err
			}
		}
		if _, err := tx.Remark(store.Ref{Kind: "job", Code: "105"}, "rang the owner"); err != nil {
			return err
		}
		return tx.Put(j)
	})
	view(t, s, func(v *store.View) error {
		l, err := LetterOf(v, "105", "estimate", false)
		if err != nil {
			return err
		}
		var sums []code.Cents
		for _, x := range l.Sections {
			for _, y := range x.Lines {
				if y.Sum != nil {
					sums = append(sums, *y.Sum)
				}
			}
			if x.Title == "Notes" {
				t.Error("remarks stand on a letter without being asked for")
			}
		}
		if !slices.Equal(sums, []code.Cents{4800, 2250}) {
			t.Errorf("sums %v", sums)
		}
		noted, err := LetterOf(v, "105", "done", true)
		if err != nil {
			return err
		}
		want := store.JobLine{Text: "31 August 2031: rang the owner"}
		if last := noted.Sections[len(noted.Sections)-1]; last.Title != "Notes" || !slices.Equal(last.Lines, []store.JobLine{want}) {
			t.Errorf("remarks are left out: %+v", noted.Sections)
		}
		found, err := v.RemarksWith([]string{"owner", "ra"})
		if err != nil || len(found) != 1 || found[0].Code != "105" {
			t.Errorf("found by words: %v, %v", found, err)
		}
		return nil
	})
}
