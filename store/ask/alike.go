package ask

import (
	"cmp"
	"fmt"
	"iter"
	"slices"
	"strings"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/dim"
	"tinful/store/thread"
	"tinful/store/words"
)

// A look is what a part is taken for another by: its class, the size of its
// thread, and every measure with how far it may be off.
type look struct {
	part     store.Part
	thread   thread.Thread
	measures []reach
	first    [len(tellingFirst)]string
	last     [len(tellingLast)]string
}

// A reach is a measure with how far it may be off.
type reach struct {
	field  dim.Field
	n, off int64
}

func lookOf(p store.Part) look {
	l := look{part: p}
	if text := p.Marks[dim.Thread]; text != "" {
		l.thread, _ = thread.Parse(text) // one that cannot be read is none
	}
	for i, f := range tellingFirst {
		l.first[i] = p.Marks[f]
	}
	for i, f := range tellingLast {
		l.last[i] = p.Marks[f]
	}
	for f := dim.Wire; f < dim.Mass; f++ {
		n, has := p.Dims[f]
		if !has {
			continue
		}
		in := dim.Of(f).For(p.Class)
		off := in.NearPlus
		if off == dim.Any {
			off = in.NearMinus
		}
		l.measures = append(l.measures, reach{f, n, max(off, in.NearMinus)})
	}
	return l
}

// like says whether two parts are easily taken for each other in a drawer: of one
// class and thread size, and no measure that both have is far apart. The hand
// does not tell: twins are alike.
func (l *look) like(o *look) bool {
	if l.part.Class == "" || l.part.Class != o.part.Class || !sameThread(l.thread, o.thread) {
		return false
	}
	common := 0
	for a, b := range l.both(o) {
		if abs(a.n-b.n) > a.off {
			return false
		}
		common++
	}
	return common > 0
}

// both yields the measures that two parts have, each with its like.
func (l *look) both(o *look) iter.Seq2[reach, reach] {
	return func(yield func(a, b reach) bool) {
		for i, j := 0, 0; i < len(l.measures) && j < len(o.measures); {
			switch a, b := l.measures[i], o.measures[j]; {
			case a.field < b.field:
				i++
			case a.field > b.field:
				j++
			case !yield(a, b):
				return
			default:
				i, j = i+1, j+1
			}
		}
	}
}

// sameThread says whether a gauge reads two threads alike: diameter and pitch
// within 0.05 mm.
func sameThread(x, y thread.Thread) bool {
	const reach = 50_000 // nanometres
	return (x.Form == "") == (y.Form == "") && abs(x.Major-y.Major) <= reach && abs(x.Pitch-y.Pitch) <= reach
}

func abs(n int64) int64 { return max(n, -n) }

// A CountBag is one bag of a count's sheet.
type CountBag struct {
	Place  code.Code `json:"place"`
	Bag    code.Code `json:"bag"`
	Part   code.Code `json:"part,omitempty"`
	Name   string    `json:"name"`
	Left   string    `json:"left_hand,omitempty"`
	Tells  string    `json:"tells,omitempty"` // the measure that tells it from its neighbour
	Origin string    `json:"origin,omitempty"`
	Unit   string    `json:"unit"`
	Why    string    `json:"why,omitempty"` // why it is due
}

// CountBags lists the bags of a place in the order they are counted, each with
// what tells it from its neighbours there. Empty bags are left out, and so is
// what belongs to others.
func CountBags(view *store.View, place code.Code) ([]CountBag, error) {
	v := read(view)
	if _, err := v.Place(place); err != nil {
		return nil, err
	}
	bags := got(v, v.Countable, place)
	out := describe(v, bags, slices.Repeat([]code.Code{place}, len(bags)))
	return out, v.err
}

// A neighbourhood is the parts that lie in one place.
type neighbourhood struct {
	looks []look
	tells map[code.Code]string
}

