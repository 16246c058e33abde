package store

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"tinful/store/code"
	"tinful/store/dim"
	"tinful/store/words"
)

// ownSizes are the measures that a sheet or panel has of its own.
var ownSizes = []dim.Field{dim.Width, dim.Length, dim.Thick}

// NotThePart is the kind of a remark that the pieces of a bag are not what their part
// is; bag and part stand beside it.
const NotThePart ReasonKind = "not-the-part"

// ClassOf is the class of a part, or of what is in a bag, by which its measures are
// read; empty where that is not known.
func (v *View) ClassOf(ref Ref) (string, error) {
	p, err := v.measured(ref)
	return p.Class, err
}

// measured is the part that a reading is held against.
func (v *View) measured(ref Ref) (Part, error) {
	part := ref.Code
	if ref.Kind == "bag" {
		b, err := v.Bag(ref.Code)
		if err != nil || b.Part == "" {
			return Part{}, err
		}
		part = b.Part
	}
	return v.Part(part)
}

// Measure notes readings of a part, which then measures so, or of the pieces in a bag.
// It remarks where a bag differs from its part by more than a bench takes for the same
// and the tool may be off.
func (t *Tx) Measure(ref Ref, read map[dim.Field]Reading) (Reasons, error) {
	p, err := t.measured(ref)
	if err != nil {
		return nil, err
	}
	for f, r := range read {
		r.Day, r.By = t.head.Day, or(r.By, t.head.By)
		read[f] = r
	}
	if ref.Kind == "part" {
		p.Dims, p.Readings = cloned(p.Dims), cloned(p.Readings)
		for f, r := range read {
			p.Dims[f], p.Readings[f] = r.Value, r
		}
		return nil, t.Put(p)
	}
	b, err := t.Bag(ref.Code)
	if err != nil {
		return nil, err
	}
	b.Readings = cloned(b.Readings)
	var remarks Reasons
	for _, f := range slices.Sorted(maps.Keys(read)) {
		b.Readings[f] = read[f]
		if _, own := b.Dims[f]; own || words.Under(p.Class, Covering) && slices.Contains(ownSizes, f) {
			b.Dims = cloned(b.Dims)
			b.Dims[f] = read[f].Value
		}
		if text := differs(p, f, read[f]); text != "" {
			remarks = append(remarks, Reason{Kind: NotThePart, Codes: []code.Code{b.Code, p.Code}, Text: text})
		}
	}
	return remarks, t.Put(b)
}

// cloned is a copy of a map that can be written to.
func cloned[K comparable, V any](m map[K]V) map[K]V {
	out := make(map[K]V, len(m))
	maps.Copy(out, m)
	return out
}

// differs says that a reading is not what the part is, empty where it may be.
func differs(p Part, f dim.Field, r Reading) string {
	want, ok := p.Dims[f]
	in := dim.Of(f).For(p.Class)
	spread := dim.Wider(r.Tool, f)
	if d := r.Value - want; !ok || in.Kind == dim.KindMass || -in.Same-spread <= d && d <= in.SamePlus+spread {
		return ""
	}
	return fmt.Sprintf("%s is %s here and %s for %s %s: is it that part?", in.Name(),
		strings.TrimSpace(dim.Format(f, r.Value)+" "+in.Unit), strings.TrimSpace(dim.Format(f, want)+" "+in.Unit), p.Code, p.Name)
}
