package commands

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"tinful/commands/line"
	"tinful/store"
	"tinful/store/code"
)

// oldCommand notes a piece that came out of a customer's camera, and what becomes
// of it.
func oldCommand() *command {
	return &command{
		Name: "old", Usage: "a piece that came out of a customer's camera: note it, and what becomes of it",
		ArgsUsage: "[PIECE [N] WHY | :LINE]",
		UsageText: "tinful old p3 \"broken\" --job 105\ntinful old p21 2 \"slots chewed\" --envelope E7\n" +
			"tinful old \"a stud from below the release\" \"bent\"\ntinful job 105\ntinful old :2 --returned",
		Description: "PIECE is a part, by its code or in words in quotes; words that are no part are kept as they stand. The piece stays the " +
			"customer's and is never stock. The job is --job, else the job in hand. Without arguments the old pieces of the job are listed, " +
			"numbered, and :2 with --returned, --envelope, --refused or --settled says what became of the second one. A piece lost here is noted " +
			"with lost PART --job J and stands on the job until --settled (made good), or --returned or --envelope when it was found again. " +
			"Exit code 4 when the words are several parts, the job is closed, or the piece is settled already.",
		Flags: []*line.Flag{
			line.ValueFlag("job", "it came out of the camera of this `JOB`, else the job in hand"),
			line.SwitchFlag("returned", "it was handed back"), line.ValueFlag("envelope", "it lies in this `ENVELOPE` for the customer"),
			line.SwitchFlag("refused", "the customer does not want it back"), line.SwitchFlag("settled", "of a line: it is settled as it is, a lost one made good"),
			line.SwitchFlag("words", "PIECE is words alone, no part"), line.ValueFlag("note", "`WORDS` to keep with it"),
			line.SwitchFlag("anyway", "though the job is closed"),
		},
		Action: old,
	}
}

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
	return takeOut(c, []oldWish{o})
}

// fate is what the flags say becomes of a piece, empty where they say nothing.
func fate(c *call) (string, error) {
	var said []string
	for flag, fate := range map[string]string{"returned": "returned", "refused": "refused", "settled": ""} {
		if c.Bool(flag) {
			said = append(said, fate)
		}
	}
	if c.IsSet("envelope") {
		said = append(said, "envelope")
	}
	switch len(said) {
	case 0:
		return "", nil
	case 1:
		return said[0], nil
	}
	return "", line.Usagef("one thing becomes of a piece: write one of --returned, --envelope, --refused and --settled")
}

// An oldWish is a customer's piece as it was typed: what it is in words is looked
// up when it is booked.
type oldWish struct {
	store.Old
	token []string // words of a part, empty for none
}

// oldPiece reads PIECE [N] WHY.
func oldPiece(c *call, piece string, rest []string) (oldWish, error) {
	o := oldWish{Old: store.Old{Quantity: 1}, token: []string{piece}}
	if qty, used := line.QuantityAt(rest); used > 0 && len(rest) > used {
		q, err := code.ParseQty(qty, "pc")
		if err != nil {
			return o, line.UsageError{Err: err}
		}
		if q.About {
			return o, refusef("count them: about is no number of a customer's pieces")
		}
		o.Quantity, rest = q.N, rest[used:]
	}
	var err error
	if o.Why, err = store.CleanText(strings.Join(rest, " ")); err != nil {
		return o, line.UsageError{Err: err}
	}
	o.Note = c.String("note")
	return o, nil
}

// takeOut books customer's pieces to their job, together.
func takeOut(c *call, list []oldWish) error {
	inHand, err := c.handJob()
	if err != nil {
		return err
	}
	var j store.Job
	var noted []store.Old
	var again []string
	res, err := c.book(false, func(t *store.Tx) error {
		if j, err = c.jobOf(&t.View, inHand); err != nil {
			return err
		}
		if j.Code == "" {
			return refusef("out of which camera? name the job with --job, or take it in hand with on")
		}
		for _, o := range list {
			if err := nameOld(c, &t.View, &o); err != nil {
				return err
			}
			o.Job = j.Code
			if again, err = notedBefore(&t.View, o.Old, again); err != nil {
				return err
			}
			kept, err := t.TakeOut(o.Old, c.Bool("anyway"))
			if err != nil {
				return err
			}
			noted = append(noted, kept)
		}
		return nil
	})
	if err != nil {
		return c.offer(err)
	}
	if len(again) > 0 {
		c.Notef("job %s has %s among its old pieces already: if it is the same piece, undo this; tinful old --job %s numbers them, and old :1 --returned says what became of one", j.Code, strings.Join(again, " and "), j.Code)
	}
	return toldOlds(c, res, j, noted)
}

// notedBefore adds a part to list that is among a job's old pieces and not settled.
func notedBefore(v *store.View, o store.Old, list []string) ([]string, error) {
	olds, err := v.OldOf(o.Job)
	same := func(x store.Old) bool { return o.Part != "" && x.Part == o.Part && x.Settled == 0 }
	if slices.ContainsFunc(olds, same) && !slices.Contains(list, string(o.Part)) {
		list = append(list, string(o.Part))
	}
	return list, err
}

