package commands

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"tinful/commands/line"
	"tinful/commands/tell"
	sheet "tinful/import"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
	"tinful/store/words"
)

func donors(c *call) error {
	wanted := append(c.List("for"), partsTyped(c.Args())...)
	if len(wanted) == 0 {
		if alone := c.SetOf("target", "offer", "offers"); len(alone) > 0 {
			return line.Usagef("--%s says nothing without a part: which parts are wanted? --for P001=2", alone[0])
		}
		return donorList(c)
	}
	target, err := targetOf(c.String("target"))
	if err != nil {
		return err
	}
	offers, err := offerLines(c)
	if err != nil {
		return err
	}
	var found ask.Cover
	err = c.looks(func(l *lookup) {
		wants, list := wantedParts(l, wanted), offersOf(l, offers)
		if l.Err == nil {
			found, l.Err = ask.Donate(l.View, wants, target, list)
		}
	})
	if err != nil {
		return err
	}
	return c.Answer(found, func() { tell.Cover(c.Screen, found) })
}

func donorList(c *call) error {
	var s ask.Shelf
	if err := c.looks(func(l *lookup) { s = asked(l, ask.Donors, c.dayNow(l.View)) }); err != nil {
		return err
	}
	c.keepAnswer(tell.Each(s.List, func(d ask.Shelved) string { return "donor:" + string(d.Donor) }))
	return c.Answer(s, func() { tell.Shelf(c.Screen, s) })
}

// targetOf reads 90%, 90 or 0.9; empty is 90 %.
func targetOf(text string) (float64, error) {
	if text == "" {
		return 0.9, nil
	}
	bare, percent := strings.CutSuffix(strings.TrimSpace(text), "%")
	x, err := strconv.ParseFloat(strings.Replace(strings.TrimSpace(bare), ",", ".", 1), 64)
	if percent || x > 1 {
		x /= 100
	}
	if err != nil || math.IsNaN(x) || x <= 0.001 || x > 1 {
		return 0, line.Usagef("--target %s: how likely is it to be, from 1%% to 100%%?", text)
	}
	return x, nil
}

// partsTyped are arguments as --for has them: codes, each with a number behind it, or
// words of one name.
func partsTyped(args []string) (out []string) {
	for i, a := range args {
		last := len(out) - 1
		switch {
		case i > 0 && line.IsNumber(a) && !strings.Contains(out[last], "="):
			out[last] += "=" + a
		case i > 0 && !line.IsCode(a) && !line.IsCode(args[i-1]) && !line.IsNumber(args[i-1]):
			out[last] += " " + a
		default:
			out = append(out, a)
		}
	}
	return out
}

// wantedParts reads what is wanted: a part by code or words, and after = how many
// pieces.
func wantedParts(l *lookup, wanted []string) (out []ask.Wanted) {
	for _, text := range wanted {
		name, number := text, "1"
		at := strings.LastIndex(text, "=")
		if at >= 0 {
			name, number = text[:at], text[at+1:]
		}
		if strings.TrimSpace(name) == "" {
			l.Keep(line.Usagef("--for %q names no part: --for P001=2", text))
		}
		p := l.part(name)
		need := piecesOf(l, p, number, at < 0)
		if i := slices.IndexFunc(out, func(w ask.Wanted) bool { return w.Part == p.Code }); i >= 0 {
			out[i].Need += need
		} else {
			out = append(out, ask.Wanted{Part: p.Code, Need: need})
		}
	}
	return out
}

// mostPieces is more than anybody wants of one part at a time.
const mostPieces = 10_000

// piecesOf reads how many pieces of a part are wanted; what is sold by length
// needs one.
func piecesOf(l *lookup, p store.Part, text string, unsaid bool) int64 {
	if l.Err != nil {
		return 0
	}
	unit := "pc"
	for _, c := range l.BagsOf(p.Code) {
		if b, err := l.Bag(c); err == nil && b.Unit != "" {
			unit = b.Unit
		}
	}
	q, err := code.ParseQty(text, unit)
	switch {
	case unsaid && unit == "mm":
		l.Err = line.Usagef("%s is kept by length: how much is wanted? --for %s=40cm", p.Code, p.Code)
	case err != nil:
		l.Err = line.AsUsage(err)
	case q.About || q.N < 1 || q.N > mostPieces:
		l.Err = line.Usagef("%s=%s: say a number of pieces from 1 to %d", p.Code, text, mostPieces)
	}
	return q.N
}

// offerLines are the offers of the line and of the file, not yet read.
func offerLines(c *call) ([]sheet.OfferRow, error) {
	var out []sheet.OfferRow
	for _, text := range c.List("offer") {
		name, rest, ok := strings.Cut(text, "=")
		bits := strings.Split(rest, ":")
		if !ok || len(bits) < 2 || len(bits) > 3 {
			return nil, line.Usagef("--offer %q: write it as CODE=PRICE:MODEL:HISTORY, X1=35.00:W2-B:meddled", text)
		}
		o := sheet.OfferRow{Offer: name, Price: bits[0], Model: bits[1]}
		if len(bits) == 3 {
			o.History = bits[2]
		}
		out = append(out, o)
	}
	file := c.String("offers")
	if file == "" {
		return out, nil
	}
	rows, ignored, err := sheet.ReadOffers(file)
	for _, column := range ignored {
		c.Notef("%s: nothing is known of a column %q; it is kept out", file, column)
	}
	return append(out, rows...), err
}

// offersOf reads the offers. All rows of a file that cannot be read are named at
// once.
func offersOf(l *lookup, rows []sheet.OfferRow) (out []ask.Offer) {
	var bad []string
	for _, r := range rows {
		var o ask.Offer
		err := l.over(l.View, func(l *lookup) { o = offerOf(l, r) })
		if err == nil && slices.ContainsFunc(out, func(x ask.Offer) bool { return x.Code == o.Code }) {
			err = line.Usagef("two offers are called %s", o.Code)
		}
		switch {
		case err == nil:
			out = append(out, o)
		case r.Line == 0:
			l.Keep(err)
			return nil
		default:
			bad = append(bad, fmt.Sprintf("row %d: %v", r.Line, err))
		}
	}
	if len(bad) > 0 {
		l.Keep(fmt.Errorf("%w: %s: %s", store.ErrBadInput, l.String("offers"), strings.Join(bad, "\n")))
	}
	return out
}

func offerOf(l *lookup, r sheet.OfferRow) (o ask.Offer) {
	o.Code = got(l, code.Parse, r.Offer)
	if _, err := l.Donor(o.Code); err == nil {
		l.Keep(line.Usagef("%s is a parts camera that is here: call the offer something else", o.Code))
	}
	if o.Price = got(l, code.ParseCents, r.Price); o.Price < 0 {
		l.Keep(line.Usagef("offer %s: a price is not below zero", o.Code))
	}
	if l.Err = line.AsUsage(l.Err); strings.TrimSpace(r.Model) == "" {
		l.Keep(line.Usagef("offer %s names no model", o.Code))
	}
	o.Model = l.code(strings.TrimSpace(r.Model), "model")
	if strings.TrimSpace(r.History) != "" && l.Err == nil {
		if o.History, l.Err = words.OneOf("history", store.Histories, r.History); l.Err != nil {
			l.Err = line.Usagef("offer %s: %w", o.Code, l.Err)
		}
	}
	return o
}
