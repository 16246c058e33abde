package commands

import (
	"slices"
	"strings"

	"tinful/commands/line"
	"tinful/store"
	"tinful/store/words"
)

// mostOffered is how many codes, and how many words, a tab offers.
const mostOffered = 200

// complete offers what the word before the cursor may become: commands, flags and
// what the store knows. It is what liner asks at a tab; pos counts runes.
func (b *benchLine) complete(text string, pos int) (head string, list []string, tail string) {
	runes := []rune(text)
	before, tail := string(runes[:pos]), string(runes[pos:])
	at := strings.LastIndexAny(before, " \t\"'=") + 1
	head, word := before[:at], before[at:]
	list = b.offers(head, word)
	slices.Sort(list)
	list = slices.Compact(list)
	if len(list) == 1 && tail == "" {
		list[0] += " "
	}
	return head, list, tail
}

// offers lists what may stand for a word behind others.
func (b *benchLine) offers(head, word string) []string {
	root := program()
	before := strings.Fields(strings.NewReplacer(`"`, " ", "'", " ", "=", " ").Replace(head))
	if len(before) > 0 && before[0] == "tinful" {
		before = before[1:]
	}
	if n := len(before); n > 0 && line.LooksLikeFlag(before[n-1]) {
		if flag := line.AllFlags(root)[strings.TrimLeft(before[n-1], "-")]; flag != nil && flag.TakesValue() {
			return b.values(flag.Name, word)
		}
	}
	path := commandsOf(root, before)
	if strings.HasPrefix(word, "-") {
		lists := [][]*line.Flag{root.Flags}
		for _, cmd := range path {
			lists = append(lists, cmd.Flags)
		}
		return startingWith(word, append(strings.Fields(flagList(lists...)), "--help"))
	}
	first := !slices.ContainsFunc(before, func(w string) bool { return !line.LooksLikeFlag(w) })
	switch {
	case first:
		return append(startingWith(word, append(line.Names(root.Subcommands), benchWords...)), b.known(word)...)
	case len(path) > 0 && path[0].Name == "on":
		return b.codes(word, "job")
	case len(path) > 0:
		if after := wordsAfter(path[len(path)-1]); len(after) > 0 {
			return startingWith(word, after)
		}
	}
	return b.known(word)
}

// commandsOf are the command and subcommand that words begin with.
func commandsOf(root *command, before []string) []*command {
	var path []*command
	level := root.Subcommands
	for _, w := range before {
		cmd := line.Sub(level, w)
		if cmd == nil {
			break
		}
		path, level = append(path, cmd), cmd.Subcommands
	}
	return path
}

// values lists what may be the value of a flag.
func (b *benchLine) values(flag, word string) []string {
	switch flag {
	case "grade":
		return startingWith(word, store.Grades)
	case "looks":
		return startingWith(word, store.Looks)
	case "color":
		return startingWith(word, []string{"auto", "always", "never"})
	case "job", "model", "place", "donor", "part", "bag":
		return b.codes(word, flag)
	case "into", "goes-with":
		return b.codes(word, "bag")
	}
	return nil
}

// known lists the codes and words of the store that start with a word, none for an
// empty one.
func (b *benchLine) known(word string) []string {
	if word == "" {
		return nil
	}
	list := b.codes(word, store.KindsOfCode...)
	_ = b.call().view(func(v *store.View) error { // at a tab nothing is said
		found := v.WordsFrom(words.Fold(word))
		list = append(list, found[:min(len(found), mostOffered)]...)
		return nil
	})
	return list
}

// codesOf lists the codes of things that start with a word.
func (b *benchLine) codes(word string, kinds ...string) []string {
	var list []string
	_ = b.call().view(func(v *store.View) error {
		for _, c := range v.CodesFrom(word, mostOffered, kinds...) {
			list = append(list, string(c))
		}
		return nil
	})
	return list
}

// startingWith are the words of a list that start with a text.
func startingWith(text string, list []string) []string {
	var out []string
	for _, w := range list {
		if strings.HasPrefix(w, strings.ToLower(text)) {
			out = append(out, w)
		}
	}
	return out
}
