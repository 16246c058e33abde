package commands

import (
	"slices"
	"strings"

	"tinful/commands/line"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/dim"
	"tinful/store/words"
)

// mostOffered is how many codes, and how many words, are offered for a word.
const mostOffered = 200

// An offer is what a word may become, and what it stands for.
type offer struct{ text, about string }

// offers lists what may stand for a word behind others, in the bench line as in a
// shell. What the store cannot say is left out: at a tab nothing is told.
func offers(env Env, before []string, word string) []offer {
	root := program()
	g := flagsBefore(root, before)
	c := newCall(env, g)
	if n := len(before); n > 0 && before[0] == "tinful" {
		before = before[1:]
	}
	if n := len(before); n > 0 && line.LooksLikeFlag(before[n-1]) {
		if flag := line.AnyFlag(root, strings.TrimLeft(before[n-1], "-")); flag != nil && flag.TakesValue() {
			return valuesFor(c, flag, word)
		}
	}
	path, verb := commandsOf(root, before)
	if strings.HasPrefix(word, "-") {
		return startingWith(word, flagOffers(append([]*command{root}, path...)))
	}
	switch {
	case !verb:
		return append(startingWith(word, append(commandOffers(root.Subcommands), plainOffers(benchWords)...)), knownWords(c, word)...)
	case len(path) > 0 && path[0].Name == "on":
		return codesFrom(c, word, "job")
	case len(path) > 0:
		if after := wordsAfter(path[len(path)-1]); len(after) > 0 {
			return startingWith(word, after)
		}
	}
	return knownWords(c, word)
}

// flagsBefore are the flags of the program among words, as they may change which store
// is asked.
func flagsBefore(root *command, before []string) *line.Given {
	l := line.Line[*call]{Flags: [][]string{nil}}
	for _, t := range line.Scan(root, before) {
		if flag := line.Named(root.Flags, t.Name); !t.Word && flag != nil && t.Value != "" {
			l.Flags[0] = append(l.Flags[0], "--"+flag.Name+"="+t.Value)
		}
	}
	return l.Given(root)
}

// commandsOf are the command and subcommand that words name, flags and their values
// left out, and whether there is a word at all.
func commandsOf(root *command, before []string) (path []*command, verb bool) {
	level := root.Subcommands
	for _, t := range line.Scan(root, before) {
		if !t.Word {
			continue
		}
		verb = true
		cmd := line.Sub(level, t.Text)
		if cmd == nil {
			break
		}
		path, level = append(path, cmd), cmd.Subcommands
	}
	return path, verb
}

// wordsAfter are the words that may stand behind a command and are the program's own.
func wordsAfter(cmd *command) []offer {
	switch cmd.Name {
	case "help":
		return append(commandOffers(program().Subcommands), plainOffers(helpTopics)...)
	case "completion":
		return plainOffers(shells)
	}
	return commandOffers(cmd.Subcommands)
}

func commandOffers(commands []*command) (out []offer) {
	for _, cmd := range commands {
		if !cmd.Hidden {
			out = append(out, offer{cmd.Name, cmd.Usage})
		}
	}
	return out
}

func plainOffers(words []string) (out []offer) {
	for _, w := range words {
		out = append(out, offer{text: w})
	}
	return out
}

// flagOffers are the flags of commands, each with what it means.
func flagOffers(commands []*command) []offer {
	out := []offer{{"--help", "what the command does"}}
	for _, cmd := range commands {
		for _, flag := range cmd.Takes() {
			_, usage := flag.Words()
			out = append(out, offer{"--" + flag.Name, usage})
		}
	}
	return out
}

// valuesFor lists what may be the value of a flag: words of a list, or codes of the
// kind that its help names.
func valuesFor(c *call, flag *line.Flag, word string) []offer {
	if list := flagWords(flag.Name); list != nil {
		return startingWith(word, plainOffers(list))
	}
	switch kind := strings.ToLower(flag.Value()); {
	case slices.Contains(store.KindsOfCode, kind):
		return codesFrom(c, word, kind)
	case kind == "piece":
		return codesFrom(c, word, "bag", "part")
	}
	return nil
}

// flagWords are the words that a flag takes, nil where it takes others.
func flagWords(flag string) []string {
	switch flag {
	case "color":
		return colourWords
	case "tool":
		return dim.Tools
	case "state":
		return store.ClosedStates
	}
	return valuesOf()[flag]
}

// knownWords lists the codes and words of the store that start with a word, none for an
// empty one.
func knownWords(c *call, word string) []offer {
	if word == "" {
		return nil
	}
	list := codesFrom(c, word, store.KindsOfCode...)
	_ = c.view(func(v *store.View) error {
		found := v.WordsFrom(words.Fold(word))
		list = append(list, plainOffers(found[:min(len(found), mostOffered)])...)
		return nil
	})
	return list
}

// codesFrom lists the codes of things that start with a word, with their names.
func codesFrom(c *call, word string, kinds ...string) (list []offer) {
	_ = c.view(func(v *store.View) error {
		for _, own := range v.CodesFrom(word, mostOffered, kinds...) {
			for _, kind := range kinds {
				if name, ok := ask.NameOf(v, store.Ref{Kind: kind, Code: own}); ok {
					list = append(list, offer{string(own), name})
					break
				}
			}
		}
		return nil
	})
	return list
}

// startingWith are the offers of a list that start with a text.
func startingWith(text string, list []offer) []offer {
	return slices.DeleteFunc(slices.Clone(list), func(o offer) bool { return !strings.HasPrefix(o.text, strings.ToLower(text)) })
}
