package ask

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"tinful/store"
	"tinful/store/code"
	"tinful/store/odds"
	"tinful/store/reorder"
)

// told fills in risk, when to look for the next, and the reasons.
func (l *lower) told(line *LowLine) {
	p := l.part(line.Part)
	u := l.use(p, l.v.figure(line.Part), line.Wants)
	line.Whole = true
	onHand := store.Say(OnHand, "%s free.", amountOr(line.Free))
	if line.Keep != nil {
		onHand = store.Say(OnHand, "%s free, keep %d.", amountOr(line.Free), *line.Keep)
	}
	line.Why = store.Reasons{onHand}
	for _, h := range u.held {
		line.Why = append(line.Why, store.Say(HeldFor, "%d held for job %s.", h.N, h.Who).Of(code.Code(h.Who)))
	}
	if len(u.wants) > 0 {
		line.Why = append(line.Why, store.Say(InVain, "%s", sayWants(u.wants)))
	}
	d := l.demand(p, u)
	l.risk(line, d)
	if line.Risk == nil {
		line.Why = append(line.Why, store.Say(YoungBook, "The book is too young to say how likely it runs out."))
	} else {
		line.Why = append(line.Why, store.Say(Demanded, "%s", d.Say(line.Free, lasting, odds.Percent)))
	}
	l.dates(&u)
	if then, now, dying := reorder.Dying(l.months(u)); dying {
		line.Why = append(line.Why, store.Say(DyingOut, "%s", reorder.SayDying(int64(months(u.last(), l.q.Today)), then, now)))
	}
	if i := l.intake(p.Code); i != nil {
		more := i.more(line.Free)
		line.Lacking = &more
		line.Why = append(line.Why, i.reasons(line.Free)...)
	}
}

func amountOr(n int64) string {
	if n == 0 {
		return "None"
	}
	return fmt.Sprint(n)
}

// demand is what the book says was wanted of a part.
func (l *lower) demand(p store.Part, u use) reorder.Demand {
	return reorder.Demand{Jobs: int64(len(u.jobs) + u.unmet), Unmet: int64(u.unmet), Held: u.heldPieces(), Years: l.years(),
		Wait: weeksToFind(p) / 52, Sizes: sizes(u.jobs)}
}

// risk says how likely the part runs out before another is found. A book younger
// than that wait says nothing about it: then the number to keep stands for it.
func (l *lower) risk(line *LowLine, d reorder.Demand) {
	line.Jobs, line.Pieces = d.Jobs, d.Wanted()
	if d.Years < d.Wait {
		line.BuyWhen = line.Keep
		return
	}
	risk, level, keep := d.Risk(max(0, line.Free)), d.Level(lasting), d.Keep(lasting)
	line.Risk, line.Level, line.BuyWhen = &risk, &level, &keep
}

// sizes is how many jobs took how many pieces.
func sizes(jobs map[string]int64) []reorder.Size {
	n := map[int64]int64{}
	for _, pieces := range jobs {
		n[pieces]++
	}
	out := make([]reorder.Size, 0, len(n))
	for pieces, jobs := range n {
		out = append(out, reorder.Size{Pieces: pieces, Jobs: jobs})
	}
	slices.SortFunc(out, func(a, b reorder.Size) int { return cmp.Compare(a.Pieces, b.Pieces) })
	return out
}

// sayWants says when and for what a part was asked for in vain, the latest three.
func sayWants(wants []store.Want) string {
	var said []string
	for _, w := range wants[max(0, len(wants)-3):] {
		s := w.Date.String()
		if w.Model != "" {
			s += " for " + string(w.Model)
		}
		if w.Job != "" {
			s += " (job " + string(w.Job) + ")"
		}
		said = append(said, s)
	}
	return "Asked for in vain on " + strings.Join(said, ", ") + "."
}
