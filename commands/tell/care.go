package tell

import (
	"slices"
	"strings"

	"tinful/store/ask"
	"tinful/store/code"
)

// Care prints cautions. What all of them defer to is said once, at the end. Those that
// were said for the job in hand already are only named.
func Care(s *Screen, cautions []string) {
	var out, again []string
	for _, text := range cautions {
		text = strings.TrimSuffix(text, "; "+ask.Deference)
		if !slices.Contains(out, text) {
			out = append(out, text)
		}
	}
	job := ""
	if s.CareSaid != nil && len(out) > 0 {
		var said []string
		said, job = s.CareSaid(careKeys(out))
		again = slices.DeleteFunc(slices.Clone(out), func(text string) bool { return !slices.Contains(said, careKey(text)) })
		out = slices.DeleteFunc(out, func(text string) bool { return slices.Contains(again, text) })
	}
	if len(out) > 0 {
		s.Lines("take care", append(out, ask.Deference), true)
	}
	if len(again) > 0 {
		s.Lines("take care, as said for job "+job, []string{strings.Join(Each(again, careName), "; ")}, true)
	}
}

// CareLine are cautions in one line, for paper; empty where there are none.
func CareLine(cautions []string) string {
	var out []string
	for _, text := range cautions {
		if text = strings.TrimSuffix(text, "; "+ask.Deference); !slices.Contains(out, text) {
			out = append(out, text)
		}
	}
	if len(out) == 0 {
		return ""
	}
	return "TAKE CARE: " + strings.Join(out, "; ") + "; " + ask.Deference
}

// careKey is a caution without the parts it is about: the same matter is told by it.
func careKey(text string) string {
	head, rest, ok := strings.Cut(text, ": ")
	for c := range strings.SplitSeq(head, ", ") {
		if p, err := code.Parse(c); err != nil || string(p) != c || !strings.ContainsAny(c, "0123456789") {
			return text
		}
	}
	if !ok {
		return text
	}
	return rest
}

func careKeys(list []string) []string { return Each(list, careKey) }

// careName is what a caution is about, without what is to be done.
func careName(text string) string {
	key := careKey(text)
	about, _, _ := strings.Cut(key, ":")
	return strings.TrimSuffix(text, key) + about
}
