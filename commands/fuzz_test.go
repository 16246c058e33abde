package commands

import (
	"slices"
	"testing"

	"tinful/commands/line"
)

// Any line of the bench line is words, put in order by the commands there are, or is
// refused; in order, it is put in the same order again. What are things and numbers is
// no panic either.
func FuzzBenchLine(f *testing.F) {
	for _, l := range []string{"fit b230 2 b231 cheese --job 105", "find --wire .2 torsion 'two words'", `note 105 "rang, \"fine\""`, "undo -1", "-- -3d", "put ca. 20 p66 from bought", "add part --name=x --name", "fit :1 c2 =3 b=~20", "help \x00"} {
		f.Add(l)
	}
	f.Fuzz(func(t *testing.T, text string) {
		words, err := line.Words(text)
		if err != nil {
			return
		}
		_, _ = line.ParsePairs(words)
		l, err := line.Arrange(program(), words)
		if err != nil || l.Help || l.Version {
			if err != nil && err.Error() == "" {
				t.Errorf("%q is refused without a word", text)
			}
			return
		}
		again, err := line.Arrange(program(), l.Argv())
		if err != nil || !slices.Equal(again.Args, l.Args) || again.Command() != l.Command() {
			t.Errorf("%q is %q, and then %q (%v)", text, l.Argv(), again.Argv(), err)
		}
	})
}
