package store

import (
	"cmp"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"

	"tinful/store/code"
	"tinful/store/dim"

	bolt "go.etcd.io/bbolt"
)

// A sample is a record that keeps all rules and one that breaks the rule at the same
// place of the table, with the sentence that says so. Source: the words of the trade
// and of the rules as agreed; no sample is taken from what the program says.
type sample[T any] struct {
	good, bad T
	with      []any // what must be there beside it
	text      string
	not       []string // entrances where it cannot be broken
}

// Where some rules cannot be broken: an empty cell leaves a field alone; a new record
// has no former kind; what a key or a first booking says is never written over.
var (
	emptyCell  = []string{"over in a store"}
	aChange    = []string{"new", "into a store", "new store", "check"}
	neverAgain = []string{"over", "undo", "over in a store"}
)

// things are what samples name.
func things() []any {
	return []any{
		Place{Code: "K1"}, Place{Code: "J1", For: "open job"}, Place{Code: "S1", For: "shelf of cameras"},
		Model{Code: "SH-1", Kind: "shutter"}, Model{Code: "LN-1", Kind: "lens"}, Model{Code: "A-1", Kind: "camera", Carries: []code.Code{"SH-1", "LN-1"}},
		Part{Code: "P1", Name: "pawl spring"}, Part{Code: "P2", Name: "unit", Holds: []code.Code{"P1"}},
		Donor{Code: "PC-1", Model: "A-1"}, Job{Code: "101", Model: "A-1", Tray: "J1", Opened: day0}, Job{Code: "102", Model: "A-1", Tray: "S1", Opened: day0},
		Job{Code: "103", Model: "A-1", Tray: "S1", Opened: day0},
	}
}

