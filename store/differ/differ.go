// Package differ looks for likely reasons why a count differs from the book.
//
// A line is one bag that was counted, with what the book and the drawer say of
// it. A reason is a sentence with a score: the better it fits, the earlier it
// stands, and from Likely on it says "probably", else "perhaps".
//
// The surprising rule: differences are never netted. A mix of two bags explains
// both of their lines and settles neither.
package differ

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// Likely is the score from which a reason reads "probably".
const Likely = 70

// A Use is pieces that went somewhere, or came back.
type Use struct {
	Who string // the job, the borrower or the place
	Bag string // where it is another bag than the line's
	N   int64
	// Full says that the job has as many of the part as its camera takes.
	Full bool
}

// A Loss is pieces that were booked out and went into no job.
type Loss struct {
	What string // lost, scrapped or sold
	Day  string
	N    int64
}

// A Double is a movement that stands in the book twice.
type Double struct {
	Effect int64  // of one of them on what the book says: -1 for one fitted
	Words  string // "1 fitted on job 107, bookings 12 and 13"
}

// A Unit is a bag of a unit that contains the line's part.
type Unit struct{ Bag, Part string }

// Facts are what the book and the drawer say of a bag since it was last counted.
type Facts struct {
	Fitted    []Use  // from this bag, by job
	Elsewhere []Use  // of the part from other bags, by job
	Unsure    []Use  // from another bag of the part, "which bag: unsure"
	Doubtful  []Use  // from this bag, "which bag: unsure"
	Losses    []Loss // from this bag
	Held      []Use
	Lent      []Use // still out
	Back      []Use // said to be back from borrowers
	Doubles   []Double
	Seen      []Use // other readings of the bag, by place
	Loose     []Use // pieces of the part met without a bag, by place
	Units     []Unit
	Uncounted []Unit // bags of the part, its twin or what looks alike in the same place, not counted yet
}

// A Line is one bag of a count. Codes are as people read them.
type Line struct {
	Bag, Part, Place string
	Met              string // where it was counted, when that is another place
	Piece            string // one piece in the trade's words: "screw"
	Unit             string // pc or mm
	Book, Counted    int64
	About            bool     // one of the two is about
	Like             []string // parts that look alike
	Twin             string   // the opposite-hand part
	Facts            Facts
}

func (l Line) difference() int64 { return l.Counted - l.Book }

// A Reason is why a count may differ.
type Reason struct {
	Kind  string // mix, not-booked, ...: one word, listed in the doc of package ask
	Text  string
	Score int
	With  []string // other bags it speaks of
}

// Explain returns the likely reasons of every line, the best first; for a line that
// agrees only that its bag was counted in two places. Lines are seen together, so
// that what is short in one bag and over in its neighbour is told of both.
func Explain(lines []Line) [][]Reason {
	out := make([][]Reason, len(lines))
	for i, l := range lines {
		r := reasons{line: l}
		if l.difference() == 0 {
			r.twoPlaces()
			out[i] = r.found
			continue
		}
		r.mixes(lines, i)
		r.places()
		r.jobs()
		r.away()
		r.slips()
		if len(r.found) == 0 {
			r.neighbours()
		}
		slices.SortStableFunc(r.found, func(a, b Reason) int { return cmp.Compare(b.Score, a.Score) })
		out[i] = r.found
	}
	return out
}

type reasons struct {
	line  Line
	found []Reason
}

// add adds a reason; the sentence lacks its first word.
func (r *reasons) add(score int, kind string, with []string, format string, args ...any) {
	word := "perhaps "
	if score >= Likely {
		word = "probably "
	}
	r.found = append(r.found, Reason{kind, word + fmt.Sprintf(format, args...), score, with})
}

func size(n int64) int64 { return max(n, -n) }

// by is a difference in words: short by 1, over by 2.
func (l Line) by() string {
	word := "over"
	if l.difference() < 0 {
		word = "short"
	}
	return fmt.Sprintf("%s by %s", word, l.amount(size(l.difference())))
}

func (l Line) amount(n int64) string {
	if l.Unit == "mm" {
		return fmt.Sprintf("%d mm", n)
	}
	return fmt.Sprint(n)
}

// pieces is a number with its word: a screw, 2 screws.
func (l Line) pieces(n int64) string {
	piece := cmp.Or(l.Piece, "piece")
	switch {
	case l.Unit == "mm":
		return l.amount(n)
	case n == 1:
		return "one " + piece
	}
	return fmt.Sprintf("%d %s", n, plural(piece))
}

func plural(word string) string {
	switch {
	case strings.HasSuffix(word, "s"), strings.HasSuffix(word, "ch"), strings.HasSuffix(word, "sh"):
		return word + "es"
	}
	return word + "s"
}

