package ask

import (
	"fmt"
	"testing"

	"tinful/store"
	"tinful/store/code"
)

// cabinet makes a store of so many bags in 40 drawers, 4 bags of each part, every
// tenth of them counted and some of every fifth fitted.
func cabinet(b *testing.B, bags int) *store.Store {
	b.Helper()
	s := emptyStore(b)
	_, err := s.Book(store.Head{Day: 22000, Today: 22000, By: "R", Command: "test"}, func(t *store.Tx) error {
		for i := range 40 {
			if err := t.Put(store.Place{Code: code.Code(fmt.Sprintf("D%02d", i))}); err != nil {
				return err
			}
		}
		for _, r := range []any{store.Model{Code: "M", Kind: "camera"}, store.Job{Code: "105", Model: "M"}} {
			if err := t.Put(r); err != nil {
				return err
			}
		}
		return fill(t, bags)
	})
	if err != nil {
		b.Fatal(err)
	}
	return s
}

func fill(t *store.Tx, bags int) error {
	for i := range bags {
		bag, part := code.Code(fmt.Sprintf("B%05d", i)), code.Code(fmt.Sprintf("P%05d", i/4))
		value := code.Cents(i%700 + 10)
		if i%4 == 0 {
			if err := t.Put(store.Part{Code: part, Name: "pawl spring", Class: "SPR-TOR", Value: &value}); err != nil {
				return err
			}
		}
		b := store.Bag{Code: bag, Part: part, Origin: "bought", Quantity: int64(i%9 + 2), Grade: "new", Place: code.Code(fmt.Sprintf("D%02d", i%40))}
		if _, err := t.PutIn(b); err != nil {
			return err
		}
		if i%5 == 0 {
			if err := t.Enter(store.Entry{What: store.Fitted, Bag: bag, Quantity: 1, Job: "105"}); err != nil {
				return err
			}
		}
		if i%10 == 0 {
			if err := t.Enter(store.Entry{What: store.Counted, Bag: bag, Quantity: 3}); err != nil {
				return err
			}
		}
	}
	return nil
}

// The three stand side by side: what is due and the sheet of a drawer should take
// no more than three times what reading all bags of a drawer takes.
func BenchmarkCounting(b *testing.B) {
	const bags = 20000
	s := cabinet(b, bags)
	run := func(name string, fn func(*store.View) error) {
		b.Run(fmt.Sprintf("%s/bags=%d", name, bags), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if err := s.View(fn); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
	run("drawer", func(v *store.View) error {
		for _, c := range v.BagsAt("D07") {
			bag, err := v.Bag(c)
			if err != nil {
				return err
			}
			if _, err := v.State(c); err != nil {
				return err
			}
			if _, err := v.Part(bag.Part); err != nil {
				return err
			}
		}
		return nil
	})
	run("due", func(v *store.View) error { _, err := DueOn(v, 22100, UsualRules); return err })
	run("sheet", func(v *store.View) error { _, err := CountBags(v, "D07"); return err })
}