// Every rule of every kind is refused with one sentence through every entrance of the
// store: written new, written over, given back by undo, planned into a store that is
// there and into a new one. What stands there from before is a remark of check, and
// can be edited.
func TestEveryRuleAtEveryEntrance(t *testing.T) {
	panel := map[dim.Field]int64{dim.Width: 34_000, dim.Length: 57_000}
	many := int64(5_000_000_000)
	length, free, post, od := int64(9000), int64(7500), int64(3000), int64(2600)
	p := func(change func(*Part)) Part {
		x := Part{Code: "P9", Name: "click spring", Class: "SPR-CMP"}
		change(&x)
		return x
	}
	part := p(func(*Part) {})
	testRules(t, partKind, []sample[Part]{
		{good: part, bad: p(func(x *Part) { x.Name = "" }), not: emptyCell, text: "part P9 has no name: say what it is called"},
		{good: part, bad: p(func(x *Part) { x.Twin = "P9" }), text: "P9 cannot be its own opposite hand"},
		{good: part, bad: p(func(x *Part) { x.Holds = []code.Code{"P8"} }), text: "P9 cannot contain P8, which contains it",
			with: []any{Part{Code: "P8", Name: "unit", Holds: []code.Code{"P7"}}, Part{Code: "P7", Name: "unit", Holds: []code.Code{"P9"}}}},
		{good: part, bad: p(func(x *Part) { x.Dims = map[dim.Field]int64{dim.Post: post, dim.OD: od} }),
			text: "P9 cannot go over a post of 3 mm: it is 2.6 mm outside"},
		{good: part, bad: p(func(x *Part) { x.Dims = map[dim.Field]int64{dim.Length: length, dim.FreeLength: free} }),
			text: "P9 has a length of 9 mm and a free length: a compression spring has its free length alone"},
		{good: part, bad: p(func(x *Part) { x.Keep = &many }), text: "no drawer holds 5000000000 of P9: look at the number again"},
		{good: part, bad: p(func(x *Part) { x.Weeks = 5201 }), text: "nobody waits 5201 weeks for another P9: look at the number again"},
		{good: part, bad: p(func(x *Part) { x.Seat = "attic" }), text: `seat "attic" is none of`},
		{good: part, bad: p(func(x *Part) { x.Runs = "slantwise" }), text: `runs "slantwise" is none of length, width`},
		{good: part, bad: p(func(x *Part) { x.Up = "left" }), text: `up "left" is none of length, width`},
		{good: part, bad: p(func(x *Part) { x.Mirror = "P9" }), text: "P9 cannot be its own mirror image"},
		{good: part, bad: p(func(x *Part) { x.Class, x.Corner, x.Dims = Covering, 17_500, panel }), text: "a corner of 17.5 mm has no room: P9 is 34 mm across"},
		{good: part, bad: p(func(x *Part) {
			x.Class, x.Holes, x.Dims = Covering, []dim.Spot{{Width: 8_000, X: 32_000, Y: 10_000}}, panel
		}),
			text: "the hole 8@32,10 lies outside P9, 34 x 57 mm: x runs along its width, y along its length, from the lower left"},
		{good: p(func(x *Part) { x.Class, x.Dims = Covering, panel }), bad: p(func(x *Part) {
			x.Class, x.Dims = Covering, map[dim.Field]int64{dim.Width: 20_000, dim.Length: 57_000}
		}), not: aChange, with: []any{Bag{Code: "B8", Part: "P9", Origin: "bought", Quantity: 1, Unit: "pc", Grade: "ready", Place: "K1", Owner: Own,
			Flaws: []dim.Spot{{Width: 5_000, Length: 5_000, X: 25_000}}}},
			text: "the flaw 5x5@25,0 lies outside B8, 20 x 57 mm: x runs along its width, y along its length, from the lower left"},
	})
	b := func(change func(*Bag)) Bag {
		x := Bag{Code: "B9", Part: "P1", Origin: "bought", Quantity: 2, Unit: "pc", Grade: "ready", Place: "K1", Owner: Own}
		change(&x)
		return x
	}
	bag := b(func(*Bag) {})
	testRules(t, bagKind, []sample[Bag]{
		{good: bag, bad: b(func(x *Bag) { x.Origin = "PC-9" }), text: "there is no donor PC-9"},
		{good: bag, bad: b(func(x *Bag) { x.GoesWith = "B9" }), text: "B9 cannot go with itself"},
		{good: bag, bad: b(func(x *Bag) { x.Cut = "B9" }), text: "B9 cannot be cut from itself"},
		{good: bag, bad: b(func(x *Bag) { x.Quantity = 0 }), not: append(neverAgain, "check"), text: "nobody said how many are in B9: write the number, or about how many"},
		{good: bag, bad: b(func(x *Bag) { x.Quantity = 5_000_000_000 }), text: "no drawer holds 5000000000 of B9: look at the number again"},
		{good: bag, bad: b(func(x *Bag) { x.Minutes = 5_000_000_000 }), text: "nobody works 5000000000 minutes on B9: look at the number again"},
		{good: bag, bad: b(func(x *Bag) { x.Unit = "pound" }), text: `unit "pound" is none of pc, mm`},
		{good: bag, bad: b(func(x *Bag) { x.Grade = "fine" }), text: `grade "fine" is none of`},
		{good: bag, bad: b(func(x *Bag) { x.Looks = "pretty" }), text: `looks "pretty" is none of`},
		{good: bag, bad: b(func(x *Bag) { x.Runs = "slantwise" }), text: `runs "slantwise" is none of length, width`},
		{good: bag, bad: b(func(x *Bag) { x.Whole = "half" }), text: `whole "half" is none of whole, torn`},
		{good: bag, bad: b(func(x *Bag) { x.Stretch = "a bit" }), text: `"a bit" does not say how it stretches: write along little, across much`},
		{good: bag, bad: b(func(x *Bag) { x.Flaws, x.Dims = []dim.Spot{{Width: 5_000, Length: 5_000, X: 34_000}}, panel }),
			text: "the flaw 5x5@34,0 lies outside B9, 34 x 57 mm: x runs along its width, y along its length, from the lower left"},
	})
	testRules(t, modelKind, []sample[Model]{
		{good: Model{Code: "M9", Kind: "camera"}, bad: Model{Code: "M9", Kind: "tripod"}, text: `kind "tripod" is none of camera, shutter, lens`},
		{good: Model{Code: "M9", Kind: "camera"}, bad: Model{Code: "M9", Kind: "shutter", Carries: []code.Code{"LN-1"}},
			text: "shutter M9 cannot carry lens LN-1: a camera carries shutters and lenses"},
		{good: Model{Code: "SH-9", Kind: "shutter"}, bad: Model{Code: "SH-9", Kind: "lens"}, not: aChange,
			with: []any{Donor{Code: "PC-9", Model: "A-1", Shutter: "SH-9"}}, text: "SH-9 cannot become a lens: donor PC-9 names it as its shutter"},
	})
	g := func(change func(*Goes)) Goes {
		x := Goes{Part: "P1", Model: "A-1", Degrees: []string{"direct"}, Evidence: "tried"}
		change(&x)
		return x
	}
	goes := g(func(*Goes) {})
	testRules(t, goesKind, []sample[Goes]{
		{good: goes, bad: g(func(x *Goes) { x.Degrees = nil }), not: emptyCell, text: "of P1 in A-1 no degree is said: direct, "},
		{good: goes, bad: g(func(x *Goes) { x.Degrees = []string{"direct", "no"} }), text: "direct stands alone: it cannot be no as well"},
		{good: goes, bad: g(func(x *Goes) { x.Degrees = []string{"rework"} }), text: "rework names its operation: what is to be done to P1 for A-1?"},
		{bad: g(func(x *Goes) { x.From, x.To = "14000", "11851" }), not: neverAgain,
			text: "no number lies from 14000 to 11851: the lower stands first"},
		{good: goes, bad: g(func(x *Goes) { x.Evidence = "heard" }), text: `evidence "heard" is none of`},
		{good: goes, bad: g(func(x *Goes) { x.PerBody = &many }), text: "no drawer holds 5000000000 of P1: look at the number again"},
	})
	donor := Donor{Code: "PC-9", Model: "A-1", Owner: Own}
	d := func(change func(*Donor)) Donor { x := donor; change(&x); return x }
	testRules(t, donorKind, []sample[Donor]{
		{good: donor, bad: d(func(x *Donor) { x.Model = "" }), not: emptyCell, text: "PC-9 has no model: which camera, or shutter or lens by itself, is it?"},
		{good: donor, bad: d(func(x *Donor) { x.Shutter = "LN-1" }), text: "LN-1 is a lens, not a shutter"},
		{good: donor, bad: d(func(x *Donor) { x.Model, x.Lens = "SH-1", "LN-1" }), text: "SH-1 is a shutter by itself and carries no lens"},
		{good: donor, bad: d(func(x *Donor) { x.Bought, x.Booked = day0, day0-1 }), text: "PC-9 cannot be bought on 2031-09-01 and booked on 2031-08-31, before that"},
		{good: donor, bad: d(func(x *Donor) { x.History = "sad" }), text: `history "sad" is none of`},
		{good: donor, bad: d(func(x *Donor) { x.State = "flat" }), text: `state "flat" is none of`},
	})
	job := Job{Code: "109", Model: "A-1", Opened: day0}
	j := func(change func(*Job)) Job { x := job; change(&x); return x }
	testRules(t, jobKind, []sample[Job]{
		{good: job, bad: j(func(x *Job) { x.Model = "" }), not: emptyCell, text: "109 has no model: which camera, or shutter or lens by itself, is it?"},
		{good: job, bad: j(func(x *Job) { x.Shutter = "A-1" }), text: "A-1 is a camera, not a shutter"},
		{good: job, bad: j(func(x *Job) { x.Lens = "SH-1" }), text: "SH-1 is a shutter, not a lens"},
		{good: job, bad: j(func(x *Job) { x.Tray = "J1" }), text: "tray J1 has job 101: a tray holds one camera"},
		{good: job, bad: j(func(x *Job) { x.Closed = day0 - 1 }), text: "job 109 cannot be closed on 2031-08-31: it was opened on 2031-09-01"},
		{good: job, bad: j(func(x *Job) { x.State = "lost" }), text: `state "lost" is none of`},
		{good: job, bad: j(func(x *Job) { x.Agreed = "perhaps" }), text: `agreed "perhaps" is none of yes, no`},
	})
	testRules(t, placeKind, []sample[Place]{
		{good: Place{Code: "S1"}, bad: Place{Code: "S1", For: "Tray, of the big job"}, not: aChange,
			text: "S1 cannot become a tray: jobs 102 and 103 are in it, and a tray holds one camera"},
	})
	testRules(t, seenKind, []sample[Seen]{
		{good: Seen{Donor: "PC-1", Part: "P1", Seen: "missing"}, bad: Seen{Donor: "PC-1", Part: "P1", Seen: "gone"}, text: `seen "gone" is none of`},
	})
	testRules(t, wantKind, nil)
	old := Old{Job: "101", Nth: 1, Part: "P1", Quantity: 1, Why: "broken"}
	testRules(t, oldKind, []sample[Old]{
		{good: old, bad: Old{Job: "101", Nth: 1, Quantity: 1, Why: "broken"}, text: "which piece?"},
		{good: old, bad: Old{Job: "101", Nth: 1, Part: "P1", Quantity: 1, Why: "broken", Fate: "eaten"}, text: `fate "eaten" is none of`},
	})
	testRules(t, stepKind, []sample[Step]{
		{good: Step{Kind: "donor", Camera: "PC-1", Nth: 1}, bad: Step{Kind: "donor", Camera: "PC-1", Nth: 1, Seat: "attic"}, text: `seat "attic" is none of`},
	})
	testRules(t, countKind, nil)
	testRules(t, draftKind, nil)
	drawer := Paper{Name: "drawer", Sheet: "roll 25x13"}
	testRules(t, paperKind, []sample[Paper]{
		{good: Paper{Name: "a word", Sheet: "x"}, bad: Paper{Name: "a word", Sheet: "roll 25x13"}, not: []string{"over", "undo"}, text: "a paper is kept by one word: drawer, roll"},
		{good: drawer, bad: Paper{Name: "drawer"}, text: "paper drawer has no measures: write them behind its name"},
	})
	testRules(t, labelKind, nil)
	note := Remark{Kind: "job", Code: "101", Nth: 1, Text: "the owner rang"}
	testRules(t, noteKind, []sample[Remark]{{good: note, bad: Remark{Kind: "job", Code: "101", Nth: 1}, text: "a note on 101 says nothing: write it in words"}})
	view := Picture{Kind: "job", Code: "101", Nth: 1, Hash: strings.Repeat("5e", 32)}
	ofPart, gif := view, view
	ofPart.Kind, ofPart.Code, gif.Format = "part", "P1", "gif"
	stepped := ofPart
	stepped.Step = 4
	testRules(t, pictureKind, []sample[Picture]{
		{good: view, bad: Picture{Kind: "job", Code: "101", Nth: 1}, text: "the picture 1 of 101 names no file"},
		{good: ofPart, bad: stepped, text: "a part has no steps: P1 is no camera that was taken apart"},
		{good: view, bad: gif, text: `format "gif" is none of`},
	})
	testRules(t, shopKind, []sample[Shop]{{good: Shop{Name: "Quillmoor Bench"}, bad: Shop{Lines: []string{"1 Mill Lane"}}, text: "the workshop has no name: say what it is called"}})
	august := Month{Name: "2031-08", Day: day0, Sheet: []byte("{}")}
	testRules(t, monthKind, []sample[Month]{
		{good: Month{Name: "2031-13", Sheet: august.Sheet}, bad: Month{Name: "2031-13", Sheet: []byte("{}")}, not: []string{"over", "undo"}, text: `"2031-13" is no month: write it like 2031-08`},
		{good: august, bad: Month{Name: "2031-08"}, not: []string{"over", "undo"}, text: "the sheet of 2031-08 says nothing"},
		{good: august, bad: Month{Name: "2031-08", Day: day0, Sheet: []byte("{ }")}, not: append(aChange, "undo"), text: "2031-08 was handed over on"},
	})
}

