package store

import (
	"slices"

	"tinful/store/code"
	"tinful/store/dim"
)

// The records of the store. Each is a CBOR map with the small integer keys
// given here; a key is never given a second meaning, and a field that is
// removed leaves its number unused. Days are days since 1970-01-01, money is
// in cents, lengths, angles and masses are as in package dim. A field tagged
// flag:"-" is given by no flag of add and edit: whoever fills a record anew from
// flags takes it over with [KeepUntold].

// A Part is a kind of part: one design, one drawing, one thread, one hand.
type Part struct {
	Code     code.Code            `cbor:"1,keyasint"`
	Name     string               `cbor:"2,keyasint,omitempty"`
	Class    string               `cbor:"3,keyasint,omitempty"`
	Seat     string               `cbor:"4,keyasint,omitempty"`
	Aliases  []string             `cbor:"5,keyasint,omitempty"`
	MakerNos []string             `cbor:"6,keyasint,omitempty"`
	Dims     map[dim.Field]int64  `cbor:"7,keyasint,omitempty"` // zero is a measure, absent is not measured
	Marks    map[dim.Field]string `cbor:"8,keyasint,omitempty"` // what is told in words: hand, thread, ends, material
	Keep     *int64               `cbor:"9,keyasint,omitempty"` // nil: not watched
	Weeks    int64                `cbor:"10,keyasint,omitempty"`
	Value    *code.Cents          `cbor:"11,keyasint,omitempty"`
	Twin     code.Code            `cbor:"12,keyasint,omitempty"`
	Holds    []code.Code          `cbor:"13,keyasint,omitempty"`
	Hazard   string               `cbor:"14,keyasint,omitempty"`
	Note     string               `cbor:"15,keyasint,omitempty"`
	// Same is the part this code was joined to: a second name of one part.
	Same code.Code `cbor:"16,keyasint,omitempty" flag:"-"`
	// Readings say how measures in Dims were come by.
	Readings map[dim.Field]Reading `cbor:"17,keyasint,omitempty" flag:"-"`
	// CountFirst puts the part into the first class of what is counted, whatever
	// it is worth: set by hand for what cannot be bought.
	CountFirst bool `cbor:"20,keyasint,omitempty" flag:"-"`
	// Of a panel of covering, and of a sheet: see [View.PanelOf] and [View.SheetOf].
	Runs   string     `cbor:"21,keyasint,omitempty"` // along which side the grain runs, one of Sides; length where empty
	Up     string     `cbor:"22,keyasint,omitempty"` // which side stands upright on the camera, one of Sides; length where empty
	Corner int64      `cbor:"23,keyasint,omitempty"` // radius of the corners, micrometres; 0: square
	Rim    int64      `cbor:"24,keyasint,omitempty"` // depth of the rim that a panel lies in, micrometres; 0: not measured
	Holes  []dim.Spot `cbor:"25,keyasint,omitempty"`
	Mirror code.Code  `cbor:"26,keyasint,omitempty"` // the panel of the other side, its mirror image
}

// A Reading is one measure as it was taken. On a part it speaks of the value in
// Dims while the two are equal; on a bag it is the bag's own.
type Reading struct {
	Value int64    `cbor:"1,keyasint"`           // in the unit of the field
	Tool  string   `cbor:"2,keyasint,omitempty"` // one of dim.Tools
	Times int64    `cbor:"3,keyasint,omitempty"` // readings taken, 0 for one
	Day   code.Day `cbor:"4,keyasint,omitempty"`
	By    string   `cbor:"5,keyasint,omitempty"`
	From  string   `cbor:"6,keyasint,omitempty"` // the card or book it was copied from
	// Each are several readings of which Value is the mean, Times of them; none for
	// readings that agree.
	Each []int64 `cbor:"7,keyasint,omitempty"`
}

// MeanOf is a reading of several: their mean, rounded, and each of them where they
// differ.
func MeanOf(each []int64) Reading {
	sum := int64(0)
	for _, n := range each {
		sum += n
	}
	n := int64(len(each))
	r := Reading{Value: (2*sum + n) / (2 * n)}
	if n > 1 {
		r.Times = n
	}
	if slices.Min(each) != slices.Max(each) {
		r.Each = slices.Clone(each)
	}
	return r
}

