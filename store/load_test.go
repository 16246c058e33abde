package store

import (
	"errors"
	"fmt"
	"maps"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"tinful/store/code"
	"tinful/store/dim"

	"github.com/google/go-cmp/cmp"
)

// workbook is a small workshop with a movement of every word, as a workbook has it.
func workbook() *Load {
	one := int64(1)
	spring := func(c code.Code, hand string, twin code.Code) Part {
		return Part{Code: c, Name: "lever spring", Class: "SPR-TOR", Dims: map[dim.Field]int64{dim.Wire: 250}, Marks: map[dim.Field]string{dim.Hand: hand}, Twin: twin}
	}
	l := loadOf(Model{Code: "A-1", Kind: "camera", Family: "A"}, Model{Code: "A-2", Kind: "camera", Family: "A"},
		Place{Code: "K1"}, Place{Code: "K2"}, Place{Code: "J1", For: "open job"},
		spring("P001", "left", "P002"), spring("P002", "right", "P001"), Part{Code: "P003", Name: "screw", Class: "SCR-CHS", Aliases: []string{"bolt"}},
		Goes{Part: "P001", Model: "A-1", Degrees: []string{"direct"}, PerBody: &one}, Goes{Part: "P001", Model: "A-2", Degrees: []string{"opposite-hand"}},
		Donor{Code: "PC-1", Model: "A-1", Owner: Own, State: "stripped"},
		Seen{Donor: "PC-1", Part: "P001", Seen: "present", Date: day0 - 40},
		Bag{Code: "B1", Part: "P001", Origin: "PC-1", Quantity: 9, Grade: "ready", Place: "K1", Booked: day0 - 40},
		Bag{Code: "B2", Part: "P003", Origin: "bought", Quantity: 20, Grade: "new", Place: "K1", Booked: day0 - 40},
		Bag{Code: "B3", Part: "P003", Origin: "bought", Quantity: 5, Grade: "new", Place: "K2", Booked: day0 - 30},
		Job{Code: "105", Model: "A-1", State: "in work", Tray: "J1", Opened: day0 - 30})
	for i, e := range []Entry{
		{What: Fitted, Bag: "B1", Quantity: 2, Job: "105"}, {What: Returned, Bag: "B1", Quantity: 1, Job: "105"}, {What: Held, Bag: "B1", Quantity: 2, Job: "105"},
		{What: Unheld, Bag: "B1", Quantity: 1, Job: "105"}, {What: Lent, Bag: "B1", Quantity: 1, To: "H"}, {What: Lost, Bag: "B1", Quantity: 2}, {What: Found, Bag: "B1", Quantity: 1},
		{What: Scrapped, Bag: "B2", Quantity: 3, Why: "bent"}, {What: Sold, Bag: "B2", Quantity: 2, To: "another bench", Amount: 150}, {What: Moved, Bag: "B2", To: "K2"},
		{What: Graded, Bag: "B2", To: "usable"}, {What: Counted, Bag: "B3", Quantity: 4},
	} {
		e.Day, e.By = day0-20+code.Day(i), "R"
		l.Moves.Add(e)
	}
	l.Wants = []Want{{Date: day0 - 5, Part: "P002", Model: "A-2"}, {Date: day0 - 5, Part: "P002", Model: "A-2"}}
	return l
}

// takenInto plans a workbook on a store and takes it in.
func takenInto(t *testing.T, s *Store, l *Load) (p *Plan) {
	t.Helper()
	_, err := s.Book(head(), func(x *Tx) (err error) {
		if p, err = PlanLoad(&x.View, l, head()); err != nil {
			return err
		}
		if len(p.Problems) > 0 {
			t.Fatalf("%+v", p.Problems)
		}
		return x.TakeIn(p)
	})
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// emptyStore is one in which nothing is; it checks itself when the test ends.
func emptyStore(t *testing.T) *Store {
	t.Helper()
	path := filepath.Join(t.TempDir(), "w.db")
	if err := create(path); err != nil {
		t.Fatal(err)
	}
	return opened(t, path)
}

func opened(t *testing.T, path string) *Store {
	t.Helper()
	s, err := OpenToBook(path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if h, err := s.Check(); err != nil || len(h.Problems) > 0 {
			t.Errorf("%v %v", h.Problems, err)
		}
		s.Close()
	})
	return s
}

