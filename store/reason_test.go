package store

import (
	"encoding/json"
	"testing"
)

// JSON has the texts of a list and beside it the kinds, of the same order and length.
func TestWithKinds(t *testing.T) {
	type answer struct {
		Bag string  `json:"bag"`
		Why Reasons `json:"why"`
	}
	for _, tt := range []struct {
		list Reasons
		want string
	}{
		{Reasons{Say("held", "held for job %d", 105), Say("note", "thin & <worn>")},
			`{"bag":"B1","why":["held for job 105","thin & <worn>"],"why_kind":["held","note"]}`},
		{nil, `{"bag":"B1","why":[],"why_kind":[]}`},
	} {
		got, err := WithKinds(answer{"B1", tt.list}, "why", tt.list)
		if err != nil || string(got) != tt.want || !json.Valid(got) {
			t.Errorf("%s, %v; want %s", got, err, tt.want)
		}
	}
}
