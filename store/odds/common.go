package odds

import (
	"cmp"
	"maps"
	"slices"

	"gonum.org/v1/gonum/mathext"
)

// A Lot is the bodies of one history over all models, and how many of them lacked
// each part.
type Lot struct {
	Bodies int64
	Parts  map[string]Count
}

// Overall is the rate of the history over all parts.
func (l Lot) Overall() float64 {
	var all Count
	for _, c := range l.Parts {
		all = all.Add(c)
	}
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
	a, b := float64(c.Missing)+discount*m, float64(c.Looked-c.Missing)+discount*(1-m)
	i := Interval{mathext.InvRegIncBeta(a, b, 0.025), mathext.InvRegIncBeta(a, b, 0.975)}
	return Rating{c, a / (a + b), edged(i, float64(c.Missing), float64(c.Looked-c.Missing))}
}

// Commonly lists the parts that were missing somewhere, those commonly missing
// first, and how many parts were never missing. Rates of histories are weighted by
// the bodies of each (direct standardisation), so that a part that was looked at in
// meddled bodies alone does not lead for that reason; a history in which it was not
// looked at gives its overall rate.
func Commonly(lots map[string]Lot) (list []Missed, never int) {
	bodies := 0.0
	parts := map[string]bool{}
	for _, l := range lots {
		bodies += float64(l.Bodies)
		for p := range l.Parts {
			parts[p] = true
		}
	}
	overall := map[string]float64{}
	for h, l := range lots {
		overall[h] = l.Overall()
	}
	rated := map[string]map[Count]Rating{} // many parts were looked at and missing alike
	for h := range lots {
		rated[h] = map[Count]Rating{}
	}
	histories := slices.Sorted(maps.Keys(lots)) // so that sums are rounded alike
	for part := range parts {
		missing := int64(0)
		for _, l := range lots {
			missing += l.Parts[part].Missing
		}
		if missing == 0 {
			never++
			continue
		}
		m := Missed{Part: part, By: map[string]Rating{}}
		for _, h := range histories {
			l, rate := lots[h], overall[h]
			if c, ok := l.Parts[part]; ok && c.Looked > 0 {
				r, met := rated[h][c]
				if !met {
					r = rating(c, rate)
					rated[h][c] = r
				}
				m.Count, m.By[h] = m.Count.Add(c), r
				rate = m.By[h].Rate
			}
			m.Rate += float64(l.Bodies) / bodies * rate
		}
		list = append(list, m)
	}
	slices.SortFunc(list, func(a, b Missed) int {
		return cmp.Or(cmp.Compare(b.Rate, a.Rate), cmp.Compare(b.Looked, a.Looked), cmp.Compare(a.Part, b.Part))
	})
	return list, never
}
