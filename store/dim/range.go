package dim

import (
	"fmt"
	"math/big"
	"strings"
)

// check refuses a value outside what class can be. v is the value in units of
// the sheet, n the same rounded, text what was written, bare the unit of a
// number without one.
func (i Info) check(class, text, bare string, v *big.Rat, n int64) error {
	b := i.boundFor(strings.ToUpper(class))
	if b.has(n) {
		return nil
	}
	how := i.more
	if n < b.from {
		how = i.less
	}
	msg := fmt.Sprintf("%s %s is %s than %s here (%s to %s)", i.name, i.withUnit(shown(v, n, i)), how,
		i.whose(strings.ToUpper(class)), b.lo, b.hi)
	return &RangeError{i.Field, n, msg + i.guess(b, text, bare, v)}
}

func (i Info) withUnit(s string) string {
	if i.Unit == "" {
		return s
	}
	return s + " " + i.Unit
}

// shown prints a value that may be too small for the unit of its kind.
func shown(v *big.Rat, n int64, i Info) string {
	if n == 0 && v.Sign() != 0 {
		return strings.TrimRight(v.FloatString(9), "0")
	}
	return Format(i.Field, n)
}

// limit reads a bound of the table.
func (i Info) limit(s string) int64 {
	if n, ok := plain(s, i.scale()); ok {
		return n
	}
	v, _, _ := parseNumber(s)
	n, _ := round(v, i.scale())
	return n
}

func (b bound) has(n int64) bool { return b.from <= n && n <= b.to }

// guess returns what was likely meant, as the end of a sentence: inches or
// thousandths where the number has no unit, else a lost decimal point.
func (i Info) guess(b bound, text, bare string, v *big.Rat) string {
	if i.Kind != KindLength || v.Sign() <= 0 {
		return ": look at the number again"
	}
	num, u := i.cutUnit(text, bare)
	_, written := i.cutUnit(text, "")
	var meant []string
	for _, as := range i.meanings(num, u.name) {
		if n, ok := round(as.v, i.scale()); ok && b.has(n) {
			meant = append(meant, fmt.Sprintf(as.text, Format(i.Field, n)))
		}
	}
	if len(meant) == 0 {
		return ": look at the number again"
	}
	end := ""
	if written.name == "" {
		end = " write the unit"
	}
	return ": did you mean " + strings.Join(meant[:min(2, len(meant))], " or ") + "?" + end
}

// A meaning is another reading of a number; text has a verb for millimetres.
type meaning struct {
	v    *big.Rat
	text string
}

// meanings lists other readings of the number num written with a unit, the
// likelier first.
func (i Info) meanings(num, unit string) []meaning {
	v, _, ok := parseNumber(num)
	if !ok {
		return nil
	}
	times := func(a, b int64) *big.Rat { return new(big.Rat).Mul(v, big.NewRat(a, b)) }
	if unit != "" && unit != "mm" {
		return []meaning{{v, "%smm"}}
	}
	if strings.HasPrefix(num, "0.") {
		num = num[1:] // as inches are written: .014in
	}
	return []meaning{
		{times(254, 10), num + "in (%s mm)"}, {times(254, 10000), num + "thou (%s mm)"},
		{times(1, 100), "%smm"}, {times(1, 10), "%smm"}, {times(1, 1000), "%smm"},
	}
}
