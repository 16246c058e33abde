package commands

import (
	"cmp"
	"errors"
	"slices"
	"strconv"
	"strings"

	"tinful/commands/line"
	"tinful/commands/tell"
	"tinful/store/ask"
	"tinful/store/dim"
	"tinful/store/spring"
	"tinful/store/words"
)

// onlyOf are flags that say something of some classes of springs alone.
var onlyOf = []struct{ flags, classes []string }{
	{[]string{"ends"}, []string{spring.Compression}},
	{[]string{"start-force", "inside-hooks", "hook-coils", "hook-radius", "hook-bend"}, []string{spring.Extension}},
	{[]string{"leg-a", "leg-b", "post"}, []string{spring.Torsion}},
	{[]string{"free-length", "to-length"}, []string{spring.Compression, spring.Extension}},
	{[]string{"plan"}, []string{spring.Flat}},
	{[]string{"thick", "width", "length"}, []string{spring.Flat, spring.Spiral, spring.Hair}},
	{[]string{"od", "id", "coils"}, []string{spring.Compression, spring.Extension, spring.Torsion, spring.Spiral, spring.Hair}},
	{[]string{"wire", "mean", "active", "rate", "family"}, []string{spring.Compression, spring.Extension, spring.Torsion}},
}

// springFlags reads the flags into a spring. A value that is odd for its class is
// remarked on and taken all the same.
func springFlags(c *call, s *spring.Spring) error {
	for _, f := range c.Flags {
		for _, of := range onlyOf {
			if c.IsSet(f.Name) && slices.Contains(of.flags, f.Name) && !slices.Contains(of.classes, s.Class) {
				return line.Usagef("--%s says nothing of a %s", f.Name, words.ClassName(s.Class))
			}
		}
	}
	if len(c.SetOf("od", "mean", "id")) > 1 && spring.Wound(s.Class) {
		return line.Usagef("--od, --mean and --id say one thing: give one of them")
	}
	if c.IsSet("free-length") && c.IsSet("inside-hooks") {
		return line.Usagef("--free-length and --inside-hooks say one thing: give one of them")
	}
	for _, m := range []struct {
		flag string
		f    dim.Field
		at   *int64
	}{{"wire", dim.Wire, &s.Wire}, {"od", dim.OD, &s.OD}, {"id", dim.ID, &s.ID}, {"mean", dim.OD, &s.Mean}, {"coils", dim.Coils, &s.Coils}, {"active", dim.Coils, &s.Active},
		{"free-length", dim.FreeLength, &s.FreeLength}, {"inside-hooks", dim.InsideHooks, &s.FreeLength}, {"thick", dim.Thick, &s.Thick}, {"width", dim.Width, &s.Width}, {"length", dim.Length, &s.Length},
		{"hook-radius", dim.Length, &s.HookRadius}, {"hook-bend", dim.Length, &s.HookBend}} {
		if err := measureOf(c, m.flag, m.f, s.Class, m.at); err != nil {
			return err
		}
	}
	if c.IsSet("od") || c.IsSet("id") {
		s.Mean = 0
	}
	if c.IsSet("id") && spring.Wound(s.Class) {
		s.OD = s.ID + 2*s.Wire
	}
	return springLegs(c, s)
}

// springLegs reads the legs; one of 0 is loaded where it leaves the coil.
func springLegs(c *call, s *spring.Spring) error {
	for _, leg := range []struct {
		f  dim.Field
		at **int64
	}{{dim.LegA, &s.LegA}, {dim.LegB, &s.LegB}} {
		flag := dim.Of(leg.f).Flag
		if c.String(flag) == "0" {
			*leg.at = new(int64)
			continue
		}
		n := int64(0)
		if err := measureOf(c, flag, leg.f, s.Class, &n); err != nil {
			return err
		}
		if n > 0 {
			*leg.at = &n
		}
	}
	return springWords(c, s)
}

// springWords reads the flags that are told in words, and the modulus.
func springWords(c *call, s *spring.Spring) error {
	var ok bool
	if text := c.String("ends"); text != "" {
		if s.Ends, ok = spring.EndsOf(text); !ok {
			return line.UsageError{Err: words.NotOneOf("ends", spring.Ends(), text)}
		}
	}
	if text := c.String("material"); text != "" {
		var loosely bool
		if s.Material, loosely, ok = spring.MaterialOf(text, s.Class); !ok {
			return line.Usagef("--material %q is not known: write one of %s, or give --modulus", text, materialNames())
		}
		if loosely {
			c.Notef("%s is reckoned as %s %s", text, s.Material.Name, s.Material.Key)
		}
	}
	for _, w := range []struct {
		flag string
		of   []string
		at   *string
	}{{"plan", spring.Plans(), &s.Plan}, {"family", spring.Families(), &s.Family}} {
		text, err := flagWord(c, w.flag, w.of)
		if err != nil {
			return err
		}
		*w.at = cmp.Or(text, *w.at)
	}
	return springNumbers(c, s)
}

