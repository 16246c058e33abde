package commands

import (
	"embed"
	"fmt"
	"slices"

	"tinful/commands/line"
	"tinful/store/words"
)

func printCompletion(c *call) error {
	shell := c.Args()[0]
	text, err := completions.ReadFile("shells/" + shell + ".txt")
	if err != nil {
		return line.Usagef("no completion for %q: it is %s", shell, words.Or(shells))
	}
	_, err = c.Out.Write(text)
	return err
}

func listOffers(c *call) error {
	list := offers(c.env, c.Args(), c.String("word"))
	for i, o := range list {
		if !slices.ContainsFunc(list[:i], func(b offer) bool { return b.text == o.text }) {
			fmt.Fprintf(c.Out, "%s\t%s\n", o.text, o.about)
		}
	}
	return nil
}

// shells are the shells that completion knows.
var shells = []string{"bash", "zsh", "fish", "powershell"}

// completions are the scripts by shell.
//
//go:embed shells/*.txt
var completions embed.FS