// A Bag is the pieces of one part that came from one origin, share one grade
// and lie in one place. The record holds what was booked in first and what
// describes the bag; quantity, place and grade of today follow from the book.
type Bag struct {
	Code     code.Code   `cbor:"-"`                    // told by the key
	Part     code.Code   `cbor:"2,keyasint,omitempty"` // empty: unsorted, never free
	Origin   string      `cbor:"3,keyasint,omitempty"` // a donor, bought, made, unknown or several
	Quantity int64       `cbor:"4,keyasint,omitempty"` // booked in with the bag; 0 for a bag made by a split
	Unit     string      `cbor:"5,keyasint,omitempty"` // pc or mm
	About    bool        `cbor:"6,keyasint,omitempty"` // as booked in
	Grade    string      `cbor:"7,keyasint,omitempty"` // as booked in
	Looks    string      `cbor:"8,keyasint,omitempty"`
	Place    code.Code   `cbor:"9,keyasint,omitempty"` // as booked in
	Owner    string      `cbor:"10,keyasint,omitempty"`
	Number   string      `cbor:"11,keyasint,omitempty"`
	GoesWith string      `cbor:"12,keyasint,omitempty"`
	Cost     *code.Cents `cbor:"13,keyasint,omitempty"`
	Booked   code.Day    `cbor:"14,keyasint,omitempty"`
	Note     string      `cbor:"15,keyasint,omitempty"`
	// Split is the bag this one was split from, empty for a bag booked in.
	Split code.Code `cbor:"16,keyasint,omitempty" flag:"-"`
	// Readings are measures taken of the pieces in this bag.
	Readings map[dim.Field]Reading `cbor:"17,keyasint,omitempty" flag:"-"`
	// Of what was made here: what it was made from, the bag or part it was made
	// after, and the minutes that all of it took.
	Material string    `cbor:"18,keyasint,omitempty" flag:"-"`
	Pattern  code.Code `cbor:"19,keyasint,omitempty" flag:"-"`
	Minutes  int64     `cbor:"20,keyasint,omitempty" flag:"-"`
	// Of a sheet, an offcut, a panel or a pattern: its own width, length and
	// thickness where it is not as large as its part, and what is not to be used.
	Dims    map[dim.Field]int64 `cbor:"21,keyasint,omitempty"`
	Runs    string              `cbor:"22,keyasint,omitempty"` // along which side the grain runs, one of Sides; as its part's where empty
	Flaws   []dim.Spot          `cbor:"23,keyasint,omitempty"`
	Stretch string              `cbor:"24,keyasint,omitempty"` // along and across the grain: see [ParseStretch]
	Whole   string              `cbor:"25,keyasint,omitempty"` // how it came off, one of WholeWords
	// Cut is the bag of covering this one was cut from, empty for what came in.
	Cut code.Code `cbor:"26,keyasint,omitempty" flag:"-"`
	// Entry and By are of the entry that booked it in, as a workbook tells them: see
	// [View.Entered]. A record has neither.
	Entry uint64 `cbor:"-" merge:"-" flag:"-"`
	By    string `cbor:"-" merge:"-" flag:"-"`
}

// A Model is a variant of a camera, a shutter or a lens that can be told from
// its sisters at the bench.
type Model struct {
	Code    code.Code   `cbor:"1,keyasint"`
	Kind    string      `cbor:"2,keyasint,omitempty"` // camera, shutter or lens
	Maker   string      `cbor:"3,keyasint,omitempty"`
	Name    string      `cbor:"4,keyasint,omitempty"`
	Family  string      `cbor:"5,keyasint,omitempty"`
	Aliases []string    `cbor:"6,keyasint,omitempty"`
	Years   string      `cbor:"7,keyasint,omitempty"`
	Numbers string      `cbor:"8,keyasint,omitempty"`
	Carries []code.Code `cbor:"9,keyasint,omitempty"` // models of one or more kinds: one of each kind is in the camera
	Scale   string      `cbor:"10,keyasint,omitempty"`
	Form    string      `cbor:"11,keyasint,omitempty"` // thread form
	ToldBy  string      `cbor:"12,keyasint,omitempty"`
	Tools   string      `cbor:"13,keyasint,omitempty"`
	Note    string      `cbor:"14,keyasint,omitempty"`
	Hazard  string      `cbor:"15,keyasint,omitempty"` // a meter, a flash, glass that needs care
}

