package tell

import (
	"strings"
	"testing"

	"tinful/store"
	"tinful/store/code"
)

// When a copy is said to be missing, old, or on the store's own disk alone: the rule as
// agreed, a week and, on another disk, a month.
func TestCopyWarning(t *testing.T) {
	const today code.Day = 22523 // 2031-09-01
	for name, tt := range map[string]struct {
		known store.Safety
		says  string
	}{
		"none":               {store.Safety{}, "no copy of the store is known: tinful backup FILE"},
		"a week old":         {store.Safety{Known: true, Day: today - 7, Away: true, AwayDay: today - 7}, ""},
		"older":              {store.Safety{Known: true, Day: today - 8, Away: true, AwayDay: today - 8}, "8 days old, of 2031-08-24"},
		"here alone":         {store.Safety{Known: true, Day: today}, "on its own disk alone: tinful backup FILE writes one to another"},
		"elsewhere too":      {store.Safety{Known: true, Day: today, Away: true, AwayDay: today - 31}, ""},
		"elsewhere long ago": {store.Safety{Known: true, Day: today, Away: true, AwayDay: today - 40}, "on another disk is 40 days old"},
	} {
		got := CopyWarning(tt.known, today)
		if (tt.says == "") != (got == "") || !strings.Contains(got, tt.says) {
			t.Errorf("%s: %q, want %q", name, got, tt.says)
		}
	}
}
