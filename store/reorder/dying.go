package reorder

// A Trend is how much is wanted a period: the chance that a period wants any, and
// how many pieces then.
type Trend struct {
	Chance, Size float64
}

// Rate is the pieces wanted a period.
func (t Trend) Rate() float64 { return t.Chance * t.Size }

// The usual weights of a new period.
const (
	sizeWeight   = 0.1
	chanceWeight = 0.05
)

// TSB follows the need through periods without a gap (Teunter, Syntetos, Babai
// 2011, EJOR 214:606-615): the chance moves every period, the size only when
// something is wanted, so the rate falls in quiet times. It starts with the first
// demand, the chance being one in the periods up to and including it.
//
// last is the trend after the latest demand, now after the latest period. Both are
// zero where nothing was ever wanted. Weights are 0 to 1.
func TSB(series []float64, size, chance float64) (last, now Trend) {
	started := false
	for i, d := range series {
		switch {
		case !started && d == 0:
		case !started:
			started, now = true, Trend{1 / float64(i+1), d}
		case d == 0:
			now.Chance -= chance * now.Chance
		default:
			now.Chance += chance * (1 - now.Chance)
			now.Size += size * (d - now.Size)
		}
		if d != 0 {
			last = now
		}
	}
	return last, now
}

// leastDemands is how many demands it takes before a trend says anything.
const leastDemands = 5

// Dying says whether a part that was wanted in these months is dying out: from
// five demands on, when the rate has fallen below half of what it was after the
// last of them. It returns the yearly need then and now.
func Dying(months []float64) (then, now float64, dying bool) {
	demands := 0
	for _, d := range months {
		if d > 0 {
			demands++
		}
	}
	last, at := TSB(months, sizeWeight, chanceWeight)
	then, now = 12*last.Rate(), 12*at.Rate()
	return then, now, demands >= leastDemands && now < then/2
}