// A Goes is a statement that a part goes, or does not go, into a model, perhaps
// only for body numbers From to To. It says nothing of the reverse.
type Goes struct {
	Part      code.Code `cbor:"-"` // told by the key
	Model     code.Code `cbor:"-"` // told by the key
	Degrees   []string  `cbor:"3,keyasint,omitempty"`
	PerBody   *int64    `cbor:"4,keyasint,omitempty"`
	Where     string    `cbor:"5,keyasint,omitempty"`
	From      string    `cbor:"6,keyasint,omitempty"`
	To        string    `cbor:"7,keyasint,omitempty"`
	Operation string    `cbor:"8,keyasint,omitempty"`
	Evidence  string    `cbor:"9,keyasint,omitempty"`
	By        string    `cbor:"10,keyasint,omitempty"`
	Date      code.Day  `cbor:"11,keyasint,omitempty"`
	Note      string    `cbor:"12,keyasint,omitempty"`
}

// A Donor is a parts camera.
type Donor struct {
	Code      code.Code   `cbor:"1,keyasint"`
	Model     code.Code   `cbor:"2,keyasint,omitempty"`
	Bought    code.Day    `cbor:"3,keyasint,omitempty"`
	From      string      `cbor:"4,keyasint,omitempty"`
	Lot       string      `cbor:"5,keyasint,omitempty"`
	Price     *code.Cents `cbor:"6,keyasint,omitempty"`
	Post      *code.Cents `cbor:"7,keyasint,omitempty"`
	BodyNo    string      `cbor:"8,keyasint,omitempty"`
	Shutter   code.Code   `cbor:"9,keyasint,omitempty"`
	ShutterNo string      `cbor:"10,keyasint,omitempty"`
	Lens      code.Code   `cbor:"11,keyasint,omitempty"`
	LensNo    string      `cbor:"12,keyasint,omitempty"`
	History   string      `cbor:"13,keyasint,omitempty"`
	State     string      `cbor:"14,keyasint,omitempty"`
	Owner     string      `cbor:"15,keyasint,omitempty"`
	Place     code.Code   `cbor:"16,keyasint,omitempty"`
	Worth     *code.Cents `cbor:"17,keyasint,omitempty"`
	Booked    code.Day    `cbor:"18,keyasint,omitempty"`
	Note      string      `cbor:"19,keyasint,omitempty"`
	// Frozen is the day on which the price was shared among the bags for good,
	// Carcass the share of what stayed in the body.
	Frozen  code.Day    `cbor:"20,keyasint,omitempty" flag:"-"`
	Carcass *code.Cents `cbor:"21,keyasint,omitempty" flag:"-"`
	// Signs are what the history was told by; Why is what it was bought for.
	Signs []string `cbor:"23,keyasint,omitempty" flag:"-"`
	Why   string   `cbor:"24,keyasint,omitempty" flag:"-"`
}

// Paid is price and post of a parts camera, 0 where neither is noted.
func (d Donor) Paid() (sum code.Cents) {
	for _, c := range []*code.Cents{d.Price, d.Post} {
		if c != nil {
			sum += *c
		}
	}
	return sum
}

// A Seen is one observation on a camera at arrival: on a donor, or on a
// customer's camera, whose pieces never count. Not looked at is no observation.
type Seen struct {
	Donor code.Code `cbor:"-"`                    // told by the key; empty on a customer's camera
	Job   code.Code `cbor:"-"`                    // told by the key; empty on a donor
	Part  code.Code `cbor:"-"`                    // told by the key
	Seen  string    `cbor:"3,keyasint,omitempty"` // present, missing, replaced, damaged or stuck
	Date  code.Day  `cbor:"4,keyasint,omitempty"`
	Note  string    `cbor:"5,keyasint,omitempty"`
}

// A Place is a drawer, tin, box, shelf or job tray.
type Place struct {
	Code  code.Code `cbor:"1,keyasint"`
	Where string    `cbor:"2,keyasint,omitempty"`
	For   string    `cbor:"3,keyasint,omitempty"`
}

