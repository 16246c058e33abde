package ask

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/words"
)

// late is how many days may pass between a purchase and its booking before that is
// worth a look: two months. Ours.
const late = 61

// Remarks are facts of the workshop that are worth a look: no damage of the store,
// but what was booked cannot all be so, or was forgotten. Today is the program's
// day.
func Remarks(v *store.View, today code.Day) (store.Reasons, error) {
	r := &remarker{v: read(v), today: today}
	for d := range each(r.v, r.v.EachDonor) {
		r.donor(donorFacts(r.v, d))
	}
	return r.out, r.v.err
}

// DonorFacts are a donor with what was seen on it and what was booked in from it, in order
// of bags.
type DonorFacts struct {
	store.Donor
	Seen  []store.Seen
	Drawn []store.Drawn
	Part  func(code.Code) (store.Part, error) // sketches those that were drawn
}

func donorFacts(v *reader, d store.Donor) DonorFacts {
	return DonorFacts{d, got(v, v.SeenOn, d.Code), got(v, v.DrawnFrom, string(d.Code)), v.PartSketch}
}

// RemarksOnFacts are the [Remarks] on one donor, of which the rest was read.
func RemarksOnFacts(v *store.View, of DonorFacts, today code.Day) (store.Reasons, error) {
	r := &remarker{v: read(v), today: today, brief: true}
	r.donor(of)
	return r.out, r.v.err
}

func (r *remarker) donor(of DonorFacts) {
	d := of.Donor
	r.out = append(r.out, overdrawn(r.v, d, of.Drawn, of.Part)...)
	if text := bookedLate(r.v, d, r.today); text != "" {
		r.say(d, Forgotten, "%s was %s", d.Code, text)
	}
	r.lacksWhatFor(d, of.Seen)
	r.shutter(d)
}

type remarker struct {
	v     *reader
	today code.Day
	brief bool // without what was seen in an exchanged shutter
	out   store.Reasons
}

func (r *remarker) say(d store.Donor, kind store.ReasonKind, format string, args ...any) {
	r.out = append(r.out, store.Say(kind, format, args...).Of(d.Code))
}

// A drawn is what was booked in of a part from one donor.
type drawn struct {
	bags   []code.Code
	pieces int64
	unit   string
}

// byPart is what was booked in from a donor, by part.
func byPart(list []store.Drawn) map[code.Code]drawn {
	out := make(map[code.Code]drawn, len(list))
	for _, b := range list {
		x := out[b.Part]
		out[b.Part] = drawn{append(x.bags, b.Bag), x.pieces + b.Pieces, b.Unit}
	}
	return out
}

// OverdrawnAt is [Overdrawn] of the parts camera with a code, nothing where it is none.
func OverdrawnAt(v *store.View, origin code.Code) (store.Reasons, error) {
	d, err := v.Donor(origin)
	if errors.Is(err, store.ErrNotFound) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	return Overdrawn(v, d)
}

// Overdrawn says what a donor gave that one camera cannot have: units that came
// whole while what they contain came beside them (one donor, one shutter), more
// pieces than it has, and parts that never go into it.
func Overdrawn(view *store.View, d store.Donor) (store.Reasons, error) {
	v := read(view)
	out := overdrawn(v, d, got(v, v.DrawnFrom, string(d.Code)), v.PartSketch)
	return out, v.err
}

// A giver is a donor with what was booked in from it.
type giver struct {
	v    *reader
	d    store.Donor
	from map[code.Code]drawn
	in   []code.Code // its model, shutter and lens; none where it is not recorded

	said int               // statements about a part and its model
	sits []store.Statement // those by which it sits there
}

func (g *giver) within() {
	in, err := g.v.Within(g.d.Camera())
	if !errors.Is(err, store.ErrNotFound) {
		g.v.keep(err)
	}
	g.in = in
}

