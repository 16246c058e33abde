package dim

import (
	"fmt"
	"math/big"
	"strings"
)

// A unit is a written unit and its size in units of the sheet.
type unit struct {
	name     string
	num, den int64
}

// The longer name stands before the one it ends in: mm before m.
var (
	lengthUnits = []unit{{"mm", 1, 1}, {"cm", 10, 1}, {"µm", 1, 1000}, {"μm", 1, 1000}, {"um", 1, 1000},
		{"inches", 254, 10}, {"inch", 254, 10}, {"in", 254, 10}, {"\"", 254, 10}, {"″", 254, 10},
		{"thou", 254, 10000}, {"m", 1000, 1}}
	// Leather is sold by the ounce, 1/64 inch of thickness, and soles by the iron,
	// 1/48 (ASTM D1814). The trade rounds the ounce to 0.4 mm; here it is exact.
	thickUnits = append([]unit{{"ounces", 254, 640}, {"ounce", 254, 640}, {"oz", 254, 640}, {"irons", 254, 480}, {"iron", 254, 480}}, lengthUnits...)
	angleUnits = []unit{{"degrees", 1, 1}, {"deg", 1, 1}, {"°", 1, 1}}
	massUnits  = []unit{{"mg", 1, 1000}, {"kg", 1000, 1}, {"g", 1, 1}}
)

// read returns text in units of the sheet; bare is the unit of a number that
// has none.
func (i Info) read(text, bare string) (*big.Rat, error) {
	num, u := i.cutUnit(text, bare)
	v, fraction, ok := parseNumber(num)
	switch {
	case !ok:
		return nil, fmt.Errorf("%s %q is %w: write a number such as %s", i.name, text, ErrNoMeasure, i.example())
	case fraction && i.Kind == KindLength && u.name == "":
		return nil, fmt.Errorf("%s %q is %w without its unit: write %sin or %smm", i.name, text, ErrNoMeasure, num, num)
	case i.Kind == KindCount && !v.IsInt():
		return nil, fmt.Errorf("%s %q is %w: it must be a whole number", i.name, text, ErrNoMeasure)
	}
	return v.Mul(v, big.NewRat(u.num, u.den)), nil
}

func (i Info) example() string {
	switch i.Kind {
	case KindLength:
		return "0.25, .014in or 26thou"
	case KindAngle:
		return "95"
	case KindTurns:
		return "3.25"
	case KindMass:
		return "0.013"
	}
	return "19"
}

func (i Info) cutUnit(text, bare string) (string, unit) {
	var units []unit
	switch {
	case i.Field == Thick:
		units = thickUnits
	case i.Kind == KindLength:
		units = lengthUnits
	case i.Kind == KindAngle:
		units = angleUnits
	case i.Kind == KindMass:
		units = massUnits
	}
	low := strings.ToLower(text)
	for _, u := range units {
		if r, ok := strings.CutSuffix(low, u.name); ok {
			return strings.TrimSpace(r), u
		}
	}
	for _, u := range units {
		if bare != "" && u.name == bare {
			return low, u
		}
	}
	return low, unit{"", 1, 1}
}

// parseNumber reads 3, .25, 0,25, 1/4, 3 1/4, 3-1/4 and 1.4e-2, as sheets
// store small numbers. It reports whether the number was a fraction.
func parseNumber(s string) (v *big.Rat, fraction, ok bool) {
	s, minus := strings.CutPrefix(s, "-")
	switch {
	case s == "" || len(s) > 40:
		return nil, false, false
	case strings.Contains(s, "/"):
		v, ok = parseFraction(s)
		fraction = true
	default:
		v, ok = parseDecimal(s)
	}
	if ok && minus {
		v.Neg(v)
	}
	return v, fraction, ok
}

func parseFraction(s string) (*big.Rat, bool) {
	whole := "0"
	if i := strings.IndexAny(s, " -"); i > 0 {
		whole, s = s[:i], s[i+1:]
	}
	a, b, _ := strings.Cut(s, "/")
	if !allDigits(whole) || !allDigits(a) || !allDigits(b) || strings.Trim(b, "0") == "" {
		return nil, false
	}
	v, ok := new(big.Rat).SetString(strings.TrimLeft(a, "0") + "/" + strings.TrimLeft(b, "0"))
	if strings.Trim(a, "0") == "" {
		v, ok = new(big.Rat), true
	}
	if !ok {
		return nil, false
	}
	w, _ := parseDecimal(whole)
	return v.Add(v, w), true
}

func parseDecimal(s string) (*big.Rat, bool) {
	s, exp, hasExp := strings.Cut(s, "e")
	whole, frac, point := s, "", false
	if i := strings.IndexAny(s, ".,"); i >= 0 {
		whole, frac, point = s[:i], s[i+1:], true
	}
	if !allDigits(whole+frac) || point && frac == "" {
		return nil, false
	}
	n, ok := new(big.Int).SetString(whole+frac, 10)
	shift, ok2 := parseExponent(exp, hasExp)
	if !ok || !ok2 {
		return nil, false
	}
	return shiftTen(n, shift-len(frac)), true
}

// parseExponent reads an exponent of at most two digits.
func parseExponent(s string, has bool) (int, bool) {
	if !has {
		return 0, true
	}
	d := strings.TrimLeft(s, "+-")
	if len(s)-len(d) > 1 || !allDigits(d) || len(d) > 2 {
		return 0, false
	}
	n := int(d[0] - '0')
	if len(d) == 2 {
		n = n*10 + int(d[1]-'0')
	}
	if s[0] == '-' {
		n = -n
	}
	return n, true
}

// shiftTen returns n times ten to the power of e.
func shiftTen(n *big.Int, e int) *big.Rat {
	p := new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(max(e, -e))), nil)
	if e < 0 {
		return new(big.Rat).SetFrac(n, p)
	}
	return new(big.Rat).SetInt(n.Mul(n, p))
}

func allDigits(s string) bool {
	return s != "" && strings.Trim(s, "0123456789") == ""
}