// springNumbers reads the tool, the modulus, the force that opens a spring and what its
// hooks count as.
func springNumbers(c *call, s *spring.Spring) error {
	tool, err := flagWord(c, "tool", dim.Tools)
	if err != nil {
		return err
	}
	s.Spread = ask.SpreadOf(tool)
	modulus, start := &s.Modulus, &s.Start
	for _, n := range []struct {
		flag string
		at   **float64
	}{{"modulus", &modulus}, {"start-force", &start}, {"hook-coils", &s.Hooks}} {
		if err := figure(c, n.flag, n.at); err != nil {
			return err
		}
	}
	s.Modulus, s.Start = *modulus, *start
	return springCoils(c, s)
}

// springCoils works out the coils that --rate takes.
func springCoils(c *call, s *spring.Spring) error {
	var rate *float64
	if err := figure(c, "rate", &rate); err != nil || rate == nil {
		return err
	}
	if others := c.SetOf("coils", "active"); len(others) > 0 {
		return line.Usagef("--rate says how many coils there are to be: leave --%s out", others[0])
	}
	wound, err := s.WithRate(*rate)
	if errors.Is(err, spring.ErrMissing) {
		return line.AsUsage(err)
	}
	if err != nil {
		return refusef("%v", err)
	}
	*s = wound
	return nil
}

func materialNames() string {
	out := tell.Each(spring.Materials(), func(m spring.Material) string { return m.Key + " " + m.Name })
	return strings.Join(out, ", ")
}

// measureOf puts a measure that a flag gives into at. One that is odd is remarked on and
// taken.
func measureOf(c *call, flag string, f dim.Field, class string, at *int64) error {
	text := c.String(flag)
	if text == "" {
		return nil
	}
	n, remark, err := readOdd(f, class, text)
	switch {
	case err != nil:
		return line.Usagef("--%s: %w", flag, err)
	case n <= 0:
		return line.Usagef("--%s %q is nothing: give a measure above 0", flag, text)
	case remark != "":
		c.Notef("%s", remark)
	}
	*at = n
	return nil
}

// readOdd reads a measure for the bench's arithmetic, which remarks on a value
// outside what its class can be and takes it all the same.
func readOdd(f dim.Field, class, text string) (n int64, remark string, err error) {
	n, _, err = dim.Parse(f, class, text)
	if r, ok := errors.AsType[*dim.RangeError](err); ok {
		return r.Value, r.Text, nil
	}
	return n, "", err
}

// figureUnits are the units of figures, by their flags; that of any other is a force.
var figureUnits = map[string]map[string]float64{
	"modulus":    {"gpa": 1, "mpa": 0.001, "n/mm2": 0.001, "mpsi": 6.8947573},
	"hook-coils": {},
	"rate":       {"n/mm": 1, "nmm/rad": 1, "n mm/rad": 1},
	"torque":     {"nmm": 1, "n mm": 1, "mnm": 1, "nm": 1000},
	"force":      {"n": 1, "mn": 0.001}, "start-force": {"n": 1, "mn": 0.001},
}

// figure puts a number with its unit that a flag gives into at.
func figure(c *call, flag string, at **float64) error {
	text := strings.ToLower(c.String(flag))
	if text == "" {
		return nil
	}
	number, factor := text, 1.0
	longest := 0
	for unit, f := range figureUnits[flag] {
		if rest, ok := strings.CutSuffix(text, unit); ok && len(unit) > longest {
			number, factor, longest = strings.TrimSpace(rest), f, len(unit)
		}
	}
	v, err := strconv.ParseFloat(strings.Replace(number, ",", ".", 1), 64)
	if err != nil || !line.IsNumber(number) || strings.ContainsAny(number, "+-") || v == 0 && (flag == "modulus" || flag == "rate") {
		return line.Usagef("--%s %q is no number: write it like 2.5", flag, c.String(flag))
	}
	v *= factor
	*at = &v
	return nil
}

// springLoad reads the load; one flag of it may be given.
func springLoad(c *call) (l spring.Load, err error) {
	if given := c.SetOf("force", "deflection", "to-length", "torque", "angle"); len(given) > 1 {
		return l, line.Usagef("--%s and --%s are two loads: give one", given[0], given[1])
	}
	for _, x := range []struct {
		flag string
		f    dim.Field
		at   **float64
	}{{"deflection", dim.Length, &l.Deflection}, {"to-length", dim.FreeLength, &l.To}, {"angle", dim.Angle, &l.Angle}} {
		text := c.String(x.flag)
		if text == "" {
			continue
		}
		n, _, err := readOdd(x.f, "", text)
		if err != nil {
			return l, line.Usagef("--%s: %w", x.flag, err)
		}
		v := dim.Number(x.f, n)
		*x.at = &v
	}
	err = cmp.Or(figure(c, "force", &l.Force), figure(c, "torque", &l.Torque))
	return l, err
}
