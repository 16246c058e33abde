package dim

import (
	"errors"
	"fmt"
	"math/big"
	"strings"
)

// ErrNoMeasure is returned when a text cannot be read as the dimension asked
// for.
var ErrNoMeasure = errors.New("no measure")

// ErrRange is returned when a value lies outside what its class can be.
var ErrRange = errors.New("outside what it can be")

// A RangeError says which value is outside, and what was likely meant. Its
// Unwrap returns [ErrRange].
type RangeError struct {
	Field Field
	Value int64 // in the unit of the field's kind
	Text  string
}

// Error says what is wrong with the measure and what was likely meant.
func (e *RangeError) Error() string { return e.Text }

// Unwrap returns [ErrRange].
func (e *RangeError) Unwrap() error { return ErrRange }

// Parse reads a typed value or a sheet's cell of field f. Lengths are read as
// 0.25, 0.25mm, .014in, 1/4in or 26thou; a bare number is millimetres and a
// decimal comma a decimal point. The value is n, in the unit of the field's
// kind, for a field of words it is word. A value outside what class can be is
// refused; class may be empty or a prefix. Errors wrap [ErrNoMeasure] or
// [ErrRange].
func Parse(f Field, class, text string) (n int64, word string, err error) {
	return parse(f, class, text, "")
}

// Bare reads what [Format] wrote, whatever its class could be.
func Bare(f Field, text string) (int64, error) {
	i := Of(f)
	v, err := i.read(strings.Join(strings.Fields(text), " "), "")
	if err != nil {
		return 0, err
	}
	n, ok := round(v, i.scale())
	if !ok {
		return 0, fmt.Errorf("%s %q is %w", i.name, text, ErrNoMeasure)
	}
	return n, nil
}

// ParseInch reads a cell of a column in inches: as [Parse] does, but a bare
// number is inches.
func ParseInch(f Field, class, text string) (int64, string, error) {
	return parse(f, class, text, "in")
}

func parse(f Field, class, text, unit string) (int64, string, error) {
	i := Of(f)
	text = strings.Join(strings.Fields(text), " ")
	switch {
	case i.Field == 0:
		return 0, "", fmt.Errorf("field %d is %w", f, ErrNoMeasure)
	case text == "":
		return 0, "", fmt.Errorf("%s is empty: %w", i.name, ErrNoMeasure)
	case i.Kind == KindWord:
		w, err := parseWord(i, text)
		return 0, w, err
	}
	if n, ok := plain(text, i.scale()); ok && unit == "" && i.boundFor(strings.ToUpper(class)).has(n) {
		return n, "", nil // nearly every cell of a sheet
	}
	v, err := i.read(text, unit)
	if err != nil {
		return 0, "", err
	}
	n, ok := round(v, i.scale())
	if !ok {
		return 0, "", fmt.Errorf("%s %q is too large a number: %w", i.name, text, ErrNoMeasure)
	}
	if err := i.check(class, text, unit, v, n); err != nil {
		return 0, "", err
	}
	return n, "", nil
}

// parseWord folds the words of fields that have few.
func parseWord(i Info, text string) (string, error) {
	switch i.Field {
	case Hand:
		switch strings.ToLower(strings.ReplaceAll(text, " ", "-")) {
		case "right", "r", "rh", "right-hand", "right-handed", "rechts", "rechtsgewickelt":
			return "right", nil
		case "left", "l", "lh", "left-hand", "left-handed", "links", "linksgewickelt":
			return "left", nil
		}
		return "", fmt.Errorf("%q is no hand (%w): write right or left", text, ErrNoMeasure)
	case Magnetic:
		switch strings.ToLower(text) {
		case "yes", "y":
			return "yes", nil
		case "no", "n":
			return "no", nil
		}
		return "", fmt.Errorf("%q does not say whether it is magnetic (%w): write yes or no", text, ErrNoMeasure)
	}
	return text, nil
}

// scale returns how many units of the kind make one unit of the sheet.
func (i Info) scale() int64 {
	switch i.Kind {
	case KindCount:
		return 1
	case KindMass:
		return 1_000_000
	}
	return 1000
}

// plain reads digits with perhaps a point among them that come to a whole
// number of units of 1/scale, scale being a power of ten.
func plain(s string, scale int64) (n int64, ok bool) {
	if len(s) > 12 {
		return 0, false
	}
	after := int64(0) // 0 before the point, then what one unit of the last digit is
	for i, c := range []byte(s) {
		switch {
		case c >= '0' && c <= '9' && after == 0:
			n = n*10 + int64(c-'0')
		case c >= '0' && c <= '9' && after > 1:
			after /= 10
			n += int64(c-'0') * after
		case c == '.' && after == 0 && i+1 < len(s):
			n, after = n*scale, scale
		default:
			return 0, false
		}
	}
	if after == 0 {
		n *= scale
	}
	return n, s != ""
}

// round returns v times scale as an integer, halves away from zero, or false
// where it does not fit well within an int64.
func round(v *big.Rat, scale int64) (int64, bool) {
	x := new(big.Rat).Mul(v, new(big.Rat).SetInt64(scale))
	num := new(big.Int).Mul(new(big.Int).Abs(x.Num()), big.NewInt(2))
	num.Add(num, x.Denom())
	num.Quo(num, new(big.Int).Mul(x.Denom(), big.NewInt(2)))
	if !num.IsInt64() || num.Int64() > 1<<60 {
		return 0, false
	}
	return num.Int64() * int64(x.Sign()), true
}
