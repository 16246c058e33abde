package line

import "strings"

// Nearest is the known name that name was likely meant to be, empty for none: one at
// most a third of its letters away, of equals one that it begins, else one that it
// begins.
func Nearest(name string, known []string) string {
	best, least := "", (len(name)+2)/3+1
	for _, k := range known {
		begins := strings.HasPrefix(k, strings.ToLower(name)) && !strings.HasPrefix(best, strings.ToLower(name))
		if d := distance(strings.ToLower(name), k); d < least || d == least && best != "" && begins {
			best, least = k, d
		}
	}
	if best != "" || len(name) < 2 {
		return best
	}
	for _, k := range known {
		if strings.HasPrefix(k, strings.ToLower(name)) {
			return k
		}
	}
	return ""
}

// distance counts the letters to add, drop, change or swap with their neighbour
// (optimal string alignment distance).
func distance(a, b string) int {
	rows := make([][]int, len(a)+1)
	for i := range rows {
		rows[i] = make([]int, len(b)+1)
		rows[i][0] = i
	}
	for j := range rows[0] {
		rows[0][j] = j
	}
	for i := 1; i <= len(a); i++ {
		for j := 1; j <= len(b); j++ {
			change := 1
			if a[i-1] == b[j-1] {
				change = 0
			}
			rows[i][j] = min(rows[i-1][j]+1, rows[i][j-1]+1, rows[i-1][j-1]+change)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				rows[i][j] = min(rows[i][j], rows[i-2][j-2]+1)
			}
		}
	}
	return rows[len(a)][len(b)]
}
