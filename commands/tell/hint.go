package tell

import (
	"fmt"

	"tinful/store"
	"tinful/store/ask"
)

// Hinted are reasons in words, each with the command that helps.
func Hinted(list store.Reasons) []string {
	var out []string
	for _, r := range list {
		text := r.Text
		switch r.Kind {
		case ask.AskAgreed:
			text += fmt.Sprintf(": edit %s --agreed yes", r.Codes[0])
		case ask.AskShutter:
			text += fmt.Sprintf(": edit %s --shutter %s", r.Codes[0], r.Codes[1])
		case ask.AskLens:
			text += fmt.Sprintf(": edit %s --lens %s", r.Codes[0], r.Codes[1])
		case ask.HeldStill:
			text += fmt.Sprintf(": fit %s, or done frees it", r.Codes[0])
		case ask.HeldAfter:
			text += fmt.Sprintf(": unhold %s", r.Codes[0])
		case store.NotedBefore:
			text += fmt.Sprintf("; tinful old --job %s numbers them, and old :1 --returned says what became of one", r.Codes[0])
		case store.WasWanted:
			text += ": tinful wants says for whom"
		case ask.MoreNever:
			text += fmt.Sprintf(": tinful show %s", r.Codes[0])
		}
		out = append(out, text)
	}
	return out
}
