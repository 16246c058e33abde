package ask

import (
	"encoding/json"
	"errors"
	"testing"

	"tinful/store"

	"github.com/google/go-cmp/cmp"
)

func TestPartSheet(t *testing.T) {
	s := workshop(t)
	view(t, s, func(v *store.View) error {
		got, err := PartSheet(v, "P003")
		if err != nil {
			return err
		}
		// Two booked in, one fitted, keep 2: demo README, answers.
		if got.BookedIn != 2 || got.Fitted != 1 || got.OnHand != 1 || got.Free != 1 || *got.Keep != 2 {
			t.Errorf("figures %+v", got)
		}
		if len(got.Bags) != 2 || got.Bags[0].Bag != "B239" || got.Bags[1].OnHand != 0 {
			t.Errorf("bags %+v", got.Bags)
		}
		if len(got.Donors) != 1 || got.Donors[0].Donor != "PC-11" || got.Donors[0].Why != "seen present" {
			t.Errorf("donors %+v", got.Donors)
		}
		if got.Counted == nil || got.Counted.Bag != "B239" || got.Counted.Quantity != 1 {
			t.Errorf("counted %+v", got.Counted)
		}
		if _, err := PartSheet(v, "NONE"); !errors.Is(err, store.ErrNotFound) {
			t.Errorf("unknown part: %v", err)
		}
		return nil
	})
}

// A statement about a shutter holds for every camera that carries it; where a
// camera may carry another, the answer says so.
func TestPartSheetReaches(t *testing.T) {
	s := workshop(t)
	view(t, s, func(v *store.View) error {
		got, err := PartSheet(v, "P011")
		if err != nil {
			return err
		}
		want := []string{"W1-B (if it carries HAL-00: look first)", "W2-A"}
		if d := cmp.Diff(want, got.Goes[0].Reaches); d != "" {
			t.Error(d)
		}
		if d := cmp.Diff("P078", string(got.HeldIn[0])); d != "" {
			t.Error(d)
		}
		w, err := PartSheet(v, "P057")
		if err == nil && (len(w.Wants) != 1 || w.Wants[0].Model != "W3-B") {
			t.Errorf("wants %+v", w.Wants)
		}
		return err
	})
}

// A known number is written, 0 too; an unknown one is left out.
func TestPartSheetJSON(t *testing.T) {
	s := workshop(t)
	view(t, s, func(v *store.View) error {
		got, err := PartSheet(v, "P050")
		if err != nil {
			return err
		}
		b, err := json.Marshal(got)
		if err != nil {
			return err
		}
		var m map[string]any
		if err := json.Unmarshal(b, &m); err != nil {
			return err
		}
		for _, k := range []string{"booked_in", "fitted", "returned", "scrapped", "sold", "lost", "found", "corrected", "held", "lent", "on_hand", "free"} {
			if x, ok := m[k]; !ok || x != 0.0 {
				t.Errorf("%s is %v", k, x)
			}
		}
		if _, ok := m["keep"]; ok {
			t.Error("keep is written where it is not watched")
		}
		return nil
	})
}
