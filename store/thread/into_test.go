package thread

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestInto(t *testing.T) {
	tests := []struct{ a, b, answer, why, source string }{
		{"loewenherz 1.7x0.35", "M1.7", Binds, "binds after a few turns: 53 against 60 degrees", "flanks 53 degrees 8 minutes and 60"},
		{"M1.7", "loewenherz 1.7x0.35", Binds, "binds after a few turns: 60 against 53 degrees", "the same"},
		{"BA 10", "M1.7", Binds, "binds after a few turns: 47.5 against 60 degrees", "BS 93"},
		{"1/4-20 UNC", "1/4-20 BSW", Binds, "binds after a few turns: 60 against 55 degrees", "look-alike pairs"},
		{"M39x1", "whitworth 39x0.976923", Binds, "binds after a few turns: pitch 1 against 0.977 mm and 60 against 55 degrees", "look-alike pairs: 4 turns 0.092 mm"},
		{"M3x0.6", "M3x0.5", Binds, "binds within the first turns: pitch 0.6 against 0.5 mm", "look-alike pairs: 0.1 mm a turn"},
		{"3-56 UNC", "M2.5x0.45", Binds, "binds after about 13 turns: pitch 0.454 against 0.45 mm", "0.045 / 0.00357 = 12.6 turns"},
		{"M1.7", "M1.7", Yes, "one form, one diameter, one pitch", "by hand"},
		{"unified 1.2x0.25", "M1.2", Yes, "two names of one size: flank, diameter and pitch are those of metric 1.2x0.25", "ASME B1.10M and ISO 724"},
		{"M1.7", "M1.6", No, "it does not start: 0.1 mm too thick", "1.7 - 1.6"},
		{"M1.6", "M1.7", No, "it turns in and does not hold: 0.1 mm too thin", "the same"},
		{"M1.2", "M1.7", No, "it drops through: it is thinner than the hole", "the hole of M1.7 is 1.321"},
		{"M2 LH", "M2", No, "it does not start: LEFT-HAND into right-hand", "by hand"},
		{"unknown 1.7x0.35", "M1.7", Open, "a form is not known: look at the flanks (60, 55, 53 or 47.5 degrees)", "by hand"},
		{"unknown 3x0.6", "M3x0.5", Binds, "binds within the first turns: pitch 0.6 against 0.5 mm", "the pitch decides whatever the form"},
	}
	for _, tt := range tests {
		got := Into(parsed(t, tt.a), parsed(t, tt.b))
		if got.Answer != tt.answer || got.Why != tt.why {
			t.Errorf("%s into %s: %s, %q (%s)", tt.a, tt.b, got.Answer, got.Why, tt.source)
		}
		if tt.answer == Binds && !strings.Contains(got.Caution, "never drive it") {
			t.Errorf("%s into %s: caution %q", tt.a, tt.b, got.Caution)
		}
	}
	if got := Into(Thread{}, parsed(t, "M2")); got.Answer != Open {
		t.Errorf("no thread: %v", got)
	}
	if got := Into(parsed(t, "M2 LH"), parsed(t, "M2 LH")); got.Answer != Yes || !strings.HasPrefix(got.Caution, "LEFT-HAND") {
		t.Errorf("left into left: %v", got)
	}
}

// No screw goes into the hole of another flank, whatever the sizes; every screw
// goes into its own hole.
func TestOtherFlanksNeverGo(t *testing.T) {
	all := Sizes()
	rapid.Check(t, func(t *rapid.T) {
		a, b := rapid.SampledFrom(all).Draw(t, "a"), rapid.SampledFrom(all).Draw(t, "b")
		f, ok := Flank(a.Form)
		o, ok2 := Flank(b.Form)
		if got := Into(a, b); ok && ok2 && f != o && got.Answer == Yes {
			t.Fatalf("%v into %v: %v", a, b, got)
		}
		if got := Into(a, a); got.Answer != Yes && a.Form != Unknown {
			t.Fatalf("%v into its own: %v", a, got)
		}
	})
}

func TestTraps(t *testing.T) {
	three := []Thread{parsed(t, "M1.7"), parsed(t, "loewenherz 1.7x0.35"), parsed(t, "BA 10")}
	got := Traps(three)
	if len(got) != 1 || !strings.HasPrefix(got[0].Text, "metric 1.7x0.35, loewenherz 1.7x0.35 and BA 10 cannot be told by diameter and pitch: look at the flanks (60, 53 and 47.5 degrees)") {
		t.Errorf("traps: %q", got)
	}
	// Ten threads, by hand: 0.39 and 0.4 mm.
	if got := Traps([]Thread{parsed(t, "M2"), parsed(t, "BA 9")}); len(got) != 1 || got[0].Text != "read over ten threads, the pitch tells some of them: 3.9 mm BA 9; 4 mm metric 2x0.4" {
		t.Errorf("pitches: %q", got)
	}
	if got := Traps(three[:1]); len(got) != 0 {
		t.Errorf("one thread: %q", got)
	}
}

func TestAlike(t *testing.T) {
	names := func(cell string) (out []string) {
		for _, s := range Alike(parsed(t, cell)) {
			out = append(out, s.String())
		}
		return out
	}
	// Source: thread notes, look-alike pairs: 1.7 x 0.35 and 6 x 1 in three flanks.
	if got := names("M1.7"); !slices.Equal(got, []string{"BA 10", "loewenherz 1.7x0.35"}) {
		t.Errorf("M1.7: %v", got)
	}
	if got := names("BA 0"); !slices.Equal(got, []string{"metric 6x1", "loewenherz 6x1"}) {
		t.Errorf("BA 0: %v", got)
	}
	if got := names("M42x1"); len(got) != 0 {
		t.Errorf("M42x1: %v", got)
	}
}
