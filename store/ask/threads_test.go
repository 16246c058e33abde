package ask

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/thread"
)

func known(t *testing.T, cell string) thread.Thread {
	t.Helper()
	th, err := thread.Parse(cell)
	if err != nil {
		t.Fatal(err)
	}
	return th
}

// Which parts, what is left out for a model and what is easily taken for it: the demo
// workshop's planted threads, 1.7 x 0.35 in three flanks.
func TestFindThreads(t *testing.T) {
	read := &thread.Reading{Diameter: 1_700_000, Spread: 30_000, Pitch: 350_000, PitchSpread: thread.GaugeSpread}
	tests := []struct {
		name  string
		q     ThreadQuery
		first string      // thread and parts of the first line
		kinds []string    // of the traps
		codes []code.Code // the first trap speaks of
	}{
		{"a reading", ThreadQuery{Reading: read}, "metric 1.7x0.35 nominal published P022 P039", []string{"alike"}, []code.Code{"P022", "P039", "P021", "P037"}},
		{"for a model", ThreadQuery{Reading: read, Model: "W3-A"}, "metric 1.7x0.35 nominal published P022 P039", []string{"other-form", "other-form"}, []code.Code{"W3-A"}},
		{"for a model without a form", ThreadQuery{Reading: read, Model: "ORV-00"}, "metric 1.7x0.35 nominal published P022 P039", []string{"no-form", "alike"}, []code.Code{"ORV-00"}},
		{"a known size", ThreadQuery{Known: known(t, "loewenherz 1.7x0.35"), Spread: 30_000}, "loewenherz 1.7x0.35 nominal unpublished P021",
			[]string{"other-thread", "other-thread", "mistaken"}, []code.Code{"P022", "P039"}},
		{"left-hand", ThreadQuery{Known: known(t, "M39x1 LH"), Spread: 30_000}, "metric 39x1 LH nominal published", []string{"left-hand", "mistaken"}, nil},
		{"in no list", ThreadQuery{Known: known(t, "M99x1"), Spread: 30_000}, "metric 99x1 nominal reckoned", []string{}, nil},
	}
	for _, tt := range tests {
		view(t, workshop(t), func(v *store.View) error {
			found, err := FindThreads(v, tt.q)
			if err != nil {
				return err
			}
			l := found.Threads[0]
			first := strings.Join([]string{l.Thread.String(), l.Match, string(l.WhyKind)}, " ")
			for _, p := range l.Parts {
				first += " " + string(p.Part)
			}
			var kinds []string
			for _, k := range store.ReasonKinds(found.Traps) {
				kinds = append(kinds, string(k))
			}
			if first != tt.first || !slices.Equal(kinds, tt.kinds) || len(kinds) > 0 && !slices.Equal(found.Traps[0].Codes, tt.codes) {
				t.Errorf("%s: %s, traps %v %+v", tt.name, first, kinds, found.Traps)
			}
			heldKinds(t, tt.name, found)
			return nil
		})
	}
}

// heldKinds holds that JSON has as many kinds as traps, and that no text names a
// command.
func heldKinds(t *testing.T, name string, found Threads) {
	t.Helper()
	body, err := json.Marshal(found)
	var got struct {
		Traps []string `json:"traps"`
		Kinds []string `json:"traps_kind"`
	}
	if err := json.Unmarshal(body, &got); err != nil {
		t.Fatal(err)
	}
	if err != nil || len(got.Traps) != len(got.Kinds) || got.Traps == nil || got.Kinds == nil || strings.Contains(string(body), "tinful") || strings.Contains(string(body), "--") {
		t.Errorf("%s: %s", name, body)
	}
}