// A line of the book that breaks a rule is refused when it is booked, where a workbook
// brings it into a store and into a new one, and is a remark of check.
func TestEveryRuleOfTheBook(t *testing.T) {
	samples := []struct {
		e    Entry
		text string
	}{
		{Entry{What: Fitted, Quantity: 1}, "fitted needs a job"},
		{Entry{What: Moved, Quantity: 1}, "moved needs the place it went to"},
		{Entry{What: Found, Quantity: 1, Model: "A-1"}, "B9 is found, and only what is cut is for a model"},
		{Entry{What: Fitted, Quantity: 1, Job: "101", Amount: 500}, "B9 is fitted, and money stands with what was sold"},
		{Entry{What: Lent, Quantity: 1, To: "H", Due: day0 - 1}, "B9 cannot be due back on 2031-08-31: it is lent on 2031-09-01"},
		{Entry{What: Found, Quantity: 5_000_000_000}, "no drawer holds 5000000000 of B9: look at the number again"},
		{Entry{What: Moved, To: "J1", Day: day0 - 20}, "on 2031-08-12 B9 was not here yet: it came on 2031-08-22"},
	}
	if len(samples) != len(entryKind.rules) {
		t.Fatalf("%d rules and %d samples", len(entryKind.rules), len(samples))
	}
	bag := Bag{Code: "B9", Part: "P1", Origin: "bought", Quantity: 2, Unit: "pc", Grade: "ready", Place: "K1", Owner: Own, Booked: day0 - 10}
	for _, x := range samples {
		if x.e.Bag = "B9"; x.e.Day == 0 {
			x.e.Day = day0
		}
		s := ruleStore(t, nil)
		h := head()
		h.Day = day0 - 10
		if _, err := s.Book(h, func(t *Tx) error { _, err := t.PutIn(bag); return err }); err != nil {
			t.Fatal(err)
		}
		got := map[string]string{}
		var err error
		_, err = s.Book(head(), func(t *Tx) error { return t.Enter(x.e) })
		got["booked"], err = said(err)
		into, err2 := planSays(s, loadOf(bag, x.e))
		newly, err3 := planSays(nil, loadOf(append(things(), bag, x.e)...))
		shifts, err4 := planSays(nil, loadOf(append(things(), bag, x.e, Entry{What: Split, Bag: "B9", Quantity: 1, To: "B10", Day: day0})...))
		_, err5 := s.Book(head(), func(t *Tx) error {
			t.planned = true // as a store from before the rule has it
			return t.Enter(x.e)
		})
		h2, err6 := s.Check()
		for _, b := range h2.Remarks {
			got["check"] += b.Error() + "\n"
		}
		if err := errors.Join(err, err2, err3, err4, err5, err6); err != nil {
			t.Fatal(err)
		}
		got["into a store"], got["new store"], got["new store whose bags are split"] = into, newly, shifts
		for name, text := range got {
			if !strings.Contains(text, x.text) {
				t.Errorf("%s: it says %q, not %q", name, text, x.text)
			}
		}
	}
}

