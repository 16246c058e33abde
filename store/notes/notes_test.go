package notes

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func n(i int64) *int64 { return &i }

// What each line means is written out by hand from the package's own grammar.
func TestParse(t *testing.T) {
	tests := []struct {
		name, text string
		want       File
	}{
		{"nothing", "\n  # only a remark\n", File{}},
		{"head of the notes", "camera PC-08\ngrade usable\nmissing p37 p64\ndone", File{Camera: "PC-08", Line: 1, Grade: "usable", Done: true,
			Seen: []Seen{{3, "p37", false, "missing"}, {3, "p64", false, "missing"}}}},
		{"the example of the bench", "step 4 wind: off 2 p41, under p62, turns 1.5", File{Steps: []Step{{Line: 1, Nth: 4, Seat: "wind",
			Off: []Off{{Line: 1, Quantity: "2", Part: "p41", Last: 1}}, Under: []Layer{{Line: 1, Part: "p62"}}, Turns: n(1500),
			Text: "off 2 p41, under p62, turns 1.5"}}}},
		{"a step on two lines, decimal comma, quotes, capitals", "STEP Top: off p36 cover screw # four\r\n  hole 2,4, GRADE rework, over \"brass, oiled\" 0,15",
			File{Steps: []Step{{Line: 1, Seat: "top", Off: []Off{{Line: 1, Part: "p36", Check: []string{"cover", "screw"}, Hole: "2,4", Grade: "rework", Last: 2}},
				Over: []Layer{{Line: 2, Part: "brass, oiled", Quoted: true, Thick: "0,15"}},
				Text: `off p36 cover screw, hole 2,4, grade rework, over "brass, oiled" 0,15`}}}},
		{"of the last piece speak hole, hand, grade and to", "step wind: off p1, hand LEFT, off 40cm p73, to M1",
			File{Steps: []Step{{Line: 1, Seat: "wind", Off: []Off{{Line: 1, Part: "p1", Hand: "left", Last: 1}, {Line: 1, Quantity: "40cm", Part: "p73", To: "M1", Last: 1}},
				Text: "off p1, hand LEFT, off 40cm p73, to M1"}}}},
		{"half-turns are halves, teeth are teeth", "step wind: half-turns 3\nstep wind: teeth 4", File{Steps: []Step{
			{Line: 1, Seat: "wind", Turns: n(1500), Text: "half-turns 3"}, {Line: 2, Seat: "wind", Teeth: n(4), Text: "teeth 4"}}}},
		{"the rest of a step", "step 2 focus: state \"focus at infinity\", facing dot up, sealed red lacquer, tool rubber cup 30, went cell 3, picture a.jpg b.jpg, " +
			"wrong glued, damaged p5 \"door spring\", note by hand, stop next: shutter",
			File{Steps: []Step{{Line: 1, Nth: 2, Seat: "focus", Set: "focus at infinity", Facing: "dot up", Sealed: "red lacquer", Tools: "rubber cup 30",
				Went: "cell 3", Pictures: []string{"a.jpg", "b.jpg"}, Wrong: []string{"glued"}, Seen: []Seen{{1, "p5", false, "damaged"}, {1, "door spring", true, "damaged"}},
				Note: "by hand", Stop: "next: shutter",
				Text: `state "focus at infinity", facing dot up, sealed red lacquer, tool rubber cup 30, went cell 3, picture a.jpg b.jpg, wrong glued, damaged p5 "door spring", note by hand, stop next: shutter`}}}},
		{"a part whose code is all digits", "step top: off 105", File{Steps: []Step{{Line: 1, Seat: "top", Off: []Off{{Line: 1, Part: "105", Last: 1}}, Text: "off 105"}}}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, problems := Parse(tt.text)
			if len(problems) > 0 {
				t.Fatal(problems)
			}
			if d := cmp.Diff(tt.want, got); d != "" {
				t.Error(d)
			}
		})
	}
}

