package ask

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/odds"
	"tinful/store/ways"
)

// A holder is a parts camera that should still hold a part.
type holder struct {
	donor  *store.Donor
	seen   int // as ways has it
	left   int64
	chance odds.Chance
	group  group // of bodies nobody looked at: they share one rate
	why    string
	part   code.Code // set where several parts are asked for at once
}

func (h holder) grade() string {
	if h.seen == ways.Hurt {
		return "rework"
	}
	return ""
}

// opening says what opening the parts camera costs, nothing for one that is not
// the workshop's.
func (h holder) opening() string {
	d := h.donor
	switch {
	case d.Owner != store.Own:
		return ""
	case d.Worth != nil && d.State == "whole" && d.History == "unopened":
		return fmt.Sprintf("it is unopened and worth %s whole", *d.Worth)
	case d.Worth != nil:
		return fmt.Sprintf("it is worth %s as it stands", *d.Worth)
	case d.Price != nil:
		return fmt.Sprintf("it cost %s", openingCost(d))
	}
	return ""
}

// openingCost is what is given up when a parts camera is opened: what it is
// worth as it stands, else what was paid for it with its post.
func openingCost(d *store.Donor) code.Cents {
	if d.Worth != nil {
		return *d.Worth
	}
	return d.Paid()
}

// unstripped says that something may still be taken out of a parts camera.
func unstripped(d store.Donor) bool { return !emptied(d.State) }

func emptied(state string) bool { return state == "stripped" || state == "shell" }

// A source is where a part may come from: a donor, and how many pieces of it the
// statement names that says the part belongs there, if there is one.
type source struct {
	donor *store.Donor
	per   int64 // 1 where nobody said
	said  bool
}

// holders lists the parts cameras not yet stripped that should hold a part,
// and those that were looked at and lack it.
func (o *looking) holders(p store.Part, owner string) (list []holder, lacks []store.Looked) {
	list, lacks = o.bodiesWith(p, owner)
	for i := range list {
		o.reckon(&list[i], p.Code)
	}
	return list, lacks
}

// bodiesWith is holders before their chances are reckoned.
func (o *looking) bodiesWith(p store.Part, owner string) (list []holder, lacks []store.Looked) {
	all := o.sources(p, func(d *store.Donor) bool { return !emptied(d.State) && store.MayHave(d.Owner, owner) })
	looked := map[code.Code]string{}
	for _, l := range o.seenOf(p.Code) {
		if l.Job == "" {
			looked[l.Donor] = l.Seen
		}
	}
	var taken map[string]int64
	if len(all) > 0 {
		// A unit that was taken out whole took the part along.
		mine := func(origin string) bool {
			return slices.ContainsFunc(all, func(s source) bool { return string(s.donor.Code) == origin })
		}
		taken = takenFrom(o.v, mine, append(o.v.UnitsWith(p.Code), p.Code)...)
	}
	for _, s := range all {
		seen := looked[s.donor.Code]
		if lacking(seen) {
			lacks = append(lacks, store.Looked{Donor: s.donor.Code, Seen: "seen " + seen})
			continue
		}
		if h := s.holder(seen, taken[string(s.donor.Code)]); h.left > 0 {
			list = append(list, h)
		}
	}
	slices.SortFunc(list, func(a, b holder) int {
		return cmp.Or(cmp.Compare(a.seen, b.seen), cmp.Compare(a.donor.Code, b.donor.Code))
	})
	slices.SortFunc(lacks, func(a, b store.Looked) int { return cmp.Compare(a.Donor, b.Donor) })
	return list, lacks
}

// lacking says that a part which was seen so on a camera does not come out of it.
func lacking(seen string) bool { return seen == "missing" || seen == "replaced" }

// gives is how many pieces of a part a source should still hold after so many were taken,
// and how that is known. What was seen is there; what was not looked at is there if a
// statement says that it belongs there.
func (s source) gives(seen string, taken int64) (left int64, how int) {
	switch {
	case seen == "damaged" || seen == "stuck":
		how = ways.Hurt
	case seen != "":
		how = ways.Present
	case !s.said:
		return 0, ways.NotLooked
	default:
		how = ways.NotLooked
	}
	return s.per - taken, how
}

