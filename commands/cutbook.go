package commands

import (
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"strings"

	"tinful/commands/line"
	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
	"tinful/store/words"
)

// An anotherLayout says that a layout is not booked before it was seen: it is not the one
// that was shown, or has no place for all panels.
type anotherLayout struct {
	asked ask.CutQuery
	found ask.Cutting
	shown bool // another one was
}

// Error says why.
func (e *anotherLayout) Error() string {
	if e.shown {
		return "what is here has changed since this cut was shown, and the layout with it"
	}
	return "not all panels have a place"
}

// cutBooked books a layout: the one that was shown here for the same panels, or the first.
// It is found while others may book, and once more in the booking where somebody did.
func cutBooked(c *call, q ask.CutQuery, inHand string) error {
	seen := false
	var found ask.Cutting
	var asked ask.CutQuery
	of := uint64(0) // the last booking of the store that the layout is of
	lay := func(l *lookup) { asked, found = layoutFor(l, inHand, q); of = l.LastBooking() }
	book := func() (store.Result, error) {
		if c.looks(lay) != nil {
			of = 0 // the booking says what is wrong
		}
		return c.books(func(l *lookup, t *store.Tx) {
			if of == 0 || of != t.LastBooking() {
				lay(l)
			}
			place := l.flag("place")
			if l.Err != nil {
				return
			}
			switch {
			case found.Panels == 0:
				l.Err = store.Absent("%s: %s", noCut(found), strings.Join(store.Texts(found.Notes), "; "))
			case found.Placed() == 0:
				l.Err = store.Absent("%s", noCut(found))
			default:
				seen, l.Err = wasShown(c, asked, found)
			}
			if l.Err == nil {
				l.Err = ask.BookCut(t, asked, found, place, c.String("why"))
			}
		})
	}
	res, err := book()
	if e, ok := errors.AsType[*anotherLayout](err); ok {
		if err := shownAgain(c, e); err != nil {
			return err
		}
		res, err = book()
	}
	if err != nil {
		return err
	}
	keepLayout(c, asked, found)
	if c.JSON() {
		return c.PrintJSON(struct {
			tell.BookedJSON
			Cut ask.Cutting `json:"cut"`
		}{tell.BookedAnswer(res), found})
	}
	if err := tell.Booked(c.Screen, res); err != nil || seen {
		return err
	}
	c.Println()
	tell.Cut(c.Screen, found)
	return nil
}

// shownAgain shows a layout that was not seen, and goes on where it is said on the
// terminal that it is to be booked.
func shownAgain(c *call, e *anotherLayout) error {
	if c.JSON() {
		return refusef("%v: nothing is booked; ask for it without --book", e)
	}
	keepLayout(c, e.asked, e.found)
	tell.Cut(c.Screen, e.found)
	if !c.env.Terminal {
		return refusef("%v: nothing is booked; say it once more to book this one", e)
	}
	k, err := c.key(fmt.Sprintf("%v. Book this one? y(es), Enter no:", e), "yn\r")
	if err != nil {
		return err
	}
	if k != 'y' {
		return refusef("nothing is booked")
	}
	return nil
}

// layoutKeys tell what was asked for, and how it is cut, without showing it.
func layoutKeys(q ask.CutQuery, found ask.Cutting) (asked, layout string, err error) {
	sheets, err := json.Marshal(found.Sheets)
	return hashed(fmt.Sprint(q.Camera.Model, q.Job.Code, q.Panels, q.Sizes, q.From, q.Margin, q.Kerf, q.Turn, q.Spare, q.Sheets)), hashed(string(sheets)), err
}

// wasShown tells whether a layout is the one that was shown here. It refuses another than
// that, and one without a place for all panels that was not shown.
func wasShown(c *call, q ask.CutQuery, found ask.Cutting) (bool, error) {
	h, err := c.loadHand()
	if err != nil {
		return false, err
	}
	asked, layout, err := layoutKeys(q, found)
	switch {
	case err != nil:
		return false, err
	case h.Shown == [2]string{asked, layout}:
		return true, nil
	case h.Shown[0] == asked, len(found.Unplaced) > 0:
		return false, &anotherLayout{q, found, h.Shown[0] == asked}
	}
	return false, nil
}

