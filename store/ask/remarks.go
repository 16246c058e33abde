package ask

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"

	"tinful/store"
	"tinful/store/code"
)

// late is how many days may pass between a purchase and its booking before that is
// worth a look: two months. Ours.
const late = 61

// Remarks are facts of the workshop that are worth a look: no damage of the store,
// but what was booked cannot all be so, or was forgotten. Today is the program's
// day.
func Remarks(v *store.View, today code.Day) (store.Reasons, error) {
	r := &remarker{v: v, today: today, steps: newStepper(v)}
	err := v.EachDonor(func(d store.Donor) error {
		r.donors = append(r.donors, d)
		return nil
	})
	if err != nil {
		return nil, err
	}
	for _, d := range r.donors {
		if err := r.donor(d); err != nil {
			return nil, err
		}
	}
	return r.out, nil
}

// RemarksOn are the [Remarks] on one donor.
func RemarksOn(v *store.View, d store.Donor, today code.Day) (store.Reasons, error) {
	r := &remarker{v: v, today: today, steps: newStepper(v), brief: true}
	err := r.donor(d)
	return r.out, err
}

func (r *remarker) donor(d store.Donor) error {
	for _, look := range []func(store.Donor) error{r.unit, r.forgotten, r.lacksWhatFor, r.shutter} {
		if err := look(d); err != nil {
			return err
		}
	}
	return nil
}

type remarker struct {
	v      *store.View
	today  code.Day
	donors []store.Donor
	steps  *stepper
	brief  bool // without what was seen in an exchanged shutter
	out    store.Reasons
}

func (r *remarker) say(d store.Donor, kind store.ReasonKind, format string, args ...any) {
	r.out = append(r.out, store.Say(kind, format, args...).Of(d.Code))
}

func (r *remarker) unit(d store.Donor) error {
	list, err := Overdrawn(r.v, d)
	r.out = append(r.out, list...)
	return err
}

// A drawn is what was booked in of a part from one donor.
type drawn struct {
	bags   []code.Code
	pieces int64
	unit   string
}

