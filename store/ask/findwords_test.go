package ask

import (
	"slices"
	"testing"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/dim"

	"github.com/google/go-cmp/cmp"
)

// unclassed is the workshop with parts of which little is said.
func unclassed(t *testing.T) *store.Store {
	w := workshop(t)
	_, err := w.Book(store.Head{Day: 22001, Today: 22001, By: "H", Command: "test"}, func(x *store.Tx) error {
		for _, p := range []store.Part{
			{Code: "P801", Name: "Schenkelfeder, alt"},
			{Code: "P802", Name: "muelle de torsión"},
			{Code: "P803", Name: "old spring", Dims: coiled(250, 2600, 3000)},
			{Code: "P804", Name: "Rändelschraube"},
			{Code: "P805", Name: "wind screw", Class: "SCR-CHS", Marks: marks(dim.Thread, "loewenherz 2.3x0.40 LH")},
			{Code: "P806", Name: "Linksschraube Aufzug"},
			{Code: "P807", Name: "ratchet wheel", Class: "RAT", Marks: marks(dim.Hand, "left")},
		} {
			if err := x.Put(p); err != nil {
				return err
			}
		}
		for _, b := range []store.Bag{
			{Code: "B801", Part: "P804", Grade: "usable", Place: "N1", Quantity: 15, About: true, Origin: "unknown"},
			{Code: "B802", Part: "P804", Grade: "usable", Place: "N1", Quantity: 5, Origin: "unknown", Number: "70 119"},
		} {
			if _, err := x.PutIn(b); err != nil {
				return err
			}
		}
		for _, r := range []any{
			store.Job{Code: "101", Model: "W1-B", BodyNo: "22418", Owner: "customer 1", State: "collected"},
			store.Donor{Code: "PC-20", Model: "W1-B", BodyNo: "none", ShutterNo: "O 118 402", State: "whole", Owner: "own"},
			store.Model{Code: "W9", Kind: "camera", Numbers: "18421-31999 (club list)"},
		} {
			if err := x.Put(r); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return w
}

// Words match names whatever the class; trade words are common practice, those of
// other languages from memory.
func TestFindKinds(t *testing.T) {
	s := unclassed(t)
	for _, tt := range []struct {
		name   string
		q      Query
		said   []code.Code // whose class is said, in any order
		unsaid []code.Code
	}{
		{"a kind by its German name", Query{Words: w("Schenkelfeder")}, []code.Code{"P001", "P002", "P003", "P004", "P011"}, []code.Code{"P801", "P802"}},
		{"by class", Query{Class: []string{"SPR-TOR"}}, []code.Code{"P001", "P002", "P003", "P004", "P011"}, []code.Code{"P801", "P802"}},
		{"by class and words", Query{Class: []string{"SPR-TOR"}, Words: w("alt")}, nil, []code.Code{"P801"}},
		{"by measure", Query{Class: []string{"SPR-TOR"}, Dims: map[dim.Field]Range{dim.Wire: {Want: 250}, dim.OD: {Want: 2600}}}, []code.Code{"P001", "P002"}, []code.Code{"P803"}},
		{"a narrow word", Query{Words: w("knurled screw")}, nil, []code.Code{"P804"}},
		{"a narrow word of nothing here", Query{Words: w("flange screw")}, nil, nil},
		{"a thing of the bench that is no part", Query{Words: w("spanner")}, nil, nil},
		{"a cap nut is no shutter", Query{Words: w("Hutmutter")}, nil, nil},
		{"left-hand, coils and teeth too", Query{Words: w("left-hand")}, []code.Code{"P002", "P004", "P805", "P807"}, []code.Code{"P806"}},
		{"left-hand threads", Query{Words: w("Linksgewinde")}, []code.Code{"P805"}, []code.Code{"P806"}},
		{"left-hand threads by class", Query{Class: []string{"SCR-LH"}}, []code.Code{"P805"}, []code.Code{"P806"}},
		{"a hand beside words", Query{Words: w("screw"), Marks: marks(dim.Hand, "left")}, []code.Code{"P805"}, []code.Code{"P806"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			view(t, s, func(v *store.View) error {
				found, err := Find(v, tt.q)
				if err != nil {
					return err
				}
				var said, unsaid []code.Code
				for _, p := range found.Parts {
					if p.Class == "" {
						unsaid = append(unsaid, p.Part)
					} else if said = append(said, p.Part); len(unsaid) > 0 {
						t.Errorf("%s stands behind one whose class is not said", p.Part)
					}
				}
				slices.Sort(said)
				slices.Sort(unsaid)
				if d := cmp.Diff(tt.said, said) + cmp.Diff(tt.unsaid, unsaid); d != "" {
					t.Error(d)
				}
				return nil
			})
		})
	}
}

// 15 by eye and 5 counted are about 20.
func TestFindAbout(t *testing.T) {
	view(t, unclassed(t), func(v *store.View) error {
		for _, q := range []Query{{Words: w("p804")}, {Words: w("p804"), Grade: "usable"}} {
			found, err := Find(v, q)
			if err != nil {
				return err
			}
			if p := found.Parts[0]; p.Free != 20 || !p.About || p.Counted != 5 {
				t.Errorf("free %d, about %v, counted %d", p.Free, p.About, p.Counted)
			}
		}
		return nil
	})
}

func TestNumberedAs(t *testing.T) {
	s := unclassed(t)
	for _, tt := range []struct {
		typed string
		want  []string
	}{
		{"22418", []string{"job 101 body", "model W9 body"}}, {"O 118 402", []string{"donor PC-20 shutter"}}, {"118402", []string{"donor PC-20 shutter"}},
		{"70119", []string{"bag B802 piece"}}, {"none", nil}, {"1.4", nil}, {"41", nil}, {"22419.5", nil}, {"counter pawl 22418", nil},
	} {
		view(t, s, func(v *store.View) error {
			list, err := NumberedAs(v, tt.typed)
			var got []string
			for _, n := range list {
				got = append(got, n.Kind+" "+string(n.Code)+" "+n.Of)
			}
			if d := cmp.Diff(tt.want, got); d != "" {
				t.Errorf("%s: %s", tt.typed, d)
			}
			return err
		})
	}
}
