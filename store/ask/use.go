package ask

import (
	"slices"

	"tinful/store"
	"tinful/store/code"
)

// A use is what a part was used for: demand is what was fitted in jobs and what was
// asked for in vain, not what was scrapped, sold or counted away.
type use struct {
	jobs  map[string]int64 // pieces by job, less what came back
	unmet int              // open wants, but those of a job that has the part by now
	wants []store.Want     // open ones, by day
	held  []store.Owed
	days  []dated // what was wanted when: see dates

	bags []store.State
}

// A dated is a number of pieces wanted on a day.
type dated struct {
	day    code.Day
	pieces int64
}

// leastDated is the number of demands from which their days are read: below, they
// say nothing about a part that is dying out.
const leastDated = 5

// use reads the book of a part: nothing where its figure says that nothing was
// fitted or held, and no want is open.
func (l *lower) use(p store.Part, f store.Figure, wants int64) use {
	u := use{jobs: map[string]int64{}}
	if f.Fitted > 0 || f.Held > 0 {
		for _, c := range l.v.BagsOf(p.Code) {
			s := got(l.v, l.v.OwedOf, c)
			u.bags = append(u.bags, s)
			for _, o := range s.FittedIn {
				u.jobs[o.Who] += o.N
			}
			u.hold(s.HeldFor)
		}
	}
	if wants > 0 {
		l.openWants(&u, p.Code)
	}
	return u
}

func (l *lower) openWants(u *use, part code.Code) {
	for _, w := range got(l.v, l.v.WantsOf, part) {
		if w.Met != 0 {
			continue
		}
		u.wants = append(u.wants, w)
		if u.jobs[string(w.Job)] == 0 || w.Job == "" {
			u.unmet++
			u.days = append(u.days, dated{w.Date, 1})
		}
	}
}

// dates reads when each job got its pieces, where there are enough demands.
func (l *lower) dates(u *use) {
	if len(u.jobs)+u.unmet < leastDated {
		return
	}
	for _, s := range u.bags {
		if len(s.FittedIn) == 0 {
			continue
		}
		seen := map[code.Code]bool{}
		l.v.keep(l.v.EachMoment(s.Bag, func(e store.Entry) {
			if n := s.FittedInJob(e.Job); e.What == store.Fitted && n > 0 && !seen[e.Job] {
				seen[e.Job] = true
				u.days = append(u.days, dated{e.Day, n})
			}
		}))
	}
	slices.SortFunc(u.days, func(a, b dated) int { return int(a.day) - int(b.day) })
}

// hold adds what is held in a bag, each job once.
func (u *use) hold(list []store.Owed) {
	for _, h := range list {
		i := slices.IndexFunc(u.held, func(o store.Owed) bool { return o.Who == h.Who })
		if i < 0 {
			u.held = append(u.held, h)
			continue
		}
		u.held[i].N += h.N
	}
}

// heldPieces is how many pieces are set aside for jobs.
func (u use) heldPieces() (n int64) {
	for _, h := range u.held {
		n += h.N
	}
	return n
}

// last is the day of the latest demand whose day was read.
func (u use) last() code.Day {
	if len(u.days) == 0 {
		return 0
	}
	return u.days[len(u.days)-1].day
}

// months is what was wanted in each month since the book began, the last being the
// one that ends today.
func (l *lower) months(u use) []float64 {
	if len(u.days) < leastDated {
		return nil
	}
	out := make([]float64, months(min(l.begun, u.days[0].day), l.q.Today)+1)
	for _, d := range u.days {
		at := len(out) - 1 - int(months(d.day, l.q.Today))
		out[max(0, min(at, len(out)-1))] += float64(d.pieces)
	}
	return out
}