// nameOld finds the part of a customer's piece, or keeps the words.
func nameOld(c *call, v *store.View, o *oldWish) error {
	if !c.IsSet("words") {
		p, err := partNoBag(c, v, o.token)
		if err == nil {
			o.Part = p.Code
			return nil
		}
		if !errors.Is(err, store.ErrNotFound) || line.IsCode(o.token[0]) {
			return err
		}
	}
	text, err := store.CleanText(strings.Join(o.token, " "))
	if err != nil {
		return line.UsageError{Err: err}
	}
	o.Piece = text
	return nil
}

// partNoBag is partOf for a piece that never was in a bag: a bag is stock.
func partNoBag(c *call, v *store.View, token []string) (store.Part, error) {
	one, err := c.answerLine(token[0])
	if err != nil {
		return store.Part{}, err
	}
	if len(token) == 1 && len(v.Resolve(one, "part")) == 0 && len(v.Resolve(one, "bag")) > 0 {
		return store.Part{}, refusef("%s is a bag of stock: name the part of the customer's piece", token[0])
	}
	return c.partOf(v, token)
}

// listOlds prints the old pieces of a job, numbered.
func listOlds(c *call) error {
	inHand, err := c.handJob()
	if err != nil {
		return err
	}
	return c.view(func(v *store.View) error {
		j, err := c.jobOf(v, inHand)
		if err != nil {
			return err
		}
		if j.Code == "" {
			return refusef("of which camera? name the job with --job, or take it in hand with on")
		}
		olds, err := v.OldOf(j.Code)
		if err != nil {
			return err
		}
		c.keepAnswer(oldLines(olds))
		if c.JSON() {
			return c.PrintJSON(map[string]any{"job": j.Code, "old": oldAnswers(olds)})
		}
		c.Printf("%s: %d old pieces\n", jobWords(j), len(olds))
		return printOlds(c, newShelf(v), olds)
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
	own, number, _ := cutLast(mark, "/") // a code may hold a slash
	nth, err := strconv.ParseUint(number, 10, 64)
	if !ok || err != nil {
		return line.Usagef("%s is %s, not an old piece: tinful job J numbers them", typed, shortRef(token))
	}
	var o store.Old
	var j store.Job
	res, err := c.book(false, func(t *store.Tx) (err error) {
		if j, err = t.Job(code.Code(own)); err != nil {
			return err
		}
		o, err = t.Settle(j.Code, nth, fate, c.String("envelope"), c.String("note"))
		return err
	})
	if err != nil {
		return err
	}
	return toldOlds(c, res, j, []store.Old{o})
}

func toldOlds(c *call, res store.Result, j store.Job, noted []store.Old) error {
	if c.JSON() {
		return c.PrintJSON(catalogueAnswer(res, map[string]any{"job": j.Code, "old": oldAnswers(noted)}))
	}
	var lines []string
	err := c.view(func(v *store.View) error {
		s := newShelf(v)
		for _, o := range noted {
			lines = append(lines, fmt.Sprintf("job %s: %s (%s)   %s", j.Code, oldName(s, o), o.Why, fateWords(o)))
		}
		return nil
	})
	c.Println(strings.Join(withHint(lines, fmt.Sprintf("undo: tinful undo %d", res.Booking.Number)), "\n"))
	return err
}

// lostOfJob reads the line of lost as pieces of a customer's camera: parts, with a
// job named or in hand. It is false for bags of stock.
func lostOfJob(c *call) ([]oldWish, bool, error) {
	if err := c.Want(1, -1); err != nil {
		return nil, false, err
	}
	h, err := c.loadHand()
	if err != nil {
		return nil, false, err
	}
	if c.String("job") == "" && (h.Job == "" || c.Bool("any")) {
		return nil, false, nil // any bag of a part is stock
	}
	pairs, err := line.ParsePairs(c.Args())
	if err != nil {
		return nil, false, err
	}
	var bags []string
	err = c.view(func(v *store.View) error {
		for _, p := range pairs {
			token, err := c.answerLine(p.Token)
			if err != nil {
				return err
			}
			if len(v.Resolve(token, "part")) == 0 && len(v.Resolve(token, "bag")) > 0 {
				bags = append(bags, p.Token)
			}
		}
		return nil
	})
	switch {
	case err != nil:
		return nil, false, err
	case len(bags) == len(pairs) && c.String("job") == "":
		return nil, false, nil
	case len(bags) > 0:
		return nil, false, refusef("%s is stock, and with a job lost is for pieces of its camera: name the bags in a line of their own, without --job", strings.Join(bags, ", "))
	}
	list, err := lostPieces(c, pairs)
	return list, true, err
}

func lostPieces(c *call, pairs []line.Pair) ([]oldWish, error) {
	var list []oldWish
	for _, p := range pairs {
		var rest []string
		if p.Qty != "" {
			rest = []string{p.Qty}
		}
		o, err := oldPiece(c, p.Token, append(rest, cmp.Or(c.String("why"), "lost here")))
		if err != nil {
			return nil, err
		}
		o.Fate, o.token = "lost", slices.Concat(o.token, p.Check)
		list = append(list, o)
	}
	return list, nil
}
