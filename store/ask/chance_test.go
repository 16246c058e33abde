package ask

import (
	"math"
	"path/filepath"
	"testing"

	"pgregory.net/rapid"

	"tinful/store"
	"tinful/store/code"
)

// The same question has one chance everywhere: that at least one of k bodies nobody
// looked at has a part is the same in odds --next k and in donors --for, that one has
// it in need, and that all of k cameras on the bench lack it, which low says, is the
// rest. Own bodies, sisters and others were looked at, at random.
func TestOneChanceEverywhere(t *testing.T) {
	dir := t.TempDir()
	n := 0
	rapid.Check(t, func(rt *rapid.T) {
		n++
		path := filepath.Join(dir, code.Day(n).String()+".db")
		k := rapid.Int64Range(1, 4).Draw(rt, "bodies")
		if err := create(path); err != nil {
			rt.Fatal(err)
		}
		s, err := store.OpenToBook(path)
		if err != nil {
			rt.Fatal(err)
		}
		defer s.Close()
		_, err = s.Book(store.Head{Day: begun, Today: begun}, func(t *store.Tx) error { return chanceWorkshop(rt, t, k) })
		if err != nil {
			rt.Fatal(err)
		}
		view(t, s, func(v *store.View) error {
			got, err := Odds(v, OddsQuery{Part: "P001", Model: "W3-B", History: "failed", Next: k})
			if err != nil || len(got.Odds) != 1 {
				rt.Fatalf("%+v %v", got, err)
			}
			row := got.Odds[0]
			target := max(1e-6, row.Next.OneHas)
			cover, err := Donate(v, []Wanted{{"P001", 1}}, target, nil)
			if err != nil || len(cover.PerPart) != 1 {
				rt.Fatalf("%+v %v", cover, err)
			}
			if p := cover.PerPart[0]; math.Abs(p.Chance-row.Next.OneHas) > 1e-9 || math.Abs(p.Low-row.Next.Low) > 1e-9 || math.Abs(p.High-row.Next.High) > 1e-9 || p.Basis != row.Next.Basis || len(cover.Donors) != int(k) {
				rt.Fatalf("odds of the next %d: %+v, donors: %+v", k, row.Next, cover)
			}
			need, err := Need(v, Request{Part: "P001", Camera: store.Camera{Model: "W3-B"}})
			if err != nil {
				rt.Fatal(err)
			}
			for _, w := range need.Ways {
				if w.Way == "donor" && math.Abs(w.Chance.Mid-(1-row.Plan.Mid)) > 1e-12 {
					rt.Fatalf("odds %+v, need %+v", row.Plan, w.Chance)
				}
			}
			low, err := Low(v, LowQuery{Today: begun})
			if err != nil || len(low.Low) != 1 {
				rt.Fatalf("%+v %v", low, err)
			}
			if l := low.Low[0]; row.Missing+row.Siblings.Missing+row.Others.Missing > 0 && (l.Lacking == nil || math.Abs(*l.Lacking-(1-row.Next.OneHas)) > 1e-9) {
				rt.Fatalf("odds of the next %d: %+v, low: %+v", k, row.Next, l)
			}
			return nil
		})
	})
}

// chanceWorkshop has k bodies nobody looked at and as many jobs, one piece less free,
// and bodies that were looked at.
func chanceWorkshop(rt *rapid.T, t *store.Tx, k int64) error {
	keep := int64(20)
	err := put(t, store.Place{Code: "K1"}, store.Model{Code: "W3-A", Kind: "camera", Family: "W"}, store.Model{Code: "W3-B", Kind: "camera", Family: "W"},
		store.Model{Code: "C-1", Kind: "camera"}, store.Part{Code: "P001", Name: "pawl spring", Keep: &keep})
	if err != nil {
		return err
	}
	for _, m := range []code.Code{"W3-A", "W3-B", "C-1"} {
		if err := t.Put(store.Goes{Part: "P001", Model: m, Degrees: []string{"direct"}, Evidence: "compared"}); err != nil {
			return err
		}
	}
	at := 0
	donor := func(model code.Code, state, seen string) error {
		at++
		c := code.Code("PC-" + string(rune('A'+at/26)) + string(rune('A'+at%26)))
		price := code.Cents(1000 + int64(at))
		if err := t.Put(store.Donor{Code: c, Model: model, History: "failed", State: state, Owner: store.Own, Price: &price}); err != nil || seen == "" {
			return err
		}
		return t.Put(store.Seen{Donor: c, Part: "P001", Seen: seen})
	}
	for range k {
		if err := donor("W3-B", "opened", ""); err != nil {
			return err
		}
	}
	for _, m := range []code.Code{"W3-A", "W3-B", "C-1"} {
		for _, seen := range rapid.SliceOfN(rapid.SampledFrom([]string{"missing", "present"}), 0, 6).Draw(rt, "seen on "+string(m)) {
			if err := donor(m, "stripped", seen); err != nil {
				return err
			}
		}
	}
	for i := range k {
		if err := t.Put(store.Job{Code: code.Code(string(rune('1'+i)) + "01"), Model: "W3-B", State: "in work", Opened: begun - 1, History: "failed"}); err != nil {
			return err
		}
	}
	_, err = t.PutIn(store.Bag{Code: "B1", Part: "P001", Quantity: k, Grade: "ready", Origin: "made", Place: "K1"})
	if err == nil {
		err = t.Enter(store.Entry{What: store.Scrapped, Bag: "B1", Quantity: 1, Why: "bent"})
	}
	return err
}
