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
func springFlags(l *lookup, s *spring.Spring) {
	for _, f := range l.Flags {
		for _, of := range onlyOf {
			if l.IsSet(f.Name) && slices.Contains(of.flags, f.Name) && !slices.Contains(of.classes, s.Class) {
				l.Keep(line.Usagef("--%s says nothing of a %s", f.Name, words.ClassName(s.Class)))
			}
		}
	}
	if len(l.SetOf("od", "mean", "id")) > 1 && spring.Wound(s.Class) {
		l.Keep(line.Usagef("--od, --mean and --id say one thing: give one of them"))
	}
	if l.IsSet("free-length") && l.IsSet("inside-hooks") {
		l.Keep(line.Usagef("--free-length and --inside-hooks say one thing: give one of them"))
	}
	for _, m := range []struct {
		flag string
		f    dim.Field
		at   *int64
	}{{"wire", dim.Wire, &s.Wire}, {"od", dim.OD, &s.OD}, {"id", dim.ID, &s.ID}, {"mean", dim.OD, &s.Mean}, {"coils", dim.Coils, &s.Coils}, {"active", dim.Coils, &s.Active},
		{"free-length", dim.FreeLength, &s.FreeLength}, {"inside-hooks", dim.InsideHooks, &s.FreeLength}, {"thick", dim.Thick, &s.Thick}, {"width", dim.Width, &s.Width}, {"length", dim.Length, &s.Length},
		{"hook-radius", dim.Length, &s.HookRadius}, {"hook-bend", dim.Length, &s.HookBend}} {
		measureOf(l, m.flag, m.f, s.Class, m.at)
	}
	if l.IsSet("od") || l.IsSet("id") {
		s.Mean = 0
	}
	if l.IsSet("id") && spring.Wound(s.Class) {
		s.OD = s.ID + 2*s.Wire
	}
	springLegs(l, s)
	springWords(l, s)
	springNumbers(l, s)
	springCoils(l, s)
}

// springLegs reads the legs; one of 0 is loaded where it leaves the coil.
func springLegs(l *lookup, s *spring.Spring) {
	for _, leg := range []struct {
		f  dim.Field
		at **int64
	}{{dim.LegA, &s.LegA}, {dim.LegB, &s.LegB}} {
		flag := dim.Of(leg.f).Flag
		if l.String(flag) == "0" {
			*leg.at = new(int64)
			continue
		}
		n := int64(0)
		if measureOf(l, flag, leg.f, s.Class, &n); n > 0 {
			*leg.at = &n
		}
	}
}

// springWords reads the flags that are told in words, and the modulus.
func springWords(l *lookup, s *spring.Spring) {
	var ok bool
	if text := l.String("ends"); text != "" {
		if s.Ends, ok = spring.EndsOf(text); !ok {
			l.Keep(line.UsageError{Err: words.NotOneOf("ends", spring.Ends(), text)})
		}
	}
	if text := l.String("material"); text != "" {
		var loosely bool
		if s.Material, loosely, ok = spring.MaterialOf(text, s.Class); !ok {
			l.Keep(line.Usagef("--material %q is not known: write one of %s, or give --modulus", text, materialNames()))
		}
		if loosely && l.Err == nil {
			l.Notef("%s is reckoned as %s %s", text, s.Material.Name, s.Material.Key)
		}
	}
	for _, w := range []struct {
		flag string
		of   []string
		at   *string
	}{{"plan", spring.Plans(), &s.Plan}, {"family", spring.Families(), &s.Family}} {
		*w.at = cmp.Or(l.word(w.flag, w.of), *w.at)
	}
}

// springNumbers reads the tool, the modulus, the force that opens a spring and what its
// hooks count as.
func springNumbers(l *lookup, s *spring.Spring) {
	s.Spread = ask.SpreadOf(l.word("tool", dim.Tools))
	modulus, start := &s.Modulus, &s.Start
	for _, n := range []struct {
		flag string
		at   **float64
	}{{"modulus", &modulus}, {"start-force", &start}, {"hook-coils", &s.Hooks}} {
		figure(l, n.flag, n.at)
	}
	s.Modulus, s.Start = *modulus, *start
}

// springCoils works out the coils that --rate takes.
func springCoils(l *lookup, s *spring.Spring) {
	var rate *float64
	if figure(l, "rate", &rate); rate == nil {
		return
	}
	if others := l.SetOf("coils", "active"); len(others) > 0 {
		l.Keep(line.Usagef("--rate says how many coils there are to be: leave --%s out", others[0]))
	}
	if l.Err != nil {
		return
	}
	switch wound, err := s.WithRate(*rate); {
	case errors.Is(err, spring.ErrMissing):
		l.Err = line.AsUsage(err)
	case err != nil:
		l.Err = refusef("%v", err)
	default:
		*s = wound
	}
}

func materialNames() string {
	out := tell.Each(spring.Materials(), func(m spring.Material) string { return m.Key + " " + m.Name })
	return strings.Join(out, ", ")
}

// measureOf puts a measure that a flag gives into at. One that is odd is remarked on and
// taken.
func measureOf(l *lookup, flag string, f dim.Field, class string, at *int64) {
	text := l.String(flag)
	if text == "" || l.Err != nil {
		return
	}
	n, remark, err := readOdd(f, class, text)
	switch {
	case err != nil:
		l.Err = line.Usagef("--%s: %w", flag, err)
	case n <= 0:
		l.Err = line.Usagef("--%s %q is nothing: give a measure above 0", flag, text)
	default:
		if *at = n; remark != "" {
			l.Notef("%s", remark)
		}
	}
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
func figure(l *lookup, flag string, at **float64) {
	text := strings.ToLower(l.String(flag))
	if text == "" {
		return
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
		l.Keep(line.Usagef("--%s %q is no number: write it like 2.5", flag, l.String(flag)))
		return
	}
	v *= factor
	*at = &v
}

// springLoad reads the load; one flag of it may be given.
func springLoad(l *lookup) (load spring.Load) {
	if given := l.SetOf("force", "deflection", "to-length", "torque", "angle"); len(given) > 1 {
		l.Keep(line.Usagef("--%s and --%s are two loads: give one", given[0], given[1]))
	}
	for _, x := range []struct {
		flag string
		f    dim.Field
		at   **float64
	}{{"deflection", dim.Length, &load.Deflection}, {"to-length", dim.FreeLength, &load.To}, {"angle", dim.Angle, &load.Angle}} {
		text := l.String(x.flag)
		if text == "" {
			continue
		}
		n, _, err := readOdd(x.f, "", text)
		if err != nil {
			l.Keep(line.Usagef("--%s: %w", x.flag, err))
		}
		v := dim.Number(x.f, n)
		*x.at = &v
	}
	figure(l, "force", &load.Force)
	figure(l, "torque", &load.Torque)
	return load
}
