package store

import "testing"

// JSON has the texts of a list and, where they are asked for, the kinds in the same
// order; signs of HTML stay as they are.
func TestReasonsAsJSON(t *testing.T) {
	for _, tt := range []struct {
		list         Reasons
		texts, kinds string
	}{
		{Reasons{Say("held", "held for job %d", 105), Say("note", "thin & <worn>")}, `["held for job 105","thin & <worn>"]`, `["held","note"]`},
		{nil, `[]`, `[]`},
	} {
		texts, err := JSON(tt.list)
		kinds, err2 := JSON(ReasonKinds(tt.list))
		if err != nil || err2 != nil || string(texts) != tt.texts || string(kinds) != tt.kinds {
			t.Errorf("%s %s (%v, %v), want %s %s", texts, kinds, err, err2, tt.texts, tt.kinds)
		}
	}
}
