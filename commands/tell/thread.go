package tell

import (
	"cmp"
	"fmt"
	"strings"

	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
	"tinful/store/thread"
)

// Threads prints which threads a reading can be, form by form, each form where its
// best stands; head says what was read and is empty where the thread is known. Their
// parts are numbered on from 1.
func Threads(s *Screen, head string, found ask.Threads, traps []string) {
	if head != "" {
		s.Para("", head, false)
	}
	line := 0
	done := map[string]bool{}
	for _, first := range found.Threads {
		if done[first.Form] {
			continue
		}
		if len(done) > 0 || head != "" {
			s.Println()
		}
		done[first.Form] = true
		s.Para("", strings.Join(Filled(thread.FormName(first.Form), usedBy(first.Models)), "; "), false)
		for _, l := range found.Threads {
			if l.Form == first.Form {
				line = threadLine(s, head != "", l, line)
			}
		}
	}
	s.Lines("traps", traps, true)
}

func usedBy(models []code.Code) string {
	if len(models) == 0 {
		return ""
	}
	return "used by " + Commas(models)
}

// threadLine prints one thread with its parts, numbered on from line.
func threadLine(s *Screen, read bool, l ask.ThreadLine, line int) int {
	name := l.Thread.String()
	if l.Thread.Left {
		name = strings.TrimSuffix(name, " LH") + " LEFT-HAND"
	}
	if read {
		name += ", " + l.Match
	}
	s.Para("  ", name+": "+l.Why, false)
	if l.Into != nil {
		text := fmt.Sprintf("into %s: ", l.Into.Thread)
		if l.Into.Answer == thread.Binds {
			text += l.Into.Why // it says so itself
		} else {
			text += l.Into.Answer + ", " + l.Into.Why
		}
		s.Para("     ", strings.Join(Filled(text, l.Into.Caution), "; "), l.Into.Answer != thread.Yes)
	}
	for _, p := range l.Parts {
		line++
		s.Para("  ", fmt.Sprintf(":%d %s", line, threadPart(p)), false)
	}
	return line
}

// threadPart is a part on one line: "P022 top plate screw: 13 free; B255 6 in N2".
func threadPart(p ask.ThreadPart) string {
	bags := Each(p.Bags, func(b ask.BagLine) string {
		return fmt.Sprintf("%s %s in %s", b.Bag, store.Amount(b.Free, b.Unit, b.About), cmp.Or(string(b.Place), "no place"))
	})
	text := fmt.Sprintf("%s %s: %d free", p.Part, p.Called(), p.Free)
	return strings.Join(Filled(text, strings.Join(bags, ", "), p.Goes), "; ")
}
