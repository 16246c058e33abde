package reorder

import (
	"fmt"
	"math"
	"strings"
)

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

// few is the number of jobs from which the risk of running out says something: below,
// the chance of another job is said, and what a job took.
const few = 3

// Say says what was wanted, the risk with so many free, and how many to keep so that
// they last with the wanted chance. percent is a chance in words.
func (d Demand) Say(free int64, chance float64, percent func(float64) string) string {
	if d.Jobs == 0 {
		wanted := "wanted"
		if d.Held > 0 {
			wanted = "used"
		}
		return fmt.Sprintf("Not %s once in %s; %s chance that somebody wants it in the next %s.",
			wanted, Span(d.Years), percent(d.Risk(0)), strings.TrimPrefix(Span(d.Wait), "1 "))
	}
	if d.Jobs < few {
		return fmt.Sprintf("%s %s chance of another before you find more (%s). %s Keep %d.",
			d.sayUsed(), percent(d.Job()), Span(d.Wait), d.sayLeft(free), d.Keep(chance))
	}
	s := fmt.Sprintf("%s With %s left: %s chance of running out before you find more (%s).", d.sayUsed(), none(free), percent(d.Risk(max(0, free))), Span(d.Wait))
	level, keep := d.Level(chance), d.Keep(chance)
	if keep == level {
		return fmt.Sprintf("%s Keep %d.", s, keep)
	}
	return fmt.Sprintf("%s Keep %d, all that were ever wanted; to be %.0f %% sure it would take %d, but %s say little.", s, keep, 100*chance, level, count(d.Jobs, "job"))
}

// sayUsed says how many jobs took how many pieces, and what was asked for in vain.
func (d Demand) sayUsed() string {
	met := d.Jobs - d.Unmet
	vain := "asked for in vain " + times(d.Unmet)
	if met == 0 {
		return strings.ToUpper(vain[:1]) + vain[1:] + " in " + Span(d.Years) + "."
	}
	usual, largest := d.usual()
	pieces := met
	if len(d.Sizes) > 0 {
		pieces = d.Wanted() - d.Unmet
	}
	s := fmt.Sprintf("%s in %s took %d", count(met, "job"), Span(d.Years), pieces)
	switch {
	case met == 1:
		s = fmt.Sprintf("1 job in %s, it took %d", Span(d.Years), pieces)
	case usual != largest:
		s += fmt.Sprintf(", most %d, one %d", usual, largest)
	case largest > 1:
		s += fmt.Sprintf(", %d each", largest)
	}
	if d.Unmet > 0 {
		s += "; " + vain
	}
	return s + "."
}

// sayLeft says whether what is left does for one more job.
func (d Demand) sayLeft(free int64) string {
	_, largest := d.usual()
	switch {
	case free <= 0:
		return "None left."
	case free < largest:
		return fmt.Sprintf("%d left: not enough for one like it.", free)
	}
	return fmt.Sprintf("%d left: enough for one like it.", free)
}

func none(n int64) string {
	if n <= 0 {
		return "none"
	}
	return fmt.Sprint(n)
}

func times(n int64) string {
	if n == 1 {
		return "once"
	}
	return fmt.Sprintf("%d times", n)
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