// holder works out what a source should still hold of a part.
func (s source) holder(seen string, taken int64) holder {
	h := holder{donor: s.donor, why: "seen present", chance: odds.Chance{Mid: 1, Low: 1, High: 1, Basis: odds.Seen}}
	h.left, h.seen = s.gives(seen, taken)
	switch {
	case h.left <= 0:
	case h.seen == ways.Hurt:
		h.why = "seen " + seen + ": as rework"
	case h.seen == ways.NotLooked:
		h.group = group{s.donor.Model, cmp.Or(s.donor.History, "unknown")}
	}
	return h
}

// reckon fills in how likely a holder holds a part: what was not looked at is there by
// its odds.
func (o *looking) reckon(h *holder, part code.Code) {
	if h.left > 0 && h.seen == ways.NotLooked {
		x := o.likely(part, h.group)
		h.chance, h.why = x.chance, x.why
	}
}

// mid is the chance of a holder alone: without its range, which takes longer to reckon.
func (o *looking) mid(h *holder, part code.Code) float64 {
	if h.seen != ways.NotLooked {
		return h.chance.Mid
	}
	k := likelihood{part, h.group}
	m, ok := o.mids[k]
	if !ok {
		m = odds.Of(odds.Planned(o.counts(part, h.group)), 1).Enough()
		o.mids[k] = m
	}
	return m
}

// A likelihood is asked of a part in the bodies of a group; fromLooks is the answer.
type likelihood struct {
	part code.Code
	in   group
}

type fromLooks struct {
	chance odds.Chance
	why    string
}

// likely is how likely a body that nobody looked into holds a part, and why: for all
// bodies of a group it is the same.
func (o *looking) likely(part code.Code, in group) fromLooks {
	k := likelihood{part, in}
	x, ok := o.there[k]
	if !ok {
		n := o.counts(part, in)
		x.chance = odds.Of(odds.Planned(n), 1).Chance(0)
		x.why = sayThere(x.chance, n, in.history)
		o.there[k] = x
	}
	return x
}

// sayThere says how likely a body is to hold a part that nobody looked for in it.
func sayThere(one odds.Chance, n odds.Counts, history string) string {
	bodies := odds.Bodies(history)
	likely := odds.Interval{Low: one.Low, High: one.High}.Likely()
	switch one.Basis {
	case odds.Guess:
		return fmt.Sprintf("nobody looked, and at none of the %s of this kind: a guess, about as likely as not", bodies)
	case odds.OtherModels:
		return fmt.Sprintf("nobody looked at this model: about %s that it is there, by %d of %d %s of other models that lacked it; %s",
			odds.Percent(one.Mid), n.Others.Missing, n.Others.Looked, bodies, likely)
	}
	var text []string
	for _, x := range []struct {
		odds.Count
		where string
	}{{n.Own, bodies}, {n.Sisters, "in sister models"}} {
		if x.Looked > 0 {
			text = append(text, fmt.Sprintf("%d of %d %s", x.Missing, x.Looked, x.where))
		}
	}
	return fmt.Sprintf("not looked at: about %s that it is there, %s (lacked by %s)", odds.Percent(one.Mid), likely, strings.Join(text, ", "))
}

// takenFrom counts the pieces of some parts that were booked in from such origins.
func takenFrom(v *reader, such func(origin string) bool, parts ...code.Code) map[string]int64 {
	taken := map[string]int64{}
	for _, p := range parts {
		for _, l := range got(v, v.LinesOf, p) {
			if such(l.Origin) {
				taken[l.Origin] += got(v, v.BookedIn, l.Bag)
			}
		}
	}
	return taken
}

