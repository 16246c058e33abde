// Package ways puts the ways to get a part into a camera in order.
//
// A way is a bag, a sibling's bag, a part near by measure, a parts camera, a
// unit that holds the part, a sheet to cut it from, or making it. A pattern is only copied, so it
// always stands last, whatever is said of its part; scrap is never a way.
package ways

import (
	"cmp"
	"slices"
	"strings"
)

// A Kind says what sort of way it is. The order is that of the answer.
type Kind uint8

// The kinds of ways, best first.
const (
	Bag Kind = iota + 1
	Sibling
	Near
	Donor
	Unit
	Sheet // covering to cut the part from
	Make
)

var kindWords = [...]string{"", "bag", "sibling", "near", "donor", "unit", "sheet", "make"}

// String returns the word that answers use: "bag", "donor".
func (k Kind) String() string {
	if int(k) < len(kindWords) {
		return kindWords[k]
	}
	return ""
}

// What a parts camera is known to hold, best first.
const (
	Present   = iota + 1 // seen in place
	NotLooked            // not looked at, and the statements say it belongs there
	Hurt                 // seen damaged or stuck: as rework
)

// A Candidate is one way before it has its place.
type Candidate struct {
	Kind    Kind
	Degrees []string // of the part in the camera; the worst of them counts
	If      bool     // it depends on what the camera carries
	Grade   string   // of the bag
	Seen    int      // of a parts camera: Present, NotLooked or Hurt
	Opening float64  // of a parts camera: cents that opening it costs, for each piece that is likely there
	Meddled bool     // the parts camera was opened by an amateur
	Held    bool     // pieces of it are set aside for the job
	Free    int64    // pieces that may be taken
	Code    string   // of the bag or parts camera, for a steady order
}

var (
	degreeOrder = []string{"direct", "looks-wrong", "rework", "matched", "unit", "unproven"}
	gradeOrder  = []string{"ready", "new", "made", "usable", "rework", "unknown"}
)

// Degree returns the place of the worst of the degrees, 0 for direct. What is
// not recorded comes after unproven; what must never go in is last of all.
func Degree(degrees []string) int {
	worst := -1
	for _, d := range degrees {
		worst = max(worst, place(degreeOrder, d))
	}
	if worst < 0 {
		return len(degreeOrder)
	}
	return worst
}

// Grade returns the place of a grade, 0 for ready. A word that is no grade
// comes after unknown.
func Grade(grade string) int { return place(gradeOrder, grade) }

func place(order []string, word string) int {
	if i := slices.Index(order, word); i >= 0 {
		return i
	}
	return len(order) + 1
}

// Rank returns the candidates that are ways, as indices into cs, best first: what is
// set aside for the job, then by kind, degree, whether it depends on what the camera carries, grade; parts
// cameras by what opening them costs, those with a hurt part after others, then
// by what was seen, meddled ones after others. Scrap and what must
// never go in are left out. Of equals, the bag with fewer free comes first, so
// that bags empty; then the code decides.
func Rank(cs []Candidate) []int {
	var out []int
	for i, c := range cs {
		if c.Grade != "scrap" && !slices.Contains(c.Degrees, "no") && !slices.Contains(c.Degrees, "opposite-hand") {
			out = append(out, i)
		}
	}
	slices.SortStableFunc(out, func(i, j int) int { return compare(cs[i], cs[j]) })
	return out
}

func compare(a, b Candidate) int {
	return cmp.Or(
		cmp.Compare(a.group(), b.group()),
		cmp.Compare(number(a.Seen == Hurt), number(b.Seen == Hurt)),
		cmp.Compare(a.Opening, b.Opening),
		cmp.Compare(a.Seen, b.Seen),
		cmp.Compare(number(a.Meddled), number(b.Meddled)),
		cmp.Compare(Degree(a.Degrees), Degree(b.Degrees)),
		cmp.Compare(number(a.If), number(b.If)),
		cmp.Compare(Grade(a.Grade), Grade(b.Grade)),
		cmp.Compare(a.Free, b.Free),
		strings.Compare(a.Code, b.Code))
}

// group is the kind; what is set aside comes before all else, a pattern is only
// copied and comes after.
func (c Candidate) group() int {
	switch {
	case c.Grade == "pattern":
		return int(Make) + 1
	case c.Held:
		return 0
	}
	return int(c.Kind)
}

func number(b bool) int {
	if b {
		return 1
	}
	return 0
}
