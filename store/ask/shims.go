package ask

import (
	"cmp"
	"fmt"
	"slices"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/dim"
	"tinful/store/stack"
)

// A ShimQuery asks for shims that add up to a thickness.
type ShimQuery struct {
	Want   int64     // micrometres
	Model  code.Code // only shims that are stated to go into it
	OD, ID *int64    // only rings of about this size, micrometres
}

// Shims is the answer to a ShimQuery. Lengths are millimetres.
type Shims struct {
	Want     float64       `json:"want"`
	Exact    bool          `json:"exact"`
	Stacks   []ShimStack   `json:"stacks"` // exact ones, fewest pieces first, else the nearest
	Cautions []string      `json:"cautions"`
	Traps    store.Reasons `json:"traps"`
	Looked   int           `json:"bags"` // with free shims that were looked at
}

// MarshalJSON has the kinds of the traps beside them.
func (s Shims) MarshalJSON() ([]byte, error) {
	type plain Shims
	return store.JSON(struct {
		plain
		Kinds []store.ReasonKind `json:"traps_kind"`
	}{plain(s), store.ReasonKinds(s.Traps)})
}

// A ShimStack is one way to add up shims of one ring.
type ShimStack struct {
	Pieces []ShimPiece `json:"pieces"`
	Count  int64       `json:"count"` // of pieces
	Total  float64     `json:"total"`
	Off    float64     `json:"off"` // total less what is wanted
	OD     *float64    `json:"od,omitempty"`
	ID     *float64    `json:"id,omitempty"`

	off int64
}

// A ShimPiece is a number of shims of one bag.
type ShimPiece struct {
	Bag      code.Code `json:"bag"`
	Part     code.Code `json:"part"`
	Name     string    `json:"name"`
	Thick    float64   `json:"thick"`
	N        int64     `json:"n"`
	Place    code.Code `json:"place,omitempty"`
	GoesWith string    `json:"goes_with,omitempty"`
	Note     string    `json:"note,omitempty"`

	Micro int64 `json:"-"` // the thickness in micrometres
}

// A shim is a bag of free shims.
type shim struct {
	bag  store.Bag
	line BagLine
	part store.Part
}

// FindShims lists which free shims of the workshop's own add up to a thickness:
// the stacks of the fewest pieces, and where nothing adds up the nearest below
// and above. Shims of one stack are rings of one size; scrap and patterns are
// left out.
func FindShims(v *store.View, q ShimQuery) (Shims, error) {
	r := read(v)
	out := Shims{Want: dim.Number(dim.Thick, q.Want), Stacks: []ShimStack{}, Cautions: []string{}}
	all := freeShims(r, q, &out)
	out.Looked = len(all)
	for _, ring := range rings(all) {
		stacks, exact := stack.Make(thicknesses(ring), q.Want)
		if exact && !out.Exact {
			out.Exact, out.Stacks = true, out.Stacks[:0]
		}
		for _, s := range stacks {
			if exact == out.Exact {
				out.Stacks = append(out.Stacks, stackOf(s, ring, q.Want))
			}
		}
	}
	slices.SortStableFunc(out.Stacks, func(a, b ShimStack) int {
		return cmp.Or(cmp.Compare(abs(a.off), abs(b.off)), cmp.Compare(a.off, b.off), cmp.Compare(a.Count, b.Count))
	})
	out.cautions(all)
	return out, r.err
}

// freeShims lists the bags of shims that may be used, in order of their codes.
func freeShims(v *reader, q ShimQuery, out *Shims) (all []shim) {
	leftOut := func(p store.Part, why string) {
		out.Traps = append(out.Traps, store.Say(LeftOut, "%s %s is left out%s", p.Code, p.Name, why).Of(p.Code))
	}
	for _, c := range v.PartsOfClass("SHM", true) {
		p, bags := v.part(c), usableBags(v, c)
		if len(bags) == 0 || !about(p, dim.OD, q.OD) || !about(p, dim.ID, q.ID) {
			continue
		}
		if _, measured := p.Dims[dim.Thick]; !measured {
			leftOut(p, ": its thickness is not recorded")
			continue
		}
		if q.Model != "" {
			if f := fits(v, p, store.Camera{Model: q.Model}); !f.usable {
				leftOut(p, fmt.Sprintf(" for %s: %s", q.Model, f.words))
				continue
			}
		}
		for _, l := range bags {
			all = append(all, shim{v.bag(l.Bag), l, p})
		}
	}
	slices.SortFunc(all, func(a, b shim) int { return cmp.Compare(a.bag.Code, b.bag.Code) })
	return all
}

