package commands

import (
	"fmt"
	"io"
	"strings"
	"tinful/commands/line"
)

// completionCommand prints a script that completes commands and flags. The script
// knows them by itself: no store is opened at a tab.
func completionCommand() *command {
	return &command{
		Name: "completion", Usage: "print a script that completes commands and flags in a shell",
		ArgsUsage: "bash | zsh",
		UsageText: "source <(tinful completion bash)\ntinful completion zsh > ~/.zfunc/_tinful",
		Action: func(c *call) error {
			if err := c.Want(1, 1); err != nil {
				return err
			}
			var text string
			switch shell := c.Args()[0]; shell {
			case "bash":
				text = completionBody() + "complete -o default -F _tinful tinful\n"
			case "zsh":
				text = "#compdef tinful\nautoload -U +X bashcompinit && bashcompinit\n" +
					completionBody() + "complete -o default -F _tinful tinful\n"
			default:
				return line.Usagef("no completion for %q: it is bash or zsh", shell)
			}
			_, err := io.WriteString(c.Out, text)
			return err
		},
	}
}

// completionBody is the function _tinful, which bash reads and so does zsh through
// bashcompinit.
func completionBody() string {
	var cases strings.Builder
	for _, cmd := range program().Subcommands {
		if cmd.Hidden {
			continue
		}
		for _, sub := range cmd.Subcommands {
			path := cmd.Name + " " + sub.Name
			fmt.Fprintf(&cases, "    \"%s\"|\"%s \"*) words=%q ;;\n", path, path, flagList(sub.Flags, cmd.Flags))
		}
		words := strings.Join(append(wordsAfter(cmd), flagList(cmd.Flags)), " ")
		fmt.Fprintf(&cases, "    \"%s\"|\"%s \"*) words=%q ;;\n", cmd.Name, cmd.Name, strings.TrimSpace(words))
	}
	return fmt.Sprintf(completionText, flagList(program().Flags)+" --help",
		strings.Join(line.Names(program().Subcommands), " "), cases.String())
}

// wordsAfter are the words that may stand behind a command and are the program's
// own.
func wordsAfter(cmd *command) []string {
	switch cmd.Name {
	case "help":
		return append([]string{"all", "bench"}, line.Names(program().Subcommands)...)
	case "completion":
		return []string{"bash", "zsh"}
	}
	return line.Names(cmd.Subcommands)
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
func flagList(lists ...[]*line.Flag) string {
	var words []string
	for _, flags := range lists {
		for _, flag := range flags {
			words = append(words, "--"+flag.Name)
		}
	}
	return strings.Join(words, " ")
}
