package commands

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"tinful/commands/line"
	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/code"
)

func old(c *call) error {
	fate, err := fate(c)
	if err != nil {
		return err
	}
	args := c.Args()
	switch {
	case len(args) == 0 && fate == "" && !c.Bool("settled"):
		return listOlds(c)
	case len(args) == 1 && strings.HasPrefix(args[0], ":"):
		return settleOld(c, args[0], fate)
	}
	if err := c.Want(2, -1); err != nil {
		return err
	}
	if c.Bool("settled") {
		return line.Usagef("--settled is for a piece that is noted: tinful job lists them, old :1 --settled")
	}
	o, err := oldPiece(c, args[0], args[1:])
	if err != nil {
		return err
	}
	o.Fate, o.Where = fate, c.String("envelope")
	return takeOut(c, []store.OldItem{o})
}

// fate is what the flags say becomes of a piece, empty where they say nothing.
func fate(c *call) (string, error) {
	said := slices.DeleteFunc(c.SetOf("returned", "envelope", "refused", "settled"), func(flag string) bool { return c.String(flag) == "false" })
	switch {
	case len(said) > 1:
		return "", line.Usagef("one thing becomes of a piece: write one of --returned, --envelope, --refused and --settled")
	case len(said) == 0 || said[0] == "settled":
		return "", nil
	}
	return said[0], nil
}

// oldPiece reads PIECE [N] WHY.
func oldPiece(c *call, piece string, rest []string) (store.OldItem, error) {
	token, err := c.answerLine(piece)
	o := store.OldItem{Old: store.Old{Quantity: 1}, Name: []string{token}, WordsAre: c.IsSet("words")}
	if err != nil {
		return o, err
	}
	if qty, used := line.QuantityAt(rest); used > 0 && len(rest) > used {
		q, err := code.ParseQty(qty, "pc")
		if err != nil {
			return o, line.AsUsage(err)
		}
		if q.About {
			return o, refusef("count them: about is no number of a customer's pieces")
		}
		o.Quantity, rest = q.N, rest[used:]
	}
	if o.Why, err = store.CleanText(strings.Join(rest, " ")); err != nil {
		return o, line.AsUsage(err)
	}
	o.Note = c.String("note")
	return o, nil
}

// takeOut books customer's pieces to their job, together.
func takeOut(c *call, list []store.OldItem) error {
	inHand, err := c.handJob()
	if err != nil {
		return err
	}
	var out oldsTold
	res, err := c.books(func(l *lookup, t *store.Tx) { out = takeOutIn(l, t, inHand, list) })
	if err != nil {
		return err
	}
	return toldOlds(c, res, out)
}

// takeOutIn books customer's pieces to the job of the line or in hand.
func takeOutIn(l *lookup, t *store.Tx, inHand string, list []store.OldItem) (out oldsTold) {
	if out.job = l.job(inHand); out.job.Code == "" {
		l.Keep(refusef("out of which camera? name the job with --job, or take it in hand with on"))
	}
	if l.Err != nil {
		return out
	}
	out.olds, l.Err = t.TakeOutAll(out.job.Code, list, l.Bool("anyway"))
	l.Err = listed(l.call, l.View, nil, l.Err)
	out.name(l.View)
	return out
}

// listOlds prints the old pieces of a job, numbered.
func listOlds(c *call) error {
	inHand, err := c.handJob()
	if err != nil {
		return err
	}
	return c.looks(func(l *lookup) {
		j := l.job(inHand)
		if j.Code == "" {
			l.Keep(refusef("of which camera? name the job with --job, or take it in hand with on"))
		}
		olds := got(l, l.OldOf, j.Code)
		if l.Err != nil {
			return
		}
		c.keepAnswer(oldLines(olds))
		l.Err = c.Answer(map[string]any{"job": j.Code, "old": tell.OldAnswers(olds)}, func() {
			c.Printf("%s: %d old pieces\n", j.Words(), len(olds))
			tell.Olds(c.Screen, newShelf(l.View).name, olds)
		})
	})
}

