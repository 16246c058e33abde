package words

import "strings"

// Nearest is the known name that name was likely meant to be, empty for none: one at
// most a third of its letters away, of equals one that it begins, else one that it
// begins.
func Nearest(name string, known []string) string {
	best, least := "", (len(name)+2)/3+1
	for _, k := range known {
		begins := strings.HasPrefix(k, strings.ToLower(name)) && !strings.HasPrefix(best, strings.ToLower(name))
		if apart(name, k) > least {
			continue
		}
		if d := Distance(strings.ToLower(name), k); d < least || d == least && best != "" && begins {
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
