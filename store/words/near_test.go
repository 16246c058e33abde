package words

import (
	"slices"
	"testing"

	"pgregory.net/rapid"
)

func TestDistanceRunes(t *testing.T) {
	// Changed letters count once, whatever their bytes: by definition.
	if got := Distance("ばね", "はね"); got != 1 {
		t.Errorf("Distance of ばね and はね = %d, want 1", got)
	}
}

// The four laws of a metric, which the cheap variant of the distance breaks
// (Boytsov 2011).
func TestDistanceMetric(t *testing.T) {
	word := rapid.StringMatching(`[abcä]{0,7}`)
	rapid.Check(t, func(t *rapid.T) {
		a, b, c := word.Draw(t, "a"), word.Draw(t, "b"), word.Draw(t, "c")
		ab := Distance(a, b)
		if ab != Distance(b, a) {
			t.Fatalf("%q and %q: not symmetric", a, b)
		}
		if (ab == 0) != (a == b) {
			t.Fatalf("%q and %q: %d", a, b, ab)
		}
		if ac, cb := Distance(a, c), Distance(c, b); ab > ac+cb {
			t.Fatalf("%q and %q: %d, but by way of %q %d+%d", a, b, ab, c, ac, cb)
		}
	})
}

func similarity(a, b string) float64 { return overlap(trigrams(a), trigrams(b)) }

func TestSimilarityBounds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := rapid.String().Draw(t, "a"), rapid.String().Draw(t, "b")
		if s := similarity(a, b); s < 0 || s > 1 || s != similarity(b, a) {
			t.Fatalf("similarity(%q, %q) = %v", a, b, s)
		}
	})
}

// The rules are those of the OpenSearch fuzziness page (limits) and of pg_trgm
// (threshold 0.3); that a quarter of the letters is the most is common practice, no
// source.
func TestFuzzy(t *testing.T) {
	for _, tc := range []struct {
		name, word string
		candidates []string
		want       []string
	}{
		{"one swap below the trigram threshold", "wasehr", []string{"washer", "lever"}, []string{"washer"}},
		{"nearest first, equals once", "skivr", []string{"shiver", "skiver", "skiver", "cam"}, []string{"skiver"}},
		{"by distance, then text", "springed", []string{"sprungad", "sprangad", "sprunged", "spring"}, []string{"sprunged", "spring", "sprangad", "sprungad"}},
		{"another first letter", "case", []string{"base"}, nil},
		{"the first two swapped", "psring", []string{"spring"}, []string{"spring"}},
		{"trigrams when none is near", "rangefinderarm", []string{"rangefinder", "bellows"}, []string{"rangefinder"}},
		{"not further than a quarter", "rangefinders", []string{"range"}, nil},
		{"cap nut for a shutter", "hutmutter", []string{"shutter"}, nil},
		{"lock washer for a spring", "federring", []string{"feder"}, nil},
		{"three letters", "cap", []string{"cam"}, nil},
		{"a digit in the word", "m1.4", []string{"m1.7"}, nil},
		{"a digit in the candidate", "mix", []string{"mi4"}, nil},
		{"a short word", "ba", []string{"bal", "b"}, nil},
		{"a short candidate", "cam", []string{"ca"}, nil},
		{"nothing alike", "pawl", []string{"lens", "bellows"}, nil},
	} {
		if got := Fuzzy(tc.word, slices.Values(tc.candidates)); !slices.Equal(got, tc.want) {
			t.Errorf("%s: Fuzzy(%q) = %q, want %q", tc.name, tc.word, got, tc.want)
		}
	}
}

// The look at lengths leaves nothing out that the full comparison would take.
func TestFuzzyPrefilter(t *testing.T) {
	word := rapid.StringMatching(`[abe]{0,16}`)
	rapid.Check(t, func(t *rapid.T) {
		w, c := word.Draw(t, "w"), word.Draw(t, "c")
		d := Distance(w, c)
		swapped := len(w) > 1 && len(c) > 1 && w[0] == c[1] && w[1] == c[0]
		want := len(w) > 3 && len(c) > 0 && (w[0] == c[0] || swapped) && d <= len(w)/4 && (d <= Limit(len(w)) || similarity(w, c) >= 0.3)
		if got := len(Fuzzy(w, slices.Values([]string{c}))) == 1; got != want {
			t.Fatalf("Fuzzy(%q) takes %q: %v, want %v", w, c, got, want)
		}
	})
}

func BenchmarkDistance(b *testing.B) {
	for b.Loop() {
		Distance("rangefinder", "ragnefinder")
	}
}