// describe says of bags what a sheet needs; places[i] is where bags[i] lies.
func describe(v *reader, bags []store.Bag, places []code.Code) []CountBag {
	parts := map[code.Code]look{}
	near := map[code.Code]*neighbourhood{}
	for i, b := range bags {
		hood := near[places[i]]
		if hood == nil {
			hood = &neighbourhood{tells: map[code.Code]string{}}
			near[places[i]] = hood
		}
		if _, there := hood.tells[b.Part]; there || b.Part == "" {
			continue
		}
		l, known := parts[b.Part]
		if !known {
			l = lookOf(v.part(b.Part))
			parts[b.Part] = l
		}
		hood.looks, hood.tells[b.Part] = append(hood.looks, l), ""
	}
	out := make([]CountBag, 0, len(bags))
	for i, b := range bags {
		l := CountBag{Place: places[i], Bag: b.Code, Part: b.Part, Name: "unsorted", Origin: b.Origin, Unit: b.Unit}
		if b.Part != "" {
			p, hood := parts[b.Part], near[places[i]]
			if hood.tells[b.Part] == "" {
				hood.tells[b.Part] = p.tells(hood.looks)
			}
			l.Name, l.Left, l.Tells = cmp.Or(p.part.Name, words.ClassName(p.part.Class)), store.LeftHand(p.part), hood.tells[b.Part]
		}
		out = append(out, l)
	}
	return out
}

// tells is the measure that tells a part from those that look alike among its
// neighbours: "length 2 mm (P027: 2.8 mm)". Without such a neighbour it is what
// the part is told by at first sight.
func (l *look) tells(neighbours []look) string {
	const most = 3 // that a box on paper has room for
	var out []string
	more := 0
	for i := range neighbours {
		o := &neighbours[i]
		if o.part.Code == l.part.Code || !l.like(o) {
			continue
		}
		if len(out) == most {
			more++ // of many only the number is said: what tells each is slow to find
			continue
		}
		if own, theirs := telling(l, o); own != "" {
			out = append(out, fmt.Sprintf("%s (%s: %s)", own, o.part.Code, theirs))
		}
	}
	if more > 0 {
		out = append(out, fmt.Sprintf("%d more look alike", more))
	}
	if len(out) == 0 {
		return firstSight(l.part)
	}
	return strings.Join(out, "; ")
}

// tellingFirst are words that tell two parts before any measure does, tellingLast
// those that tell where no measure does.
var (
	tellingFirst = [...]dim.Field{dim.Hand, dim.Thread}
	tellingLast  = [...]dim.Field{dim.Drive, dim.LegEnds, dim.Ends, dim.Finish, dim.Colour, dim.Material}
)

// telling is the field in which two parts differ most clearly, in words for each.
func telling(l, o *look) (own, theirs string) {
	for i, f := range tellingFirst {
		if a, b := l.first[i], o.first[i]; a != b && a != "" && b != "" {
			return markWords(f, a), markWords(f, b)
		}
	}
	var best dim.Info
	var mine, other int64
	most := 0.0
	for a, b := range l.both(o) {
		if a.n == b.n {
			continue
		}
		in := dim.Of(a.field).For(l.part.Class)
		if d := float64(abs(a.n-b.n)) / float64(max(in.Same, 1)); d > most {
			best, most, mine, other = in, d, a.n, b.n
		}
	}
	if most > 0 {
		return measureWords(best, mine), bare(best, other)
	}
	for i, f := range tellingLast {
		if a, b := l.last[i], o.last[i]; a != b && a != "" && b != "" {
			return markWords(f, a), b
		}
	}
	return "", ""
}

// firstSight are the hand, the thread and the first two measures of a part.
func firstSight(p store.Part) string {
	var out []string
	for _, f := range tellingFirst {
		if w := p.Marks[f]; w != "" {
			out = append(out, markWords(f, w))
		}
	}
	measured := 0
	for f := dim.Wire; f < dim.Mass && measured < 2; f++ {
		if n, has := p.Dims[f]; has {
			out, measured = append(out, measureWords(dim.Of(f), n)), measured+1
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