// A new store made of a workbook and an empty one that takes it in are the same
// workshop; figures by hand from the movements of workbook. Taken in once more it
// changes nothing.
func TestWorkbookTwoWays(t *testing.T) {
	p, err := PlanLoad(nil, workbook(), head())
	if err != nil || len(p.Problems) > 0 {
		t.Fatal(err, p.Problems)
	}
	path := filepath.Join(t.TempDir(), "bulk.db")
	steps := 0
	if _, err := CreateFrom(path, p, map[string]string{"currency": "crowns"}, func(done, all int) { steps++ }); err != nil {
		t.Fatal(err)
	}
	if p, err = PlanLoad(nil, workbook(), head()); err != nil {
		t.Fatal(err)
	}
	if _, err := CreateFrom(path, p, nil, nil); err == nil {
		t.Error("a store was made over one that is there")
	}
	bulk, taken := opened(t, path), emptyStore(t)
	takenInto(t, taken, workbook())
	for name, s := range map[string]*Store{"made": bulk, "taken in": taken} {
		err := s.View(func(v *View) error {
			for _, want := range []struct {
				bag                      code.Code
				onHand, free, held, lent int64
				place                    code.Code
				grade                    string
			}{
				{"B1", 7, 5, 1, 1, "K1", "ready"},    // 9 - 2 + 1 fitted, - 2 + 1 lost
				{"B2", 15, 15, 0, 0, "K2", "usable"}, // 20 - 3 - 2
				{"B3", 5, 5, 0, 0, "K2", "new"},      // a reading changes nothing
			} {
				st, err := v.State(want.bag)
				if err != nil {
					return err
				}
				if st.OnHand() != want.onHand || st.Free() != want.free || st.Held() != want.held || st.Lent() != want.lent || st.Place != want.place || st.Grade != want.grade {
					t.Errorf("%s: %s is %+v, want %+v", name, want.bag, st, want)
				}
			}
			if wants, err := v.WantsOf("P002"); err != nil || len(wants) != 2 || v.OpenWants("P002") != 2 {
				t.Errorf("%s: %+v, %v; two equal wants are two", name, wants, err)
			}
			again, err := PlanLoad(v, workbook(), head())
			if news, changed := again.Counts(); err != nil || news+changed > 0 || len(again.Problems) > 0 {
				t.Errorf("%s: taken in again %d are new and %d changed: %+v, %v", name, news, changed, slices.Collect(again.Changes()), err)
			}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	if steps == 0 {
		t.Error("no progress was told")
	}
	err = bulk.View(func(v *View) error {
		if got := v.Setting("currency"); got != "crowns" {
			t.Errorf("the setting is %q", got)
		}
		return nil
	})
	if err != nil {
		t.Error(err)
	}
	if d := cmp.Diff(contents(t, bulk), contents(t, taken)); d != "" {
		t.Errorf("(-made +taken in)\n%s", d)
	}
}

// contents are the catalogue and the entries of a store.
func contents(t *testing.T, s *Store) (out []string) {
	t.Helper()
	err := s.View(func(v *View) error {
		add := func(x any) { out = append(out, fmt.Sprintf("%+v", x)) }
		return errors.Join(
			v.EachModel(func(x Model) error { add(x); return nil }), v.EachPlace(func(x Place) error { add(x); return nil }),
			v.EachPart(func(x Part) error { x.Dims, x.Marks = nil, nil; add(x.Code); return nil }), v.EachGoes(func(x Goes) error { x.PerBody = nil; add(x); return nil }),
			v.EachDonor(func(x Donor) error { add(x); return nil }), v.EachLook(func(x Seen) error { add(x); return nil }),
			v.EachBag(func(x Bag) error { add(x); return nil }), v.EachJob(func(x Job) error { add(x); return nil }), v.EachWant(func(x Want) error { add(x); return nil }),
			v.EachMove(func(e Entry) error { e.Seq, e.Booking = 0, 0; add(e); return nil }))
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// A workbook that was changed: what is new, changed and refused, each with its cell.
func TestWorkbookChanged(t *testing.T) {
	s := emptyStore(t)
	takenInto(t, s, workbook())
	for _, tt := range []struct {
		name    string
		edit    func(*Load)
		news    int
		changed int
		problem string // sheet, column and sentence
	}{
		{"a name and a place", func(l *Load) {
			l.Parts.Change(2, func(x *Part) { x.Name = "short screw" })
			l.Places[0].Where = "drawer 1"
		}, 0, 2, ""},
		{"an empty cell leaves what was", func(l *Load) {
			l.Parts.Change(2, func(x *Part) { x.Aliases = nil })
			l.Jobs.Change(0, func(j *Job) { j.Tray = "" })
		}, 0, 0, ""},
		{"a new bag, booked before its movement", func(l *Load) {
			l.Bags.Add(Bag{Code: "B9", Part: "P003", Origin: "bought", Quantity: 2, Grade: "new", Place: "K1", Booked: day0 - 3})
			l.Moves.Add(Entry{Day: day0 - 1, What: Scrapped, Bag: "B9", Quantity: 1})
		}, 2, 0, ""},
		{"a movement dated back", func(l *Load) { l.Moves.Add(Entry{Day: day0 - 19, What: Scrapped, Bag: "B3", Quantity: 1}) }, 1, 0, ""},
		{"more than was there that day", func(l *Load) { l.Moves.Add(Entry{Day: day0 - 29, What: Scrapped, Bag: "B3", Quantity: 9}) }, 0, 0, "Moves Quantity on 2031-08-03: B3 holds 5 free, 9 asked for"},
		{"a quantity that was booked in", func(l *Load) { l.Bags.Change(0, func(b *Bag) { b.Quantity = 8 }) }, 0, 0, "Bags Quantity"},
		{"a part that is not there", func(l *Load) { l.Bags.Change(0, func(b *Bag) { b.Part = "P999" }) }, 0, 0, "Bags Part"},
		{"a job that is not there", func(l *Load) { l.Moves.Add(Entry{Day: day0, What: Fitted, Bag: "B1", Quantity: 1, Job: "999"}) }, 0, 0, "Moves Job"},
		{"a want of no part", func(l *Load) { l.Wants = append(l.Wants, Want{Date: day0, Part: "P999"}) }, 0, 0, "Wants Part"},
		{"met is a change", func(l *Load) { l.Wants[0].Met = day0 }, 0, 1, ""},
	} {
		t.Run(tt.name, func(t *testing.T) {
			l := workbook()
			tt.edit(l)
			if err := s.View(func(v *View) error {
				p, err := PlanLoad(v, l, head())
				if err != nil {
					return err
				}
				text := ""
				for _, x := range p.Problems {
					text += x.Sheet + " " + x.Cell + " " + x.Problem + "\n"
				}
				if (text == "") != (tt.problem == "") || !strings.HasPrefix(text, tt.problem) {
					t.Errorf("problems %q, want %q", text, tt.problem)
				}
				if news, changed := p.Counts(); tt.problem == "" && (news != tt.news || changed != tt.changed) {
					t.Errorf("%d new, %d changed, want %d and %d: %+v", news, changed, tt.news, tt.changed, slices.Collect(p.Changes()))
				}
				return nil
			}); err != nil {
				t.Fatal(err)
			}
		})
	}
}

// Rows without codes are the parts and bags that they say they are, and get the next
// codes of their series where they are none; that of bags begins with B201.
func TestNamelessRows(t *testing.T) {
	s := emptyStore(t)
	takenInto(t, s, workbook())
	wire := map[dim.Field]int64{dim.Wire: 250}
	bag := func(i int, part code.Code, q int64, place code.Code) Bag {
		return Bag{Code: Nameless(i), Part: part, Origin: "bought", Quantity: q, Grade: "new", Place: place}
	}
	for _, tt := range []struct {
		name    string
		part    Part
		bag     Bag
		made    string // sheet and code of what is new
		problem string
	}{
		{"a part and a bag that are there", Part{Name: "Screw", Class: "SCR-CHS"}, bag(1, Nameless(0), 20, "K1"), "", ""},
		{"another quantity: refused for it", Part{Name: "screw", Class: "SCR-CHS"}, bag(1, Nameless(0), 19, "K1"), "", "Bags Quantity"},
		{"in another place it is new", Part{Name: "screw", Class: "SCR-CHS"}, bag(1, Nameless(0), 20, "J1"), "Bags B201", ""},
		{"a part of another class is new", Part{Name: "screw", Class: "SCR-CSK"}, bag(1, Nameless(0), 7, "K1"), "Parts P004, Bags B201", ""},
		{"twins: the hand tells", Part{Name: "lever spring", Class: "SPR-TOR", Dims: wire, Marks: map[dim.Field]string{dim.Hand: "right"}}, bag(1, Nameless(0), 7, "K1"), "Bags B201", ""},
		{"without the hand either may be meant", Part{Name: "lever spring", Class: "SPR-TOR"}, bag(1, Nameless(0), 7, "K1"), "Bags B201", "Parts Name P001 and P002 are both this part"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			tt.part.Code = Nameless(0)
			if !IsNameless(tt.part.Code) || IsNameless("P001") {
				t.Error("which code stands for none is not known")
			}
			l := loadOf(tt.part, tt.bag)
			l.Nameless = true
			if err := s.View(func(v *View) error {
				p, err := PlanLoad(v, l, head())
				if err != nil {
					return err
				}
				var made []string
				for _, m := range p.Made {
					made = append(made, m.Sheet+" "+string(m.Code))
				}
				text := ""
				for _, x := range p.Problems {
					text += x.Sheet + " " + x.Cell + " " + x.Problem + "\n"
				}
				if got := strings.Join(made, ", "); got != tt.made || (text == "") != (tt.problem == "") || !strings.HasPrefix(text, tt.problem) {
					t.Errorf("made %q, problems %q; want %q and %q", got, text, tt.made, tt.problem)
				}
				return nil
			}); err != nil {
				t.Fatal(err)
			}
		})
	}
	// A store that is not there yet begins each series.
	l := loadOf(Part{Code: Nameless(0), Name: "knob"}, bag(1, Nameless(0), 1, ""), bag(2, Nameless(0), 1, ""))
	l.Nameless = true
	p, err := PlanLoad(nil, l, head())
	if err != nil || len(p.Made) != 3 || p.Made[0].Name != "knob" || p.Made[1].Code == p.Made[2].Code {
		t.Errorf("%+v, %v", p.Made, err)
	}
}

// A workbook that is a count: readings of bags that are here and in a place, each once.
func TestWorkbookIsACount(t *testing.T) {
	s := emptyStore(t)
	takenInto(t, s, workbook())
	mustBook(t, s, func(x *Tx) error {
		_, err := x.PutIn(Bag{Code: "B7", Part: "P003", Origin: "unknown", Quantity: 1})
		_, err2 := x.PutIn(Bag{Code: "B8", Part: "P003", Origin: "unknown", Quantity: 1, Owner: "customer 5", Place: "K1"})
		return errors.Join(err, err2)
	})
	counted := func(q map[code.Code]code.Qty) *Load {
		l := loadOf()
		for _, c := range slices.Sorted(maps.Keys(q)) {
			l.Bags.Add(Bag{Code: c})
		}
		l.Bags.Add(Bag{Code: "B2"})
		l.Counted = q
		return l
	}
	p := takenInto(t, s, counted(map[code.Code]code.Qty{"B1": {N: 6}, "B3": {N: 5}}))
	if len(p.Readings) != 2 || p.Readings[0].Book != 6 || p.Sheets["Bags"].Changed != 2 { // 7 on hand, one of them lent
		t.Errorf("%+v", p.Readings)
	}
	if p = takenInto(t, s, counted(map[code.Code]code.Qty{"B1": {N: 6}})); len(p.Readings) > 0 {
		t.Errorf("read again: %+v", p.Readings)
	}
	for c, want := range map[code.Code]string{"B99": "there is no such bag here", "B8": "B8 belongs to customer 5", "B7": "B7 lies in no place"} {
		if text, err := planSays(s, counted(map[code.Code]code.Qty{c: {N: 1}})); err != nil || !strings.HasPrefix(text, want) {
			t.Errorf("%s: %q, %v; want %q", c, text, err, want)
		}
	}
	// An export that comes back: only what was written anew is a reading.
	l := counted(map[code.Code]code.Qty{"B1": {N: 7}, "B3": {N: 3}})
	l.OnHand = true
	if err := s.View(func(v *View) error {
		p, err := PlanLoad(v, l, head())
		if len(p.Readings) != 1 || p.Readings[0].Bag != "B3" {
			t.Errorf("%+v, want B3 alone: B1 has the book's 7 on hand", p.Readings)
		}
		l.Since = 1
		again, err2 := PlanLoad(v, l, head())
		if len(again.Readings) > 0 || len(again.Said) != 1 || !strings.HasPrefix(again.Said[0], "B3 moved since the export") {
			t.Errorf("%+v %q", again.Readings, again.Said)
		}
		return errors.Join(err, err2)
	}); err != nil {
		t.Fatal(err)
	}
}
