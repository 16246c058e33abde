package store

import (
	"cmp"
	"slices"

	"tinful/store/code"
	"tinful/store/dim"
)

// A workbook that is being planned is, before the store, the world that rules ask:
// see kinds.go.

// comers are what a workbook says of the things that rules ask for.
type comers struct {
	codes map[string]map[code.Code]bool     // by bucket
	kind  map[code.Code]string              // of models
	holds map[code.Code][]code.Code         // of parts
	sizes map[code.Code]map[dim.Field]int64 // of coverings
	tray  map[code.Code]bool                // of places
	open  map[code.Code][]code.Code         // open jobs by place, those of the store with them
	stirs map[code.Code]bool                // bags that a movement brings pieces into
	split map[code.Code]bool                // and those that are split off or joined to
}

// gather notes what the workbook brings.
func (p *Plan) gather() error {
	l, h := p.load, &p.here
	*h = comers{map[string]map[code.Code]bool{}, map[code.Code]string{}, map[code.Code][]code.Code{}, map[code.Code]map[dim.Field]int64{}, map[code.Code]bool{}, map[code.Code][]code.Code{}, map[code.Code]bool{}, map[code.Code]bool{}}
	for _, m := range l.Moves.rows {
		switch m.what {
		case Split, Joined:
			h.stirs[code.Code(l.Moves.texts[m.to])], h.split[code.Code(l.Moves.texts[m.to])] = true, true
		case In, Found, Corrected:
			h.stirs[code.Code(l.Moves.texts[m.bag])] = true
		}
	}
	for _, k := range kinds {
		for _, c := range l.Flawed[k.title()] {
			h.note(k.name(), c)
		}
	}
	jobs := map[code.Code]Job{}
	err := cmp.Or(
		eachPlanned(p, bagKind, l.Bags, func(b Bag) { h.note(bBag, b.Code) }),
		eachPlanned(p, modelKind, l.Models, func(m Model) { h.note(bModel, m.Code); h.kind[m.Code] = m.Kind }),
		eachPlanned(p, partKind, l.Parts, func(x Part) {
			if h.note(bPart, x.Code); len(x.Holds) > 0 {
				h.holds[x.Code] = x.Holds
			}
			if size := sizeOf(x); size != nil {
				h.sizes[x.Code] = size
			}
		}),
		eachPlanned(p, donorKind, l.Donors, func(d Donor) { h.note(bDonor, d.Code) }),
		eachPlanned(p, placeKind, l.Places, func(x Place) { h.note(bPlace, x.Code); h.tray[x.Code] = IsTray(x) }),
		eachPlanned(p, jobKind, l.Jobs, func(j Job) { h.note(bJob, j.Code); jobs[j.Code] = j }),
	)
	if p.view != nil {
		err = cmp.Or(err, p.view.EachOpenJob(func(j Job) error {
			if _, here := jobs[j.Code]; !here {
				jobs[j.Code] = j
			}
			return nil
		}))
	}
	for c, j := range jobs {
		if j.Closed == 0 {
			h.open[j.Tray] = append(h.open[j.Tray], c)
		}
	}
	for _, list := range h.open {
		slices.Sort(list)
	}
	return err
}

// eachPlanned calls fn for every record of a sheet as it will be.
func eachPlanned[T any](p *Plan, k *kindOf[T], recs []T, fn func(T)) error {
	for _, r := range recs {
		if p.view != nil && k.bucket != bBag {
			was, err := k.stored(p.view, k.key(r))
			if err != nil {
				return err
			}
			if was != nil {
				r, _ = merge(*was, r)
			}
		}
		fn(r)
	}
	return nil
}

func (h *comers) note(bucket string, c code.Code) {
	if h.codes[bucket] == nil {
		h.codes[bucket] = map[code.Code]bool{}
	}
	h.codes[bucket][c] = true
}

func (p *Plan) has(bucket string, c code.Code) bool {
	return p.here.codes[bucket][c] || p.view != nil && p.view.has(bucket, c)
}

func (p *Plan) modelKind(c code.Code) string {
	if kind, ok := p.here.kind[c]; ok || p.view == nil {
		return kind
	}
	return p.view.modelKind(c)
}

func (p *Plan) contains(part code.Code) []code.Code {
	if all, ok := p.here.holds[part]; ok || p.view == nil {
		return all
	}
	return p.view.contains(part)
}

func (p *Plan) size(part code.Code) map[dim.Field]int64 {
	if size, ok := p.here.sizes[part]; ok || p.view == nil {
		return size
	}
	return p.view.size(part)
}

// IsTray says whether a place is a tray, as the workbook leaves it.
func (p *Plan) IsTray(place code.Code) bool {
	if is, ok := p.here.tray[place]; ok || p.view == nil {
		return is
	}
	return p.view.IsTray(place)
}

func (p *Plan) openIn(place code.Code) []code.Code { return p.here.open[place] }

func (p *Plan) stirred(bag code.Code) bool {
	return p.here.stirs[bag] || p.view != nil && p.view.stirred(bag)
}

// came: rows are folded day by day, so that a bag of the workbook came on its last day
// where a row lies before that.
func (p *Plan) came(e Entry) code.Day {
	if p.view != nil && p.view.has(bBag, e.Bag) {
		return p.view.came(e)
	}
	if st := p.states[e.Bag]; st != nil {
		return st.LastDay
	}
	return e.Day
}

func (p *Plan) misnamed(model code.Code, kind string) string {
	if p.view == nil {
		return ""
	}
	return p.view.misnamed(model, kind)
}

// flawed leaves out bags of the workbook: their own rule holds them against the part.
func (p *Plan) flawed(part Part) error {
	if p.view == nil {
		return nil
	}
	return flawedBut(p.view, part, p.here.codes[bBag])
}

func (p *Plan) nowhere() string { return ", neither here nor in this workbook" }