// keepLayout keeps that a layout was shown here, and the pieces it cuts into as :1, :2.
func keepLayout(c *call, q ask.CutQuery, found ask.Cutting) {
	c.keepAnswer(tell.Each(found.Sheets, func(s ask.CutSheet) string { return "bag:" + string(s.Bag) }))
	h, err := c.loadHand()
	if err == nil {
		if h.Shown[0], h.Shown[1], err = layoutKeys(q, found); err == nil {
			err = c.saveHand(h)
		}
	}
	if err != nil {
		c.Notef("the layout is not kept: %v", err)
	}
}

// cutFailed books the slip of the blade, and says where the panel can be cut again.
func cutFailed(c *call, q ask.CutQuery) error {
	for _, flag := range []string{"for", "from", "spare", "output", "place"} {
		if c.IsSet(flag) {
			return line.Usagef("--failed books one panel that was spoilt: leave --%s out", flag)
		}
	}
	if len(c.Args()) > 0 {
		return line.Usagef("--failed names the panel that was spoilt: leave %s out", c.Args()[0])
	}
	var lost ask.Spoilt
	res, err := c.books(func(l *lookup, t *store.Tx) {
		if c.IsSet("job") {
			q.Job = l.job("")
		}
		if ref := spoiltThing(l, c.String("failed")); l.Err == nil {
			lost, l.Err = ask.Spoil(t, ref, cmp.Or(c.String("why"), "the blade slipped"), q)
		}
	})
	if err != nil {
		return err
	}
	if c.JSON() {
		return c.PrintJSON(struct {
			tell.BookedJSON
			Failed ask.Spoilt `json:"failed"`
		}{tell.BookedAnswer(res), lost})
	}
	for _, text := range tell.SpoiltWords(lost) {
		c.Println(tell.Hang(text, c.Columns(), 2))
	}
	return tell.Booked(c.Screen, res)
}

// spoiltThing reads a bag, or a part by its code or words.
func spoiltThing(l *lookup, text string) store.Ref {
	meant := l.meant(text)
	if l.Err != nil {
		return store.Ref{}
	}
	if ref, err := l.Thing(meant, "bag"); err == nil {
		return ref
	}
	p := l.part(text)
	if l.Err == nil && !words.Under(p.Class, store.Covering) {
		l.Err = notCovering(p)
	}
	return store.Ref{Kind: "part", Code: p.Code}
}

// cutWaste tells how much of the coverings was waste.
func cutWaste(c *call) error {
	if len(c.Args()) > 0 {
		return line.Usagef("--waste lays nothing out: leave %s out", c.Args()[0])
	}
	var found ask.Waste
	err := c.looks(func(l *lookup) {
		found = asked(l, ask.WasteOf, ask.WasteQuery{Period: c.String("month"), Model: l.code(c.String("for"), "model")})
	})
	if err != nil {
		return line.AsUsage(err)
	}
	if c.JSON() {
		if err := c.PrintJSON(found); err != nil {
			return err
		}
	} else if len(found.Lines) > 0 {
		tell.Waste(c.Screen, found)
	}
	return c.orNothing(len(found.Lines) > 0, "no covering was cut and booked")
}

// layoutFor is how the panels of a line are cut from what is here.
func layoutFor(l *lookup, inHand string, q ask.CutQuery) (ask.CutQuery, ask.Cutting) {
	cutWhat(l, inHand, &q)
	found := asked(l, ask.FindCut, q)
	if found.Panels == 0 && len(found.Notes) == 0 {
		l.Keep(store.Absent("%s has no panel of covering that is recorded", cmp.Or(q.Camera.Model, code.Code("it"))))
	}
	return q, found
}
