package words

import (
	"encoding/json"
	"math"
	"os"
	"slices"
	"strings"
	"testing"
)

// check is one case of testdata/checks.json; its source and status say who
// published the figures or what computed them.
type check struct {
	ID        string          `json:"id"`
	Inputs    json.RawMessage `json:"inputs"`
	Expected  json.RawMessage `json:"expected"`
	Tolerance float64         `json:"tolerance"`
	Source    string          `json:"source"`
}

func (c check) read(t *testing.T, in, want any) {
	t.Helper()
	if err := json.Unmarshal(c.Inputs, in); err != nil {
		t.Fatalf("%s: inputs: %v", c.ID, err)
	}
	if err := json.Unmarshal(c.Expected, want); err != nil {
		t.Fatalf("%s: expected: %v", c.ID, err)
	}
}

func (c check) near(t *testing.T, what string, got, want float64) {
	t.Helper()
	if !(math.Abs(got-want) <= c.Tolerance) {
		t.Errorf("%s: %s = %v, want %v (%s)", c.ID, what, got, want, c.Source)
	}
}

func TestChecks(t *testing.T) {
	text, err := os.ReadFile("testdata/checks.json")
	if err != nil {
		t.Fatal(err)
	}
	var checks []check
	if err := json.Unmarshal(text, &checks); err != nil {
		t.Fatal(err)
	}
	run := map[string]func(*testing.T, check){
		"vi-bm25-rank_bm25": checkRankBM25,
		"vi-bm25-hexdocs":   checkHexdocs,
		"vi-bm25-lincoln":   checkLincoln,
		"vi-bm25-fts5":      checkFTS5,
		"vi-dl":             checkDistance,
		"vi-trigram-docs":   checkTrigramDocs,
		"vi-trigram-bench":  checkTrigramBench,
		"vi-fuzziness":      checkLimit,
		"vi-jaro":           checkJaro,
	}
	if len(checks) != len(run) {
		t.Errorf("%d checks, want %d", len(checks), len(run))
	}
	for _, c := range checks {
		t.Run(c.ID, func(t *testing.T) { run[c.ID](t, c) })
	}
}

// classicIDF is the weight without the 1, which some published figures use.
func classicIDF(n, N int) float64 {
	return math.Log((float64(N-n) + 0.5) / (float64(n) + 0.5))
}

// scores ranks docs, split at blanks only, against query.
func scores(docs []string, query string, k1 float64, idf func(n, N int) float64) []float64 {
	total, split := 0, make([][]string, len(docs))
	for i, d := range docs {
		split[i] = strings.Fields(d)
		total += len(split[i])
	}
	out := make([]float64, len(docs))
	for _, q := range strings.Fields(query) {
		n := 0
		for _, d := range split {
			if slices.Contains(d, q) {
				n++
			}
		}
		for i, d := range split {
			tf := 0.0
			for _, w := range d {
				if w == q {
					tf++
				}
			}
			out[i] += score(k1, idf(n, len(docs)), tf, float64(len(d)), float64(total)/float64(len(docs)))
		}
	}
	return out
}

type rankInputs struct {
	Docs    []string
	Query   string
	Queries []string
}

type listed struct{ Scores []float64 }

func checkRankBM25(t *testing.T, c check) {
	var in rankInputs
	var want listed
	c.read(t, &in, &want)
	for i, got := range scores(in.Docs, in.Query, 1.5, classicIDF) {
		c.near(t, in.Docs[i], got, want.Scores[i])
	}
}

func checkHexdocs(t *testing.T, c check) {
	var in rankInputs
	var want listed
	c.read(t, &in, &want)
	for i, got := range scores(in.Docs, in.Query, K1, IDF) {
		c.near(t, in.Docs[i], got, want.Scores[i])
	}
}

func checkLincoln(t *testing.T, c check) {
	var in struct{ TF [][2]float64 }
	var want listed
	c.read(t, &in, &want)
	a, b := classicIDF(40000, 500000), classicIDF(300, 500000)
	for i, tf := range in.TF {
		c.near(t, "row", Score(a, tf[0], 0.9, 1)+Score(b, tf[1], 0.9, 1), want.Scores[i])
	}
}

func checkFTS5(t *testing.T, c check) {
	var in rankInputs
	var want struct{ Scores []map[int]float64 }
	c.read(t, &in, &want)
	floored := func(n, N int) float64 { return max(classicIDF(n, N), 1e-6) }
	for i, q := range in.Queries {
		for doc, got := range scores(in.Docs, q, K1, floored) {
			c.near(t, q+": "+in.Docs[doc], got, want.Scores[i][doc])
		}
	}
}

func checkDistance(t *testing.T, c check) {
	var in struct{ Pairs [][2]string }
	var want struct{ Damerau []int }
	c.read(t, &in, &want)
	for i, p := range in.Pairs {
		if got := Distance(p[0], p[1]); got != want.Damerau[i] {
			t.Errorf("Distance(%q, %q) = %d, want %d (%s)", p[0], p[1], got, want.Damerau[i], c.Source)
		}
	}
}

// checkTrigramDocs leaves out the word similarities of pg_trgm, which are not used.
func checkTrigramDocs(t *testing.T, c check) {
	var in struct{ A, B string }
	var want struct {
		Similarity float64
		WordWords  float64  `json:"similarity_word_words"`
		Cat        []string `json:"trigrams_cat"`
	}
	c.read(t, &in, &want)
	c.near(t, "similarity", similarity(in.A, in.B), want.Similarity)
	c.near(t, "word, words", similarity("word", "words"), want.WordWords)
	var cat []string
	for _, g := range trigrams("cat") {
		cat = append(cat, string(g[:]))
	}
	if !slices.Equal(cat, want.Cat) {
		t.Errorf("trigrams of cat = %q, want %q (%s)", cat, want.Cat, c.Source)
	}
}

func checkTrigramBench(t *testing.T, c check) {
	var in struct{ Pairs [][2]string }
	var want struct{ Similarity []float64 }
	c.read(t, &in, &want)
	for i, p := range in.Pairs {
		c.near(t, p[0]+", "+p[1], similarity(p[0], p[1]), want.Similarity[i])
	}
}

func checkLimit(t *testing.T, c check) {
	var in struct{ Length []int }
	var want struct{ Edits []int }
	c.read(t, &in, &want)
	for i, n := range in.Length {
		if got := Limit(n); got != want.Edits[i] {
			t.Errorf("Limit(%d) = %d, want %d (%s)", n, got, want.Edits[i], c.Source)
		}
	}
}

// checkJaro compares nothing exact: the package has no Jaro similarity. It holds
// that the pairs Jaro calls alike are found here too, by distance or trigrams, unless
// more than a quarter of the letters differ.
func checkJaro(t *testing.T, c check) {
	var in struct{ Pairs [][2]string }
	var want struct{ Jaro []float64 }
	c.read(t, &in, &want)
	for i, p := range in.Pairs {
		a, b := Fold(p[0]), Fold(p[1])
		if want.Jaro[i] > 0.8 && Distance(a, b) <= len(a)/4 && len(Fuzzy(a, slices.Values([]string{b}))) == 0 {
			t.Errorf("Fuzzy(%q) does not find %q, Jaro %v", a, b, want.Jaro[i])
		}
	}
}