// A Job is one customer's camera on the bench.
type Job struct {
	Code        code.Code   `cbor:"1,keyasint"`
	Model       code.Code   `cbor:"2,keyasint,omitempty"`
	BodyNo      string      `cbor:"3,keyasint,omitempty"`
	Shutter     code.Code   `cbor:"4,keyasint,omitempty"`
	Lens        code.Code   `cbor:"5,keyasint,omitempty"`
	Owner       string      `cbor:"6,keyasint,omitempty"`
	Fault       string      `cbor:"7,keyasint,omitempty"`
	Accessories string      `cbor:"8,keyasint,omitempty"`
	State       string      `cbor:"9,keyasint,omitempty"`
	Tray        code.Code   `cbor:"10,keyasint,omitempty"`
	Agreed      string      `cbor:"11,keyasint,omitempty"` // yes, no or empty: to used or made parts
	Promised    code.Day    `cbor:"12,keyasint,omitempty"`
	Value       *code.Cents `cbor:"13,keyasint,omitempty"`
	Opened      code.Day    `cbor:"14,keyasint,omitempty"`
	Closed      code.Day    `cbor:"15,keyasint,omitempty"`
	Note        string      `cbor:"16,keyasint,omitempty"`
	History     string      `cbor:"20,keyasint,omitempty" flag:"-"` // one of Histories
	Lines       []JobLine   `cbor:"21,keyasint,omitempty" flag:"-"` // of the estimate, as they were typed
}

// A JobLine is a line of an estimate: what is to be done, and what it is to cost.
type JobLine struct {
	Text string      `cbor:"1,keyasint,omitempty"`
	Sum  *code.Cents `cbor:"2,keyasint,omitempty"` // nil: nothing was said
}

// A Want is a part that was asked for and not found.
type Want struct {
	Date  code.Day  `cbor:"1,keyasint"`
	Part  code.Code `cbor:"2,keyasint"`
	Model code.Code `cbor:"3,keyasint,omitempty"`
	Job   code.Code `cbor:"4,keyasint,omitempty"`
	Nth   int64     `cbor:"5,keyasint,omitempty"` // 0, or the n-th equal want of that day
	Met   code.Day  `cbor:"6,keyasint,omitempty"` // the day it was met, 0 while open
	Note  string    `cbor:"7,keyasint,omitempty"`
	// Instead is what was done without the part, on the day of Met.
	Instead string `cbor:"8,keyasint,omitempty"`
}

// An Old is a piece that came out of a customer's camera: it stays the
// customer's and is never stock.
type Old struct {
	Job      code.Code `cbor:"-"`                     // told by the key
	Nth      uint64    `cbor:"-"`                     // told by the key; the first piece of a job is 1
	Part     code.Code `cbor:"3,keyasint,omitempty"`  // empty where no part is recorded for it
	Piece    string    `cbor:"4,keyasint,omitempty"`  // what it is, in words, where there is no part
	Quantity int64     `cbor:"5,keyasint,omitempty"`  // pieces
	Why      string    `cbor:"6,keyasint,omitempty"`  // why it came out, or how it was lost
	Fate     string    `cbor:"7,keyasint,omitempty"`  // one of Fates; empty while it lies here and nothing is agreed
	Where    string    `cbor:"8,keyasint,omitempty"`  // the envelope it lies in
	Day      code.Day  `cbor:"9,keyasint,omitempty"`  // when it came out or was lost
	Settled  code.Day  `cbor:"10,keyasint,omitempty"` // when it was handed back, refused or made good; 0 while open
	By       string    `cbor:"11,keyasint,omitempty"`
	Note     string    `cbor:"12,keyasint,omitempty"`
}

// A Step is one step of a strip-down: what came off, in which order, and what
// was under it.
type Step struct {
	Kind     string    `cbor:"-"`                    // donor or job, told by the key
	Camera   code.Code `cbor:"-"`                    // told by the key
	Nth      uint64    `cbor:"-"`                    // told by the key; the first step is 1
	Seat     string    `cbor:"4,keyasint,omitempty"` // one of Seats
	Day      code.Day  `cbor:"5,keyasint,omitempty"`
	By       string    `cbor:"6,keyasint,omitempty"`
	Note     string    `cbor:"7,keyasint,omitempty"`
	Off      []Off     `cbor:"8,keyasint,omitempty"`  // in the order they came off
	Under    []Layer   `cbor:"9,keyasint,omitempty"`  // in the order they were met: the first lay right under
	Over     []Layer   `cbor:"10,keyasint,omitempty"` // in the order they were met: the outermost first
	Facing   string    `cbor:"11,keyasint,omitempty"` // which face up, which hook to which post
	Turns    *int64    `cbor:"12,keyasint,omitempty"` // thousandths of a turn let off
	Teeth    *int64    `cbor:"13,keyasint,omitempty"` // teeth let off
	Sealed   string    `cbor:"14,keyasint,omitempty"` // lacquer, thread lock, paint; fresh or broken
	Tools    string    `cbor:"15,keyasint,omitempty"`
	Wrong    []Wrong   `cbor:"16,keyasint,omitempty"`
	Went     string    `cbor:"17,keyasint,omitempty"` // the cell of the tray, the basket, the bin
	Pictures []string  `cbor:"18,keyasint,omitempty"`
	Set      string    `cbor:"19,keyasint,omitempty"` // how the mechanism stood: cocked, focus at infinity
	Stop     string    `cbor:"20,keyasint,omitempty"` // done for the day, and what comes next
	// Text is the step as it was written: by it a list taken in again is known.
	Text string `cbor:"21,keyasint,omitempty"`
}

