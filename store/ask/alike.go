package ask

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/dim"
	"tinful/store/thread"
	"tinful/store/words"
)

// Alike says whether two parts are easily taken for each other in a drawer: of
// one class and thread size, and no measure that both have is far apart. The
// hand does not tell: twins are alike.
func Alike(p, q store.Part) bool {
	if p.Class == "" || p.Class != q.Class {
		return false
	}
	common := 0
	for f, a := range p.Dims {
		b, both := q.Dims[f]
		in := dim.Of(f).For(p.Class)
		if !both || in.Kind == dim.KindMass {
			continue
		}
		common++
		reach := in.NearPlus
		if reach == dim.Any {
			reach = in.NearMinus
		}
		if max(a-b, b-a) > max(reach, in.NearMinus) {
			return false
		}
	}
	return common > 0 && sameThread(p.Marks[dim.Thread], q.Marks[dim.Thread])
}

// sameThread says whether a gauge reads two threads alike: diameter and pitch
// within 0.05 mm.
func sameThread(a, b string) bool {
	if a == b {
		return true
	}
	x, errX := thread.Parse(a)
	y, errY := thread.Parse(b)
	const reach = 50_000 // nanometres
	return errX == nil && errY == nil && abs(x.Major-y.Major) <= reach && abs(x.Pitch-y.Pitch) <= reach
}

func abs(n int64) int64 { return max(n, -n) }

// A CountBag is one bag of a count's sheet.
type CountBag struct {
	Place  code.Code `json:"place"`
	Bag    code.Code `json:"bag"`
	Part   code.Code `json:"part,omitempty"`
	Name   string    `json:"name"`
	Tells  string    `json:"tells,omitempty"` // the measure that tells it from its neighbour
	Origin string    `json:"origin,omitempty"`
	Unit   string    `json:"unit"`
	Why    string    `json:"why,omitempty"` // why it is due
}

// CountBags lists the bags of a place in the order they are counted, each with
// what tells it from its neighbours there. Empty bags are left out, and so is
// what belongs to others.
func CountBags(v *store.View, place code.Code) ([]CountBag, error) {
	if _, err := v.Place(place); err != nil {
		return nil, err
	}
	bags, err := v.Countable(place)
	if err != nil {
		return nil, err
	}
	return describe(v, bags, func(store.Bag) code.Code { return place })
}

// describe says of bags what a sheet needs.
func describe(v *store.View, bags []store.Bag, place func(store.Bag) code.Code) ([]CountBag, error) {
	parts := map[code.Code]store.Part{}
	near := map[code.Code][]store.Part{} // by place
	for _, b := range bags {
		if b.Part == "" {
			continue
		}
		p, known := parts[b.Part]
		if !known {
			var err error
			if p, err = v.Part(b.Part); err != nil {
				return nil, err
			}
			parts[b.Part] = p
		}
		at := place(b)
		if !slices.ContainsFunc(near[at], func(q store.Part) bool { return q.Code == p.Code }) {
			near[at] = append(near[at], p)
		}
	}
	tells := map[string]string{}
	var out []CountBag
	for _, b := range bags {
		l := CountBag{Place: place(b), Bag: b.Code, Part: b.Part, Name: "unsorted", Origin: b.Origin, Unit: b.Unit}
		if b.Part != "" {
			p := parts[b.Part]
			key := string(l.Place) + "\x00" + string(p.Code)
			if _, done := tells[key]; !done {
				tells[key] = Tells(p, near[l.Place])
			}
			l.Name, l.Tells = cmp.Or(p.Name, words.ClassName(p.Class)), tells[key]
		}
		out = append(out, l)
	}
	return out, nil
}

// Tells is the measure that tells a part from those that look alike among its
// neighbours: "length 2 mm (P027: 2.8 mm)". Without such a neighbour it is what
// the part is told by at first sight.
func Tells(p store.Part, neighbours []store.Part) string {
	var out []string
	for _, q := range neighbours {
		if q.Code == p.Code || !Alike(p, q) {
			continue
		}
		if own, theirs := apart(p, q); own != "" {
			out = append(out, fmt.Sprintf("%s (%s: %s)", own, q.Code, theirs))
		}
	}
	if len(out) == 0 {
		return firstSight(p)
	}
	return strings.Join(out, "; ")
}

// apart is the field in which two parts differ most clearly, in words for each.
func apart(p, q store.Part) (own, theirs string) {
	for _, f := range []dim.Field{dim.Hand, dim.Thread} {
		if a, b := p.Marks[f], q.Marks[f]; a != b && a != "" && b != "" {
			return markWords(f, a), markWords(f, b)
		}
	}
	best, most := dim.Info{}, 0.0
	for _, in := range dim.Table() {
		a, has := p.Dims[in.Field]
		b, both := q.Dims[in.Field]
		in = in.For(p.Class)
		if !has || !both || a == b || in.Kind == dim.KindMass {
			continue
		}
		if d := float64(abs(a-b)) / float64(max(in.Same, 1)); d > most {
			best, most = in, d
		}
	}
	if most > 0 {
		return measureWords(best, p.Dims[best.Field]), bare(best, q.Dims[best.Field])
	}
	for _, f := range []dim.Field{dim.Drive, dim.LegEnds, dim.Ends, dim.Finish, dim.Colour, dim.Material} {
		if a, b := p.Marks[f], q.Marks[f]; a != b && a != "" && b != "" {
			return markWords(f, a), b
		}
	}
	return "", ""
}

// firstSight are the hand, the thread and the first two measures of a part.
func firstSight(p store.Part) string {
	var out []string
	for _, f := range []dim.Field{dim.Hand, dim.Thread} {
		if w := p.Marks[f]; w != "" {
			out = append(out, markWords(f, w))
		}
	}
	measured := 0
	for _, in := range dim.Table() {
		if n, has := p.Dims[in.Field]; has && in.Kind != dim.KindMass && measured < 2 {
			out, measured = append(out, measureWords(in, n)), measured+1
		}
	}
	return strings.Join(out, ", ")
}

func markWords(f dim.Field, word string) string {
	if f == dim.Hand {
		return word + "-hand"
	}
	return dim.Of(f).Name() + " " + word
}

func measureWords(in dim.Info, n int64) string { return in.Name() + " " + bare(in, n) }

func bare(in dim.Info, n int64) string {
	return strings.TrimSpace(dim.Format(in.Field, n) + " " + in.Unit)
}
