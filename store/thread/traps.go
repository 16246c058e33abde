package thread

import (
	"fmt"
	"slices"
	"strings"
)

// A Note is a sentence about threads, with one word for what it says.
type Note struct {
	Kind, Text string
	Threads    []Thread // those it speaks of
}

// What a note says.
const (
	NoteAlike = "alike"        // threads that diameter and pitch do not tell
	NoteTen   = "ten-threads"  // what ten threads of each pitch measure
	NoteAny   = "any-diameter" // a pitch that is cut on any diameter
	NoteCone  = "conical"      // a thread that has no one diameter
)

// Traps says which of several threads cannot be told by diameter and pitch, what
// decides between them, and what their pitches come to over ten threads. Threads
// are as a reading found them, best first.
func Traps(list []Thread) []Note {
	var out []Note
	done := map[string]bool{}
	for i, t := range list {
		if done[t.String()] {
			continue
		}
		alike := []Thread{t}
		for _, o := range list[i+1:] {
			if LookAlike(t, o) && t.Left == o.Left && !done[o.String()] && Into(t, o).Answer != Yes {
				alike = append(alike, o)
				done[o.String()] = true
			}
		}
		if len(alike) > 1 {
			out = append(out, Note{NoteAlike, cannotBeTold(alike), alike})
		}
	}
	if s := overTen(list); s != "" {
		out = append(out, Note{Kind: NoteTen, Text: s})
	}
	return out
}

func cannotBeTold(alike []Thread) string {
	var names, flanks []string
	for _, t := range alike {
		names = append(names, t.String())
		if w := FlankWord(t.Form); w != "" && !slices.Contains(flanks, w) {
			flanks = append(flanks, w)
		}
	}
	text := and(names) + " cannot be told by diameter and pitch: "
	if len(flanks) > 1 {
		text += fmt.Sprintf("look at the flanks (%s degrees), at a sister screw against the light, at the country and age of the camera; "+
			"never drive one into the hole of another: it binds after a few turns and ruins the hole", and(flanks))
	} else {
		text += "compare a sister screw against the light and look at the country and age of the camera; " +
			"never drive one into the hole of another: it tightens the farther it goes in"
	}
	return text
}

// overTen says what ten threads of each pitch measure, where there are several.
func overTen(list []Thread) string {
	by := map[int64][]string{}
	var pitches []int64
	for _, t := range list {
		if by[t.Pitch] == nil {
			pitches = append(pitches, t.Pitch)
		}
		by[t.Pitch] = append(by[t.Pitch], t.String())
	}
	if len(pitches) < 2 {
		return ""
	}
	slices.Sort(pitches)
	var bits []string
	for _, p := range pitches {
		bits = append(bits, fmt.Sprintf("%s mm %s", ten(p), strings.Join(by[p], ", ")))
	}
	return "read over ten threads, the pitch tells some of them: " + strings.Join(bits, "; ")
}

// Remarks says what a reading can be beside sizes of the lists: the rows that
// have no one diameter.
func (r Reading) Remarks() []Note {
	var out []Note
	if r.pitched(Pitch(26)) {
		out = append(out, Note{Kind: NoteAny, Text: "26 threads an inch (55 degrees) are cut on any diameter of British brass work"})
	}
	if r.pitched(500_000) && r.Diameter+r.Spread >= 2_500_000 && r.Diameter-r.Spread <= 3_500_000 {
		out = append(out, Note{Kind: NoteCone, Text: "the socket of a cable release is conical, 2.5 to 3.5 x 0.5: measure at two places"})
	}
	return out
}