// look reads what is said of a part and the model of the donor: how many pieces one has
// where that may matter.
func (g *giver) look(p store.Part) {
	if g.from[p.Code].pieces <= 1 {
		g.said, g.sits = g.v.SaidBriefly(p.Code, g.d.Model)
		return
	}
	var err error
	g.said, g.sits, err = g.v.SaidOn(p.Code, g.d.Model)
	g.v.keep(err)
}

// brokenUnit is a unit that came whole while its parts came beside it.
func (g *giver) brokenUnit(unit store.Part) string {
	if len(unit.Holds) == 0 {
		return ""
	}
	gone := got(g.v, g.v.UnitLacks, store.Bag{Part: unit.Code, Origin: string(g.d.Code)})
	if len(gone) == 0 {
		return ""
	}
	return fmt.Sprintf("%s gave %s whole (%s) and also %s, which it contains: one donor, one %s; the unit cannot be complete",
		g.d.Code, unit.Code, words.List(g.from[unit.Code].bags, ", "), store.GoneWords(gone), cmp.Or(unit.Seat, "unit"))
}

// tooMany is a part of which more came than one camera has.
func (g *giver) tooMany(p store.Part) string {
	x := g.from[p.Code]
	if x.pieces <= 1 {
		return "" // no statement is of none a body
	}
	room := int64(0)
	for _, m := range g.in {
		if m == g.d.Model {
			room += store.PerModel(g.sits)
		} else {
			room += store.PerModel(got2(g.v, g.v.BelongingOn, p.Code, m))
		}
	}
	if room == 0 || x.pieces <= room {
		return ""
	}
	return fmt.Sprintf("%s gave %s of %s (%s), and one %s has %s: is the number right?",
		g.d.Code, store.Amount(x.pieces, x.unit, false), p.Code, words.List(x.bags, ", "), g.d.Model, store.Amount(room, x.unit, false))
}

// stranger is a part that never goes into the camera it came out of.
func (g *giver) stranger(p store.Part) string {
	if g.said == 1 && len(g.sits) == 1 && g.sits[0].From == "" && g.sits[0].To == "" {
		return "" // all that is said of it and this model
	}
	p = g.v.part(p.Code)
	said, err := g.v.Verdicts(p, g.d.Camera())
	if errors.Is(err, store.ErrNotFound) {
		return "" // a camera of a model that is not recorded
	}
	g.v.keep(err)
	if len(said) == 0 || slices.ContainsFunc(said, func(x store.Verdict) bool { return !x.Never() }) {
		return ""
	}
	other := "the right part"
	if twins := append(g.v.TwinsOf(p.Code), p.Twin); twins[0] != "" {
		other = string(twins[0])
	}
	return fmt.Sprintf("%s gave %s (%s), which does not go into %s (%s): is it %s?",
		g.d.Code, p.Code, words.List(g.from[p.Code].bags, ", "), g.d.Model, said[0].Words(), other)
}

// bookedLate says of a donor that it was bought and not booked for months, and what
// was asked for meanwhile: bought on 2030-06-30 and booked on 2031-08-31, 14 months
// later. It is empty for any other.
func bookedLate(v *reader, d store.Donor, today code.Day) string {
	booked := cmp.Or(d.Booked, today)
	if d.Bought == 0 || d.Owner != store.Own || booked-d.Bought <= late {
		return ""
	}
	text := fmt.Sprintf("bought on %s and booked on %s, %s later", d.Bought, d.Booked, several(months(d.Bought, booked), "month"))
	if d.Booked == 0 {
		text = fmt.Sprintf("bought on %s, %s ago, and is not booked yet", d.Bought, several(months(d.Bought, booked), "month"))
	}
	if missed := v.missed(d, booked); len(missed) > 0 {
		text += "; meanwhile " + strings.Join(missed, ", ")
	}
	return text
}

// A missing is a part that was asked for, or a job that was refused.
type missing struct {
	day  code.Day
	what string
}

