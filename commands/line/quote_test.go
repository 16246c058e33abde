package line

import (
	"errors"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// Quoting as in POSIX.1-2024, Shell Command Language, 2.2, but for the backslash,
// which there takes the meaning from whatever follows it.
func TestWords(t *testing.T) {
	tests := []struct {
		line string
		want []string
	}{
		{"", nil},
		{" \t ", nil},
		{"fit b230 2", []string{"fit", "b230", "2"}},
		{"  fit\tb230  2 ", []string{"fit", "b230", "2"}},
		{`add job 109 --owner "customer 1"`, []string{"add", "job", "109", "--owner", "customer 1"}},
		{`--owner='customer 1'`, []string{"--owner=customer 1"}},
		{`a"b c"d`, []string{"ab cd"}},
		{`--note ""`, []string{"--note", ""}},
		{`'' x`, []string{"", "x"}},
		{`customer\ 1`, []string{"customer 1"}},
		{`M.K.\'s "1/4\""`, []string{"M.K.'s", `1/4"`}},
		{`"a\\b" 'a\b'`, []string{`a\b`, `a\b`}},
		{`import C:\bench\list.xlsx`, []string{"import", `C:\bench\list.xlsx`}},
		{`"C:\my bench\list.xlsx"`, []string{`C:\my bench\list.xlsx`}},
		{`undo #57`, []string{"undo", "#57"}},
		{"Klinkenfeder\u00a0Zählwerk", []string{"Klinkenfeder", "Zählwerk"}},
		{`x\`, []string{`x\`}},
	}
	for _, tt := range tests {
		got, err := Words(tt.line)
		if err != nil {
			t.Errorf("%q: %v", tt.line, err)
		}
		if diff := cmp.Diff(tt.want, got); diff != "" {
			t.Errorf("%q: %s", tt.line, diff)
		}
	}
	for _, line := range []string{`find "counter`, `find 1/4"`, `the customer's`, `"a\"`} {
		got, err := Words(line)
		if _, usage := errors.AsType[UsageError](err); !usage {
			t.Errorf("%q is read as %q: the quote is open", line, got)
		}
	}
}

func TestRemarks(t *testing.T) {
	for line, want := range map[string]bool{"": true, "  \t": true, "# monday": true, " #x": true, "undo #57": false, "fit b1": false} {
		if IsRemark(line) != want {
			t.Errorf("%q: %t, want %t", line, !want, want)
		}
	}
}
