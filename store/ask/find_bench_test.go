package ask

import (
	"fmt"
	"strings"
	"testing"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/dim"
)

// shelves makes a store of so many bags, 4 of each part: springs and screws whose
// names are made of a few words, whose measures lie side by side, and each of which
// goes into one of a hundred models.
func shelves(b testing.TB, bags int) *store.Store {
	b.Helper()
	s := emptyStore(b)
	_, err := s.Book(store.Head{Day: 22000, Today: 22000, By: "R", Command: "test"}, func(t *store.Tx) error {
		for i := range int64(100) {
			if err := t.Put(store.Model{Code: code.Code(fmt.Sprintf("M%02d", i)), Kind: "camera"}); err != nil {
				return err
			}
		}
		for i := range int64(bags) {
			if i%4 == 0 {
				p := onShelf(i / 4)
				if err := t.Put(p); err != nil {
					return err
				}
				if err := t.Put(store.Goes{Part: p.Code, Model: code.Code(fmt.Sprintf("M%02d", i/4%100)), Degrees: []string{"direct"}, Evidence: "run"}); err != nil {
					return err
				}
			}
			if _, err := t.PutIn(store.Bag{Code: code.Code(fmt.Sprintf("B%05d", i)), Part: code.Code(fmt.Sprintf("P%05d", i/4)), Origin: "bought", Quantity: i%9 + 1, Grade: "ready"}); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		b.Fatal(err)
	}
	return s
}

func onShelf(i int64) store.Part {
	where := []string{"counter", "release", "shutter", "rangefinder", "wind", "rewind", "focus", "door", "back", "strut"}[i%10]
	what := []string{"pawl", "lever", "click", "return", "latch", "plate", "arm"}[i/10%7]
	p := store.Part{Code: code.Code(fmt.Sprintf("P%05d", i)), Dims: map[dim.Field]int64{}, Marks: map[dim.Field]string{}}
	if i%3 == 0 {
		p.Class, p.Name = "SCR-CSK", where+" "+what+" screw"
		p.Dims[dim.Length], p.Dims[dim.Head] = 1000+i%90*100, 2000+i%40*50
		p.Marks[dim.Thread] = []string{"metric 1.7x0.35", "loewenherz 1.7x0.35", "metric 2x0.4", "BA 10"}[i/3%4]
		return p
	}
	p.Class, p.Name = []string{"SPR-TOR", "SPR-CMP"}[i/3%2], where+" "+what+" spring"
	p.Dims = coiled(100+i%50*10, 1000+i%73*90, 2000+i%11*250, 3000+i%40*200)
	p.Dims[dim.FreeLength] = 2000 + i%97*150
	p.Marks[dim.Hand] = []string{"left", "right"}[i/6%2]
	return p
}

// Questions of a bench, a line of the screen each: forty parts told whole.
func BenchmarkFind(b *testing.B) {
	const bags = 20000
	s := shelves(b, bags)
	spring := map[dim.Field]Range{dim.Wire: {Want: 250}, dim.OD: {Want: 2600}, dim.FreeLength: {Want: 5000}}
	for _, q := range []struct {
		name string
		q    Query
	}{
		{"words", Query{Words: strings.Fields("counter pawl spring")}},
		{"a class by its word", Query{Words: []string{"Schenkelfeder"}}},
		{"words and a model", Query{Words: []string{"spring"}, Camera: store.Camera{Model: "M07"}}},
		{"a word mistyped", Query{Words: strings.Fields("counter pawk")}},
		{"measures", Query{Class: []string{"SPR"}, Dims: spring}},
		{"a thread", Query{Class: []string{"SCR"}, Marks: marks(dim.Thread, "unknown 1.7x0.35"), Dims: map[dim.Field]Range{dim.Length: {Want: 3000}}}},
	} {
		q.q.Detail = 40
		b.Run(fmt.Sprintf("%s/bags=%d", q.name, bags), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				err := s.View(func(v *store.View) error {
					_, err := Find(v, q.q)
					return err
				})
				if err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