// testRules wants a sample of each rule of a kind, and each refused at each entrance.
func testRules[T any](t *testing.T, k *kindOf[T], samples []sample[T]) {
	if len(samples) != len(k.rules) {
		t.Fatalf("%s has %d rules, and %d samples", k.bucket, len(k.rules), len(samples))
	}
	for i, x := range samples {
		for name, enter := range entrances[T]() {
			if slices.Contains(x.not, name) || k.sheet == "" && strings.Contains(name, "store") {
				continue
			}
			t.Run(fmt.Sprintf("%s %d/%s", k.bucket, i, name), func(t *testing.T) {
				got, err := enter(t, x)
				if err != nil {
					t.Fatal(err)
				}
				if !strings.Contains(got, x.text) {
					t.Errorf("it says %q, not %q", got, x.text)
				}
			})
		}
	}
}

// An entrance tries to take the bad record in and returns what was said.
type entrance[T any] func(*testing.T, sample[T]) (string, error)

func entrances[T any]() map[string]entrance[T] {
	return map[string]entrance[T]{
		"new": func(t *testing.T, x sample[T]) (string, error) {
			return said(put1(ruleStore(t, x.with), x.bad))
		},
		"over": func(t *testing.T, x sample[T]) (string, error) {
			s := ruleStore(t, x.with)
			before(t, s, x.good)
			return said(put1(s, x.bad))
		},
		"undo": func(t *testing.T, x sample[T]) (string, error) {
			s := ruleStore(t, x.with)
			before(t, s, x.bad)
			res, err := s.Book(head(), func(t *Tx) error { return t.Put(x.good) })
			if err != nil {
				return "", err
			}
			_, err = s.Undo(head(), res.Booking.Number)
			return said(err)
		},
		"edit of what is there": func(t *testing.T, x sample[T]) (string, error) {
			s := ruleStore(t, x.with)
			before(t, s, x.bad)
			return x.text, put1(s, noted(x.bad))
		},
		"check": func(t *testing.T, x sample[T]) (string, error) {
			s := ruleStore(t, x.with)
			before(t, s, x.bad)
			h, err := s.Check()
			all := h.Problems
			for _, b := range h.Remarks {
				all = append(all, b.Error())
			}
			return strings.Join(all, "\n"), err
		},
		"into a store": func(t *testing.T, x sample[T]) (string, error) {
			return planSays(ruleStore(t, x.with), loadOf(append(slices.Clone(x.with), x.bad)...))
		},
		"over in a store": func(t *testing.T, x sample[T]) (string, error) {
			s := ruleStore(t, x.with)
			before(t, s, x.good)
			return planSays(s, loadOf(x.bad))
		},
		"new store": func(t *testing.T, x sample[T]) (string, error) {
			return planSays(nil, loadOf(append(append(things(), x.with...), x.bad)...))
		},
	}
}

