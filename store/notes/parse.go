package notes

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// A File is the notes of one strip-down, or of one evening of it.
type File struct {
	Camera string // as written, empty where the notes do not say
	Grade  string // of pieces that say nothing, as written
	Done   bool   // that was all of it: the camera is stripped
	Line   int    // of the camera
	Seen   []Seen // found before the first step
	Steps  []Step
}

// A Step is what was done between two looks at the notes.
type Step struct {
	Line     int   // where it begins, from 1
	Nth      int64 // its number, 0 where none is written
	Seat     string
	Off      []Off
	Under    []Layer
	Over     []Layer
	Facing   string
	Turns    *int64 // thousandths of a turn let off
	Teeth    *int64
	Sealed   string
	Tools    string
	Seen     []Seen
	Wrong    []string
	Went     string
	Pictures []string
	Set      string
	Stop     string
	Note     string
	Text     string // its clauses, one blank between words: equal steps have equal texts
}

// An Off is a piece that came off, as written.
type Off struct {
	Line     int
	Quantity string // empty: one
	Part     string // a code, or words where Quoted
	Quoted   bool
	Check    []string // words that must be the part's
	Hole     string
	Hand     string // left or right
	Grade    string
	To       string // the place, as written
	Last     int    // line of the last clause that speaks of the piece
}

// A Layer is what lay under or over a piece, as written.
type Layer struct {
	Line   int
	Part   string
	Quoted bool
	Thick  string
}

// A Seen is what a part was found to be.
type Seen struct {
	Line   int
	Part   string
	Quoted bool
	Word   string // present, missing, replaced, damaged or stuck
}

// A Problem is a mistake in the notes: where, what stands there, what is wrong.
type Problem struct {
	Line  int
	Value string
	Text  string
}

// most is how many steps, and clauses of one step, are read: more is no
// strip-down but a wrong file.
const most = 10_000

// looked are the words for what a part was found to be.
func looked() []string { return []string{"present", "missing", "replaced", "damaged", "stuck"} }

// Parse reads notes. Every mistake is reported, in order of lines; what is
// around them is read all the same.
func Parse(text string) (File, []Problem) {
	p := &parser{}
	for i, line := range strings.Split(strings.TrimPrefix(text, "\ufeff"), "\n") {
		p.line = i + 1
		p.read(line)
	}
	p.end()
	return p.out, Sorted(p.problems)
}

// Sorted puts mistakes in the order of lines.
func Sorted(list []Problem) []Problem {
	slices.SortStableFunc(list, func(a, b Problem) int { return cmp.Compare(a.Line, b.Line) })
	return list
}

type parser struct {
	line     int
	out      File
	step     *Step // the step that is open
	texts    []string
	last     int64 // number of the last step that has one
	problems []Problem
}

func (p *parser) bad(value, format string, args ...any) {
	p.problems = append(p.problems, Problem{p.line, value, fmt.Sprintf(format, args...)})
}

// read reads one line.
func (p *parser) read(line string) {
	toks, err := cut(line)
	if err != "" {
		p.bad(strings.TrimSpace(line), "%s", err)
		return
	}
	if len(toks) == 0 {
		return
	}
	switch word := strings.ToLower(toks[0].text); {
	case toks[0].quoted || toks[0].comma:
		p.clauses(toks)
	case word == "step":
		p.open(toks[1:])
	case word == "camera":
		p.out.Camera, p.out.Line = p.one(toks, "camera PC-08"), p.line
	case word == "done":
		p.out.Done = true
		if len(toks) > 1 {
			p.bad(toks[1].text, "done stands alone on its line: the camera is stripped")
		}
	case p.step == nil && word == "grade":
		p.out.Grade = p.one(toks, "grade usable")
	default:
		p.clauses(toks)
	}
}

// one is the only word behind the first.
func (p *parser) one(toks []token, example string) string {
	if len(toks) != 2 {
		p.bad(words(toks), "write one word, like %s", example)
		return ""
	}
	return toks[1].text
}

// open begins a step: step [NUMBER] SEAT[: CLAUSES].
func (p *parser) open(toks []token) {
	p.end()
	p.step = &Step{Line: p.line}
	var head []token
	for len(toks) > 0 && !toks[0].comma {
		t := toks[0]
		toks = toks[1:]
		name, colon := strings.CutSuffix(t.text, ":")
		if colon && !t.quoted {
			t.text = name
		}
		if t.text != "" {
			head = append(head, t)
		}
		if colon && !t.quoted {
			break
		}
	}
	if len(head) > 0 && strings.Trim(head[0].text, "0123456789") == "" {
		p.number(head[0].text)
		head = head[1:]
	}
	if len(head) != 1 || head[0].quoted {
		p.bad(words(head), "say where it sits in one word and end it with a colon: step 4 wind: off 2 p41")
	} else {
		p.step.Seat = strings.ToLower(head[0].text)
	}
	p.clauses(toks)
}

func (p *parser) number(text string) {
	n, ok := whole(text)
	switch {
	case !ok || n == 0:
		p.bad(text, "this is no number of a step: the first is 1")
	case n <= p.last:
		p.bad(text, "step %d stands after step %d: steps are numbered in the order of taking apart", n, p.last)
	default:
		p.step.Nth, p.last = n, n
	}
}

// end closes the step that is open.
func (p *parser) end() {
	if p.step == nil {
		return
	}
	p.step.Text = strings.Join(p.texts, ", ")
	if len(p.texts) == 0 && !slices.ContainsFunc(p.problems, func(x Problem) bool { return x.Line >= p.step.Line }) {
		p.problems = append(p.problems, Problem{p.step.Line, "", "this step says nothing: what came off, or what was found?"})
	}
	if len(p.out.Steps) < most {
		p.out.Steps = append(p.out.Steps, *p.step)
	}
	p.step, p.texts = nil, nil
}

// clauses reads what a line tells, cut by commas.
func (p *parser) clauses(toks []token) {
	var part []token
	for _, t := range append(toks, token{comma: true}) {
		if !t.comma {
			part = append(part, t)
			continue
		}
		if len(part) > 0 {
			p.clause(part)
		}
		part = nil
	}
}

func (p *parser) clause(toks []token) {
	word := strings.ToLower(toks[0].text)
	if p.step == nil {
		if slices.Contains(looked(), word) && !toks[0].quoted {
			p.out.Seen = append(p.out.Seen, p.found(word, toks[1:])...)
			return
		}
		p.bad(words(toks), "this belongs to no step: begin one before it, step 1 top:")
		return
	}
	if len(p.texts) == most {
		return
	}
	read := clauseWords()[word]
	switch {
	case read == nil || toks[0].quoted:
		p.bad(words(toks), "%q is no word of a step: the words are %s", toks[0].text, strings.Join(Words(), ", "))
	case len(toks) == 1:
		p.bad(word, "%s what? something stands behind it", word)
	default:
		read(p, word, toks[1:])
		p.texts = append(p.texts, written(toks))
	}
}

// written is a clause as Text keeps it.
func written(toks []token) string {
	var out []string
	for i, t := range toks {
		switch {
		case t.quoted:
			out = append(out, `"`+t.text+`"`)
		case i == 0:
			out = append(out, strings.ToLower(t.text))
		default:
			out = append(out, t.text)
		}
	}
	return strings.Join(out, " ")
}
