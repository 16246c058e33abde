package code

import (
	"errors"
	"fmt"
	"strings"
)

// Cents is an amount of money in hundredths of the store's currency.
type Cents int64

// A Qty is a quantity in pieces or millimetres. About marks a figure that was
// estimated; it is never silently turned into an exact one.
type Qty struct {
	N     int64
	About bool
}

// ErrNoNumber is returned when a text is no number of what is asked for.
var ErrNoNumber = errors.New("no number")

// maxNumber bounds every number that is read, so that sums of them stay far
// from the end of an int64.
const maxNumber = 1_000_000_000_000

// String returns the amount with two decimals and a point: "22.00".
func (c Cents) String() string {
	sign, u := "", uint64(c)
	if c < 0 {
		sign, u = "-", -u
	}
	return fmt.Sprintf("%s%d.%02d", sign, u/100, u%100)
}

// ParseCents reads an amount: "22", "22.00", "22,5". A minus is understood, as
// the amount of a counter-entry has one. It returns an error that wraps
// [ErrNoNumber].
func ParseCents(s string) (Cents, error) {
	t := strings.TrimSpace(s)
	t, minus := strings.CutPrefix(t, "-")
	n, ok := decimal(t, 2)
	if !ok {
		if strings.ContainsAny(t, ".,") && strings.Trim(t, "0123456789.,") == "" {
			return 0, fmt.Errorf("%q is %w of money: write it with at most two decimals and no mark between thousands, as 1234.50", s, ErrNoNumber)
		}
		return 0, fmt.Errorf("%q is %w of money: write 22 or 22.50", s, ErrNoNumber)
	}
	if minus {
		n = -n
	}
	return Cents(n), nil
}

// String returns the quantity, with about before it where it is: "about 20".
func (q Qty) String() string {
	if q.About {
		return fmt.Sprintf("about %d", q.N)
	}
	return fmt.Sprint(q.N)
}

// ParseQty reads a typed quantity of unit "pc" or "mm". Pieces are whole
// numbers; millimetres demand a unit of length, "40cm", "400mm" or "0.4m", and
// come to whole millimetres. About forms are c20, ca. 20, 20~, ~20 and about
// 20. It returns an error that wraps [ErrNoNumber].
func ParseQty(s, unit string) (Qty, error) {
	t, about := cutAbout(s)
	n, err := pieces(s, t)
	if unit == "mm" {
		n, err = millimetres(s, t)
	}
	if err != nil {
		return Qty{}, err
	}
	return Qty{n, about}, nil
}

// ParseSheetQty reads the bare whole number of a sheet's cell, which may be
// negative; about forms are allowed. It returns an error that wraps
// [ErrNoNumber].
func ParseSheetQty(s string) (Qty, error) {
	t, about := cutAbout(s)
	t, minus := strings.CutPrefix(t, "-")
	if whole, zeros, ok := strings.Cut(t, "."); ok && zeros != "" && strings.Trim(zeros, "0") == "" {
		t = whole // a sheet may show 5 as 5.0
	}
	n, ok := digits(t)
	if !ok {
		return Qty{}, fmt.Errorf("%q is %w: write a whole number such as 20, or ca. 20", s, ErrNoNumber)
	}
	if minus {
		n = -n
	}
	return Qty{n, about}, nil
}

// cutAbout takes the mark of an about figure off s.
func cutAbout(s string) (rest string, about bool) {
	t := strings.ToLower(strings.TrimSpace(s))
	if r, ok := strings.CutSuffix(t, "~"); ok {
		return strings.TrimSpace(r), true
	}
	for _, p := range []string{"~", "about", "ca.", "ca", "c.", "c"} {
		if r, ok := strings.CutPrefix(t, p); ok {
			return strings.TrimSpace(r), true
		}
	}
	return t, false
}

// pieces reads a whole number of pieces; s is what was typed, t the rest
// without its mark.
func pieces(s, t string) (int64, error) {
	t = strings.TrimSpace(strings.TrimSuffix(t, "pc"))
	if n, ok := digits(t); ok {
		return n, nil
	}
	if _, scale := cutLength(t); scale > 0 {
		return 0, fmt.Errorf("%q is %w of pieces: it is a length, and this is counted in pieces", s, ErrNoNumber)
	}
	return 0, fmt.Errorf("%q is %w of pieces", s, ErrNoNumber)
}

// millimetres reads a length with its unit, in whole millimetres.
func millimetres(s, t string) (int64, error) {
	num, scale := cutLength(t)
	n, ok := decimal(num, 6)
	if !ok {
		return 0, fmt.Errorf("%q is %w of length: write 40cm, 400mm or 0.4m", s, ErrNoNumber)
	}
	if scale == 0 {
		return 0, fmt.Errorf("%q is %w of length without its unit: write %scm, %smm or %sm", s, ErrNoNumber, num, num, num)
	}
	const millionths = 1_000_000
	if n > maxNumber*millionths/scale || n*scale%millionths != 0 {
		return 0, fmt.Errorf("%q is %w of whole millimetres", s, ErrNoNumber)
	}
	return n * scale / millionths, nil
}

// cutLength parts a length from its unit and returns the millimetres in one, 0
// without a unit.
func cutLength(t string) (num string, scale int64) {
	for _, u := range []struct {
		name string
		mm   int64
	}{{"mm", 1}, {"cm", 10}, {"m", 1000}} {
		if r, ok := strings.CutSuffix(t, u.name); ok {
			return strings.TrimSpace(r), u.mm
		}
	}
	return t, 0
}

// digits reads a whole decimal number of digits alone: no sign, and 010 is ten.
func digits(t string) (int64, bool) { return decimal(t, 0) }

// decimal reads a number with at most places decimals, after a point or a
// comma, and returns it as a count of units of 10^-places.
func decimal(t string, places int) (int64, bool) {
	whole, frac, point := cutPoint(t)
	if whole == "" && frac == "" || point && frac == "" || len(frac) > places {
		return 0, false
	}
	all := whole + frac + strings.Repeat("0", places-len(frac))
	limit := int64(maxNumber)
	for range places {
		limit *= 10
	}
	var n int64
	for _, r := range all {
		if !isDigit(r) {
			return 0, false
		}
		d := int64(r - '0')
		if n > (limit-d)/10 {
			return 0, false
		}
		n = n*10 + d
	}
	return n, true
}

func cutPoint(t string) (whole, frac string, point bool) {
	if i := strings.IndexAny(t, ".,"); i >= 0 {
		return t[:i], t[i+1:], true
	}
	return t, "", false
}