// An Off is a piece, or several alike, that came off in a step.
type Off struct {
	Part     code.Code `cbor:"1,keyasint,omitempty"` // empty where no part is recorded for it
	Piece    string    `cbor:"2,keyasint,omitempty"` // what it is, in words, where there is no part
	Quantity int64     `cbor:"3,keyasint,omitempty"`
	Unit     string    `cbor:"4,keyasint,omitempty"` // pc or mm
	Hole     string    `cbor:"5,keyasint,omitempty"` // which hole, by the clock
	Hand     string    `cbor:"6,keyasint,omitempty"` // of its thread or coils: left or right
	Grade    string    `cbor:"7,keyasint,omitempty"`
	Bag      code.Code `cbor:"8,keyasint,omitempty"` // where a donor's piece went
	Place    code.Code `cbor:"9,keyasint,omitempty"`
}

// A Layer is a washer, shim or other piece that lay under or over another.
type Layer struct {
	Part  code.Code `cbor:"1,keyasint,omitempty"`
	Piece string    `cbor:"2,keyasint,omitempty"` // in words, where there is no part
	Thick *int64    `cbor:"3,keyasint,omitempty"` // micrometres
}

// A Wrong is what was found wrong in a step.
type Wrong struct {
	Part code.Code `cbor:"1,keyasint,omitempty"`
	Seen string    `cbor:"2,keyasint,omitempty"` // one of SeenWords, with the part
	Text string    `cbor:"3,keyasint,omitempty"` // in words: glued, foreign, bent, magnetised
}

// A Count is a count of one or more places. Its readings are entries of the
// book.
type Count struct {
	Number uint64      `cbor:"-"` // told by the key
	Places []code.Code `cbor:"2,keyasint,omitempty"`
	Day    code.Day    `cbor:"3,keyasint,omitempty"` // when it was begun
	Closed code.Day    `cbor:"4,keyasint,omitempty"` // 0 while it is open
	By     string      `cbor:"5,keyasint,omitempty"`
	// Cut is the number of the last entry when the count was begun, or its sheet
	// printed: what moved after it is told apart.
	Cut   uint64  `cbor:"6,keyasint,omitempty"`
	Loose []Loose `cbor:"7,keyasint,omitempty"`
	// Since is the day of readings that came with a workbook and that the count goes on
	// with: those of its places are its own.
	Since code.Day `cbor:"8,keyasint,omitempty"`
}

// A Loose is what a count met of a part without a bag.
type Loose struct {
	Part  code.Code `cbor:"1,keyasint"`
	Place code.Code `cbor:"2,keyasint,omitempty"`
	N     int64     `cbor:"3,keyasint,omitempty"` // pieces
	About bool      `cbor:"4,keyasint,omitempty"`
	By    string    `cbor:"5,keyasint,omitempty"`
	Day   code.Day  `cbor:"6,keyasint,omitempty"`
	// Bag is the bag they were booked in as, empty while the count is open.
	Bag code.Code `cbor:"7,keyasint,omitempty"`
}

// A Paper is a sheet or roll of labels that is kept by a name.
type Paper struct {
	Name  string `cbor:"-"`                    // told by the key
	Sheet string `cbor:"2,keyasint,omitempty"` // its measures, as package paper reads them
}

// A Label is what the last label of a thing said, but for how many, day and who.
type Label struct {
	Kind string    `cbor:"-"` // told by the key
	Code code.Code `cbor:"-"` // told by the key
	Text string    `cbor:"3,keyasint,omitempty"`
	Day  code.Day  `cbor:"4,keyasint,omitempty"`
}

