package tell

import (
	"fmt"
	"path/filepath"
	"strings"

	"tinful/store"
	"tinful/store/code"
)

// A Copy is a copy of the store in a list, with what is in it.
type Copy struct {
	store.Copy
	Held  store.Contents
	Read  bool // it is there, and was read
	Asked bool // it was written where somebody wanted it
	Away  bool // on another disk than the store's
	// Pictures are those that it names, Lacks those of them that lie nowhere near it.
	Pictures, Lacks int
}

// why is what a copy was made for.
func (c Copy) why() string {
	switch {
	case c.Asked && c.Away:
		return "asked for, on another disk"
	case c.Asked:
		return "asked for"
	case c.Why != "":
		return "before " + c.Why
	}
	return "first booking of the day"
}

func (c Copy) state() string {
	switch {
	case !c.Read:
		return "not there now"
	case c.Held.Flaw != "":
		return "DAMAGED: " + c.Held.Flaw
	}
	if c.Lacks > 0 {
		return fmt.Sprintf("whole, but for %d of %s", c.Lacks, Many(c.Pictures, "picture"))
	}
	return "whole"
}

// Copies prints copies of the store.
func Copies(s *Screen, list []Copy, today code.Day) {
	t := s.WideTable("day", "age", "bookings", "the last of", "bytes", "made", "", "file")
	for _, c := range list {
		last := ""
		if c.Held.Bookings > 0 && c.Read {
			last = c.Held.Day.String()
		}
		t.Keep(c.Day.String(), Ago(c.Day, today), fmt.Sprint(c.Held.Bookings), last, fmt.Sprint(c.Bytes), c.why(), c.state(), c.File)
	}
	s.Show(t)
}

// CopiesAnswer is the answer of backups.
func CopiesAnswer(list []Copy, today code.Day) map[string]any {
	out := []map[string]any{}
	for _, c := range list {
		a := map[string]any{"file": c.File, "day": c.Day.String(), "days": int(today - c.Day), "bytes": c.Bytes, "bookings": c.Held.Bookings,
			"ok": c.Read && c.Held.Flaw == "", "there": c.Read, "why": c.why(), "flaw": c.Held.Flaw, "away": c.Away, "pictures": c.Pictures, "lacks": c.Lacks}
		if c.Read && c.Held.Bookings > 0 {
			a["last"] = c.Held.Day.String()
		}
		out = append(out, Known(a))
	}
	return map[string]any{"backups": out}
}

// Ago is how long ago a day was.
func Ago(d, today code.Day) string {
	switch n := int(today - d); {
	case n <= 0:
		return "today"
	case n == 1:
		return "yesterday"
	default:
		return fmt.Sprintf("%d days", n)
	}
}

// Days are bookings by day as JSON.
func Days(list []store.OfDay) []map[string]any {
	return Each(list, func(d store.OfDay) map[string]any {
		return map[string]any{"day": d.Day.String(), "bookings": d.N}
	})
}

// ReplacedWords say of a store what putting a copy in its place does to the book.
func ReplacedWords(r store.Replacement) string {
	if r.Unread != nil {
		return "it cannot be read, and what it holds beyond the copy is not known"
	}
	text := "it holds no booking that the copy lacks"
	if n := r.LostBookings(); n > 0 {
		days := Each(r.Lost[:min(len(r.Lost), 5)], func(d store.OfDay) string { return fmt.Sprintf("%d of %s", d.N, d.Day) })
		text = fmt.Sprintf("it holds %s that the copy lacks, %s", Many(n, "booking"), strings.Join(days, ", "))
		if more := len(r.Lost) - len(days); more > 0 {
			text += fmt.Sprintf(" and %s before", Many(more, "day"))
		}
	}
	if r.Gained > 0 {
		text += fmt.Sprintf(", and lacks %s of the copy", Many(int(r.Gained), "booking"))
	}
	return text
}

// How old a copy may be, in days, before it is said.
const (
	oldCopy     = 7
	oldCopyAway = 31
)

// CopyWarning is what is wrong with the copies of a store, empty for nothing.
func CopyWarning(k store.Safety, today code.Day) string {
	const does = ": tinful backup FILE writes one"
	switch age, away := int(today-k.Day), int(today-k.AwayDay); {
	case !k.Known:
		return "no copy of the store is known" + does
	case age > oldCopy:
		return fmt.Sprintf("the last copy of the store is %d days old, of %s%s", age, k.Day, does)
	case !k.Away:
		return "the copies of the store lie on its own disk alone" + does + " to another"
	case away > oldCopyAway:
		return fmt.Sprintf("the last copy of the store on another disk is %d days old%s", away, does)
	}
	return ""
}

// LastCopy says when the store was copied last, and where to.
func LastCopy(k store.Safety, today code.Day, demo bool) string {
	if demo {
		return "none, a demo can be made anew"
	}
	if !k.Known {
		return "no copy is known of"
	}
	text := fmt.Sprintf("%s, %s", Ago(k.Day, today), filepath.Base(k.File))
	switch {
	case !k.Away:
		text += ", on the store's own disk alone"
	case k.AwayFile != k.File:
		text += fmt.Sprintf("; on another disk %s, %s", Ago(k.AwayDay, today), k.AwayFile)
	default:
		text += ", on another disk"
	}
	return text
}

// LastCopyAnswer is the last copy as JSON, nil where none is known.
func LastCopyAnswer(k store.Safety, today code.Day) map[string]any {
	if !k.Known {
		return nil
	}
	a := map[string]any{"day": k.Day.String(), "days": int(today - k.Day), "where": k.File, "away": k.Away}
	if k.Away {
		a["away_days"], a["away_where"] = int(today-k.AwayDay), k.AwayFile
	}
	return a
}
