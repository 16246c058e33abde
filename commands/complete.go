package commands

import (
	"embed"
	"fmt"
	"slices"

	"tinful/commands/line"
	"tinful/commands/tell"
)

// completionCommand prints a script that completes what is typed in a shell: the script
// asks the program itself at a tab, so that it knows the codes of the store too.
func completionCommand() *command {
	return &command{
		Name: "completion", Usage: "print a script that completes commands, flags and codes in a shell",
		ArgsUsage: "bash | zsh | fish | powershell",
		UsageText: "source <(tinful completion bash)\ntinful completion zsh > ~/.zfunc/_tinful\n" +
			"tinful completion fish > ~/.config/fish/completions/tinful.fish\n" +
			"tinful completion powershell | Out-String | Invoke-Expression",
		Action: func(c *call) error {
			if err := c.Want(1, 1); err != nil {
				return err
			}
			shell := c.Args()[0]
			text, err := completions.ReadFile("shells/" + shell + ".txt")
			if err != nil {
				return line.Usagef("no completion for %q: it is %s", shell, tell.Or(shells))
			}
			_, err = c.Out.Write(text)
			return err
		},
	}
}

// completeCommand answers those scripts: a word a line, with what it stands for behind
// a tab.
func completeCommand() *command {
	return &command{
		Name: "complete", Hidden: true, Usage: "list what a word may become",
		ArgsUsage: "-- WORD...", UsageText: "tinful complete --word b2 -- fit",
		Flags: []*line.Flag{line.ValueFlag("word", "the `BEGINNING` of the word; the arguments stand before it")},
		Action: func(c *call) error {
			list := offers(c.env, c.Args(), c.String("word"))
			for i, o := range list {
				if !slices.ContainsFunc(list[:i], func(b offer) bool { return b.text == o.text }) {
					fmt.Fprintf(c.Out, "%s\t%s\n", o.text, o.about)
				}
			}
			return nil
		},
	}
}

// shells are the shells that completion knows.
var shells = []string{"bash", "zsh", "fish", "powershell"}

// completions are the scripts by shell.
//
//go:embed shells/*.txt
var completions embed.FS
