// Package nest lays panels out on sheets, so that a blade and a rule can cut them:
// every cut runs from edge to edge of the piece it divides.
//
// Lengths are micrometres; x runs along a sheet's width, y along its length, from its
// lower left corner. A panel lies with its grain along the sheet's, and is turned by a
// quarter only where it says that this does not matter. Around every panel lies a
// margin, which is cut off last; between two pieces the blade may take a kerf. No panel
// lies on a flaw; its margin may, and so may a cut. A round flaw is the square around it.
//
// What is best, first things first: the most panels placed; the fewest new sheets; the
// least area of panels out of new sheets, so offcuts go before sheets; the fewest pieces
// cut from; the largest rectangle left on any piece of the stock, then the second largest
// of another piece, and so on.
//
// The surprising rule: the answer is exact unless a limit of work stopped it, and it says
// which; the limit counts steps, never time, so that the same question has the same
// answer everywhere. Up to thirteen panels that all differ are decided. Beyond that a place may
// be missed, but a bound says how many have one at most ([Answer.Most]): see bounds.go. The method: for a set of panels, all smallest rectangles out of which
// it can be cut, built from the rectangles of its parts (Wang 1983, Operations Research
// 31:573-586; shapes as in Stockmeyer 1983, Information and Control 57:91-101; both from
// memory); on a sheet with flaws the same from each corner where a piece can begin; over
// the stock dynamic programming by what is not placed yet.
package nest

import (
	"errors"
	"slices"
)

// work is how many steps a question may take unless it says so itself. It is about a
// second on a usual computer.
const work = 10_000_000

// ErrMany is returned when there are more kinds of panels and pieces of each than can be
// told apart: about 60 kinds of one piece, 40 of two.
var ErrMany = errors.New("more different panels than one layout takes")

// A Problem is what is to be cut from what.
type Problem struct {
	Panels []Panel
	Sheets []Sheet
	Margin int64 // around every panel, 0 or more
	Kerf   int64 // what a cut takes, 0 or more
	Most   int   // new sheets at most, 0 for as many as there are
	Work   int64 // the limit of steps, 0 for the usual one
}

// A Panel is a number of pieces of one size. Across says that its grain runs along its
// width, Free that its grain does not matter.
type Panel struct {
	W, H   int64
	Count  int
	Across bool
	Free   bool
}

// A Sheet is a number of pieces of stock of one size. New is one that was never cut,
// Across one whose grain runs along its width. Edge is how far in from its sides nothing
// may lie, not even a margin.
type Sheet struct {
	W, H   int64
	Count  int
	New    bool
	Across bool
	Edge   int64
	Flaws  []Rect
}

// A Rect is a rectangle by its lower left corner and its sides.
type Rect struct{ X, Y, W, H int64 }

// Area is in square micrometres.
func (r Rect) Area() int64 { return max(0, r.W) * max(0, r.H) }

// An Answer is the best layout found.
type Answer struct {
	Layouts []Layout // one a piece that is cut from, in the order of the sheets
	Left    []int    // of each panel, the pieces that have no place
	Score   Score
	// Proven: no layout places more, needs fewer new sheets, takes less out of them or
	// cuts into fewer pieces. BestLeft: none of those leaves larger rectangles.
	Proven, BestLeft bool
	// Most is how many panels any layout places at most.
	Most int
	// Fewest is how many new sheets every layout of all panels needs at least.
	Fewest int
}

// A Score is what layouts are compared by.
type Score struct {
	Left   int   // pieces that have no place
	New    int   // new sheets cut into
	OnNew  int64 // area of panels with their margins out of new sheets
	Broken int   // pieces of stock cut into
}

// A Layout is how one piece of stock is cut.
type Layout struct {
	Sheet  int // index into Sheets
	Placed []Placed
	Cuts   []Cut  // in the order they are made; the trimming of margins comes after
	Rest   []Rect // what is left between the cuts
}

// A Placed is a panel without its margin, as it lies on the sheet.
type Placed struct {
	Panel int // index into Panels
	Rect
	Turned bool // its width lies along the sheet's length
}

// A Cut runs from edge to edge of the piece it divides. With a kerf the line is where the
// blade begins, on the side of the lower coordinate.
type Cut struct{ X1, Y1, X2, Y2 int64 }

// Solve lays the panels out. Panels and sheets without a side, or with a count below one,
// do not count.
func Solve(p Problem) (Answer, error) {
	s, err := newSolver(p)
	if err != nil {
		return Answer{}, err
	}
	best := s.assign()
	a := Answer{Proven: !s.cut, Fewest: s.fewest(), Left: make([]int, len(p.Panels))}
	if a.Proven && best.score.Left == 0 {
		a.Fewest = best.score.New
	}
	a.Most = s.count(s.all)
	if best.score.Left > 0 {
		if a.Most = s.atMost(); a.Proven {
			a.Most = s.count(s.all) - best.score.Left
		}
	}
	best, a.BestLeft = s.roomiest(best)
	a.BestLeft = a.BestLeft && a.Proven
	a.Score = best.score
	queue := s.queues()
	picks := best.picks()
	slices.SortStableFunc(picks, func(a, b pick) int { return s.stock[a.piece].sheet - s.stock[b.piece].sheet })
	for _, k := range picks {
		a.Layouts = append(a.Layouts, s.layout(k, queue))
	}
	for t := range queue {
		for _, panel := range queue[t] {
			a.Left[panel]++
		}
	}
	return a, nil
}
