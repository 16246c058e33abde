package store

import (
	"errors"
	"time"

	"tinful/store/code"
)

// monthForm is how the name of a month is written.
const monthForm = "2006-01"

// MonthDays are the first and the last day of a month by its name, 2031-08.
func MonthDays(name string) (first, last code.Day, err error) {
	begin, err := time.Parse(monthForm, name)
	if err != nil {
		return 0, 0, Misread("%q is no month: write it like 2031-08", name)
	}
	return code.DayOf(begin), code.DayOf(begin.AddDate(0, 1, -1)), nil
}

// PeriodDays are the days of a month, of a year, 2031, or of a month up to a day,
// 2031-08-15.
func PeriodDays(name string) (first, last code.Day, err error) {
	if first, last, err = MonthDays(name); err == nil {
		return first, last, nil
	}
	if year, yerr := time.Parse("2006", name); yerr == nil {
		return code.DayOf(year), code.DayOf(year.AddDate(1, 0, -1)), nil
	}
	if last, derr := code.ISODay(name); derr == nil {
		first, _, err = MonthDays(MonthName(last))
		return first, last, err
	}
	return 0, 0, Misread("%q is no month: write it like 2031-08, or a year, 2031, or a day up to which, 2031-08-15", name)
}

// MonthName is the name of the month that a day lies in.
func MonthName(d code.Day) string { return d.Time().Format(monthForm) }

// HandedOver is the sheet of a month as it was handed over, without a name where it was
// not.
func (v *View) HandedOver(name string) (Month, error) {
	m, err := get[Month](v, bMonth, []byte(name), name)
	if errors.Is(err, ErrNotFound) {
		err = nil
	}
	return m, err
}

// HandedBefore is the latest sheet handed over of the months before one, without a name
// where there is none.
func (v *View) HandedBefore(name string) (last Month, err error) {
	return last, each(v, bMonth, func(m Month) error {
		if m.Name < name {
			last = m
		}
		return nil
	})
}

// HandOver keeps the sheet of a month as it is given. Months are handed over in their
// order and when they are over: what is booked into one later has to stand in a sheet
// that is still to come.
func (t *Tx) HandOver(name string, sheet []byte) error {
	_, last, err := MonthDays(name)
	if err != nil {
		return err
	}
	if t.head.Today < last {
		return refuse("%s is not over: it ends on %s", name, last)
	}
	later := ""
	err = each(&t.View, bMonth, func(m Month) error {
		if m.Name > name {
			later = m.Name
		}
		return nil
	})
	switch {
	case err != nil:
		return err
	case later != "":
		return refuse("%s was handed over already: a month before it would come too late", later)
	}
	return t.Put(Month{Name: name, Day: t.head.Today, By: t.head.By, Last: t.LastEntry(), Sheet: sheet})
}

var monthKind = &kindOf[Month]{
	bucket: bMonth, key: func(m Month) []byte { return []byte(m.Name) },
	rules: []rule[Month]{
		{"", func(_ world, _ *Month, m Month) error {
			_, _, err := MonthDays(m.Name)
			return err
		}},
		{"", func(_ world, _ *Month, m Month) error {
			return unless(len(m.Sheet) > 0, "the sheet of %s says nothing", m.Name)
		}},
		{"", func(_ world, was *Month, m Month) error {
			if was == nil {
				return nil
			}
			return refuse("%s was handed over on %s: the sheet stays as it was given", m.Name, was.Day)
		}},
	},
}
