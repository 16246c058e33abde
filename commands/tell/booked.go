package tell

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/mattn/go-runewidth"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/dim"
)

// BookedJSON is the answer of every booking.
type BookedJSON struct {
	Booking uint64           `json:"booking"`
	Undone  uint64           `json:"undone,omitempty"` // the booking that was taken back
	Entries []EntryJSON      `json:"entries"`
	Bags    []BagJSON        `json:"bags"`
	Short   []store.Shortage `json:"short"`
}

// EntryJSON is an entry in the answer of a booking.
type EntryJSON struct {
	Entry    uint64    `json:"entry"`
	What     string    `json:"what"`
	Bag      code.Code `json:"bag"`
	Part     code.Code `json:"part,omitempty"`
	Quantity int64     `json:"quantity"`
	Job      code.Code `json:"job,omitempty"`
	To       string    `json:"to,omitempty"`
	Why      string    `json:"why,omitempty"`
	Day      string    `json:"day,omitempty"`
	Unsure   bool      `json:"unsure"` // which bag of the part it was
}

// BagJSON is a bag after a booking.
type BagJSON struct {
	Bag    code.Code `json:"bag"`
	Part   code.Code `json:"part,omitempty"`
	OnHand int64     `json:"on_hand"`
	Free   int64     `json:"free"`
	Held   int64     `json:"held"`
	Lent   int64     `json:"lent"`
	Unit   string    `json:"unit,omitempty"`
	About  bool      `json:"about"`
	Grade  string    `json:"grade,omitempty"`
	Place  code.Code `json:"place,omitempty"`
}

// Booked prints what a booking changed: every bag before and after, what is now
// short, how to take it back, and what is likely to run out.
func Booked(s *Screen, res store.Result) error {
	if s.JSON() {
		return s.PrintJSON(BookedAnswer(res))
	}
	if res.Booking.Number == 0 {
		s.Println("nothing changed")
		return nil
	}
	lines := Changes(res)
	for _, bag := range goneBags(res) {
		lines = append(lines, fmt.Sprintf("%s  is taken out of the book again", bag))
	}
	if res.Booking.Kind != "undo" {
		lines = WithUndo(lines, res)
	}
	for _, line := range append(lines, Shortages(res)...) {
		s.Println(line)
	}
	s.Said(res, true)
	return nil
}

// Said notes what is said beside a booking: what is likely to run out, or all else.
func (s *Screen) Said(res store.Result, low bool) {
	for i, text := range Hinted(res.Said) {
		if (res.Said[i].Kind == store.RunsLow) == low {
			s.Notef("%s", text)
		}
	}
}

// Changes are the bags of a booking, each before and after.
func Changes(res store.Result) (lines []string) {
	for _, ch := range res.Bags {
		lines = append(lines, changeLine(ch, res.Entries))
	}
	return lines
}

// Shortages name the parts of a booking that run short.
func Shortages(res store.Result) (lines []string) {
	for _, short := range res.Short {
		if unit, changed := figuresChanged(res.Bags, short.Part); changed {
			lines = append(lines, fmt.Sprintf("short: %s has %s free, keep %s", short.Part, store.Amount(short.Free, unit, false), store.Amount(short.Keep, unit, false)))
		}
	}
	return lines
}

// BookedAnswer is a booking as JSON.
func BookedAnswer(res store.Result) BookedJSON {
	out := BookedJSON{Booking: res.Booking.Number, Undone: res.Booking.Undoes, Entries: []EntryJSON{}, Bags: []BagJSON{}, Short: append([]store.Shortage{}, res.Short...)}
	parts := map[code.Code]code.Code{}
	for _, ch := range res.Bags {
		parts[ch.Bag.Code] = ch.Bag.Part
		out.Bags = append(out.Bags, bagAfter(ch.Bag, ch.After))
	}
	for _, e := range res.Entries {
		out.Entries = append(out.Entries, EntryAnswer(e, parts[e.Bag]))
	}
	return out
}

// EntryAnswer is an entry as JSON, with the part of its bag.
func EntryAnswer(e store.Entry, part code.Code) EntryJSON {
	return EntryJSON{e.Seq, e.What.String(), e.Bag, part, e.Quantity, e.Job, e.To, e.Why, e.Day.String(), e.Unsure}
}

func bagAfter(b store.Bag, st store.State) BagJSON {
	return BagJSON{b.Code, b.Part, st.OnHand(), b.Free(st), st.Held(), st.Lent(), b.Unit, st.About, st.Grade, st.Place}
}

// goneBags are the bags of a booking's entries that are no bags any more: undo took
// their booking in back.
func goneBags(res store.Result) []code.Code {
	var gone []code.Code
	for _, e := range res.Entries {
		is := func(ch store.Change) bool { return ch.Bag.Code == e.Bag }
		if !slices.ContainsFunc(res.Bags, is) && !slices.Contains(gone, e.Bag) {
			gone = append(gone, e.Bag)
		}
	}
	return gone
}

// figuresChanged tells whether a part's pieces are others than before, and their unit: a
// move or a grade leaves them alone.
func figuresChanged(bags []store.Change, part code.Code) (unit string, changed bool) {
	met := false
	for _, ch := range bags {
		if ch.Bag.Part != part {
			continue
		}
		met, unit = true, ch.Bag.Unit
		if ch.Before.Free() != ch.After.Free() || ch.Before.OnHand() != ch.After.OnHand() || ch.Before.Bag == "" {
			return unit, true
		}
	}
	return unit, !met // the part itself was changed
}

