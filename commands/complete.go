package commands

import (
	"fmt"
	"io"
	"strings"

	"github.com/urfave/cli/v2"
)

// completionCommand prints a script that completes commands and flags. The script
// knows them by itself: no store is opened at a tab.
func completionCommand(a *app) *cli.Command {
	return &cli.Command{
		Name: "completion", Usage: "print a script that completes commands and flags in a shell",
		ArgsUsage: "bash | zsh",
		UsageText: "source <(tinful completion bash)\ntinful completion zsh > ~/.zfunc/_tinful",
		Action: a.do(func(c *call) error {
			if err := c.want(1, 1); err != nil {
				return err
			}
			var text string
			switch shell := c.Args()[0]; shell {
			case "bash":
				text = a.completionBody() + "complete -o default -F _tinful tinful\n"
			case "zsh":
				text = "#compdef tinful\nautoload -U +X bashcompinit && bashcompinit\n" +
					a.completionBody() + "complete -o default -F _tinful tinful\n"
			default:
				return usagef("no completion for %q: it is bash or zsh", shell)
			}
			_, err := io.WriteString(a.env.Stdout, text)
			return err
		}),
	}
}

// completionBody is the function _tinful, which bash reads and so does zsh through
// bashcompinit.
func (a *app) completionBody() string {
	var cases strings.Builder
	for _, cmd := range a.cli.Commands {
		if cmd.Hidden {
			continue
		}
		for _, sub := range cmd.Subcommands {
			path := cmd.Name + " " + sub.Name
			fmt.Fprintf(&cases, "    \"%s\"|\"%s \"*) words=%q ;;\n", path, path, flagList(sub.Flags, cmd.Flags))
		}
		words := strings.Join(append(a.wordsAfter(cmd), flagList(cmd.Flags)), " ")
		fmt.Fprintf(&cases, "    \"%s\"|\"%s \"*) words=%q ;;\n", cmd.Name, cmd.Name, strings.TrimSpace(words))
	}
	return fmt.Sprintf(completionText, flagList(a.cli.Flags)+" --help",
		strings.Join(names(a.cli.Commands), " "), cases.String())
}

// wordsAfter are the words that may stand behind a command and are the program's
// own.
func (a *app) wordsAfter(cmd *cli.Command) []string {
	switch cmd.Name {
	case "help":
		return append([]string{"all", "bench"}, names(a.cli.Commands)...)
	case "completion":
		return []string{"bash", "zsh"}
	}
	return names(cmd.Subcommands)
}

// completionText takes the global flags, the commands, and a case for each command.
const completionText = `_tinful() {
  local cur="${COMP_WORDS[COMP_CWORD]}" path="" word i words
  local global=%q
  for ((i = 1; i < COMP_CWORD; i++)); do
    word="${COMP_WORDS[i]}"
    case "$word" in
    -*) ;;
    *) path="${path:+$path }$word" ;;
    esac
  done
  case "$path" in
    "") words=%q ;;
%s    *) words="" ;;
  esac
  COMPREPLY=($(compgen -W "$words $global" -- "$cur"))
}
`

// flagList is flags as typed, on one line.
func flagList(lists ...[]cli.Flag) string {
	var words []string
	for _, flags := range lists {
		for _, flag := range flags {
			words = append(words, "--"+flag.Names()[0])
		}
	}
	return strings.Join(words, " ")
}
