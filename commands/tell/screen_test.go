package tell

import (
	"regexp"
	"strings"
	"testing"
	"tinful/store/words"
)

// Lists as an English sentence has them.
func TestLists(t *testing.T) {
	tests := []struct {
		got, want string
	}{
		{words.Or([]string{"bag"}), "bag"},
		{words.Or([]string{"bag", "part"}), "bag or part"},
		{words.And([]string{"bag", "part", "place"}), "bag, part and place"},
		{Commas([]string{"bag", "part"}), "bag, part"},
		{words.Or[string](nil), ""},
		{Many(1, "bag"), "1 bag"},
		{Many(int64(2), "bag"), "2 bags"},
		{Many(0, "bag"), "0 bags"},
		{strings.Join(Filled("", "a", "", "b"), "|"), "a|b"},
		{Hang("one two three four five six", 16, 2), "one two three\n  four five six"},
		{Hang("one two three  four", 18, 2), "one two three four"},
		{Indented("one two three four five six", 19, 3, 2), "   one two three\n     four five six"},
	}
	for _, tt := range tests {
		if tt.got != tt.want {
			t.Errorf("%q, want %q", tt.got, tt.want)
		}
	}
}

// Colours stand where they are wanted only, and never in place of a word; JSON has none.
func TestPaint(t *testing.T) {
	var b strings.Builder
	s := &Screen{Out: &b}
	s.Println(":1 P003 counter pawl spring  0 free, LEFT-HAND")
	plain := b.String()
	b.Reset()
	s.Paint()
	s.Println(":1 P003 counter pawl spring  0 free, LEFT-HAND")
	if b.String() == plain || strings.Count(b.String(), "\x1b[0m") != 3 {
		t.Errorf("%q", b.String())
	}
	stripped := regexp.MustCompile("\x1b\\[[0-9]+m").ReplaceAllString(b.String(), "")
	if stripped != plain {
		t.Errorf("%q without colours is %q", b.String(), stripped)
	}
	b.Reset()
	j := &Screen{Out: &b, AsJSON: true}
	j.Paint()
	if err := j.PrintJSON(map[string]any{"text": "0 free"}); err != nil || b.String() != "{\"tinful\":1,\"text\":\"0 free\"}\n" {
		t.Errorf("%q, %v", b.String(), err)
	}
	if err := j.PrintJSON([]int{1}); err == nil {
		t.Error("a list is no object")
	}
}

// By ear each fact is a line of its own behind what it is, and no line is broken.
func TestPlain(t *testing.T) {
	var b strings.Builder
	s := &Screen{Out: &b, Plain: true}
	tab := s.Table("bag", ">free", "")
	tab.Row("B1", "3", "in K1")
	tab.Row("B2", "", "")
	p := s.WideTable()
	p.Fact("grade", "ready")
	p.Fact("looks", "")
	s.Show(tab)
	s.Show(p)
	s.Lines("traps", []string{strings.Repeat("long ", 40)}, true)
	want := "bag: B1\nfree: 3\nin K1\n\nbag: B2\ngrade: ready\n\ntraps\n  " + strings.TrimSpace(strings.Repeat("long ", 40)) + " \n"
	if b.String() != want {
		t.Errorf("%q\nwant %q", b.String(), want)
	}
}

// Notes go beside the answer, each line after the name of the program; --quiet leaves
// out what need not be read.
func TestNotes(t *testing.T) {
	var out, errs strings.Builder
	s := &Screen{Out: &out, Err: &errs, Quiet: true}
	s.Notef("left out")
	s.Warnf("one\ntwo")
	if out.String() != "" || errs.String() != "tinful: one\ntinful: two\n" {
		t.Errorf("%q %q", out.String(), errs.String())
	}
	errs.Reset()
	Note(&errs, 0, strings.Repeat("x", 3*longest))
	if errs.Len() > longest+40 || !strings.Contains(errs.String(), " ... ") {
		t.Errorf("%d bytes of a line are written", errs.Len())
	}
}
