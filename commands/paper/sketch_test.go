package paper

import (
	"math"
	"regexp"
	"strconv"
	"sync"
	"testing"
	"time"
)

// A sketch is as many times as large as has room, of a row of round numbers, beside a rule
// that is at least as long: both reckoned by hand.
func TestSketch(t *testing.T) {
	for _, test := range []struct {
		p    Panel
		w, h float64 // of the page
	}{
		{Panel{Width: 57, Length: 128, Corner: 3}, 50 + 12, 64 + 24},   // 0.5 times: 28.5 x 64, the rule 40
		{Panel{Width: 2, Length: 1}, 50 + 12, 20 + 24},                 // 20 times: 40 x 20, the rule 40
		{Panel{Width: 900, Length: 600}, 90 + 12, 60 + 24},             // 0.1 times: 90 x 60, the rule 90
		{Panel{Width: 11, Length: 4, GrainAcross: true}, 122, 40 + 24}, // 10 times: 110 x 40, the rule 110
	} {
		d, err := New("a.svg", "a", GoFonts(), time.Time{})
		if err != nil {
			t.Fatal(err)
		}
		f := test.p.Draw()
		d.Sketch(&f)
		b, err := d.Bytes()
		if err != nil {
			t.Fatal(err)
		}
		m := regexp.MustCompile(`viewBox="0 0 ([0-9.]+) ([0-9.]+)"`).FindSubmatch(b)
		if m == nil {
			t.Fatalf("%.200s", b)
		}
		w, _ := strconv.ParseFloat(string(m[1]), 64)
		if h, _ := strconv.ParseFloat(string(m[2]), 64); math.Abs(w-test.w) > 1 || math.Abs(h-test.h) > 1 {
			t.Errorf("%v: a page of %g x %g mm, not %g x %g", test.p, w, h, test.w, test.h)
		}
	}
}

// Several that draw at once, as the page does, draw what one alone draws.
func TestSketchesAtOnce(t *testing.T) {
	drawn := func() string {
		d, err := New("a.svg", "a", GoFonts(), time.Time{})
		if err != nil {
			t.Error(err)
			return ""
		}
		f := (&Panel{Width: 57, Length: 128, Corner: 3}).Draw()
		d.Sketch(&f)
		b, err := d.Bytes()
		if err != nil {
			t.Error(err)
		}
		return string(b)
	}
	alone := drawn()
	var all sync.WaitGroup
	for range 8 {
		all.Go(func() {
			for range 50 {
				if drawn() != alone {
					t.Error("what is drawn beside others is another drawing")
					return
				}
			}
		})
	}
	all.Wait()
}