// missed says what was asked for a donor's model, and which jobs were refused,
// while it lay there. Wants and jobs are read once.
func (r *reader) missed(d store.Donor, until code.Day) (out []string) {
	if r.waited == nil {
		r.waited = map[code.Code][]missing{}
		for w := range each(r, r.EachWant) {
			r.waited[w.Model] = append(r.waited[w.Model], missing{w.Date, fmt.Sprintf("%s was asked for", w.Part)})
		}
		for j := range each(r, r.EachJob) {
			if j.State == "refused" {
				r.waited[j.Model] = append(r.waited[j.Model], missing{cmp.Or(j.Closed, j.Opened), fmt.Sprintf("job %s was refused", j.Code)})
			}
		}
	}
	for _, m := range r.waited[d.Model] {
		if m.day >= d.Bought && m.day <= until {
			out = append(out, fmt.Sprintf("%s on %s", m.what, m.day))
		}
	}
	return out
}

// lacksWhatFor finds a donor that was bought for a part which it lacks: the reason
// of its purchase, or what was noted with the part, names it.
func (r *remarker) lacksWhatFor(d store.Donor, seen []store.Seen) {
	for _, s := range seen {
		if s.Seen != "missing" && s.Seen != "replaced" {
			continue
		}
		named := slices.ContainsFunc(strings.FieldsFunc(d.Why, func(r rune) bool { return r == ' ' || r == ',' || r == ';' }), func(w string) bool {
			return code.Loose(w) == code.Loose(string(s.Part))
		})
		if named || strings.Contains(strings.ToLower(s.Note), "bought for it") {
			r.say(d, LacksIt, "%s was bought for %s, which was seen %s: it is no source of it", d.Code, s.Part, s.Seen)
		}
	}
}

// shutter finds a donor whose shutter is not its own, and what was concluded from
// it all the same.
func (r *remarker) shutter(d store.Donor) {
	why := outOfStep(r.v, r.v.known(d.Model), MarksOf(d))
	if why == "" {
		return
	}
	text := fmt.Sprintf("%s: shutter %s was changed, %s; its parts are no evidence for %s", d.Code, d.Shutter, why, d.Model)
	if !r.brief {
		text = strings.Join(append([]string{text}, r.concluded(d)...), "; ")
	}
	r.say(d, OutOfStep, "%s", text)
}

// concluded are parts of the shutter that are claimed for the donor's model on its
// word, or seen as if they were its own.
func (r *remarker) concluded(d store.Donor) (out []string) {
	for _, s := range got(r.v, r.v.SeenOn, d.Code) {
		if r.v.part(s.Part).Seat == "shutter" && s.Seen != "replaced" {
			out = append(out, fmt.Sprintf("%s was seen %s and not replaced", s.Part, s.Seen))
		}
	}
	for _, c := range r.v.PartsInto(d.Model) {
		if r.v.part(c).Seat != "shutter" {
			continue
		}
		for _, g := range got2(r.v, r.v.GoesOn, c, d.Model) {
			if namesCode(g.Note, d.Code) {
				out = append(out, fmt.Sprintf("%s is claimed for %s by it", c, d.Model))
			}
		}
	}
	return out
}

// namesCode tells whether a text names a code as a word of its own.
func namesCode(text string, c code.Code) bool {
	return slices.ContainsFunc(strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == ',' || r == ';' || r == ':' || r == '(' || r == ')' }),
		func(w string) bool { return strings.EqualFold(w, string(c)) })
}

func overdrawn(v *reader, d store.Donor, list []store.Drawn, part func(code.Code) (store.Part, error)) (out store.Reasons) {
	g := &giver{v: v, d: d, from: byPart(list)}
	g.within()
	for _, c := range slices.Sorted(maps.Keys(g.from)) {
		p := got(v, part, c)
		g.look(p)
		for _, look := range []struct {
			kind store.ReasonKind
			text string
		}{{store.Incomplete, g.brokenUnit(p)}, {TooMany, g.tooMany(p)}, {Stranger, g.stranger(p)}} {
			if look.text != "" {
				out = append(out, store.Reason{Kind: look.kind, Codes: []code.Code{d.Code, p.Code}, Text: look.text})
			}
		}
	}
	return out
}
