package page

import (
	"fmt"
	"strings"

	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
)

// A countPage is a place that is counted: one bag a screen, its figure hidden until it is
// counted; then how each stands.
type countPage struct {
	Place, Where string
	Begun        bool
	Number       string
	Bag          *countBag
	Left         int
	Bags         int // before it is begun
	Next         string
	Lines        []countLine
	Open         bool // differences that are not closed
}

// A countBag is the bag that is asked for.
type countBag struct{ Bag, Name, Tells, Origin, Unit, Skip string }

// A countLine is a bag that was counted.
type countLine struct {
	Bag, Name, To  string
	Book, Counted  string
	Likely         []string
	Open, Accepted bool
}

func showCount(v *visit) {
	pl := v.place()
	out := countPage{Place: string(pl.Code), Where: pl.Where}
	v.screen, v.Title = "count", "count "+out.Place
	number := found(v, v.view.OpenCountAt, pl.Code).Number
	if number == 0 {
		out.Bags = len(asked(v, ask.CountBags, pl.Code))
		v.Body = out
		return
	}
	out.Begun, out.Number = true, fmt.Sprint(number)
	out.ask(v, number)
	for _, l := range asked(v, ask.CountOf, store.CountID{Number: number}).Lines {
		amount := func(n int64) string { return store.Amount(n, l.Unit, false) }
		out.Open = out.Open || l.Open
		out.Lines = append(out.Lines, countLine{Bag: string(l.Bag), Name: l.Called(), To: v.Thing("bag", l.Bag), Book: amount(l.Book), Counted: amount(l.Counted), Likely: tell.Hinted(l.Likely), Open: l.Open})
	}
	v.Body = out
}

// ask finds the bag that is asked for: the first that is left behind the one passed over.
func (out *countPage) ask(v *visit, number uint64) {
	left, err := ask.LeftToCount(v.view.View, number, false)
	v.view.Keep(err)
	out.Left = len(left)
	at := 0
	for i, b := range left {
		if string(b.Bag) == v.given("past") {
			at = i + 1
		}
	}
	if at >= len(left) {
		at = 0
	}
	if len(left) > 0 {
		b := left[at]
		out.Bag = &countBag{string(b.Bag), b.Called(), b.Tells, b.Origin, b.Unit, v.Thing("count", code.Code(out.Place), "past", string(b.Bag))}
	}
}

// beginCount begins to count a place.
func beginCount(v *visit) (string, error) {
	res, err := v.book([]string{"count", v.r.PathValue("code")}, func(l *store.Lookup, t *store.Tx) {
		if ref := look(l, v.r.PathValue("code"), "place"); l.Err == nil {
			_, l.Err = t.BeginCount([]code.Code{ref.Code}, 0)
		}
	})
	return v.after(v.given("back"), res), err
}

// readCount books what was counted of a bag, and says what the book had: only now.
func readCount(v *visit) (string, error) {
	bag, text := v.given("bag"), v.given("n")
	if v.given("about") == "yes" {
		text = "c" + text
	}
	var before store.State
	var b store.Bag
	res, err := v.book([]string{"count", "enter", bag + "=" + text}, func(l *store.Lookup, t *store.Tx) {
		place, ref := look(l, v.r.PathValue("code"), "place"), look(l, bag, "bag")
		b, before = store.Got(l, t.Bag, ref.Code), store.Got(l, t.State, ref.Code)
		q, err := code.ParseQty(text, b.Unit)
		if err != nil {
			l.Keep(store.Misread("%w", err))
		}
		if open := store.Got(l, t.OpenCountAt, place.Code); l.Err == nil {
			l.Err = t.ReadIn(open.Number, store.Given{Bag: ref.Code, Qty: q, Seen: place.Code})
		}
	})
	if err != nil {
		return "", err
	}
	v.page.said.keep(res, strings.TrimSpace(fmt.Sprintf("%s: counted %s, the book had %s", b.Code, text, store.Amount(before.InDrawer(), b.Unit, before.About))))
	return v.after(v.Link("/count/"+v.r.PathValue("code")), res), nil
}

// closeCount accepts the differences that were ticked and closes the count.
func closeCount(v *visit) (string, error) {
	place := v.r.PathValue("code")
	var done ask.Closed
	typed := []string{"count", "close", place}
	for _, b := range v.r.PostForm["accept"] {
		typed = append(typed, "--accept", b)
	}
	res, err := v.book(typed, func(l *store.Lookup, t *store.Tx) {
		ref := look(l, place, "place")
		if l.Err != nil {
			return
		}
		id, _, err := ask.PickCount(l.View, ref.Code)
		l.Keep(err)
		k := store.Asked(l, ask.ClosingOf, id)
		for _, text := range v.r.PostForm["accept"] {
			if bag := look(l, text, "bag"); l.Err == nil {
				l.Err = k.Accept(bag)
			}
		}
		if l.Err == nil {
			done, l.Err = k.Close(t, v.given("why"))
		}
	})
	if err != nil {
		return "", err
	}
	said := tell.Many(len(done.Now.Lines), "bag") + " counted"
	if done.Closed {
		said += ", the count is closed"
	}
	v.page.said.keep(res, said)
	return v.after(v.Link("/count/"+place), res), nil
}
