package tally

import "fmt"

// tie is how far a chance may miss what is wanted and still count as met.
const tie = 1e-9

// HowMany is the fewest of all bags to count so that, when wrong of them are wrong,
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

// Often is the chance of [SayHowMany]: 19 times in 20.
const Often = 0.95

// SayHowMany says how many bags to count, for 19 times in 20: count 25 of the 100
// bags: if 10 are wrong you meet one 19 times in 20.
func SayHowMany(all, wrong int64) string {
	are := "are"
	if wrong == 1 {
		are = "is"
	}
	return fmt.Sprintf("count %d of the %s: if %d %s wrong you meet one 19 times in 20", HowMany(all, wrong, Often), several(all, "bag"), wrong, are)
}