func said(err error) (string, error) {
	if err == nil {
		return "nothing", nil
	}
	if !errors.Is(err, ErrRefused) && !errors.Is(err, ErrUsage) && !errors.Is(err, ErrNotFound) {
		return "", err
	}
	return err.Error(), nil
}

func put1(s *Store, rec any) error {
	_, err := s.Book(head(), func(t *Tx) error {
		if b, ok := rec.(Bag); ok {
			if _, err := t.Bag(b.Code); err != nil {
				_, err := t.PutIn(b)
				return err
			}
		}
		return t.Put(rec)
	})
	return err
}

// noted is a record with a harmless field changed, where it has one.
func noted(rec any) any {
	switch r := rec.(type) {
	case Part:
		r.Note = "noted"
		return r
	case Bag:
		r.Note = "noted"
		return r
	case Model:
		r.Note = "noted"
		return r
	case Goes:
		r.Note = "noted"
		return r
	case Donor:
		r.Note = "noted"
		return r
	case Job:
		r.Note = "noted"
		return r
	case Place:
		r.Where = "noted"
		return r
	case Seen:
		r.Note = "noted"
		return r
	case Old:
		r.Note = "noted"
		return r
	case Step:
		r.Note = "noted"
		return r
	}
	return rec
}

// ruleBase is the file of a store with things in it.
var ruleBase = sync.OnceValues(func() ([]byte, error) {
	dir, err := os.MkdirTemp("", "rules")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	path := filepath.Join(dir, "r.db")
	if err := CreateBooked(path, func(s *Store) error {
		_, err := s.Book(head(), func(t *Tx) error { return putAll(t, things()...) })
		return err
	}); err != nil {
		return nil, err
	}
	return os.ReadFile(path)
})

