package ask

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/dim"
	"tinful/store/spring"
)

// A MakeLine is one wire that a spring can be made of.
type MakeLine struct {
	Wire     float64       `json:"wire"` // mm
	From     string        `json:"from"` // music, metric or bag
	Number   string        `json:"number,omitempty"`
	Bag      code.Code     `json:"bag,omitempty"`
	Part     code.Code     `json:"part,omitempty"` // of the bag
	Place    code.Code     `json:"place,omitempty"`
	Material string        `json:"material"`
	Coils    float64       `json:"coils"`       // to the quarter, those of the ends among them
	Exact    float64       `json:"coils_exact"` // that keep the rate
	OD       float64       `json:"od"`          // mm
	ID       float64       `json:"id"`          // mm
	Off      float64       `json:"rate_percent"`
	Stress   float64       `json:"stress_percent"` // under the same load
	Text     string        `json:"text"`           // the line in words
	Why      store.Reasons `json:"why,omitempty"`

	off float64 // how far the wire is from the old one
}

// MarshalJSON writes the line with the kinds of its reasons beside them.
func (l MakeLine) MarshalJSON() ([]byte, error) {
	type plain MakeLine
	return store.JSON(struct {
		plain
		WhyKind []store.ReasonKind `json:"why_kind,omitempty"`
	}{plain(l), store.ReasonKinds(l.Why)})
}

// Kinds of what is said of a wire that a spring can be made of.
const (
	SameWire      store.ReasonKind = "same-wire"
	RateOff       store.ReasonKind = "rate" // it misses the rate, as coils go by the quarter
	StressMore    store.ReasonKind = "stress"
	OtherMaterial store.ReasonKind = "material"
	WireFree      store.ReasonKind = "free"      // how much of it is free
	TakenFor      store.ReasonKind = "taken-for" // the material is not recorded, or loosely
)

// Makes is the answer of [Make], the nearest wire first.
type Makes struct {
	Lines    []MakeLine `json:"make"`
	Missing  []string   `json:"missing,omitempty"` // what the rate needs and the part lacks: no lines then
	Notes    []string   `json:"notes,omitempty"`
	Cautions []string   `json:"cautions,omitempty"`
}

// nearWire is how far a wire of the house may be from the old one, as a share of
// it: a quarter makes the coils 2.4 times as many.
const nearWire = 0.25

// Make says of which wire a spring can be made: the nearest sizes of music wire
// and of the metric steps, and what the bench itself has in its bags of wire,
// with the coils that keep the rate. It returns an error that wraps
// [store.ErrRefused] for a part that is not wound of wire.
func Make(view *store.View, p store.Part) (Makes, error) {
	s, missing, err := SpringOf(p)
	m := Makes{Lines: []MakeLine{}, Missing: missing}
	if err != nil {
		return m, err
	}
	if !spring.Wound(s.Class) {
		return m, noSpring(fmt.Sprintf("%s %s is cut from strip of its own thickness, no wire replaces it", p.Code, p.Name))
	}
	m.Cautions = SpringCautions(p, s, true)
	if len(missing) > 0 {
		return m, nil
	}
	if _, err := mustSpring(p); err != nil {
		return m, err
	}
	m.Notes = makeNotes(p, s)
	v := read(view)
	m.bench(v, s) // first, so that of equals the own wire leads
	m.stock(v, s)
	slices.SortStableFunc(m.Lines, func(a, b MakeLine) int { return cmp.Compare(a.off, b.off) })
	return m, v.err
}

// makeNotes says what else the new spring takes from the old one.
func makeNotes(p store.Part, s spring.Spring) []string {
	out := SpringNotes(p, s)
	keep := "the outside is kept"
	if s.Class == spring.Torsion {
		keep = "the inside is kept, for its post, and the legs; the last part of a turn sets the free angle"
	}
	out = append(out, keep)
	var bits []string
	if h := hand(p.Marks[dim.Hand]); h != "" {
		bits = append(bits, "wind it "+h+"-hand")
	} else if spring.Turned(s.Class) {
		bits = append(bits, "the hand is not recorded: look at the old one")
	}
	for _, f := range []dim.Field{dim.LegA, dim.LegB, dim.Angle, dim.FreeLength, dim.InsideHooks} {
		if n, ok := p.Dims[f]; ok {
			bits = append(bits, strings.TrimSpace(dim.Of(f).Name()+" "+dim.Format(f, n)+" "+dim.Of(f).Unit))
		}
	}
	for _, f := range []dim.Field{dim.LegEnds, dim.Ends} {
		if p.Marks[f] != "" {
			bits = append(bits, dim.Of(f).Name()+": "+p.Marks[f])
		}
	}
	if len(bits) > 0 {
		out = append(out, strings.Join(bits, ", "))
	}
	// Common practice, no source.
	return append(out, "a coil opens when it is let off: wind a trial on an arbor thinner than the inside", "mark it as made: it is never sold on as original")
}

