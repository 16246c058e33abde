package words

import "math"

// K1 and B are the constants of BM25: how soon repeats of a word stop counting,
// and how far a long text is held against it.
const (
	K1 = 1.2
	B  = 0.75
)

// IDF returns the weight of a word that stands in n of N texts. It is more than
// zero for every n up to N, which the classic weight without the 1 is not.
func IDF(n, N int) float64 {
	return math.Log(1 + (float64(N-n)+0.5)/(float64(n)+0.5))
}

// Score returns what one word adds to the BM25 score of a text: idf is the
// word's weight, tf how often it stands there, length the words of the text
// and avg those of an average text. A text's score is the sum over the words
// asked for. An avg of zero or less counts length as average.
func Score(idf, tf, length, avg float64) float64 { return score(K1, idf, tf, length, avg) }

// score is Score for any k1: published examples use several.
func score(k1, idf, tf, length, avg float64) float64 {
	if tf <= 0 {
		return 0
	}
	rel := 1.0
	if avg > 0 {
		rel = length / avg
	}
	return idf * tf * (k1 + 1) / (tf + k1*(1-B+B*rel))
}