// Every mistake is told with its line, all at once, in the order of lines.
func TestMistakes(t *testing.T) {
	tests := []struct {
		text string
		want map[int]string // by line: a word of what is said
	}{
		{"off 2 p41", map[int]string{1: "no step"}},
		{"step 4 wind:\nstep 3 top: off p1", map[int]string{1: "says nothing", 2: "after step 4"}},
		{"step 0 wind: off p1", map[int]string{1: "first is 1"}},
		{"step wind off p1", map[int]string{1: "colon"}},
		{"step wind: offf p1\n  turns three\n  hand up", map[int]string{1: "no word", 2: "one number", 3: "none is named before"}},
		{"step wind: off p1, hand up, under p2 0.2 x, note \"open", map[int]string{1: "quote"}},
		{"step wind: off p1\nhand up\nunder p2 0.2 x\nnote\nturns 1\nturns 2\nteeth 1.5\ngrade a, grade b", map[int]string{
			2: "left or right", 3: "its thickness", 4: "stands behind", 6: "said already", 7: "whole", 8: "said already"}},
		{"done now\ncamera\nmissing", map[int]string{1: "alone", 2: "one word", 3: "which part"}},
	}
	for _, tt := range tests {
		_, problems := Parse(tt.text)
		got, last := map[int]string{}, 0
		for _, p := range problems {
			if p.Line < last {
				t.Errorf("%q: line %d is told after line %d", tt.text, p.Line, last)
			}
			last = p.Line
			got[p.Line] += p.Text
		}
		for line, word := range tt.want {
			if !strings.Contains(got[line], word) {
				t.Errorf("%q: line %d says %q, want something of %q", tt.text, line, got[line], word)
			}
			delete(got, line)
		}
		for line, text := range got {
			t.Errorf("%q: line %d is no mistake, and is told: %s", tt.text, line, text)
		}
	}
}

// What a step keeps as its text reads as the same step again, on one line.
func FuzzParse(f *testing.F) {
	for _, s := range []string{"step 4 wind: off 2 p41, under p62, turns 1.5", "camera x\ngrade usable\nmissing p1\nstep top:\n off 3 \"a, b\" c # d\n hand left\ndone",
		"step a: facing \"x\", over q 0,15\nstep: \"\"", "step 1 b: note a\u00a0b, stop \"c#d\", picture ,", "\ufeffstep 9 c: half-turns 3"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		file, problems := Parse(text)
		for i := 1; i < len(problems); i++ {
			if problems[i].Line < problems[i-1].Line {
				t.Fatalf("mistakes are out of order: %v", problems)
			}
		}
		if len(problems) > 0 {
			return
		}
		for _, s := range file.Steps {
			again, problems := Parse("step wind: " + s.Text)
			if len(problems) > 0 || len(again.Steps) != 1 {
				t.Fatalf("%q reads %v %v", s.Text, again.Steps, problems)
			}
			if got := again.Steps[0].Text; got != s.Text {
				t.Fatalf("%q becomes %q", s.Text, got)
			}
		}
	})
}

// What a line typed at the bench means, as notes have it, by hand from the words of
// the trade: a number and a part is what comes off, a hand stands behind it.
func TestTyped(t *testing.T) {
	tests := []struct{ text, want string }{
		{"2 p21", "off 2 p21"},
		{"P34 OFF, left-hand", "off P34, hand left"},
		{"p34 left-hand", "off p34, hand left"},
		{"off p1", "off p1"},
		{"under p42 0.30", "under p42 0.30"},
		{"under brass washer 0,20", "under brass washer 0,20"},
		{"2 cover screw, usable", "off 2 cover screw, off usable"},
		{"missing p29 p30", "missing p29 p30"},
		{"wind: 1 p41, turns 1.5", "wind: off 1 p41, turns 1.5"},
		{"step wind: p41", "wind: off p41"},
		{`off "a bent clip", went cell 3`, `off "a bent clip", went cell 3`},
		{"hand right", "hand right"},
		{"picture x.jpg", "picture x.jpg"},
		{"stop next: wind", "stop next: wind"},
	}
	for _, tt := range tests {
		l, mistake := Typed(tt.text)
		if mistake != "" {
			t.Errorf("%s: %s", tt.text, mistake)
			continue
		}
		var out []string
		for _, c := range l.Clauses {
			if c.Quoted {
				out = append(out, c.With())
				continue
			}
			out = append(out, c.With(c.Part...))
		}
		got := strings.Join(out, ", ")
		if l.Seat != "" {
			got = l.Seat + ": " + got
		}
		if got != tt.want {
			t.Errorf("%q reads %q, want %q", tt.text, got, tt.want)
		}
	}
	for _, text := range []string{"", ",", "under", "off", "missing", `off "open`, "the wind: p1"} {
		if l, mistake := Typed(text); mistake == "" {
			t.Errorf("%q reads %+v", text, l)
		}
	}
}
