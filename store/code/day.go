package code

import (
	"errors"
	"fmt"
	"strings"
	"time"
)

// A Day is a calendar day, counted in days since 1970-01-01. The zero Day is no
// day, and no day before 1970-01-02 can be read.
type Day int32

// ErrNoDay is returned when a text is no day.
var ErrNoDay = errors.New("no day")

const secondsPerDay = 24 * 60 * 60

// lastDay is 9999-12-31, the last that a text of ten bytes can name.
const lastDay = Day(2932896)

// DayOf returns the calendar day of t in t's own location.
func DayOf(t time.Time) Day {
	y, m, d := t.Date()
	return Day(time.Date(y, m, d, 0, 0, 0, 0, time.UTC).Unix() / secondsPerDay)
}

// String returns the day as 2031-08-31, and nothing for the zero Day.
func (d Day) String() string {
	if d == 0 {
		return ""
	}
	y, m, day := d.Time().Date()
	if y < 0 || y > 9999 {
		return d.Time().Format(time.DateOnly)
	}
	digit := func(n int) byte { return byte('0' + n%10) }
	return string([]byte{digit(y / 1000), digit(y / 100), digit(y / 10), digit(y), '-', digit(int(m) / 10), digit(int(m)), '-', digit(day / 10), digit(day)})
}

// Time returns midnight UTC at the start of the day.
func (d Day) Time() time.Time { return time.Unix(int64(d)*secondsPerDay, 0).UTC() }

// Weekday returns the day of the week.
func (d Day) Weekday() time.Weekday { return d.Time().Weekday() }

// Add returns the day n days later.
func (d Day) Add(n int) Day { return d + Day(n) }

// ISODay reads a day as sheets write it, 2031-08-31. It returns an error that
// wraps [ErrNoDay] for everything else, also for a day that no month has.
func ISODay(s string) (Day, error) {
	t, err := time.Parse(time.DateOnly, strings.TrimSpace(s))
	if err != nil {
		return 0, fmt.Errorf("%q is %w: write it as 2031-08-31", s, ErrNoDay)
	}
	d := DayOf(t)
	if d <= 0 || d > lastDay {
		return 0, fmt.Errorf("%q is %w here: days begin with 1970-01-02", s, ErrNoDay)
	}
	return d, nil
}

// ParseDay reads a day as it is typed: 2031-08-31; fri or friday, which is the
// latest that is not after today; today; yesterday; -3d, three days before
// today. It returns an error that wraps [ErrNoDay].
func ParseDay(s string, today Day) (Day, error) {
	w := strings.ToLower(strings.TrimSpace(s))
	switch w {
	case "today":
		return today, nil
	case "yesterday":
		return today.Add(-1), nil
	}
	if back, ok := weekday(w); ok {
		return today.Add(-(int(today.Weekday()-back) + 7) % 7), nil
	}
	if n, ok := daysBack(w); ok && n < int64(today) {
		return today.Add(-int(n)), nil
	}
	if d, err := ISODay(w); err == nil {
		return d, nil
	}
	return 0, fmt.Errorf("%q is %w: write 2031-08-31, fri, yesterday or -3d", s, ErrNoDay)
}

// weekday reads fri or friday.
func weekday(w string) (time.Weekday, bool) {
	for d := time.Sunday; d <= time.Saturday; d++ {
		full := strings.ToLower(d.String())
		if w == full || w == full[:3] {
			return d, true
		}
	}
	return 0, false
}

// daysBack reads the 3 of -3d.
func daysBack(w string) (int64, bool) {
	n, ok := strings.CutPrefix(w, "-")
	n, ok2 := strings.CutSuffix(n, "d")
	if !ok || !ok2 {
		return 0, false
	}
	return digits(n)
}

// ParseDayAhead reads a day that is not over yet: 2031-09-30, today, fri for the next
// Friday, +14d.
func ParseDayAhead(text string, today Day) (Day, error) {
	word := strings.ToLower(strings.TrimSpace(text))
	if days, ok := strings.CutPrefix(word, "+"); ok {
		n, err := ParseQty(strings.TrimSuffix(days, "d"), "pc")
		if err != nil || n.About || n.N > 3650 {
			return 0, fmt.Errorf("%q is no day: write 2031-09-30, fri or +14d", text)
		}
		return today.Add(int(n.N)), nil
	}
	day, err := ParseDay(word, today)
	if err != nil {
		return 0, fmt.Errorf("%q is no day: write 2031-09-30, fri or +14d", text)
	}
	if _, isoErr := ISODay(word); isoErr != nil && day < today && word[0] != '-' && word != "yesterday" {
		day = day.Add(7) // a weekday: the next, not the last
	}
	if day < today {
		return 0, fmt.Errorf("%s is over: name a day to come", day)
	}
	return day, nil
}