// stock adds the nearest sizes that are sold. Music wire is music wire, a metric
// step is of the spring's own material.
func (m *Makes) stock(v *reader, s spring.Spring) {
	for _, table := range []string{spring.Music, spring.Metric} {
		mat := s.Material
		if table == spring.Music {
			mat = spring.UsualMaterial(s.Class)
		}
		for _, g := range spring.NearestGauges(table, s.Wire) {
			name := mat.Name + ", metric step"
			if table == spring.Music {
				name = "music wire " + g.Number
			}
			m.add(v, MakeLine{From: table, Number: g.Number}, name, s, g.Wire, mat)
		}
	}
}

// add adds a line, unless no coil would be left.
func (m *Makes) add(v *reader, l MakeLine, name string, s spring.Spring, wire int64, mat spring.Material) {
	made, err := s.InWire(wire, mat)
	if err != nil {
		if !errors.Is(err, spring.ErrShape) {
			v.keep(err)
		}
		return
	}
	n := made.Spring
	l.Wire, l.Material = dim.Number(dim.Wire, wire), mat.Key
	l.Coils, l.Exact = float64(n.Coils)/1000, made.Coils
	l.OD, l.ID = dim.Number(dim.OD, n.OD), dim.Number(dim.ID, n.OD-2*n.Wire)
	l.Off, l.Stress = made.Off, made.Stress
	l.off = math.Abs(float64(wire - s.Wire))
	l.Why = append(makeWhy(s, made, mat), l.Why...)
	l.Text = fmt.Sprintf("%s (%s mm): %s coils, outside %s", name, dim.Format(dim.Wire, n.Wire), dim.Format(dim.Coils, n.Coils), dim.Format(dim.OD, n.OD))
	m.Lines = append(m.Lines, l)
}

// makeWhy says what is different in the new spring.
func makeWhy(s spring.Spring, made spring.Made, mat spring.Material) store.Reasons {
	var out store.Reasons
	if made.Spring.Wire == s.Wire {
		out = append(out, store.Say(SameWire, "the same wire"))
	}
	if off := math.Round(made.Off); off != 0 {
		out = append(out, store.Say(RateOff, "rate %+.0f %% as coils go by the quarter", off))
	}
	if stress := math.Round(made.Stress); stress > 0 {
		out = append(out, store.Say(StressMore, "stressed %.0f %% more under the same load", stress))
	}
	if mat.Key != s.Material.Key {
		out = append(out, store.Say(OtherMaterial, "%s instead of %s", mat.Name, s.Material.Name))
	}
	return out
}

// bench adds the bags of wire of the house that have some free.
func (m *Makes) bench(v *reader, s spring.Spring) {
	for _, c := range v.PartsOfClass("RAW-WIRE", true) {
		p := v.part(c)
		wire := p.Dims[dim.Wire]
		if p.Code != c || wire == 0 || math.Abs(float64(wire-s.Wire)) > nearWire*float64(s.Wire) {
			continue
		}
		for _, bag := range v.BagsOf(p.Code) {
			m.bag(v, s, p, bag)
		}
	}
}

func (m *Makes) bag(v *reader, s spring.Spring, p store.Part, bag code.Code) {
	_, b := bagLine(v, bag)
	if b.Free <= 0 || b.Owner != store.Own || b.Grade == "scrap" {
		return
	}
	mat, note := springMaterial(store.Part{Class: s.Class, Marks: p.Marks})
	if mat.Key == "" {
		m.Notes = append(m.Notes, fmt.Sprintf("%s %s is left out: %s", bag, p.Name, note))
		return
	}
	name := fmt.Sprintf("%s %s", bag, p.Name)
	if b.Place != "" {
		name += " in " + string(b.Place)
	}
	l := MakeLine{From: "bag", Bag: bag, Part: p.Code, Place: b.Place, Why: store.Reasons{store.Say(WireFree, "%s free", store.Amount(b.Free, b.Unit, b.About)).Of(bag)}}
	if note != "" {
		l.Why = append(l.Why, store.Say(TakenFor, "%s", note).Of(p.Code))
	}
	m.add(v, l, name, s, p.Dims[dim.Wire], mat)
}