// kinship says how near two lines are: the same part, a look-alike, the twin.
func kinship(a, b Line) (words string, exact, partly int) {
	switch {
	case a.Part == "" || b.Part == "":
		return "", 0, 0
	case a.Part == b.Part:
		return "the same part", 95, 60
	case a.Twin == b.Part || b.Twin == a.Part:
		return fmt.Sprintf("%s, the opposite-hand twin", b.Part), 88, 55
	case slices.Contains(a.Like, b.Part) || slices.Contains(b.Like, a.Part):
		return fmt.Sprintf("%s, which looks alike", b.Part), 90, 50
	}
	return "", 0, 0
}

// mixes looks for bags whose difference has the other sign.
func (r *reasons) mixes(lines []Line, own int) {
	l, together, bags := r.line, r.line.difference(), []string(nil)
	paired := false
	for i, o := range lines {
		alike := o.difference()*l.difference() > 0
		if i == own || o.difference() == 0 || o.Bag == l.Bag || alike && o.Place != l.Place {
			continue
		}
		words, exact, partly := kinship(l, o)
		if exact == 0 {
			continue
		}
		if o.Place == l.Place {
			together += o.difference()
			bags = append(bags, o.Bag)
		}
		if alike {
			continue
		}
		where := "in the same place"
		if o.Place != l.Place {
			where = "in " + cmp.Or(o.Place, "no place")
			exact, partly = exact-45, partly-30
		}
		total := "the total agrees"
		if l.About || o.About {
			exact, partly, total = exact-30, partly-10, "the total about agrees"
		}
		if o.difference() == -l.difference() {
			paired = paired || o.Place == l.Place
			r.add(exact, "mix", []string{o.Bag}, "a mix with %s (%s, %s): that is %s, and %s", o.Bag, words, where, o.by(), total)
		} else {
			r.add(partly, "mix", []string{o.Bag}, "a mix in part with %s (%s, %s), which is %s", o.Bag, words, where, o.by())
		}
	}
	if together == 0 && len(bags) > 1 && !paired {
		r.add(80, "mix", bags, "a mix among %s and %s, which lie together: the total agrees", l.Bag, strings.Join(bags, ", "))
	}
}

// neighbours are bags that pieces may have come from or gone to, and that nobody
// has counted yet.
func (r *reasons) neighbours() {
	for _, u := range r.line.Facts.Uncounted {
		words, _, score := kinship(r.line, Line{Part: u.Part})
		if score > 0 {
			r.add(score, "mix", []string{u.Bag}, "a mix with %s (%s, in the same place), which is not counted yet", u.Bag, words)
		}
	}
}

// twoPlaces tells of a bag that was found in another place, too: the same pieces
// may have been counted twice.
func (r *reasons) twoPlaces() {
	l := r.line
	for _, s := range l.Facts.Seen {
		if s.N <= 0 {
			continue
		}
		score := 92
		if s.N+l.Counted == l.Book {
			score = 97
		}
		r.add(score, "two-places", nil, "counted in two places: %s here and %s in %s", l.amount(l.Counted), l.amount(s.N), s.Who)
	}
}

// places looks at where else the pieces were seen.
func (r *reasons) places() {
	l := r.line
	r.twoPlaces()
	if l.difference() > 0 {
		return
	}
	if l.Met != "" {
		r.add(76, "elsewhere", nil, "the rest lies in %s, its own place", cmp.Or(l.Place, "no place"))
	}
	for _, s := range l.Facts.Loose {
		score := 86
		if s.N < size(l.difference()) {
			score = 72
		}
		r.add(score, "loose", nil, "among what lay without a bag in %s: %s of %s", s.Who, l.amount(s.N), l.Part)
	}
	for _, u := range l.Facts.Units {
		r.add(62, "in-unit", []string{u.Bag}, "still in the unit %s (%s), which contains it", u.Bag, u.Part)
	}
}

