package ask

import (
	"path/filepath"
	"testing"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/dim"
)

// workshop makes a small store with things of the invented demo workshop: its
// codes, names and traps are those of testdata/demo.
func workshop(tb testing.TB) *store.Store {
	tb.Helper()
	s := newStore(tb)
	_, err := s.Book(store.Head{Day: 22000, Today: 22000, By: "H", Command: "test"}, func(t *store.Tx) error {
		for _, r := range records() {
			if err := t.Put(r); err != nil {
				return err
			}
		}
		for _, b := range stock() {
			if _, err := t.PutIn(b); err != nil {
				return err
			}
		}
		if err := t.Enter(store.Entry{What: store.Fitted, Bag: "B202", Quantity: 1, Job: "101"}); err != nil {
			return err
		}
		return t.Enter(store.Entry{What: store.Counted, Bag: "B239", Quantity: 1})
	})
	if err != nil {
		tb.Fatal(err)
	}
	return s
}

func view(tb testing.TB, s *store.Store, fn func(v *store.View) error) {
	tb.Helper()
	if err := s.View(fn); err != nil {
		tb.Fatal(err)
	}
}

func coiled(wire, od, coils int64, legs ...int64) map[dim.Field]int64 {
	m := map[dim.Field]int64{dim.Wire: wire, dim.OD: od, dim.Coils: coils}
	for i, l := range legs {
		m[dim.LegA+dim.Field(i)] = l
	}
	return m
}

func marks(f dim.Field, s string) map[dim.Field]string { return map[dim.Field]string{f: s} }

func n(i int64) *int64 { return &i }

func records() []any {
	goes := func(part, model, degree string) store.Goes {
		return store.Goes{Part: code.Code(part), Model: code.Code(model), Degrees: []string{degree}, PerBody: n(1), Evidence: "compared", By: "H"}
	}
	screw := func(c, name, class, cell string) store.Part {
		return store.Part{Code: code.Code(c), Name: name, Class: class, Marks: marks(dim.Thread, cell), Dims: map[dim.Field]int64{dim.Length: 3500}}
	}
	return []any{
		store.Place{Code: "K1"}, store.Place{Code: "K2"}, store.Place{Code: "S1"}, store.Place{Code: "N1"}, store.Place{Code: "N2"},
		store.Place{Code: "N3"}, store.Place{Code: "L1"}, store.Place{Code: "J1", For: "open job"}, store.Place{Code: "D1"},
		store.Model{Code: "W1-A", Kind: "camera", Family: "Wendel", Carries: []code.Code{"ORV-00"}, Form: "loewenherz"},
		store.Model{Code: "W1-B", Kind: "camera", Family: "Wendel", Carries: []code.Code{"ORV-00", "HAL-00"}, Form: "loewenherz"},
		store.Model{Code: "W2-A", Kind: "camera", Family: "Wendel", Carries: []code.Code{"HAL-00"}, Form: "loewenherz"},
		store.Model{Code: "W3-A", Kind: "camera", Family: "Wendel", Form: "metric"},
		store.Model{Code: "W3-B", Kind: "camera", Family: "Wendel", Form: "metric"},
		store.Model{Code: "F-E", Kind: "camera", Family: "35-F", Form: "metric"},
		store.Model{Code: "F-L", Kind: "camera", Family: "35-F", Form: "metric"},
		store.Model{Code: "C-2", Kind: "camera", Family: "Causeway 35", Form: "BA"},
		store.Model{Code: "ORV-00", Kind: "shutter"}, store.Model{Code: "HAL-00", Kind: "shutter"},
		store.Part{Code: "P001", Name: "release lever return spring", Class: "SPR-TOR", Twin: "P002", Aliases: []string{"trip lever spring"},
			Dims: coiled(250, 2600, 3250, 6000, 4500), Marks: marks(dim.Hand, "right")},
		store.Part{Code: "P002", Name: "release lever return spring", Class: "SPR-TOR", Twin: "P001", Aliases: []string{"trip lever spring"},
			Dims: coiled(250, 2600, 3250, 6000, 4500), Marks: marks(dim.Hand, "left")},
		store.Part{Code: "P003", Name: "counter pawl spring", Class: "SPR-TOR", Aliases: []string{"Klinkenfeder Zählwerk"},
			Dims: coiled(150, 1600, 4500), Marks: marks(dim.Hand, "right"), Keep: n(2)},
		store.Part{Code: "P004", Name: "film stop pawl spring", Class: "SPR-TOR", Dims: coiled(200, 2000, 3000, 5000), Marks: marks(dim.Hand, "left")},
		store.Part{Code: "P011", Name: "Haldur 00 mainspring", Class: "SPR-TOR", Seat: "shutter", Hazard: "stored energy", Dims: coiled(400, 4800, 4250)},
		screw("P021", "top plate screw, countersunk", "SCR-CSK", "loewenherz 1.7x0.35"),
		screw("P022", "top plate screw, countersunk", "SCR-CSK", "metric 1.7x0.35"),
		screw("P037", "bracket screw, cheese", "SCR-CHS", "BA 10"),
		screw("P039", "cover screw, pan, cross recess", "SCR-PAN", "metric 1.7x0.35"),
		store.Part{Code: "P050", Name: "counter pawl", Class: "LEV"},
		store.Part{Code: "P057", Name: "cocking rack, thin", Class: "RCK"},
		store.Part{Code: "P070", Name: "front panel covering, left", Class: "COV", Hazard: "verdigris"},
		store.Part{Code: "P078", Name: "Haldur 00 shutter, complete", Class: "ASM", Seat: "shutter", Holds: []code.Code{"P011"}},
		goes("P001", "W1-B", "direct"), goes("P001", "W2-A", "direct"), goes("P001", "W3-A", "opposite-hand"),
		goes("P002", "W3-A", "direct"), goes("P002", "W1-B", "opposite-hand"),
		goes("P003", "W1-B", "direct"), goes("P003", "W2-A", "direct"), goes("P050", "W1-B", "direct"),
		goes("P011", "HAL-00", "direct"), goes("P078", "HAL-00", "unit"),
		goes("P021", "W1-B", "direct"), goes("P021", "W3-A", "no"), goes("P022", "W3-A", "direct"), goes("P022", "W1-B", "no"),
		goes("P039", "F-E", "looks-wrong"), goes("P039", "F-L", "direct"),
		goes("P057", "W3-B", "direct"), goes("P070", "W3-A", "direct"), goes("P070", "F-L", "direct"),
		store.Donor{Code: "PC-05", Model: "W3-B", State: "opened", Owner: "own", History: "meddled"},
		store.Donor{Code: "PC-06", Model: "W3-B", State: "whole", Owner: "own", History: "failed"},
		store.Donor{Code: "PC-11", Model: "W2-A", State: "whole", Owner: "own", History: "unopened", Place: "D1"},
		store.Donor{Code: "PC-13", Model: "W3-A", State: "whole", Owner: "customer 6"},
		store.Donor{Code: "PC-14", Model: "F-L", State: "whole", Owner: "held"},
		store.Seen{Donor: "PC-05", Part: "P057", Seen: "missing"},
		store.Seen{Donor: "PC-11", Part: "P003", Seen: "present"},
		store.Seen{Donor: "PC-13", Part: "P070", Seen: "present"},
		store.Seen{Donor: "PC-14", Part: "P070", Seen: "present"},
		store.Want{Date: 21900, Part: "P057", Model: "W3-B"},
		store.Job{Code: "101", Model: "W1-B"},
	}
}