func ruleStore(t *testing.T, with []any) *Store {
	t.Helper()
	path := filepath.Join(t.TempDir(), "r.db")
	file, err := ruleBase()
	if err := errors.Join(err, os.WriteFile(path, file, 0o600)); err != nil {
		t.Fatal(err)
	}
	s, err := OpenToBook(path)
	if err != nil {
		t.Fatal(err)
	}
	s.db.NoSync = true
	t.Cleanup(func() { s.Close() })
	if len(with) > 0 {
		before(t, s, with...)
	}
	return s
}

// before writes records as a store from before a rule has them: nothing is asked.
func before(t *testing.T, s *Store, recs ...any) {
	t.Helper()
	err := s.db.Update(func(tx *bolt.Tx) error {
		x := newTx(tx, head())
		x.planned = true
		for _, r := range recs {
			if b, ok := r.(Bag); ok {
				if err := cmp.Or(replace(x, bBag, keyCode(b.Code), b), x.startBag(Bag{}, b, false)); err != nil {
					return err
				}
				continue
			}
			for _, k := range kinds {
				if key, mine := k.keyOf(r); mine {
					if err := x.putRecord(k.name(), key, r); err != nil {
						return err
					}
				}
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

func loadOf(recs ...any) *Load {
	l := &Load{Cell: func(sheet string, i int, heading string) (string, string, string) { return sheet, heading, "" }}
	for _, r := range recs {
		switch r := r.(type) {
		case Part:
			l.Parts.Add(r)
		case Bag:
			l.Bags.Add(r)
		case Model:
			l.Models = append(l.Models, r)
		case Goes:
			l.Goes.Add(r)
		case Donor:
			l.Donors.Add(r)
		case Job:
			l.Jobs.Add(r)
		case Place:
			l.Places = append(l.Places, r)
		case Seen:
			l.Seen.Add(r)
		case Entry:
			l.Moves.Add(r)
		}
	}
	return l
}

// planSays are the problems of a plan; s is nil for a store that is not there yet.
func planSays(s *Store, l *Load) (text string, err error) {
	plan := func(v *View) error {
		p, err := PlanLoad(v, l, head())
		if err == nil {
			for _, x := range p.Problems {
				text += x.Problem + "\n"
			}
		}
		return err
	}
	if s == nil {
		err = plan(nil)
	} else {
		err = s.View(plan)
	}
	return text, err
}
