package odds

import (
	"cmp"
	"slices"

	"gonum.org/v1/gonum/mathext"
)

// Lots are what was seen of parts over all models, by history.
type Lots struct {
	Parts []string // each once
	lots  []Lot
}

// A Lot is the bodies of one history, and how many of them lacked each part.
type Lot struct {
	History string
	Bodies  int64
	parts   []Count // in the order of Lots.Parts; of those at its end it may lack some
}

// Of is the lot of a history, which is begun where there is none yet. It is good until
// another one is.
func (l *Lots) Of(history string) *Lot {
	for i := range l.lots {
		if l.lots[i].History == history {
			return &l.lots[i]
		}
	}
	l.lots = append(l.lots, Lot{History: history})
	return &l.lots[len(l.lots)-1]
}

// All are the lots there are.
func (l *Lots) All() []Lot { return l.lots }

// Add adds bodies that were looked at for the part that stands at a place in Lots.Parts.
func (l *Lot) Add(part int, c Count) {
	for len(l.parts) <= part {
		l.parts = append(l.parts, Count{})
	}
	l.parts[part] = l.parts[part].Add(c)
}

func (l *Lot) of(part int) (c Count) {
	if part < len(l.parts) {
		c = l.parts[part]
	}
	return c
}

// Sum is what was seen of all parts.
func (l *Lot) Sum() (all Count) {
	for _, c := range l.parts {
		all = all.Add(c)
	}
	return all
}

// Overall is the rate of the history over all parts.
func (l *Lot) Overall() float64 {
	all := l.Sum()
	return (float64(all.Missing) + 0.5) / (float64(all.Looked) + 1)
}

// A Missed is a part that was missing somewhere, over all models.
type Missed struct {
	Part string
	Count
	Rate float64           // over the histories, by how many bodies of each came
	By   map[string]Rating // by history, where it was looked at
}

// A Rating is how often a part is missing in bodies of one history.
type Rating struct {
	Count
	Rate float64 `json:"rate"`
	Interval
}

// discount is how many bodies at the common rate every part begins with.
const discount = 2

// rating is the rate of a part whose bodies begin with two at the common rate m:
// (x + 2m)/(n + 2), and the interval of that Beta distribution. Two were chosen by
// simulation: they cover best where few parts are often missing, and need no fit.
func rating(c Count, m float64) Rating {
	a, b := begun(c, m)
	i := Interval{mathext.InvRegIncBeta(a, b, 0.025), mathext.InvRegIncBeta(a, b, 0.975)}
	return Rating{c, a / (a + b), edged(i, float64(c.Missing), float64(c.Looked-c.Missing))}
}

// begun are missing and present with the two that every part begins with.
func begun(c Count, m float64) (a, b float64) {
	return float64(c.Missing) + discount*m, float64(c.Looked-c.Missing) + discount*(1-m)
}

// Commonly lists the parts that were missing somewhere, those commonly missing
// first and at most so many, 0 for all; how many there are, and how many parts were
// never missing. Rates of histories are weighted by the bodies of each (direct
// standardisation), so that a part that was looked at in meddled bodies alone does not
// lead for that reason; a history in which it was not looked at gives its overall rate.
func Commonly(l Lots, most int) (list []Missed, all, never int) {
	lots := slices.SortedFunc(slices.Values(l.lots), func(a, b Lot) int { return cmp.Compare(a.History, b.History) }) // so that sums are rounded alike
	bodies := 0.0
	overall := make([]float64, len(lots))
	for i := range lots {
		bodies += float64(lots[i].Bodies)
		overall[i] = lots[i].Overall()
	}
	type candidate struct {
		part   int
		looked int64
		rate   float64
	}
	var found []candidate
	for part := range l.Parts {
		var sum Count
		for i := range lots {
			sum = sum.Add(lots[i].of(part))
		}
		if sum.Missing == 0 {
			never++
			continue
		}
		x := candidate{part: part, looked: sum.Looked}
		for i := range lots {
			rate := overall[i]
			if c := lots[i].of(part); c.Looked > 0 {
				a, b := begun(c, rate)
				rate = a / (a + b)
			}
			x.rate += float64(lots[i].Bodies) / bodies * rate
		}
		found = append(found, x)
	}
	slices.SortFunc(found, func(a, b candidate) int {
		return cmp.Or(cmp.Compare(b.rate, a.rate), cmp.Compare(b.looked, a.looked), cmp.Compare(l.Parts[a.part], l.Parts[b.part]))
	})
	all = len(found)
	if most > 0 && all > most {
		found = found[:most]
	}
	type ratedKey struct {
		lot int
		Count
	}
	rated := map[ratedKey]Rating{} // many parts were looked at and missing alike
	for _, x := range found {
		m := Missed{Part: l.Parts[x.part], Rate: x.rate, By: map[string]Rating{}}
		for i := range lots {
			c := lots[i].of(x.part)
			if c.Looked == 0 {
				continue
			}
			key := ratedKey{i, c}
			r, met := rated[key]
			if !met {
				r = rating(c, overall[i])
				rated[key] = r
			}
			m.Count, m.By[lots[i].History] = m.Count.Add(c), r
		}
		list = append(list, m)
	}
	return list, all, never
}
