package ask

import (
	"fmt"
	"testing"
	"time"

	"tinful/store"
	"tinful/store/code"
)

// heldAndLent makes a store of so many bags as [shelves] does, of which every fifth is held for
// some job, every tenth lent and every tenth counted, with a parts camera to forty bags into
// which somebody looked for twenty parts.
func heldAndLent(tb testing.TB, bags int) *store.Store {
	tb.Helper()
	s := shelves(tb, bags)
	head := store.Head{Day: 22010, Today: 22010, By: "R", Command: "test"}
	_, err := s.Book(head, func(t *store.Tx) error {
		for i := range bags {
			job := code.Code(fmt.Sprint(1000 + i/40))
			if i%40 == 0 {
				if err := t.Put(store.Job{Code: job, Model: "M07", State: "collected", Closed: 22005}); err != nil {
					return err
				}
			}
			e := store.Entry{What: store.Held, Bag: code.Code(fmt.Sprintf("B%05d", i)), Quantity: 1, Job: job}
			switch i % 10 {
			case 0, 5:
			case 1:
				e = store.Entry{What: store.Lent, Bag: e.Bag, Quantity: 1, To: "bench 9"}
			case 2:
				e = store.Entry{What: store.Counted, Bag: e.Bag, Quantity: int64(i%9 + 1)}
			default:
				continue
			}
			if err := t.Enter(e); err != nil {
				return err
			}
		}
		for i := range bags / 40 {
			d := store.Donor{Code: code.Code(fmt.Sprintf("PC-%05d", i)), Model: code.Code(fmt.Sprintf("M%02d", i%100)), Owner: store.Own, State: store.DonorStates[i%6], History: store.Histories[i%5]}
			if err := t.Put(d); err != nil {
				return err
			}
			for j := range 20 {
				x := store.Seen{Donor: d.Code, Part: code.Code(fmt.Sprintf("P%05d", (i+100*j)%(bags/4))), Seen: []string{"present", "missing", "present", "damaged"}[(i+j)%4]}
				if err := t.Put(x); err != nil {
					return err
				}
			}
		}
		return nil
	})
	if err != nil {
		tb.Fatal(err)
	}
	return s
}

// Questions that go through most of a store.
var largeQuestions = []struct {
	name   string
	allocs float64 // a bag, at most
	ask    func(*store.View) error
}{
	{"due", 3, func(v *store.View) error { _, err := DueOn(v, 22100, UsualRules); return err }},
	{"today", 4, func(v *store.View) error { _, err := TodayBrief(v, 22100, 3); return err }},
	{"out", 3, func(v *store.View) error { _, err := OutOfHouse(v, false); return err }},
	{"odds", 3, func(v *store.View) error { _, err := Odds(v, OddsQuery{Missing: true, Brief: true}); return err }},
	{"donors", 6, func(v *store.View) error { _, err := Donors(v, 22100); return err }},
	{"low", 9, func(v *store.View) error { _, err := Low(v, LowQuery{Today: 22100, Detail: 40}); return err }},
}

// A question that goes through a store makes few things of each bag: what it makes of twice
// the bags is at most as much more as its line allows.
func TestLargeQuestionsMakeLittle(t *testing.T) {
	const bags = 2000
	few, many := heldAndLent(t, bags), heldAndLent(t, 2*bags)
	for _, q := range largeQuestions {
		made := func(s *store.Store) float64 {
			return testing.AllocsPerRun(1, func() {
				if err := s.View(q.ask); err != nil {
					t.Fatal(err)
				}
			})
		}
		if a, b := made(few), made(many); (b-a)/bags > q.allocs {
			t.Errorf("%s makes %.1f things of a bag, want %.1f at most: %.0f of %d bags, %.0f of %d", q.name, (b-a)/bags, q.allocs, a, bags, b, 2*bags)
		}
	}
}

// BenchmarkLarge has each question beside a find of ten lines: finds is how many of those
// take as long.
func BenchmarkLarge(b *testing.B) {
	const bags, finds = 20000, 50
	s := heldAndLent(b, bags)
	view := func(ask func(*store.View) error) {
		if err := s.View(ask); err != nil {
			b.Fatal(err)
		}
	}
	ten := func(v *store.View) error {
		_, err := Find(v, Query{Words: []string{"counter", "spring"}, Camera: store.Camera{Model: "M07"}, Detail: 10})
		return err
	}
	begun := time.Now()
	for range finds {
		view(ten)
	}
	find := float64(time.Since(begun)) / finds
	for _, q := range largeQuestions {
		b.Run(fmt.Sprintf("%s/bags=%d", q.name, bags), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				view(q.ask)
			}
			b.ReportMetric(float64(b.Elapsed())/float64(b.N)/find, "finds")
		})
	}
}