// drawnFrom is what was booked in from a donor, by part.
func drawnFrom(v *store.View, d store.Donor) (map[code.Code]drawn, error) {
	out := map[code.Code]drawn{}
	for _, c := range v.BagsFrom(string(d.Code)) {
		b, err := v.Bag(c)
		if err != nil {
			return nil, err
		}
		st, err := v.State(c)
		if err != nil {
			return nil, err
		}
		if b.Part != "" && st.BookedIn > 0 {
			x := out[b.Part]
			out[b.Part] = drawn{append(x.bags, c), x.pieces + st.BookedIn, b.Unit}
		}
	}
	return out, nil
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
func Overdrawn(v *store.View, d store.Donor) (store.Reasons, error) {
	from, err := drawnFrom(v, d)
	if err != nil {
		return nil, err
	}
	g := &giver{v, d, from}
	var out store.Reasons
	for _, c := range sortedKeys(from) {
		p, err := v.Part(c)
		if err != nil {
			return nil, err
		}
		for _, look := range []struct {
			kind store.ReasonKind
			at   func(store.Part) (string, error)
		}{{store.Incomplete, g.brokenUnit}, {TooMany, g.tooMany}, {Stranger, g.stranger}} {
			text, err := look.at(p)
			if err != nil {
				return nil, err
			}
			if text != "" {
				out = append(out, store.Reason{Kind: look.kind, Codes: []code.Code{d.Code, p.Code}, Text: text})
			}
		}
	}
	return out, nil
}

// A giver is a donor with what was booked in from it.
type giver struct {
	v    *store.View
	d    store.Donor
	from map[code.Code]drawn
}

// brokenUnit is a unit that came whole while its parts came beside it.
func (g *giver) brokenUnit(unit store.Part) (string, error) {
	gone, err := g.v.UnitLacks(store.Bag{Part: unit.Code, Origin: string(g.d.Code)})
	if err != nil || len(gone) == 0 {
		return "", err
	}
	return fmt.Sprintf("%s gave %s whole (%s) and also %s, which it contains: one donor, one %s; the unit cannot be complete",
		g.d.Code, unit.Code, codeWords(g.from[unit.Code].bags), store.GoneWords(gone), cmp.Or(unit.Seat, "unit")), nil
}

// tooMany is a part of which more came than one camera has.
func (g *giver) tooMany(p store.Part) (string, error) {
	x := g.from[p.Code]
	if x.pieces <= 1 {
		return "", nil // no statement is of none a body
	}
	room, err := g.v.PerCamera(p.Code, g.d.Camera())
	if err != nil || room == 0 || x.pieces <= room {
		return "", err
	}
	return fmt.Sprintf("%s gave %s of %s (%s), and one %s has %s: is the number right?",
		g.d.Code, store.Amount(x.pieces, x.unit, false), p.Code, codeWords(x.bags), g.d.Model, store.Amount(room, x.unit, false)), nil
}

// stranger is a part that never goes into the camera it came out of.
func (g *giver) stranger(p store.Part) (string, error) {
	said, err := g.v.Verdicts(p, g.d.Camera())
	if errors.Is(err, store.ErrNotFound) {
		return "", nil // a camera of a model that is not recorded
	}
	if err != nil || len(said) == 0 || slices.ContainsFunc(said, func(x store.Verdict) bool { return !x.Never() }) {
		return "", err
	}
	other := "the right part"
	if twins := append(g.v.TwinsOf(p.Code), p.Twin); twins[0] != "" {
		other = string(twins[0])
	}
	return fmt.Sprintf("%s gave %s (%s), which does not go into %s (%s): is it %s?",
		g.d.Code, p.Code, codeWords(g.from[p.Code].bags), g.d.Model, said[0].Words(), other), nil
}

func sortedKeys[T any](m map[code.Code]T) []code.Code {
	out := make([]code.Code, 0, len(m))
	for c := range m {
		out = append(out, c)
	}
	slices.Sort(out)
	return out
}

func codeWords(list []code.Code) string {
	var out []string
	for _, c := range list {
		out = append(out, string(c))
	}
	return strings.Join(out, ", ")
}

// forgotten finds a donor that was bought and not booked for months.
func (r *remarker) forgotten(d store.Donor) error {
	text, err := bookedLate(r.v, d, r.today)
	if text != "" {
		r.say(d, Forgotten, "%s was %s", d.Code, text)
	}
	return err
}

// bookedLate says of a donor that it was bought and not booked for months, and what
// was asked for meanwhile: bought on 2030-06-30 and booked on 2031-08-31, 14 months
// later. It is empty for any other.
func bookedLate(v *store.View, d store.Donor, today code.Day) (string, error) {
	booked := cmp.Or(d.Booked, today)
	if d.Bought == 0 || d.Owner != store.Own || booked-d.Bought <= late {
		return "", nil
	}
	missed, err := missed(v, d, booked)
	if err != nil {
		return "", err
	}
	text := fmt.Sprintf("bought on %s and booked on %s, %s later", d.Bought, d.Booked, monthsLong(d.Bought, booked))
	if d.Booked == 0 {
		text = fmt.Sprintf("bought on %s, %s ago, and is not booked yet", d.Bought, monthsLong(d.Bought, booked))
	}
	if len(missed) > 0 {
		text += "; meanwhile " + strings.Join(missed, ", ")
	}
	return text, nil
}

// missed says what was asked for a donor's model, and which jobs were refused,
// while it lay there.
func missed(v *store.View, d store.Donor, until code.Day) ([]string, error) {
	var out []string
	between := func(day code.Day) bool { return day >= d.Bought && day <= until }
	err := v.EachWant(func(w store.Want) error {
		if w.Model == d.Model && between(w.Date) {
			out = append(out, fmt.Sprintf("%s was asked for on %s", w.Part, w.Date))
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	return out, v.EachJob(func(j store.Job) error {
		if j.Model == d.Model && j.State == "refused" && between(cmp.Or(j.Closed, j.Opened)) {
			out = append(out, fmt.Sprintf("job %s was refused on %s", j.Code, cmp.Or(j.Closed, j.Opened)))
		}
		return nil
	})
}

// monthsLong is the time between two days as people say it: "14 months".
func monthsLong(from, to code.Day) string {
	n := months(from, to)
	if n == 1 {
		return "1 month"
	}
	return fmt.Sprintf("%d months", n)
}

// lacksWhatFor finds a donor that was bought for a part which it lacks: the reason
// of its purchase, or what was noted with the part, names it.
func (r *remarker) lacksWhatFor(d store.Donor) error {
	seen, err := r.v.SeenOn(d.Code)
	if err != nil {
		return err
	}
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
	return nil
}

// shutter finds a donor whose shutter is not its own, and what was concluded from
// it all the same.
func (r *remarker) shutter(d store.Donor) error {
	why, err := r.steps.outOfStep(r.steps.model(d.Model), MarksOf(d))
	if err != nil || why == "" {
		return err
	}
	text := fmt.Sprintf("%s: shutter %s was changed, %s; its parts are no evidence for %s", d.Code, d.Shutter, why, d.Model)
	if !r.brief {
		wrong, err := r.concluded(d)
		if err != nil {
			return err
		}
		if len(wrong) > 0 {
			text += "; " + strings.Join(wrong, "; ")
		}
	}
	r.say(d, OutOfStep, "%s", text)
	return nil
}

// concluded are parts of the shutter that are claimed for the donor's model on its
// word, or seen as if they were its own.
func (r *remarker) concluded(d store.Donor) ([]string, error) {
	var out []string
	seen, err := r.v.SeenOn(d.Code)
	if err != nil {
		return nil, err
	}
	for _, s := range seen {
		p, err := r.v.Part(s.Part)
		if err != nil {
			return nil, err
		}
		if p.Seat == "shutter" && s.Seen != "replaced" {
			out = append(out, fmt.Sprintf("%s was seen %s and not replaced", s.Part, s.Seen))
		}
	}
	for _, c := range r.v.PartsInto(d.Model) {
		p, err := r.v.Part(c)
		if err != nil {
			return nil, err
		}
		said, err := r.v.GoesOn(c, d.Model)
		if err != nil {
			return nil, err
		}
		for _, g := range said {
			if p.Seat == "shutter" && namesCode(g.Note, d.Code) {
				out = append(out, fmt.Sprintf("%s is claimed for %s by it", c, d.Model))
			}
		}
	}
	return out, nil
}

// namesCode tells whether a text names a code as a word of its own.
func namesCode(text string, c code.Code) bool {
	return slices.ContainsFunc(strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == ',' || r == ';' || r == ':' || r == '(' || r == ')' }),
		func(w string) bool { return strings.EqualFold(w, string(c)) })
}
