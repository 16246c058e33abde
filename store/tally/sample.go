package tally

import (
	"fmt"
	"math"
)

// tie is how far a chance may miss what is wanted and still count as met.
const tie = 1e-9

// HowMany is the fewest of all boxes to count so that, when wrong of them are wrong,
// at least one of these is met with the wanted chance (hypergeometric, exact). It is
// all of them where nothing less will do.
func HowMany(all, wrong int64, chance float64) int64 {
	none := 1.0 // chance that no wrong one was met
	for n := int64(0); n < all; n++ {
		if none <= 1-chance+tie {
			return n
		}
		none *= float64(all-wrong-n) / float64(all-n)
		none = max(none, 0)
	}
	return all
}

// Draw is the fewest boxes to count out of a great many so that, when at most errors
// of them are wrong, the share of wrong ones is below rate with the wanted chance
// (binomial, exact). The rate is more than 0.
func Draw(rate float64, errors int64, chance float64) int64 {
	for n := errors + 1; ; n++ {
		if binomialAtMost(errors, n, rate) <= 1-chance+tie {
			return n
		}
	}
}

func binomialAtMost(k, n int64, p float64) float64 {
	term := math.Pow(1-p, float64(n))
	sum := term
	for i := int64(0); i < k; i++ {
		term *= float64(n-i) / float64(i+1) * p / (1 - p)
		sum += term
	}
	return sum
}

// SayHowMany says how many to count, for 19 times in 20.
func SayHowMany(all, wrong int64) string {
	return fmt.Sprintf("Count %d of the %d boxes: if %d are wrong you will meet at least one, 19 times in 20.", HowMany(all, wrong, 0.95), all, wrong)
}
