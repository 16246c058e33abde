package store

import (
	"cmp"
	"slices"

	"tinful/store/code"
)

// PlaceFor is the place where pieces of a part and grade go: where its own sisters of
// the grade lie, else its sisters, else those of its class; where most bags of them
// are. Job trays are no such places. It is empty where nothing of the class lies
// anywhere. Among are the places where the part's own bags lie, those with pieces if
// there are any. It is the one place where that is decided.
func (v *View) PlaceFor(p Part, grade string) (at code.Code, among []code.Code, err error) {
	trays := map[code.Code]bool{}
	if err := v.EachJob(func(j Job) error { trays[j.Tray] = true; return nil }); err != nil {
		return "", nil, err
	}
	return v.placeLike(p, grade, trays)
}

func (v *View) placeLike(p Part, grade string, trays map[code.Code]bool) (at code.Code, among []code.Code, err error) {
	at, among, err = v.commonPlace([]code.Code{p.Code}, grade, trays)
	if err != nil || at != "" || p.Class == "" {
		return at, among, err
	}
	at, _, err = v.commonPlace(v.PartsOfClass(p.Class, false), grade, trays)
	return at, nil, err
}

// commonPlace is where most bags of some parts lie: those of the grade that hold
// something count before all others, then those that hold something. Among are the
// places of those that hold something, else of all.
func (v *View) commonPlace(parts []code.Code, grade string, trays map[code.Code]bool) (at code.Code, among []code.Code, err error) {
	alike, full, any := map[code.Code]int{}, map[code.Code]int{}, map[code.Code]int{}
	for _, p := range parts {
		lines, err := v.LinesOf(p)
		if err != nil {
			return "", nil, err
		}
		for _, l := range lines {
			if l.Owner != Own || l.Place == "" || trays[l.Place] {
				continue
			}
			any[l.Place]++
			if l.OnHand > 0 {
				full[l.Place]++
				if l.Grade == grade {
					alike[l.Place]++
				}
			}
		}
	}
	if len(full) > 0 {
		any = full
	}
	for place := range any {
		among = append(among, place)
	}
	slices.Sort(among)
	return cmp.Or(mostOften(alike), mostOften(any)), among, nil
}

// mostOften is the code with the highest count, of several the first by name; empty
// where there is none.
func mostOften(count map[code.Code]int) (best code.Code) {
	for c, n := range count {
		if best == "" || n > count[best] || n == count[best] && c < best {
			best = c
		}
	}
	return best
}
