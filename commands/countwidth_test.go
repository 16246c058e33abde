package commands_test

import (
	"bytes"
	"path/filepath"
	"strings"
	"testing"

	"tinful/commands"
)

// On a terminal of 80 columns no line of a count runs over its edge, and what tells a
// bag or explains it stands below its row. In N1 B210 is told by its length (P026 of
// 2.0, P027 of 2.8 beside it: testdata/demo/parts.csv).
func TestCountOnATerminal(t *testing.T) {
	w := newWorkshop(t, filepath.Join("..", "testdata", "demo"))
	t.Chdir(t.TempDir())
	const sheet = "springs-cabinet.xlsx"
	for _, tt := range []struct{ line, want string }{
		{"count sheet n1", "movement screw, cheese, short\n      length 2 mm (P027: 2.8 mm), from PC-01\n"},
		{"count sheet n1 -o " + sheet, "fill in the column Counted, then"},
		{"count sheet j3", "nothing to count there\n"},
		{"count due --most 3", "if 10 are wrong you meet\n  one 19 times in 20\n"},
		{"count show", "short 1\n      probably a third screw fitted on job 107 and not booked\n"},
		{"count close --accept b208", "over 1:\n      probably a mix with B230 "},
		{"count enter b201=1", "1 bag counted"},
		{"count show 1", "by R, open\n1 bag agrees\n"}, // no empty line in place of a table
	} {
		var out, errs bytes.Buffer
		env := w.with(strings.NewReader(""), &out, &errs)
		env.Width = 80
		if code := commands.Run(append([]string{"tinful"}, strings.Fields(tt.line)...), env); code != 0 {
			t.Fatalf("%s: %d %s", tt.line, code, errs.String())
		}
		if !strings.Contains(out.String(), tt.want) {
			t.Errorf("%s: no %q in\n%s", tt.line, tt.want, out.String())
		}
		for line := range strings.Lines(out.String()) {
			if line = strings.TrimRight(line, "\n"); len([]rune(line)) > 80 {
				t.Errorf("%s: %d columns: %s", tt.line, len([]rune(line)), line)
			}
		}
	}
}