// WithUndo says behind the last line, or below it where it does not fit, how the
// booking is taken back.
func WithUndo(lines []string, res store.Result) []string {
	hint := fmt.Sprintf("undo: tinful undo %d", res.Booking.Number)
	if n := len(lines); n > 0 {
		last := lines[n-1]
		tail := last[strings.LastIndex(last, "\n")+1:]
		if runewidth.StringWidth(tail)+3+runewidth.StringWidth(hint) <= Width {
			lines[n-1] = last + "   " + hint
			return lines
		}
	}
	return append(lines, hint)
}

// changeLine is one bag of a booking: B203 film stop pawl spring  1 -> 0   for job 106.
func changeLine(ch store.Change, entries []store.Entry) string {
	name := cmp.Or(ch.Part.Called(), "of no known part")
	if ch.Bag.Cut != "" {
		name += ", " + store.SizeWords(ch.Bag.Dims[dim.Width], ch.Bag.Dims[dim.Length])
	}
	line := fmt.Sprintf("%s %s", ch.Bag.Code, name)
	if what := difference(ch); what != "" {
		line += "  " + what
	}
	width := runewidth.StringWidth(line)
	for _, word := range changeWords(ch, entries) {
		gap := "   "
		if width+3+runewidth.StringWidth(word) > Width {
			gap, width = "\n     ", 2
		}
		line, width = line+gap+word, width+3+runewidth.StringWidth(word)
	}
	return line
}

// difference is what a bag was and is: its number, else what of it is free, then
// place and grade.
func difference(ch store.Change) string {
	was, now, unit := ch.Before, ch.After, ch.Bag.Unit
	arrow := func(a, b int64) string {
		return store.Amount(a, unit, was.About && was.Bag != "") + " -> " + store.Amount(b, unit, now.About)
	}
	var out []string
	switch {
	case was.OnHand() != now.OnHand():
		out = append(out, arrow(was.OnHand(), now.OnHand()))
	case was.Free() != now.Free():
		out = append(out, "free "+arrow(was.Free(), now.Free()))
	}
	if was.Bag == "" {
		return strings.Join(out, "  ")
	}
	if was.Place != now.Place {
		out = append(out, fmt.Sprintf("%s -> %s", was.Place, now.Place))
	}
	if was.Grade != now.Grade {
		out = append(out, fmt.Sprintf("%s -> %s", was.Grade, now.Grade))
	}
	return strings.Join(out, "  ")
}

// changeWords say what became of a bag's pieces.
func changeWords(ch store.Change, entries []store.Entry) []string {
	var out []string
	add := func(word string) {
		if word != "" && !slices.Contains(out, word) {
			out = append(out, word)
		}
	}
	for i, e := range entries {
		switch {
		case e.Bag == ch.Bag.Code && e.What == store.Unheld && fitsNext(entries, i):
			continue // said of what is fitted
		case e.Bag == ch.Bag.Code && i > 0 && fitsNext(entries, i-1) && entries[i-1].What == store.Unheld:
			add(entryWords(e) + " (was held)")
		case e.Bag == ch.Bag.Code:
			add(entryWords(e))
		case (e.What == store.Split || e.What == store.Joined) && e.To == string(ch.Bag.Code):
			add("from " + string(e.Bag))
		}
		if e.Bag == ch.Bag.Code && e.What == store.In && e.Undoes == 0 && ch.Bag.Cut != "" {
			add("cut from " + string(ch.Bag.Cut))
		}
		if e.Bag == ch.Bag.Code && e.Unsure {
			add("which bag: unsure")
		}
	}
	if ch.Before.Bag == "" && ch.After.Place != "" {
		add("in " + string(ch.After.Place))
	}
	return out
}

// fitsNext tells whether the entry after i fits what entry i gave back.
func fitsNext(entries []store.Entry, i int) bool {
	return i+1 < len(entries) && entries[i+1].What == store.Fitted && entries[i+1].Bag == entries[i].Bag
}

// entryWords is one entry in words, empty where the figures say it all.
func entryWords(e store.Entry) string {
	if e.Undoes != 0 {
		return ""
	}
	switch e.What {
	case store.Fitted:
		return fmt.Sprintf("for job %s", e.Job)
	case store.Held:
		return fmt.Sprintf("held for job %s", e.Job)
	case store.Unheld:
		return fmt.Sprintf("no longer held for job %s", e.Job)
	case store.Returned:
		if e.Job != "" {
			return fmt.Sprintf("back from job %s", e.Job)
		}
		return "back from " + e.To
	case store.Lent:
		if e.Due != 0 {
			return fmt.Sprintf("lent to %s, due back on %s", e.To, e.Due)
		}
		return "lent to " + e.To
	case store.Sold:
		return soldWords(e)
	case store.Split:
		return "split into " + e.To
	case store.Joined:
		return "joined to " + e.To
	case store.Cut:
		return CutWords(e)
	case store.Lost, store.Found, store.Scrapped, store.Corrected:
		return e.What.String()
	}
	return ""
}

func soldWords(e store.Entry) string {
	text := "sold"
	if e.To != "" {
		text += " to " + e.To
	}
	if e.Amount != 0 {
		text += " for " + e.Amount.String()
	}
	if strings.HasPrefix(e.Why, store.MadeNotOriginal) {
		text += " as " + store.MadeNotOriginal
	}
	return text
}
