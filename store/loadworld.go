package store

import (
	"cmp"
	"iter"
	"slices"

	"tinful/store/code"
	"tinful/store/dim"
)

// A workbook that is being planned is, before the store, the world that rules ask:
// see kinds.go.

// comers are what a workbook says of the things that rules ask for.
type comers struct {
	codes map[string]*code.Index            // by bucket
	kind  map[code.Code]string              // of models
	holds map[code.Code][]code.Code         // of parts
	sizes map[code.Code]map[dim.Field]int64 // of coverings
	tray  map[code.Code]bool                // of places
	open  map[code.Code][]code.Code         // open jobs by place, those of the store with them
	stirs code.Index                        // bags that a movement brings pieces into
	split code.Index                        // and those that are split off or joined to
}

// gather notes what the workbook brings.
func (p *Plan) gather() error {
	l, h := p.load, &p.here
	*h = comers{codes: map[string]*code.Index{}, kind: map[code.Code]string{}, holds: map[code.Code][]code.Code{},
		sizes: map[code.Code]map[dim.Field]int64{}, tray: map[code.Code]bool{}, open: map[code.Code][]code.Code{}}
	for r := l.Moves.rows.each(); r.advance(); {
		switch packedEntry(r.row).what() {
		case Split, Joined:
			to := code.Code(entryOf(r.row).To)
			h.stirs.Add(to)
			h.split.Add(to)
		case In, Found, Corrected:
			bag, _ := packedEntry(r.row).bag()
			h.stirs.Add(code.Code(bag))
		}
	}
	for _, k := range kinds {
		for _, c := range l.Flawed[k.title()] {
			h.note(k.name(), c)
		}
	}
	type lies struct {
		in   code.Code
		open bool
	}
	jobs := map[code.Code]lies{}
	job := func(j Job) {
		if j.Closed == 0 || p.view != nil {
			jobs[j.Code] = lies{j.Tray, j.Closed == 0}
		}
	}
	err := cmp.Or(
		eachPlanned(p, bagKind, l.Bags.All(), func(b Bag) { h.note(bBag, b.Code) }),
		eachPlanned(p, modelKind, slices.All(l.Models), func(m Model) { h.note(bModel, m.Code); h.kind[m.Code] = m.Kind }),
		eachPlanned(p, partKind, l.Parts.All(), func(x Part) {
			if h.note(bPart, x.Code); len(x.Holds) > 0 {
				h.holds[x.Code] = x.Holds
			}
			if size := sizeOf(x); size != nil {
				h.sizes[x.Code] = size
			}
		}),
		eachPlanned(p, donorKind, l.Donors.All(), func(d Donor) { h.note(bDonor, d.Code) }),
		eachPlanned(p, placeKind, slices.All(l.Places), func(x Place) { h.note(bPlace, x.Code); h.tray[x.Code] = IsTray(x) }),
		eachPlanned(p, jobKind, l.Jobs.All(), func(j Job) { h.note(bJob, j.Code); job(j) }),
	)
	if p.view != nil {
		err = cmp.Or(err, p.view.EachOpenJob(func(j Job) error {
			if _, here := jobs[j.Code]; !here {
				job(j)
			}
			return nil
		}))
	}
	for c, j := range jobs {
		if j.open {
			h.open[j.in] = append(h.open[j.in], c)
		}
	}
	for _, list := range h.open {
		slices.Sort(list)
	}
	return err
}

// eachPlanned calls fn for every record of a sheet as it will be.
func eachPlanned[T any](p *Plan, k *kindOf[T], recs iter.Seq2[int, T], fn func(T)) error {
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
		h.codes[bucket] = &code.Index{}
	}
	h.codes[bucket].Add(c)
}

func (p *Plan) has(bucket string, c code.Code) bool {
	return p.here.codes[bucket].Has(c) || p.view != nil && p.view.has(bucket, c)
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
	return p.here.stirs.Has(bag) || p.view != nil && p.view.stirred(bag)
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
