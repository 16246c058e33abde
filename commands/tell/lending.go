package tell

import "tinful/store/code"

// Lending says since when pieces are lent and when they should be back; in capitals
// where that day is over.
func Lending(since, due, today code.Day) string {
	text := "since " + since.String()
	switch {
	case due == 0:
		return text
	case due < today:
		return text + ", OVERDUE since " + due.String()
	case due == today:
		return text + ", due today"
	}
	return text + ", due " + due.String()
}
