package reorder

import (
	"fmt"
	"math"
	"strings"
)

// Percent is a chance in whole per cents; what may still happen is never called
// 0 %, nor what is not sure 100 %.
func Percent(chance float64) string {
	switch n := math.Round(100 * chance); {
	case n <= 0:
		return "under 1 %"
	case n >= 100:
		return "over 99 %"
	default:
		return fmt.Sprintf("%.0f %%", n)
	}
}

// Span is a length of time as people say it: 9 months, 4 years.
func Span(years float64) string {
	if months := math.Round(12 * years); months < 24 && months != 12 {
		return count(max(1, int64(months)), "month")
	}
	return count(int64(math.Round(years)), "year")
}

func count(n int64, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// Say says the risk with so many free, and how many to keep so that they last with
// the wanted chance.
func (d Demand) Say(free int64, chance float64) string {
	if d.Jobs == 0 {
		wanted := "wanted"
		if d.Held > 0 {
			wanted = "used"
		}
		return fmt.Sprintf("Not %s once in %s; %s chance that somebody wants it in the next %s.",
			wanted, Span(d.Years), Percent(d.Risk(0)), strings.TrimPrefix(Span(d.Wait), "1 "))
	}
	used := fmt.Sprintf("Used %d in %s.", d.Jobs, Span(d.Years))
	if d.Unmet > 0 {
		used = fmt.Sprintf("Used %d, asked for in vain %d, in %s.", d.Jobs-d.Unmet, d.Unmet, Span(d.Years))
	}
	left := "none"
	if free > 0 {
		left = fmt.Sprint(free)
	}
	return fmt.Sprintf("%s With %s left: %s chance of running out before you find another (%s). Keep %d.",
		used, left, Percent(d.Risk(max(0, free))), Span(d.Wait), d.Level(chance))
}

// SayDying says that a part is dying out: when it was last wanted, and what has
// become of the yearly need.
func SayDying(monthsAgo int64, then, now float64) string {
	return fmt.Sprintf("Last wanted %s ago; the yearly need has fallen from about %s to about %s.", count(monthsAgo, "month"), about(then), about(now))
}

func about(n float64) string {
	if n < 0.95 {
		return fmt.Sprintf("%.1f", n)
	}
	return fmt.Sprintf("%.0f", n)
}