// jobs looks for fittings that are not booked, or booked from the wrong bag.
func (r *reasons) jobs() {
	l, n := r.line, size(r.line.difference())
	if l.difference() > 0 {
		for _, u := range l.Facts.Doubtful {
			r.add(78, "unsure-bag", nil, "%s booked from here on job %s came out of another bag (which bag: unsure)", l.pieces(min(n, u.N)), u.Who)
		}
		for _, u := range l.Facts.Fitted {
			r.add(52, "not-booked", nil, "%s back from job %s and not booked", l.pieces(n), u.Who)
		}
		r.cameBack()
		return
	}
	for _, u := range l.Facts.Unsure {
		score := 77
		if u.N < n {
			score = 58
		}
		r.add(score, "unsure-bag", []string{u.Bag}, "%s booked from %s on job %s came out of this bag (which bag: unsure)", l.pieces(min(n, u.N)), u.Bag, u.Who)
	}
	for i, u := range l.Facts.Fitted { // the latest job last
		score := 74 - 3*(len(l.Facts.Fitted)-1-i)
		if n > 2 && n > u.N {
			score -= 15
		}
		r.fitted(max(score, 45), nil, u, l.another(n, u.N), "")
	}
	for _, u := range l.Facts.Elsewhere {
		r.fitted(48, []string{u.Bag}, u, l.pieces(n), ", which took from "+u.Bag+",")
	}
	for _, u := range l.Facts.Losses {
		more, _ := lossScores(u.What)
		r.add(more, "booked-out", nil, "%s %s beside the %s of %s and not booked", l.another(n, u.N), u.What, l.amount(u.N), u.Day)
	}
	for _, u := range l.Facts.Held {
		if n <= u.N {
			r.add(65, "held", nil, "what is held for job %s: fitted already, or in its tray", u.Who)
		}
	}
}

// leastLikely is the score of a job that has all the pieces its camera takes: it stands
// behind all other reasons.
const leastLikely = 20

// fitted adds a fitting that is not booked.
func (r *reasons) fitted(score int, with []string, u Use, pieces, how string) {
	if u.Full {
		score, how = leastLikely, how+" (it has all that its camera takes)"
	}
	r.add(score, "not-booked", with, "%s fitted on job %s%s and not booked", pieces, u.Who, how)
}

// lossScores are the scores of a loss, by its word: more went than was booked, and what
// was booked is here all the same. Ours: what is sold is looked at best.
func lossScores(what string) (more, back int) {
	switch what {
	case "lost":
		return 56, 72
	case "scrapped":
		return 50, 62
	case "sold":
		return 44, 47
	}
	return 0, 0
}

// cameBack looks for pieces that were booked out and lie in the bag all the same.
func (r *reasons) cameBack() {
	l := r.line
	for _, u := range l.Facts.Losses {
		if l.difference() <= u.N {
			_, back := lossScores(u.What)
			r.add(back, "booked-out", nil, "what was booked as %s on %s (%s) is here all the same", u.What, u.Day, l.amount(u.N))
		}
	}
}

var ordinals = []string{"", "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth"}

// another is one more after so many, in words: a third screw; 2 more screws.
func (l Line) another(n, after int64) string {
	if next := after + 1; n == 1 && l.Unit != "mm" && next < int64(len(ordinals)) {
		article := "a"
		if next == 8 {
			article = "an"
		}
		return fmt.Sprintf("%s %s %s", article, ordinals[next], cmp.Or(l.Piece, "piece"))
	}
	if l.Unit == "mm" {
		return l.amount(n) + " more"
	}
	piece := cmp.Or(l.Piece, "piece")
	if n != 1 {
		piece = plural(piece)
	}
	return fmt.Sprintf("%d more %s", n, piece)
}

// away looks at loans, and at what is booked twice.
func (r *reasons) away() {
	l, n := r.line, size(r.line.difference())
	if l.difference() > 0 {
		for _, u := range l.Facts.Lent {
			if n <= u.N {
				r.add(73, "lent", nil, "%s lent to %s is back and not booked", l.amount(n), u.Who)
			}
		}
	} else {
		for _, u := range l.Facts.Back {
			if n <= u.N {
				r.add(60, "lent", nil, "%s lent to %s was booked back and did not come", l.amount(n), u.Who)
			}
		}
	}
	for _, d := range l.Facts.Doubles {
		if d.Effect == -l.difference() {
			r.add(82, "twice", nil, "booked twice: %s", d.Words)
		}
	}
}

// slips looks for a slip of the pen or of units.
func (r *reasons) slips() {
	l := r.line
	if l.Book <= 0 || l.Counted <= 0 {
		return
	}
	small, large := min(l.Book, l.Counted), max(l.Book, l.Counted)
	if l.Unit == "mm" {
		for _, u := range []struct {
			times float64
			words string
		}{{1000, "metres"}, {10, "centimetres"}, {25.4, "inches"}} {
			if ratio := float64(large) / float64(small); ratio > u.times*0.99 && ratio < u.times*1.01 {
				r.add(89, "units", nil, "a slip of units: %s taken for millimetres", u.words)
			}
		}
		return
	}
	switch {
	case large == 10*small:
		r.add(66, "digits", nil, "a zero too many or too few: %d and %d", l.Counted, l.Book)
	case turned(l.Book) == l.Counted && l.Book > 9:
		r.add(66, "digits", nil, "two digits changed places: %d and %d", l.Counted, l.Book)
	}
}

// turned is a number of two digits with its digits changed.
func turned(n int64) int64 {
	if n > 99 {
		return -1
	}
	return n%10*10 + n/10
}