// A Remark is a dated note on a part, bag, donor, job or place.
type Remark struct {
	Kind string    `cbor:"-"` // told by the key
	Code code.Code `cbor:"-"` // told by the key
	Nth  uint64    `cbor:"-"` // told by the key; the first of a thing is 1
	Day  code.Day  `cbor:"4,keyasint,omitempty"`
	By   string    `cbor:"5,keyasint,omitempty"`
	Text string    `cbor:"6,keyasint,omitempty"`
}

// A Picture is a photograph of a part, bag, donor, job or place. What it shows lies in a
// file of its own beside the store: see [Photo].
type Picture struct {
	Kind    string    `cbor:"-"`                    // told by the key
	Code    code.Code `cbor:"-"`                    // told by the key
	Nth     uint64    `cbor:"-"`                    // told by the key; the first of a thing is 1
	Hash    string    `cbor:"4,keyasint,omitempty"` // SHA-256 of the file, in hex
	Format  string    `cbor:"5,keyasint,omitempty"` // jpg, png or webp; empty for what is kept as it is
	Turn    uint8     `cbor:"6,keyasint,omitempty"` // how it is upright, as Exif has it; 0 and 1: as it lies
	Width   int64     `cbor:"7,keyasint,omitempty"` // in pixels, as they lie in the file
	Height  int64     `cbor:"8,keyasint,omitempty"`
	Step    uint64    `cbor:"9,keyasint,omitempty"` // of the strip-down of a donor or job, 0 for none
	Caption string    `cbor:"10,keyasint,omitempty"`
	Name    string    `cbor:"11,keyasint,omitempty"` // of the file that was taken in, without its folder
	Day     code.Day  `cbor:"12,keyasint,omitempty"`
	By      string    `cbor:"13,keyasint,omitempty"`
	Unsure  bool      `cbor:"14,keyasint,omitempty"` // kept as it was asked for, though it could not be decoded
}

// A Shop is the workshop as its papers name it. There is one.
type Shop struct {
	Name  string   `cbor:"1,keyasint,omitempty"`
	Lines []string `cbor:"2,keyasint,omitempty"` // of its address, or how to reach it
	Terms string   `cbor:"3,keyasint,omitempty"` // what stands under every paper
}

// A Month is the sheet of a month as it was handed over.
type Month struct {
	Name string   `cbor:"-"` // told by the key: 2031-08
	Day  code.Day `cbor:"2,keyasint,omitempty"`
	By   string   `cbor:"3,keyasint,omitempty"`
	// Last is the number of the last entry that it could have.
	Last  uint64 `cbor:"4,keyasint,omitempty"`
	Sheet []byte `cbor:"5,keyasint,omitempty"` // JSON
}

// An Entry is one line of the book. Entries are never edited.
type Entry struct {
	Seq      uint64     `cbor:"-"` // told by the key: see chunk in entries.go
	Booking  uint64     `cbor:"-"` // told by the frame
	Bag      code.Code  `cbor:"5,keyasint"`
	Job      code.Code  `cbor:"8,keyasint,omitempty"`
	To       string     `cbor:"9,keyasint,omitempty"` // by What: a place, a grade, another bag, what arose, or who has or bought it
	Why      string     `cbor:"10,keyasint,omitempty"`
	By       string     `cbor:"12,keyasint,omitempty"`
	Quantity int64      `cbor:"6,keyasint,omitempty"`  // in the unit of the bag; negative takes back what the word does; corrected is signed
	Amount   code.Cents `cbor:"11,keyasint,omitempty"` // what all of it was sold for
	// Undoes is the number of the booking this entry takes back, or 0.
	Undoes uint64   `cbor:"14,keyasint,omitempty"`
	Day    code.Day `cbor:"3,keyasint"`
	What   What     `cbor:"4,keyasint"`
	About  bool     `cbor:"7,keyasint,omitempty"`
	// First is set on the entry that books a new bag in with its record: it
	// belongs to the Bags sheet, not to Moves.
	First bool `cbor:"13,keyasint,omitempty"`
	// Unsure is set where a part was named and any bag was taken.
	Unsure bool `cbor:"15,keyasint,omitempty"`
	// Count is the count that a reading, or what closing booked, belongs to; 0 for
	// a reading that was taken in with a workbook.
	Count uint64   `cbor:"16,keyasint,omitempty"`
	Due   code.Day `cbor:"17,keyasint,omitempty"` // when what is lent should be back
	// Model is for which camera covering was cut, where that is not told by the job.
	Model code.Code `cbor:"18,keyasint,omitempty"`
}

