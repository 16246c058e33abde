package commands

import (
	"fmt"
	"io"
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
			text, ok := completions[shell]
			if !ok {
				return line.Usagef("no completion for %q: it is %s", shell, tell.Or(shells))
			}
			_, err := io.WriteString(c.Out, text)
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
var completions = map[string]string{
	"bash": `_tinful() {
  local IFS=$'\n' word="${COMP_WORDS[COMP_CWORD]}"
  [[ $word == = ]] && word=""
  COMPREPLY=($(tinful complete "--word=$word" -- "${COMP_WORDS[@]:1:COMP_CWORD-1}" 2>/dev/null | cut -f1))
}
complete -o default -F _tinful tinful
`,
	"zsh": `#compdef tinful
_tinful() {
  local -a list
  list=(${(f)"$(tinful complete "--word=${words[CURRENT]}" -- "${(@)words[2,CURRENT-1]}" 2>/dev/null | sed 's/:/\\:/g; s/\t/:/')"})
  if (( $#list )); then _describe tinful list; else _files; fi
}
compdef _tinful tinful
`,
	"fish": `complete -c tinful -f -a '(tinful complete "--word="(commandline -ct) -- (commandline -opc)[2..-1] 2>/dev/null)'
`,
	"powershell": `Register-ArgumentCompleter -Native -CommandName tinful -ScriptBlock {
  param($word, $ast, $cursor)
  $typed = @($ast.CommandElements | Select-Object -Skip 1 | ForEach-Object { $_.ToString() })
  if ($word -ne '' -and $typed.Count -gt 0) { $typed = @($typed | Select-Object -SkipLast 1) }
  tinful complete "--word=$word" -- @typed 2>$null | ForEach-Object {
    $text, $about = $_ -split [char]9, 2
    if (-not $about) { $about = $text }
    [System.Management.Automation.CompletionResult]::new($text, $text, 'ParameterValue', $about)
  }
}
`,
}