// usableBags lists the own bags of a part that have something free and are
// neither scrap nor a pattern.
func usableBags(v *reader, part code.Code) []BagLine {
	return slices.DeleteFunc(ownBags(v, part), func(b BagLine) bool { return b.Free <= 0 || store.Worn(b.Grade) })
}

// about tells whether a part's measure is about the one wanted; nil wants none.
func about(p store.Part, f dim.Field, want *int64) bool {
	if want == nil {
		return true
	}
	n, ok := p.Dims[f]
	return ok && abs(n-*want) <= dim.Of(f).For(p.Class).NearPlus
}

// rings parts shims by outside and inside diameter: only rings of one size make a
// stack. Those that were not measured are a size of their own.
func rings(all []shim) [][]shim {
	var out [][]shim
	for _, s := range all {
		i := slices.IndexFunc(out, func(ring []shim) bool { return sameRing(ring[0].part, s.part) })
		if i < 0 {
			out = append(out, []shim{s})
			continue
		}
		out[i] = append(out[i], s)
	}
	return out
}

func sameRing(a, b store.Part) bool {
	for _, f := range []dim.Field{dim.OD, dim.ID} {
		x, ok := a.Dims[f]
		y, ok2 := b.Dims[f]
		if ok != ok2 || abs(x-y) > dim.Of(f).For(a.Class).Same {
			return false
		}
	}
	return true
}

func thicknesses(ring []shim) []stack.Bag {
	var out []stack.Bag
	for _, s := range ring {
		out = append(out, stack.Bag{Thick: s.part.Dims[dim.Thick], Free: s.line.Free})
	}
	return out
}

func stackOf(s stack.Stack, ring []shim, want int64) ShimStack {
	out := ShimStack{Count: s.Pieces, Total: dim.Number(dim.Thick, s.Total), Off: dim.Number(dim.Thick, s.Total-want), off: s.Total - want,
		OD: measure(ring[0].part, dim.OD), ID: measure(ring[0].part, dim.ID)}
	for _, p := range s.Picks {
		x := ring[p.Bag]
		thick := x.part.Dims[dim.Thick]
		out.Pieces = append(out.Pieces, ShimPiece{Bag: x.bag.Code, Part: x.part.Code, Name: x.part.Name, Thick: dim.Number(dim.Thick, thick), N: p.N,
			Place: x.line.Place, GoesWith: x.bag.GoesWith, Note: x.bag.Note, Micro: thick})
	}
	return out
}

// measure is a part's measure for JSON, nil where it is not recorded.
func measure(p store.Part, f dim.Field) *float64 {
	n, ok := p.Dims[f]
	if !ok {
		return nil
	}
	x := dim.Number(f, n)
	return &x
}

// cautions says of every bag used to which body its shims belong.
func (s *Shims) cautions(all []shim) {
	for _, x := range all {
		uses := func(st ShimStack) bool {
			return slices.ContainsFunc(st.Pieces, func(p ShimPiece) bool { return p.Bag == x.bag.Code })
		}
		if !slices.ContainsFunc(s.Stacks, uses) {
			continue
		}
		if x.bag.GoesWith != "" {
			s.Cautions = append(s.Cautions, fmt.Sprintf("%s goes with %s", x.bag.Code, x.bag.GoesWith))
		}
		if x.bag.Note != "" {
			s.Cautions = append(s.Cautions, fmt.Sprintf("%s: %s", x.bag.Code, x.bag.Note))
		}
		if x.line.About {
			s.Cautions = append(s.Cautions, fmt.Sprintf("%s: its number is about: count them", x.bag.Code))
		}
	}
	if len(s.Stacks) > 0 {
		s.Cautions = append(s.Cautions, "a pack belongs to a body: note which it came out of, and measure the stack before it goes in")
	}
}
