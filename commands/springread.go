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

// onlyOf says which flags are for springs of some classes alone.
func onlyOf(flag string) []string {
	switch flag {
	case "ends":
		return []string{spring.Compression}
	case "start-force", "inside-hooks", "hook-coils", "hook-radius", "hook-bend":
		return []string{spring.Extension}
	case "leg-a", "leg-b", "post":
		return []string{spring.Torsion}
	case "free-length", "to-length":
		return []string{spring.Compression, spring.Extension}
	case "plan":
		return []string{spring.Flat}
	case "thick", "width", "length":
		return []string{spring.Flat, spring.Spiral, spring.Hair}
	case "od", "id", "coils":
		return []string{spring.Compression, spring.Extension, spring.Torsion, spring.Spiral, spring.Hair}
	case "wire", "mean", "active", "rate", "family":
		return []string{spring.Compression, spring.Extension, spring.Torsion}
	}
	return nil
}

// springFlags reads the flags into a spring. A value that is odd for its class is
// remarked on and taken all the same.
func springFlags(c *call, s *spring.Spring) error {
	for _, f := range c.Flags {
		flag := f.Name
		if of := onlyOf(flag); c.IsSet(flag) && of != nil && !slices.Contains(of, s.Class) {
			return line.Usagef("--%s says nothing of a %s", flag, words.ClassName(s.Class))
		}
	}
	if n := len(slices.DeleteFunc([]string{"od", "mean", "id"}, func(f string) bool { return !c.IsSet(f) })); n > 1 && spring.Wound(s.Class) {
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
		n, set, err := measureOf(c, m.flag, m.f, s.Class, true)
		if err != nil {
			return err
		}
		if set {
			*m.at = n
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
		n, set, err := measureOf(c, flag, leg.f, s.Class, true)
		if err != nil {
			return err
		}
		if set {
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
	for _, n := range []struct {
		flag string
		at   *float64
	}{{"modulus", &s.Modulus}, {"start-force", &s.Start}} {
		if v, err := figure(c, n.flag); err != nil {
			return err
		} else if v != nil {
			*n.at = *v
		}
	}
	hooks, err := figure(c, "hook-coils")
	if err != nil {
		return err
	}
	if hooks != nil {
		s.Hooks = hooks
	}
	return springCoils(c, s)
}

// springCoils works out the coils that --rate takes.
func springCoils(c *call, s *spring.Spring) error {
	rate, err := figure(c, "rate")
	if err != nil || rate == nil {
		return err
	}
	for _, other := range []string{"coils", "active"} {
		if c.IsSet(other) {
			return line.Usagef("--rate says how many coils there are to be: leave --%s out", other)
		}
	}
	wound, err := s.WithRate(*rate)
	if errors.Is(err, spring.ErrMissing) {
		return line.UsageError{Err: err}
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

// measureOf reads a flag as a measure of field f. One outside what its class can be
// is taken; with odd set it is remarked on, and refused where it is not above 0.
func measureOf(c *call, flag string, f dim.Field, class string, odd bool) (n int64, set bool, err error) {
	text := c.String(flag)
	if text == "" {
		return 0, false, nil
	}
	n, remark, err := readOdd(f, class, text)
	if err != nil {
		return 0, false, line.Usagef("--%s: %w", flag, err)
	}
	switch {
	case odd && n <= 0:
		return 0, false, line.Usagef("--%s %q is nothing: give a measure above 0", flag, text)
	case odd && remark != "":
		c.Notef("%s", remark)
	}
	return n, true, nil
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

// figureUnits are the units of a flag that is no measure, and what one of each is
// in the unit of the flag.
func figureUnits(flag string) map[string]float64 {
	switch flag {
	case "modulus":
		return map[string]float64{"gpa": 1, "mpa": 0.001, "n/mm2": 0.001, "mpsi": 6.8947573}
	case "hook-coils":
		return nil
	case "rate":
		return map[string]float64{"n/mm": 1, "nmm/rad": 1, "n mm/rad": 1}
	case "torque":
		return map[string]float64{"nmm": 1, "n mm": 1, "mnm": 1, "nm": 1000}
	}
	return map[string]float64{"n": 1, "mn": 0.001}
}

// figure reads a flag that holds a number, with or without its unit; nil where it
// is not given.
func figure(c *call, flag string) (*float64, error) {
	text := strings.ToLower(c.String(flag))
	if text == "" {
		return nil, nil
	}
	number, factor := text, 1.0
	longest := 0
	for unit, f := range figureUnits(flag) {
		if rest, ok := strings.CutSuffix(text, unit); ok && len(unit) > longest {
			number, factor, longest = strings.TrimSpace(rest), f, len(unit)
		}
	}
	v, err := strconv.ParseFloat(strings.Replace(number, ",", ".", 1), 64)
	if err != nil || !line.IsNumber(number) || strings.ContainsAny(number, "+-") || v == 0 && (flag == "modulus" || flag == "rate") {
		return nil, line.Usagef("--%s %q is no number: write it like 2.5", flag, c.String(flag))
	}
	v *= factor
	return &v, nil
}

// springLoad reads the load; one flag of it may be given.
func springLoad(c *call) (spring.Load, error) {
	var l spring.Load
	given := slices.DeleteFunc([]string{"force", "deflection", "to-length", "torque", "angle"}, func(f string) bool { return !c.IsSet(f) })
	if len(given) > 1 {
		return l, line.Usagef("--%s and --%s are two loads: give one", given[0], given[1])
	}
	for _, x := range []struct {
		flag string
		f    dim.Field
		at   **float64
	}{{"deflection", dim.Length, &l.Deflection}, {"to-length", dim.FreeLength, &l.To}, {"angle", dim.Angle, &l.Angle}} {
		n, set, err := measureOf(c, x.flag, x.f, "", false)
		if err != nil {
			return l, err
		}
		if set {
			v := dim.Number(x.f, n)
			*x.at = &v
		}
	}
	var err error
	if l.Force, err = figure(c, "force"); err != nil {
		return l, err
	}
	l.Torque, err = figure(c, "torque")
	return l, err
}
