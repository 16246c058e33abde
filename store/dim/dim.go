// Package dim is the table of dimensions that catalogue, flags, sheets, JSON,
// search and index all read.
//
// Every measure is an integer, so that nothing drifts: lengths in micrometres,
// angles in thousandths of a degree, coils in thousandths of a turn, masses in
// micrograms. Dimensions told in words (hand, thread, material) are text. A
// length may be typed in inches; a bare number is millimetres, and one that no
// part of the class can have is refused with its likely meaning.
package dim

import (
	"strings"
	"sync"
)

// A Field is one dimension of a part. The numbers are a file format.
type Field uint8

// The fields, in the order of the sheet of parts.
const (
	Wire Field = iota + 1
	OD
	ID
	Post
	Coils
	Hand
	LegA
	LegB
	LegEnds
	Angle
	FreeLength
	InsideHooks
	Ends
	Thick
	Width
	Length
	Height
	Thread
	Point
	Head
	HeadHeight
	Drive
	Slot
	Shoulder
	ShoulderLength
	Teeth
	Module
	Bore
	Centres
	ShaftFrom
	ShaftTo
	Grain
	Colour
	Material
	Magnetic
	Finish
	Mass
)

// A Kind says what the integer of a field counts.
type Kind uint8

// The kinds of fields.
const (
	KindLength Kind = iota + 1 // micrometres
	KindAngle                  // thousandths of a degree
	KindTurns                  // thousandths of a turn
	KindCount                  // pieces
	KindMass                   // micrograms
	KindWord                   // text
)

// Any as NearPlus says that more by any amount is worth a look.
const Any = int64(1) << 40

// An Info describes one field.
type Info struct {
	Field   Field
	Key     string // in JSON: "free_length"
	Heading string // of the sheet's column: "Free length mm"
	Flag    string // of a command, without hyphens before it: "free-length"
	Unit    string // of the sheet: "mm", "deg", "g" or nothing
	Kind    Kind
	Indexed bool // stands in the store's index of measures

	// Two parts may be the same where their values differ by at most Same
	// (bounds inclusive, in the unit of Kind). SamePlus is the bound for the
	// larger one: equal to Same but for a shoulder, which must not be larger.
	Same, SamePlus int64
	// A value smaller by at most NearMinus or larger by at most NearPlus is
	// worth a look.
	NearMinus, NearPlus int64

	name   string // in sentences
	less   string // than the least: "thinner"
	more   string // than the greatest: "thicker"
	ranges []bound
}

// A bound is what the values of a class can be, in the sheet's unit as text.
type bound struct {
	class    string // a prefix of classes, "" for all
	lo, hi   string
	from, to int64 // the same in the unit of the kind
}

// Name returns how the field is called in a sentence: "free length".
func (i Info) Name() string { return i.name }

// InchHeading returns the heading of a column that holds the field in inches,
// "Wire in", and nothing for a field that is no length.
func (i Info) InchHeading() string {
	if i.Kind != KindLength {
		return ""
	}
	return strings.TrimSuffix(i.Heading, " mm") + " in"
}

// Table returns all fields in the order of the sheet of parts. The slice is the
// caller's.
func Table() []Info { return append([]Info(nil), table()...) }

// Of returns the description of f, and the zero Info where f is no field.
func Of(f Field) Info {
	t := table()
	if f < Wire || int(f) > len(t) {
		return Info{}
	}
	return t[f-1]
}

// ByHeading returns the field of a sheet's heading such as "Free length mm".
// Case and blanks do not matter.
func ByHeading(heading string) (Info, bool) {
	f, ok := headings()[foldHeading(heading)]
	return Of(f), ok
}

func foldHeading(s string) string {
	return strings.ToLower(strings.Join(strings.Fields(s), ""))
}

var headings = sync.OnceValue(func() map[string]Field {
	m := map[string]Field{}
	for _, i := range table() {
		m[foldHeading(i.Heading)] = i.Field
	}
	return m
})
