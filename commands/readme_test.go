package commands_test

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"tinful/commands"
)

// A shown is a command of the README and what it says comes out.
type shown struct {
	args []string
	want string
	cut  bool // what follows is left out: "and so on"
}

// What the README shows of five minutes with one's own list is what comes out of
// the list that it says was filled in.
func TestReadme(t *testing.T) {
	text, err := os.ReadFile(filepath.Join("..", "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	_, section, _ := strings.Cut(string(text), "\n## Five minutes with your own list\n")
	before, _, found := strings.Cut(section, "\n## ")
	if !found {
		t.Fatal("the README has no such section")
	}
	dir := t.TempDir()
	t.Chdir(dir)
	vars := map[string]string{"XDG_DATA_HOME": filepath.Join(dir, "data"), "XDG_STATE_HOME": filepath.Join(dir, "state"), "TINFUL_BY": "R"}
	all := shownIn(before)
	if len(all) < 9 {
		t.Fatalf("the section has %d commands", len(all))
	}
	for _, s := range all {
		var out bytes.Buffer
		commands.Run(append([]string{"tinful"}, s.args...), commands.Env{
			Stdin: strings.NewReader(""), Stdout: &out, Stderr: &out,
			Now:    func() time.Time { return time.Date(2031, 9, 1, 10, 0, 0, 0, time.UTC) },
			Getenv: func(name string) string { return vars[name] },
		})
		got := strings.TrimRight(out.String(), "\n")
		if s.cut && strings.HasPrefix(got, s.want+"\n") {
			got = s.want
		}
		if got != s.want {
			t.Errorf("%s: the README has\n%s\nwhat comes out is\n%s", strings.Join(s.args, " "), s.want, got)
		}
		if s.args[0] == "template" {
			fillIn(t, s.args[1], before)
		}
	}
}

// shownIn finds the commands behind "$" in indented text, with what stands below
// them until the next.
func shownIn(section string) (all []shown) {
	open := false
	for _, line := range strings.Split(section, "\n") {
		code, indented := strings.CutPrefix(line, "    ")
		command, begins := strings.CutPrefix(code, "$ tinful ")
		switch {
		case indented && begins:
			all, open = append(all, shown{args: strings.Fields(command)}), true
		case indented && open:
			last := &all[len(all)-1]
			last.want = strings.TrimPrefix(last.want+"\n"+code, "\n")
		case strings.HasPrefix(line, "and so on"):
			all[len(all)-1].cut = true
		default:
			open = false
		}
	}
	return all
}

// fillIn puts what the README's table says into sheets: as CSV files in a folder of
// the workbook's name, which import reads as well.
func fillIn(t *testing.T, file, section string) {
	if err := os.Remove(file); err != nil { // the empty workbook
		t.Fatal(err)
	}
	if err := os.Mkdir(file, 0o777); err != nil {
		t.Fatal(err)
	}
	sheet, heads := "", []string(nil)
	for _, line := range strings.Split(section, "\n") {
		columns := strings.Split(line, "|")
		if len(columns) != 4 || !strings.Contains(line, "`") {
			continue
		}
		names, cells := cellsOf(columns[2])
		rows := ""
		if name := strings.TrimSpace(columns[1]); name != "" {
			sheet, heads, rows = name, names, strings.Join(names, ",")+"\n"
		}
		for _, h := range heads {
			rows += cells[h] + ","
		}
		appendTo(t, filepath.Join(file, strings.ToLower(sheet)+".csv"), strings.TrimSuffix(rows, ",")+"\n")
	}
}

// cellsOf reads Part `P001`, Name `release lever spring`.
func cellsOf(text string) (names []string, cells map[string]string) {
	cells = map[string]string{}
	for _, m := range regexp.MustCompile("([A-Z][A-Za-z ]*) `([^`]*)`").FindAllStringSubmatch(text, -1) {
		names, cells[m[1]] = append(names, m[1]), m[2]
	}
	return names, cells
}

func appendTo(t *testing.T, file, text string) {
	f, err := os.OpenFile(file, os.O_CREATE|os.O_APPEND|os.O_WRONLY, 0o666)
	if err != nil {
		t.Fatal(err)
	}
	_, err = f.WriteString(text)
	if err := errors.Join(err, f.Close()); err != nil {
		t.Fatal(err)
	}
}
