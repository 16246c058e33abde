package commands

import (
	"fmt"
	"slices"
	"strings"

	"tinful/commands/tell"
	"tinful/store/words"
)

// mostListed is how many lines a tab lists.
const mostListed = 15

// complete offers what the word before the cursor may become; pos counts runes.
func (b *benchLine) complete(text string, pos int) (head string, list []offer, tail string) {
	runes := []rune(text)
	before, tail := string(runes[:pos]), string(runes[pos:])
	at := strings.LastIndexAny(before, " \t\"'=") + 1
	head, word := before[:at], before[at:]
	typed := strings.Fields(strings.NewReplacer(`"`, " ", "'", " ", "=", " ").Replace(head))
	list = offers(b.env, append(slices.Clone(b.flags), typed...), word)
	slices.SortFunc(list, func(a, b offer) int { return strings.Compare(a.text, b.text) })
	list = slices.CompactFunc(list, func(a, b offer) bool { return a.text == b.text })
	if len(list) == 1 && tail == "" {
		list[0].text += " "
	}
	return head, list, tail
}

// tab is what liner asks at a tab. Of several the list is printed at once, each with
// what it stands for, and the line goes as far as all of them agree.
func (b *benchLine) tab(text string, pos int) (head string, list []string, tail string) {
	head, found, tail := b.complete(text, pos)
	switch len(found) {
	case 0:
		return head, nil, tail
	case 1:
		return head, []string{found[0].text}, tail
	}
	t := &tell.Table{Wide: b.env.Width - 1}
	for _, o := range found[:min(len(found), mostListed)] {
		t.Row(o.text, o.about)
	}
	if n := len(found) - mostListed; n > 0 {
		t.Row(fmt.Sprintf("and %d more", n))
	}
	var shown strings.Builder
	_ = t.Print(&shown) // a strings.Builder takes everything
	// The terminal is in the mode of typing: a line end alone would not go to the left.
	fmt.Fprint(b.pages.out, "\r\n", strings.ReplaceAll(words.ShownLines(shown.String()), "\n", "\r\n"))
	return head, []string{shared(found)}, tail
}

// shared is the beginning that all offers have in common.
func shared(list []offer) string {
	text := list[0].text
	for _, o := range list[1:] {
		for !strings.HasPrefix(o.text, text) {
			text = text[:len(text)-1]
		}
	}
	return text
}