// A Booking is what one command changed, its entries together. Its entries
// have the numbers First to Last; a booking of catalogue changes alone has none.
type Booking struct {
	Number  uint64   `cbor:"1,keyasint"`
	Day     code.Day `cbor:"2,keyasint"`
	At      int64    `cbor:"3,keyasint,omitempty"` // instant, seconds since 1970 UTC
	By      string   `cbor:"4,keyasint,omitempty"`
	Command string   `cbor:"5,keyasint,omitempty"`
	First   uint64   `cbor:"6,keyasint,omitempty"`
	Last    uint64   `cbor:"7,keyasint,omitempty"`
	Kind    string   `cbor:"8,keyasint,omitempty"` // "", import, undo, count or salvage
	Undoes  uint64   `cbor:"9,keyasint,omitempty"`
	Undone  uint64   `cbor:"10,keyasint,omitempty"` // the booking that took this one back
	// Fresh is set on the booking that made the store: nothing was there before.
	Fresh bool   `cbor:"13,keyasint,omitempty"`
	File  string `cbor:"11,keyasint,omitempty"` // an import's file, by name
	Hash  string `cbor:"12,keyasint,omitempty"` // and its SHA-256
}

// What says what an entry does. The numbers are a file format.
type What uint8

// The words of the book, in the order people are shown them.
const (
	In What = iota + 1
	Fitted
	Returned // with a job undoes fitted, without one undoes lent
	Held
	Unheld
	Lent
	Lost
	Found
	Scrapped
	Sold
	Moved
	Split
	Joined
	Graded
	Counted   // a reading: changes nothing
	Corrected // what closing a count changed, signed
	Cut       // covering used up: To names the bags that arose, none where it was spoilt
)

var whatWords = [...]string{"", "in", "fitted", "returned", "held", "unheld", "lent", "lost", "found", "scrapped", "sold",
	"moved", "split", "joined", "graded", "counted", "corrected", "cut"}

// String returns the word as sheets and people read it.
func (w What) String() string {
	if int(w) < len(whatWords) {
		return whatWords[w]
	}
	return "unknown"
}

// ParseWhat returns the What of a word, or false.
func ParseWhat(word string) (What, bool) {
	for i, w := range whatWords {
		if i > 0 && w == word {
			return What(i), true
		}
	}
	return 0, false
}

// Words that a field may hold, in the order people are shown them.
var (
	Kinds       = []string{"camera", "shutter", "lens"}
	Seats       = []string{"top", "wind", "counter", "interlock", "release", "finder", "shutter", "lens", "focus", "front", "bellows", "back", "base", "body", "covering"}
	Degrees     = []string{"direct", "looks-wrong", "rework", "unit", "matched", "unproven", "opposite-hand", "no"}
	Evidences   = []string{"run", "tried", "compared", "number", "manual", "colleague", "page", "photo", "guess"}
	Grades      = []string{"ready", "new", "made", "usable", "rework", "unknown", "pattern", "scrap"}
	Looks       = []string{"clean", "marked", "worn", "refinished"}
	Histories   = []string{"unopened", "failed", "meddled", "serviced", "unknown"}
	DonorStates = []string{"whole", "short", "opened", "part-stripped", "stripped", "shell"}
	SeenWords   = []string{"present", "missing", "replaced", "damaged", "stuck"}
	JobStates   = []string{"arrived", "quoted", "waiting", "in work", "ready", "collected", "refused", "uncollected"}
	Units       = []string{"pc", "mm"}
	Fates       = []string{"returned", "envelope", "refused", "lost"}
	Sides       = []string{"length", "width"}
	WholeWords  = []string{"whole", "torn"}
	// ClosedStates are the states of a job that is done.
	ClosedStates = []string{"ready", "collected", "refused", "uncollected"}
)

// Own is the owner of what belongs to the workshop; OwnerHeld of an
// uncollected repair whose notice runs. Only own is stock.
const (
	Own       = "own"
	OwnerHeld = "held"
)
