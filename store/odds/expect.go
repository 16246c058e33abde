package odds

import (
	_ "embed"
	"encoding/csv"
	"slices"
	"strings"
	"sync"
)

// What goes missing or fails, by the history of the body. All of it is from
// memory, common practice without a source: it stands in until bodies have been
// looked at.
//
//go:embed expect.csv
var expectCSV string

// A Level says how likely something is to be missing or spoilt: 0 to 3.
type Level int

var levelWords = [...]string{"hardly ever", "sometimes", "often", "expect it"}

// String is the level in words.
func (l Level) String() string { return levelWords[l] }

// An Expectation is a row of the table of experience: which piece, what happens
// to it, how often. It is from memory and no count.
type Expectation struct {
	Assembly, Piece, How string
	Level                Level
}

type expected struct {
	Expectation
	levels                [4]Level
	seats, classes, words []string
}

// expectedOf are the histories that the table has, in its order.
var expectedOf = [...]string{"unopened", "failed", "meddled", "serviced"}

var expectations = sync.OnceValue(func() []expected {
	rows, err := csv.NewReader(strings.NewReader(expectCSV)).ReadAll()
	if err != nil {
		panic("embedded table of expectations: " + err.Error())
	}
	split := func(cell string) []string {
		if cell == "" {
			return nil
		}
		return strings.Split(cell, ";")
	}
	out := make([]expected, 0, len(rows))
	for _, r := range rows[1:] {
		e := expected{Expectation: Expectation{Assembly: r[0], Piece: r[1], How: r[2]}, seats: split(r[7]), classes: split(r[8]), words: split(r[9])}
		for i := range e.levels {
			e.levels[i] = Level(r[3+i][0] - '0')
		}
		out = append(out, e)
	}
	return out
})

// Expect finds the expectation for a part in bodies of a history, by its seat,
// its class and the words of its name; the row with the longest word in the name
// wins. It is false where the table has none: an unknown history has no column.
func Expect(seat, class, name, history string) (Expectation, bool) {
	at := slices.Index(expectedOf[:], history)
	if at < 0 {
		return Expectation{}, false
	}
	var best expected
	long := 0
	for _, e := range expectations() {
		if n := e.hit(seat, class, strings.ToLower(name)); n > long {
			best, long = e, n
		}
	}
	best.Level = best.levels[at]
	return best.Expectation, long > 0
}

// SayExpected says what is expected of a part in bodies of some histories, and that
// it is no count. It is empty where the table has nothing.
func SayExpected(seat, class, name string, histories []string) string {
	var of Expectation
	var said []string
	for _, h := range histories {
		if e, ok := Expect(seat, class, name, h); ok {
			of, said = e, append(said, h+" "+e.Level.String())
		}
	}
	if len(said) == 0 {
		return ""
	}
	return "Expectation from memory, no count, for " + of.Assembly + ", " + of.Piece + " (" + of.How + "): " + strings.Join(said, ", ") + "."
}

// hit is the length of the longest word of the row in a name, 0 when seat or class
// are others.
func (e expected) hit(seat, class, name string) (long int) {
	below := func(c string) bool {
		return class == c || strings.HasPrefix(class, c+"-") && !strings.HasSuffix(class, "-NEW")
	}
	if len(e.seats) > 0 && !slices.Contains(e.seats, seat) || len(e.classes) > 0 && !slices.ContainsFunc(e.classes, below) {
		return 0
	}
	for _, w := range e.words {
		if strings.Contains(name, w) {
			long = max(long, len(w))
		}
	}
	return long
}
