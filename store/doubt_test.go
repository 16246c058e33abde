package store

import (
	"testing"

	"tinful/store/code"
)

// What is not known of a bag and a camera is said by kind: nothing recorded,
// unproven, to be looked at first, grade unknown. The words: the contract of fit.
func TestDoubts(t *testing.T) {
	s := newStore(t)
	goes := func(part, model, degree, from, to string) Goes {
		return Goes{Part: code.Code(part), Model: code.Code(model), Degrees: []string{degree}, From: from, To: to}
	}
	_, err := s.Book(Head{Day: 22000, Today: 22000}, func(t *Tx) error {
		for _, r := range []any{
			Model{Code: "M1", Kind: "camera", Carries: []code.Code{"S1", "S2"}}, Model{Code: "S1", Kind: "shutter"}, Model{Code: "S2", Kind: "shutter"},
			Part{Code: "PD", Name: "known"}, Part{Code: "PN", Name: "nothing"}, Part{Code: "PU", Name: "unproven"}, Part{Code: "PS", Name: "shutter part"},
			Part{Code: "PX", Name: "never"}, Part{Code: "PR", Name: "by number"},
			goes("PD", "M1", "direct", "", ""), goes("PU", "M1", "unproven", "", ""), goes("PS", "S1", "direct", "", ""), goes("PX", "M1", "no", "", ""),
			goes("PR", "M1", "direct", "500", ""),
		} {
			if err := t.Put(r); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct {
		part, grade string
		cam         Camera
		want        ReasonKind
	}{
		{"PD", "ready", Camera{Model: "M1"}, ""},
		{"PD", "unknown", Camera{Model: "M1"}, GradeUnknown},
		{"PN", "ready", Camera{Model: "M1"}, NothingRecorded},
		{"PU", "ready", Camera{Model: "M1"}, Unproven},
		{"PS", "ready", Camera{Model: "M1"}, LookFirst},
		{"PS", "ready", Camera{Model: "M1", Shutter: "S1"}, ""},
		{"PS", "ready", Camera{Model: "M1", Shutter: "S2"}, NothingRecorded},
		{"PX", "ready", Camera{Model: "M1"}, ""}, // refused, not doubted
		{"PR", "ready", Camera{Model: "M1"}, LookFirst},
		{"PR", "ready", Camera{Model: "M1", BodyNo: "600"}, ""},
		{"PR", "ready", Camera{Model: "M1", BodyNo: "400"}, NothingRecorded},
	} {
		err := s.View(func(v *View) error {
			got, err := v.Doubts(Bag{Code: "B1", Part: code.Code(tt.part)}, tt.grade, tt.cam)
			switch {
			case tt.want == "" && len(got) > 0, tt.want != "" && (len(got) != 1 || got[0].Kind != tt.want):
				t.Errorf("%s %s %+v: %+v, want %q", tt.part, tt.grade, tt.cam, got, tt.want)
			}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
}

// A unit lacks what its parts camera gave by itself, unless the camera has more of
// it than the unit holds; and it is not sold as complete without a reason.
func TestUnitLacks(t *testing.T) {
	s := newStore(t)
	two := int64(2)
	_, err := s.Book(Head{Day: 22000, Today: 22000}, func(t *Tx) error {
		for _, r := range []any{
			Model{Code: "QM1", Kind: "camera"}, Place{Code: "QK1"},
			Part{Code: "QP1", Name: "spring"}, Part{Code: "QP2", Name: "screw"}, Part{Code: "QU1", Name: "shutter", Holds: []code.Code{"QP1", "QP2"}},
			Goes{Part: "QP2", Model: "QM1", Degrees: []string{"direct"}, PerBody: &two},
			Donor{Code: "QD1", Model: "QM1", Owner: Own},
		} {
			if err := t.Put(r); err != nil {
				return err
			}
		}
		for _, b := range []Bag{
			{Code: "QB1", Part: "QU1", Origin: "QD1", Quantity: 1}, {Code: "QB2", Part: "QP1", Origin: "QD1", Quantity: 1},
			{Code: "QB3", Part: "QP2", Origin: "QD1", Quantity: 1}, {Code: "QB4", Part: "QU1", Origin: "bought", Quantity: 1},
		} {
			b.Grade, b.Place = "ready", "QK1"
			if _, err := t.PutIn(b); err != nil {
				return err
			}
		}
		for bag, want := range map[code.Code]int{"QB1": 1, "QB4": 0} {
			b, err := t.Bag(bag)
			if err != nil {
				return err
			}
			if gone, err := t.UnitLacks(b); err != nil || len(gone) != want || want > 0 && (gone[0].Part != "QP1" || gone[0].Bags[0] != "QB2") {
				return refuse("%s lacks %+v, %v", bag, gone, err)
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	sell := func(k Take) error {
		k.Bag, k.N = "QB1", 1
		_, err := s.Book(Head{Day: 22001, Today: 22001}, func(t *Tx) error { return t.Away(Sold, k) })
		return err
	}
	if err, ok := sell(Take{}).(*Refusal); !ok || err.Kind != Incomplete {
		t.Errorf("sold as complete: %v", err)
	}
	if err, ok := sell(Take{Anyway: true}).(*Refusal); !ok || err.Kind != NoWhy {
		t.Errorf("without a reason: %v", err)
	}
	if err := sell(Take{Anyway: true, Why: "said so"}); err != nil {
		t.Error(err)
	}
}
