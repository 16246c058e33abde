package store

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"slices"
	"strings"

	"tinful/store/code"
)

// A Line is a bag as a list tells it: what it holds, where, of which grade.
type Line struct {
	Bag                code.Code
	OnHand, Held, Lent int64 // pieces, or millimetres
	Unit, Grade        string
	Place              code.Code
	Origin, Owner      string
	About              bool
	Noted              bool     // the bag's record has a note
	Read               code.Day // last counted, 0 for never
	Used               int64    // fitted, less what came back
}

// Free is what may be taken: on hand less held and lent.
func (l Line) Free() int64 { return l.OnHand - l.Held - l.Lent }

// lineOf is what a list tells of a bag with a balance.
func lineOf(b Bag, s State) Line {
	return Line{Bag: b.Code, OnHand: s.OnHand(), Held: s.Held(), Lent: s.Lent(), Unit: b.Unit, Grade: s.Grade, Place: s.Place,
		Origin: b.Origin, Owner: b.Owner, About: s.About, Noted: b.Note != "", Read: s.Read, Used: s.Fitted - s.Returned}
}

// Flags of a line in the file.
const (
	lineAbout = 1 << iota
	lineMM
	lineNoted
	lineOwned // by somebody else than the workshop
)

// pack is a line as the index holds it: see bag_by_part in doc.go.
func (l Line) pack() []byte {
	var flags byte
	for _, f := range []struct {
		set bool
		bit byte
	}{{l.About, lineAbout}, {l.Unit == "mm", lineMM}, {l.Noted, lineNoted}, {l.Owner != Own, lineOwned}} {
		if f.set {
			flags |= f.bit
		}
	}
	b := make([]byte, 0, 32)
	b = append(b, flags)
	for _, n := range []int64{l.OnHand, l.Held, l.Lent, int64(l.Read), l.Used} {
		b = binary.AppendVarint(b, n)
	}
	b = packGrade(b, l.Grade)
	for _, s := range []string{string(l.Place), l.Origin} {
		b = append(append(b, s...), 0)
	}
	if flags&lineOwned != 0 {
		b = append(append(b, l.Owner...), 0)
	}
	return b
}

// lineGrades are the grades in one byte each, from 1: a file format, whatever
// order people are shown them in. 0 is none, and otherGrade stands before one
// that is not here, as text.
var lineGrades = []string{"ready", "new", "made", "usable", "rework", "unknown", "pattern", "scrap"}

const otherGrade = 255

func packGrade(b []byte, grade string) []byte {
	if i := slices.Index(lineGrades, grade); i >= 0 || grade == "" {
		return append(b, byte(i+1))
	}
	return append(append(append(b, otherGrade), grade...), 0)
}

func unpackGrade(b []byte) (grade string, rest []byte, ok bool) {
	switch {
	case len(b) == 0:
		return "", nil, false
	case b[0] == 0:
		return "", b[1:], true
	case int(b[0]) <= len(lineGrades):
		return lineGrades[b[0]-1], b[1:], true
	case b[0] != otherGrade:
		return "", nil, false
	}
	text, rest, ok := bytes.Cut(b[1:], []byte{0})
	return string(text), rest, ok
}

// unpackLine reads what pack made.
func unpackLine(bag code.Code, b []byte) (Line, error) {
	l := Line{Bag: bag, Unit: "pc", Owner: Own}
	torn := func() (Line, error) {
		return l, fmt.Errorf("%w: the list of bags speaks of %s and breaks off", ErrDamaged, bag)
	}
	if len(b) == 0 {
		return torn()
	}
	flags, b := b[0], b[1:]
	var read int64
	for _, n := range []*int64{&l.OnHand, &l.Held, &l.Lent, &read, &l.Used} {
		x, used := binary.Varint(b)
		if used <= 0 {
			return torn()
		}
		*n, b = x, b[used:]
	}
	l.Read = code.Day(read)
	var ok bool
	if l.Grade, b, ok = unpackGrade(b); !ok {
		return torn()
	}
	all, texts, want := string(b), [3]string{}, 2 // one piece of memory for all
	if flags&lineOwned != 0 {
		want = 3
	}
	for i := range want {
		if texts[i], all, ok = strings.Cut(all, "\x00"); !ok {
			return torn()
		}
	}
	l.Place, l.Origin = code.Code(texts[0]), texts[1]
	l.About, l.Noted = flags&lineAbout != 0, flags&lineNoted != 0
	if flags&lineMM != 0 {
		l.Unit = "mm"
	}
	if want == 3 {
		l.Owner = texts[2]
	}
	return l, nil
}

// LinesOf lists the bags of a part, whoever owns them, empty ones too, as a
// list tells them.
func (v *View) LinesOf(part code.Code) ([]Line, error) {
	key := prefix(part)
	if list, ok := v.memo.record(bBagByPart, key); ok {
		return list.([]Line), nil
	}
	var out []Line
	err := v.EachLineOf(part, func(l Line) error { out = append(out, l); return nil })
	if err == nil {
		v.memo.keep(bBagByPart, key, slices.Clip(out))
	}
	return out, err
}

// EachLineOf calls fn for each of [View.LinesOf], until it returns an error.
func (v *View) EachLineOf(part code.Code, fn func(Line) error) error {
	return v.scan(bBagByPart, prefix(part), func(rest, x []byte) error {
		l, err := unpackLine(code.Code(rest), x)
		if err != nil {
			return err
		}
		return fn(l)
	})
}

// LineOf is a bag of a part as a list tells it.
func (v *View) LineOf(part, bag code.Code) (Line, error) {
	x := v.at(bBagByPart, join(part, bag))
	if x == nil {
		return Line{}, lacking("the line of bag", bag)
	}
	return unpackLine(bag, x)
}