// sources lists the parts cameras that a part may come from, such as are asked for: those
// of every model, or with every shutter or lens, into which it goes as it is, and those
// in which it was seen.
func (o *looking) sources(p store.Part, such func(*store.Donor) bool) []source {
	found := map[code.Code]source{}
	for _, g := range o.belonging(p.Code) {
		for _, d := range o.donorsWith(g.Model).unstripped {
			if !such(d) {
				continue
			}
			if _, ok := found[d.Code]; !ok && (d.Model != g.Model || store.InRange(d.BodyNo, g.From, g.To)) {
				found[d.Code] = source{d, g.PerBody, true}
			}
		}
	}
	for _, l := range o.seenOf(p.Code) {
		if _, ok := found[l.Donor]; ok || l.Job != "" {
			continue
		}
		if d, err := o.donor(l.Donor); err == nil && such(d) { // else seen on a camera that is not recorded
			found[l.Donor] = source{donor: d, per: 1}
		}
	}
	return slices.Collect(maps.Values(found))
}

// The bodies of a model are the parts cameras of it, or that carry the shutter or lens:
// that is noted, or no other is possible.
type bodies struct {
	model      code.Code
	of         []code.Code // models of cameras: its own, and those that may carry it
	unstripped []*store.Donor
	// last was bought last of those of which is noted who sold them, lastOf is its model by
	// its place in of; empty for none.
	last   code.Code
	lastOf int
	bought code.Day
}

// donorsWith lists the bodies of a model, read once.
func (o *looking) donorsWith(model code.Code) *bodies {
	if o.donors[model] == nil {
		o.readBodies(model)
	}
	return o.donors[model]
}

// readBodies reads the bodies of some models, in order of their codes: where many are asked
// for, one lies near to the other.
func (o *looking) readBodies(models ...code.Code) {
	type asked struct {
		by *bodies
		of int
	}
	var all []asked
	var order []code.Ranked
	var codes tags
	for _, model := range models {
		if o.donors[model] != nil {
			continue
		}
		b := &bodies{model: model, of: append([]code.Code{model}, o.v.CarriedBy(model)...)}
		o.donors[model] = b
		for of, m := range b.of {
			o.v.EachDonorOf(m, func(donor []byte) {
				order = append(order, code.Ranked{By: tagged(&codes, donor), At: int32(len(all))})
				all = append(all, asked{b, of})
			})
		}
	}
	code.Rank(order)
	peeks, donor, d := o.v.DonorPeeks(), code.Code(""), store.DonorPeek{}
	for i, r := range order {
		if i == 0 || r.By != order[i-1].By {
			donor = codes.of(r.By)
			d = got(o.v, peeks, donor)
		}
		o.addBody(all[r.At].by, all[r.At].of, donor, d)
	}
}

// addBody adds a parts camera to the bodies of a model, if it holds it.
func (o *looking) addBody(to *bodies, of int, donor code.Code, d store.DonorPeek) {
	later := d.Dealer && cmp.Or(cmp.Compare(d.Bought, to.bought), cmp.Compare(of, to.lastOf), cmp.Compare(donor, to.last)) > 0
	if !later && emptied(d.State) || !o.carries(to.of[of], d, to.model) {
		return
	}
	if later {
		to.bought, to.last, to.lastOf = d.Bought, donor, of
	}
	if !emptied(d.State) {
		if full := got(o.v, o.donor, donor); full != nil {
			to.unstripped = append(to.unstripped, full)
		}
	}
}

// carries is holds, of a parts camera of a model that was peeked at.
func (o *looking) carries(of code.Code, d store.DonorPeek, model code.Code) bool {
	switch {
	case of == model || string(d.Shutter) == string(model) || string(d.Lens) == string(model):
		return true
	case len(d.Shutter) > 0 && len(d.Lens) > 0:
		return false
	}
	return o.holds(store.Camera{Model: of, Shutter: code.Code(d.Shutter), Lens: code.Code(d.Lens)}, model)
}

// holds says whether a camera is of a model, or carries the shutter or lens: that
// is noted, or no other is possible.
func (o *looking) holds(cam store.Camera, model code.Code) bool {
	return cam.Model == model || slices.Contains(o.certain(cam), model)
}

// sure says whether a model is that of a camera, or of its shutter or lens for
// certain.
func sure(v *reader, cam store.Camera, model code.Code) bool {
	if cam.Model == model || cam.Shutter == model || cam.Lens == model {
		return true
	}
	m := v.known(model)
	may, err := v.Carried(v.known(cam.Model), m.Kind)
	return err == nil && m.Code != "" && len(may) == 1
}