// settleOld says what became of a line of the last answer.
func settleOld(c *call, typed, fate string) error {
	if fate == "" && !c.Bool("settled") {
		return line.Usagef("what became of %s? write --returned, --envelope E, --refused or --settled", typed)
	}
	token, err := c.answerLine(typed)
	if err != nil {
		return err
	}
	mark, ok := strings.CutPrefix(token, oldMark)
	slash := max(strings.LastIndex(mark, "/"), 0) // a code may hold a slash
	own, number := mark[:slash], strings.TrimPrefix(mark[slash:], "/")
	nth, err := strconv.ParseUint(number, 10, 64)
	if !ok || err != nil {
		return line.Usagef("%s is %s, not an old piece: tinful job J numbers them", typed, shortRef(token))
	}
	var out oldsTold
	res, err := c.books(func(l *lookup, t *store.Tx) {
		if out.job = got(l, l.Job, code.Code(own)); l.Err != nil {
			return
		}
		var o store.Old
		o, l.Err = t.Settle(out.job.Code, nth, fate, c.String("envelope"), c.String("note"))
		out.olds = []store.Old{o}
		out.name(l.View)
	})
	if err != nil {
		return err
	}
	return toldOlds(c, res, out)
}

// An oldsTold is what became of old pieces of a job, each in a line.
type oldsTold struct {
	job   store.Job
	olds  []store.Old
	lines []string
}

// name makes the lines.
func (o *oldsTold) name(v *store.View) {
	s := newShelf(v)
	for _, x := range o.olds {
		o.lines = append(o.lines, fmt.Sprintf("job %s: %s (%s)   %s", o.job.Code, tell.OldName(s.name, x), x.Why, tell.FateWords(x)))
	}
}

func toldOlds(c *call, res store.Result, out oldsTold) error {
	return c.Answer(catalogueAnswer(res, map[string]any{"job": out.job.Code, "old": tell.OldAnswers(out.olds)}), func() {
		c.Println(strings.Join(tell.WithUndo(out.lines, res), "\n"))
	})
}

// lost books pieces that cannot be found: parts, with a job named or in hand, are
// those of its camera, bags are stock.
func lost(c *call) error {
	h, err := c.loadHand()
	if err != nil {
		return err
	}
	pairs, err := c.pairs()
	if err != nil {
		return err
	}
	r := store.Request{What: store.Lost, Job: c.String("job"), InHand: code.Code(h.Job), Why: c.String("why"), Any: c.Bool("any"), Anyway: c.Bool("anyway")}
	typed := typedItems(pairs)
	if r.Items, err = meantItems(c, typed); err != nil {
		return err
	}
	return lostNow(c, r, typed, r.Job != "" || h.JobDay == c.env.today())
}

// errAskJob says that it must be asked whether the job in hand is still meant.
var errAskJob = errors.New("is the job in hand still meant?")

// lostNow books the pieces as stock or as those of a camera. Where the job in hand is
// not of today it asks first, the store closed.
func lostNow(c *call, r store.Request, typed []store.Item, meant bool) error {
	inHand := ""
	if meant {
		var err error
		if inHand, err = c.handJob(); err != nil {
			return err
		}
	}
	var out oldsTold
	var list []store.OldItem
	theirs := false
	res, err := c.books(func(l *lookup, t *store.Tx) {
		if theirs = got(l, t.OfCamera, r); l.Err != nil {
			return
		}
		if !theirs {
			l.Err = chosen(c, l.View, typed, t.Pieces(r))
			return
		}
		list, l.Err = lostPieces(c, typed)
		if !meant {
			l.Keep(errAskJob)
		}
		if l.Err == nil {
			out = takeOutIn(l, t, inHand, list)
		}
	})
	switch {
	case errors.Is(err, errAskJob):
		return takeOut(c, list)
	case err != nil:
		return err
	case theirs:
		return toldOlds(c, res, out)
	}
	return tell.Booked(c.Screen, res)
}

// lostPieces are the things of a line as pieces of a customer's camera.
func lostPieces(c *call, typed []store.Item) ([]store.OldItem, error) {
	var list []store.OldItem
	for _, p := range typed {
		var rest []string
		if p.Qty != "" {
			rest = []string{p.Qty}
		}
		o, err := oldPiece(c, p.Token, append(rest, cmp.Or(c.String("why"), "lost here")))
		if err != nil {
			return nil, err
		}
		o.Fate, o.Name = "lost", slices.Concat(o.Name, p.Check)
		list = append(list, o)
	}
	return list, nil
}
