package thread

import (
	"fmt"
	"strconv"
	"strings"
	"unicode"
)

// Parse reads the cell of a thread. Beside the canonical forms it understands
// M1.7x0.35, M2 (the coarse pitch of the table), S0.3, 0.30 UNM, 10 BA, BA10,
// 0-80 UNF, 1/4-20 BSW, a decimal comma, × for x, LH or left behind, and a size without a form,
// which is unknown. Errors wrap [ErrNoThread] and name what was read.
func Parse(cell string) (Thread, error) {
	words, left, err := split(cell)
	if err != nil {
		return Thread{}, fmt.Errorf("%q is %w: %w", cell, ErrNoThread, err)
	}
	form, size := cutForm(words)
	if rest, ok := strings.CutPrefix(size, "s"); ok && form == Unknown && len(words) == 1 && strings.Contains(rest, ".") {
		form, size = Metric, rest // S0.3 of ISO 1501; S1 may be a drawer
	}
	t, err := parseSize(form, size)
	if err != nil {
		return Thread{}, fmt.Errorf("%q is %w: %w", cell, ErrNoThread, err)
	}
	t.Left = left
	return t, nil
}

// Meant tells whether a text that may be no thread was meant for one: it starts
// with a number or with a form.
func Meant(text string) bool {
	words, _, err := split(text)
	if err != nil {
		return false
	}
	form, size := cutForm(words)
	return form != Unknown || size != "" && strings.IndexAny(size[:1], ".0123456789") == 0
}

// split returns the words of a cell in lower case without those for its hand.
func split(cell string) (words []string, left bool, err error) {
	if len(cell) > 80 {
		return nil, false, fmt.Errorf("it is too long")
	}
	s := strings.ToLower(cell)
	s = strings.NewReplacer("×", "x", ",", ".", "\"", "", "″", "", "#", "").Replace(s)
	for _, w := range strings.Fields(s) {
		w, left = cutHand(w, left)
		if w != "" {
			words = append(words, w)
		}
	}
	if len(words) == 0 {
		return nil, false, fmt.Errorf("write it as metric 1.7x0.35, BA 10 or unified 0-80")
	}
	return words, left, nil
}

// cutHand takes a hand off the end of w: LH, left, left-hand, and RH likewise.
func cutHand(w string, left bool) (string, bool) {
	switch w {
	case "lh", "left", "left-hand":
		return "", true
	case "rh", "right", "right-hand":
		return "", left
	}
	if r, ok := strings.CutSuffix(w, "-lh"); ok {
		return r, true
	}
	return w, left
}

// cutForm parts the form from the size; the form may stand before or behind.
func cutForm(words []string) (form, size string) {
	last := len(words) - 1
	if f, ok := ParseForm(words[0]); ok {
		return f, strings.Join(words[1:], "")
	}
	if f, ok := ParseForm(words[last]); ok {
		return f, strings.Join(words[:last], "")
	}
	size = strings.Join(words, "")
	head := strings.IndexFunc(size, func(r rune) bool { return !unicode.IsLetter(r) })
	if head > 0 {
		if f, ok := ParseForm(size[:head]); ok {
			return f, size[head:]
		}
	}
	tail := strings.LastIndexFunc(size, func(r rune) bool { return !unicode.IsLetter(r) }) + 1
	if tail > 0 && tail < len(size) {
		if f, ok := ParseForm(size[tail:]); ok {
			return f, size[:tail]
		}
	}
	return Unknown, size
}

func parseSize(form, size string) (Thread, error) {
	if size == "" {
		return Thread{}, fmt.Errorf("its size belongs behind the form, as metric 1.7x0.35 or BA 10")
	}
	if form == BA {
		return parseBA(size)
	}
	if d, p, ok := strings.Cut(size, "x"); ok {
		return parsePair(form, d, p)
	}
	if d, tpi, ok := strings.Cut(size, "-"); ok && (form == Unified || form == Whitworth || form == Unknown) {
		return parseInch(form, d, tpi)
	}
	if form == Metric || form == Loewenherz || form == Unified && strings.Contains(size, ".") {
		return parseBare(form, size)
	}
	return Thread{}, fmt.Errorf("write the size as diameter and pitch, 1.7x0.35, or for inch threads as 0-80 or 1/4-20")
}

// parseBA reads the number of a BA size.
func parseBA(size string) (Thread, error) {
	n, err := strconv.Atoi(size)
	if err != nil || size[0] == '+' || size[0] == '-' {
		return Thread{}, fmt.Errorf("a BA size is one number, as BA 10")
	}
	t, ok := tables().ba[n]
	if !ok {
		return Thread{}, fmt.Errorf("there is no BA size %d in the table, which ends with %d", n, len(tables().ba)-1)
	}
	return t, nil
}

// parsePair reads diameter and pitch in millimetres.
func parsePair(form, d, p string) (Thread, error) {
	major, ok := millimetres(d)
	pitch, ok2 := millimetres(p)
	if !ok || !ok2 {
		return Thread{}, fmt.Errorf("write diameter and pitch in millimetres, as 1.7x0.35")
	}
	return pair(form, major, pitch)
}

func pair(form string, major, pitch int64) (Thread, error) {
	t := Thread{Form: form, Major: major, Pitch: pitch, Size: decimal(major) + "x" + decimal(pitch)}
	return t, checkSize(t)
}

// parseBare reads a diameter alone, whose pitch stands in the table.
func parseBare(form, size string) (Thread, error) {
	major, ok := millimetres(size)
	if !ok {
		return Thread{}, fmt.Errorf("write diameter and pitch in millimetres, as 1.7x0.35")
	}
	pitch, ok := tables().coarse[diameter{form, major}]
	if !ok {
		return Thread{}, fmt.Errorf("the table has no pitch for %s: write diameter and pitch, as 1.7x0.35", size)
	}
	return pair(form, major, pitch)
}

// parseInch reads a diameter in inches, a fraction or the number of a screw,
// and threads per inch.
func parseInch(form, d, tpi string) (Thread, error) {
	tpi = strings.TrimSuffix(tpi, "tpi")
	per, ok := count(tpi)
	if !ok || per < 4 || per > 400 {
		return Thread{}, fmt.Errorf("write an inch size as diameter and threads per inch, 0-80 or 1/4-20")
	}
	pitch := (nmPerInch + per/2) / per
	major, name, ok := inchDiameter(form, d, pitch)
	if !ok {
		return Thread{}, fmt.Errorf("%s is no diameter of an inch thread: write 0-80 or 1/4-20", d)
	}
	t := Thread{Form: form, Major: major, Pitch: pitch, Size: fmt.Sprintf("%s-%d", name, per)}
	return t, checkSize(t)
}

// Bounds of what is taken for a thread, in nanometres.
const (
	minMajor = 200_000
	maxMajor = 200_000_000
	minPitch = 20_000
)

func checkSize(t Thread) error {
	switch {
	case t.Major < minMajor || t.Major > maxMajor:
		return fmt.Errorf("a diameter of %s mm is none (0.2 to 200)", decimal(t.Major))
	case t.Pitch < minPitch:
		return fmt.Errorf("a pitch of %s mm is none (0.02 and more)", decimal(t.Pitch))
	case t.Pitch*2 >= t.Major:
		return fmt.Errorf("a pitch of %s mm is too coarse for a diameter of %s mm: the diameter stands first", decimal(t.Pitch), decimal(t.Major))
	}
	return nil
}
