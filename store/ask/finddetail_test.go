package ask

import (
	"fmt"
	"strings"
	"testing"

	"tinful/store"
	"tinful/store/code"

	diff "github.com/google/go-cmp/cmp"
)

// What is told of the first parts that go into a camera, the order of the others and the
// traps are those of an answer that tells all parts whole: whatever is stated, of the
// camera, of numbers or of a shutter it may carry, and of a twin.
func TestFindTellsTheFirstAsAll(t *testing.T) {
	s := bench(t, map[code.Day]func(*store.Tx) error{begun: func(tx *store.Tx) error {
		if err := put(tx, store.Model{Code: "S-1", Kind: "shutter"}, store.Model{Code: "S-2", Kind: "shutter"}, store.Model{Code: "C-1", Kind: "camera", Carries: []code.Code{"S-1", "S-2"}}, store.Place{Code: "K1"}); err != nil {
			return err
		}
		degrees := [][]string{{"direct"}, {"rework"}, {"matched", "looks-wrong"}, {"no"}, {"unproven"}, {"opposite-hand"}}
		for i := range 60 {
			p := store.Part{Code: code.Code(fmt.Sprintf("P%02d", i)), Name: "wind spring", Class: []string{"SPR-TOR", ""}[i/7%5/4]}
			if i%13 == 12 {
				p.Twin = code.Code(fmt.Sprintf("P%02d", i-1))
			}
			if err := put(tx, p); err != nil {
				return err
			}
			if i%3 != 0 {
				if _, err := tx.PutIn(store.Bag{Code: code.Code(fmt.Sprintf("B%02d", i)), Part: p.Code, Quantity: 2, Grade: "ready", Origin: "unknown", Place: "K1"}); err != nil {
					return err
				}
			}
			said := []store.Goes{{Model: "C-1"}}
			switch i % 8 {
			case 3:
				said = []store.Goes{{Model: "S-1"}}
			case 4:
				said = []store.Goes{{Model: "S-1"}, {Model: "S-2", Degrees: []string{"rework"}, Operation: "file the end"}}
			case 5:
				said = []store.Goes{{Model: "C-1", From: "1000", To: "1999"}, {Model: "C-1", From: "2000", Degrees: []string{"no"}, Note: "the post is thicker"}}
			case 6:
				said = []store.Goes{{Model: "C-1", From: "5000"}}
			}
			for _, g := range said {
				g.Part = p.Code
				if g.Degrees == nil && i%6 == 1 {
					g.Operation = "cut"
				}
				if g.Degrees == nil {
					g.Degrees = degrees[i%6]
				}
				if err := put(tx, g); err != nil {
					return err
				}
			}
		}
		return nil
	}})
	for _, words := range [][]string{{"wind"}, {"spring"}, {"wind", "spring"}} {
		for _, cam := range []store.Camera{{Model: "C-1"}, {Model: "C-1", BodyNo: "1500"}, {Model: "C-1", BodyNo: "2500", Shutter: "S-2"}, {Model: "S-1"}} {
			view(t, s, func(v *store.View) error {
				all, err := Find(v, Query{Words: words, Camera: cam})
				if err != nil {
					return err
				}
				first, err := Find(v, Query{Words: words, Camera: cam, Detail: 3})
				if len(all.Parts) < 9 || len(all.Traps) == 0 {
					t.Fatalf("%v in %v: %d parts and %d traps show little", words, cam, len(all.Parts), len(all.Traps))
				}
				told := func(f Found) (out []string) {
					for i, p := range f.Parts {
						line := fmt.Sprint(p.Part, p.Free, p.OnHand, p.Match, p.Score, p.Unsaid, p.degree, p.unknown)
						if i < 3 {
							line += fmt.Sprint(p.Name, p.Goes, p.Class, p.Bags)
						}
						out = append(out, line)
					}
					for _, r := range f.Traps {
						if !strings.Contains(r.Text, "its twin") { // said of the twins of what is told whole
							out = append(out, r.Text)
						}
					}
					return out
				}
				if d := diff.Diff(told(all), told(first)); d != "" {
					t.Errorf("%v in %v: %s", words, cam, d)
				}
				return err
			})
		}
	}
}
