package tell

import (
	"fmt"

	"tinful/store"
)

// Remarks prints remarks, each with its thing.
func Remarks(s *Screen, list []store.Remark) {
	t := s.WideTable()
	for i, r := range list {
		t.Row(fmt.Sprintf(":%d", i+1), string(r.Code), r.Day.String(), r.By, r.Text)
	}
	s.Show(t)
}

// RemarkLines are remarks on one thing, each in a line.
func RemarkLines(list []store.Remark) (lines []string) {
	for _, r := range list {
		lines = append(lines, fmt.Sprintf("%s %s: %s", r.Day, r.By, r.Text))
	}
	return lines
}

// RemarkAnswer is a remark as JSON.
func RemarkAnswer(r store.Remark) map[string]any {
	return Known(map[string]any{"kind": r.Kind, "code": r.Code, "day": r.Day, "by": r.By, "text": r.Text})
}