func stock() []store.Bag {
	bag := func(c, part, grade, place string, q int64) store.Bag {
		return store.Bag{Code: code.Code(c), Part: code.Code(part), Grade: grade, Place: code.Code(place), Quantity: q, Origin: "unknown"}
	}
	return []store.Bag{
		bag("B201", "P001", "usable", "K1", 1), bag("B223", "P001", "ready", "K1", 1), bag("B250", "P002", "ready", "K1", 2),
		bag("B202", "P003", "ready", "K1", 1), bag("B239", "P003", "usable", "K1", 1), bag("B203", "P004", "ready", "K1", 2),
		{Code: "B226", Part: "P011", Grade: "usable", Place: "K2", Quantity: 1, Origin: "PC-11"},
		{Code: "B238", Part: "P078", Grade: "rework", Place: "S1", Quantity: 1, Origin: "PC-11"},
		bag("B239X", "P078", "rework", "S1", 1),
		bag("B208", "P021", "usable", "N1", 5), bag("B260", "P022", "ready", "N2", 7), bag("B261", "P037", "ready", "N3", 2),
		bag("B262", "P039", "ready", "N2", 8), bag("B265", "P070", "pattern", "L1", 1), bag("B266", "P070", "scrap", "L1", 1),
		{Code: "B290", Part: "P001", Grade: "ready", Place: "J1", Quantity: 1, Origin: "unknown", Owner: "customer 6"},
	}
}

// newStore is an empty store, which agrees with itself when the test ends.
func newStore(tb testing.TB) *store.Store {
	tb.Helper()
	return checked(tb, emptyStore(tb))
}

// checked is a store that agrees with itself when the test ends.
func checked(tb testing.TB, s *store.Store) *store.Store {
	tb.Cleanup(func() {
		if found, err := s.Check(); err != nil || len(found.Problems) > 0 {
			tb.Errorf("the store does not agree with itself: %v %v", found, err)
		}
	})
	return s
}

// emptyStore is one without a record, which does not check itself.
func emptyStore(tb testing.TB) *store.Store {
	tb.Helper()
	path := filepath.Join(tb.TempDir(), "w.db")
	if err := create(path); err != nil {
		tb.Fatal(err)
	}
	return opened(tb, path)
}

func opened(tb testing.TB, path string) *store.Store {
	tb.Helper()
	s, err := store.OpenToBook(path)
	if err != nil {
		tb.Fatal(err)
	}
	tb.Cleanup(func() { s.Close() })
	return s
}

// create makes an empty store.
func create(path string) error {
	return store.CreateBooked(path, func(*store.Store) error { return nil })
}
