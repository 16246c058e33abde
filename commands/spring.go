package commands

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"tinful/commands/line"
	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
	"tinful/store/dim"
	"tinful/store/spring"
	"tinful/store/words"
)

// springCommand reckons springs.
func springCommand() *command {
	flags := []*line.Flag{
		line.ValueFlag("like", "parts that behave like `PART` and go over its post"), line.ValueFlag("within", "with --like: rates within `PER CENT`, 10% unless said"),
		line.ValueFlag("make", "stock wires that `PART` can be made of, with the coils that keep its rate"),
		line.ValueFlag("class", "compression, extension, torsion or flat spring: a `CLASS`"),
	}
	for _, f := range []dim.Field{dim.Wire, dim.OD, dim.ID, dim.Post, dim.Coils, dim.LegA, dim.LegB, dim.FreeLength, dim.InsideHooks, dim.Thick, dim.Width, dim.Length} {
		flags = append(flags, line.ValueFlag(dim.Of(f).Flag, fmt.Sprintf("%s in `%s`", dim.Of(f).Name(), map[bool]string{true: "TURNS", false: "MM"}[f == dim.Coils])))
	}
	return &command{
		Name: "spring", Usage: "rate, stress and solid length of a spring; parts that behave alike",
		ArgsUsage: "[PART [PART]] [MEASURES]",
		UsageText: "tinful spring P003 --angle 90\ntinful spring P001 P003\ntinful spring --like P003 --within 10%\ntinful spring --make P003\n" +
			"tinful spring --class compression --wire .3 --od 4.2 --coils 6 --ends closed\n" +
			"tinful spring --class torsion --wire .014in --od .1in --coils 4.5 --torque 2\n" +
			"tinful spring --class torsion --wire 0.2 --id 1.5 --rate 0.9\n" +
			"tinful spring --class flat --thick 0.3 --width 5 --length 20 --deflection 1",
		Description: "Each rate comes with the interval that the tool leaves; wire enters with its fourth\n" +
			"power. Measures given beside a part stand in place of its own. No store is needed\n" +
			"unless a part is named. --like without a hit exits 3, a part that lacks a measure\nthe rate needs exits 4 and names it.",
		Flags: append(flags,
			line.ValueFlag("mean", "mean coil diameter in `MM`, in place of --od"), line.ValueFlag("active", "coils that work, in `TURNS`, in place of --coils"),
			line.ValueFlag("rate", "that is wanted, `N/MM` or N mm/rad, in place of --coils: says the coils"),
			line.ValueFlag("ends", "of a compression spring: `ENDS` are "+strings.Join(spring.Ends(), ", ")),
			line.ValueFlag("plan", "of a flat spring: `PLAN` is "+strings.Join(spring.Plans(), ", ")),
			line.ValueFlag("material", "`MATERIAL` by standard, A228, or trade word, music wire"), line.ValueFlag("modulus", "in `GPA`: G of compression and extension springs, E of others"),
			line.ValueFlag("family", "strength tables: `FAMILY` is "+strings.Join(spring.Families(), ", ")),
			line.ValueFlag("start-force", "that opens a close-wound extension spring, in `N`"),
			line.ValueFlag("force", "load in `N`"), line.ValueFlag("deflection", "load by `MM`"), line.ValueFlag("to-length", "pressed or drawn to `MM`"),
			line.ValueFlag("torque", "load in `NMM`"), line.ValueFlag("angle", "load by `DEG`"),
			line.ValueFlag("tool", "that all was measured with: `TOOL` is "+strings.Join(dim.Tools, ", "))),
		Action: springs,
	}
}

func springs(c *call) error {
	like, make := c.String("like"), c.String("make")
	switch {
	case like != "" && make != "" || (like != "" || make != "") && len(c.Args()) > 0:
		return line.Usagef("--like, --make and a part ask three things: give one")
	case c.IsSet("within") && like == "":
		return line.Usagef("--within goes with --like")
	case (like != "" || make != "") && beside(c, "like", "make", "within") != "":
		return line.Usagef("--like and --make take the measures that are recorded: leave --%s out", beside(c, "like", "make", "within"))
	case like != "":
		return springsLike(c, like)
	case make != "":
		return springMade(c, make)
	case len(c.Args()) > 0:
		return c.offer(c.view(func(v *store.View) error { return springParts(c, v) }))
	}
	s, err := springTyped(c)
	if err != nil {
		return err
	}
	p, err := besideCoils(c, store.Part{}, s.Class)
	if err != nil {
		return err
	}
	return toldSpring(c, p, s)
}

// besideCoils is a part with the legs and the post that flags give in place of
// its own: they do not enter the rate of the coils, and it says what they do.
func besideCoils(c *call, p store.Part, class string) (store.Part, error) {
	p.Dims = maps.Clone(p.Dims)
	if p.Dims == nil {
		p.Dims = map[dim.Field]int64{}
	}
	for _, f := range []dim.Field{dim.LegA, dim.LegB, dim.Post} {
		n, set, err := measureOf(c, dim.Of(f).Flag, f, class, true)
		if err != nil {
			return p, err
		}
		if set {
			p.Dims[f] = n
		}
	}
	return p, nil
}

// beside is the first flag of the command that is given and is none of some.
func beside(c *call, some ...string) string {
	for _, f := range c.Flags {
		if name := f.Name; c.IsSet(name) && !slices.Contains(some, name) {
			return name
		}
	}
	return ""
}

// springTyped is the spring whose measures stand in flags.
func springTyped(c *call) (spring.Spring, error) {
	class := c.String("class")
	if class == "" {
		return spring.Spring{}, line.Usagef("name a part, or say --class compression, extension, torsion or flat, and the measures; see tinful help spring")
	}
	s := spring.Spring{}
	var err error
	if s.Class, err = springClass(class); err != nil {
		return s, err
	}
	if !c.IsSet("material") {
		s.Material = spring.UsualMaterial(s.Class)
		c.Notef("no --material: reckoned as %s %s", s.Material.Name, s.Material.Key)
	}
	err = springFlags(c, &s)
	return s, err
}

// springClass reads a class whose rate can be reckoned: compression stands for
// compression spring.
func springClass(text string) (string, error) {
	class, err := oneClass(text)
	if err != nil {
		if class, err = oneClass(text + " spring"); err != nil {
			return "", line.Usagef("--class %q is no spring: write compression, extension, torsion or flat", text)
		}
	}
	if _, _, err := ask.SpringOf(store.Part{Class: class}); err != nil {
		return "", refusef("rates are reckoned of compression, extension, torsion and flat springs, not of a %s", words.ClassName(class))
	}
	return class, nil
}

// springParts answers for one part, or compares two.
func springParts(c *call, v *store.View) error {
	if c.IsSet("class") {
		return line.Usagef("a part has its own class: leave --class out")
	}
	two, err := twoParts(c, v)
	if err != nil {
		return err
	}
	if two != nil {
		return springsCompared(c, two)
	}
	p, err := c.partOf(v, c.Args())
	if err != nil {
		return err
	}
	s, err := springOf(c, p)
	if err != nil {
		return err
	}
	if p, err = besideCoils(c, p, s.Class); err != nil {
		return err
	}
	return toldSpring(c, p, s)
}

// twoParts are the parts of two arguments that are both codes or lines of the
// last answer, nil otherwise: two words may be the name of one.
func twoParts(c *call, v *store.View) ([]store.Part, error) {
	args := c.Args()
	if len(args) != 2 {
		return nil, nil
	}
	var out []store.Part
	for _, arg := range args {
		token, err := c.answerLine(arg)
		if err != nil {
			return nil, err
		}
		if len(v.Resolve(token, "part", "bag")) == 0 && !line.IsCode(token) {
			return nil, nil
		}
		ref, err := c.thing(v, token, "part", "bag")
		if err != nil {
			return nil, err
		}
		p, err := partAt(v, ref)
		if err != nil {
			return nil, err
		}
		out = append(out, p)
	}
	return out, nil
}

// springOf is the spring of a part, with the measures that flags give in place of
// its own.
func springOf(c *call, p store.Part) (spring.Spring, error) {
	s, _, err := ask.SpringOf(p)
	if err == nil {
		err = springFlags(c, &s)
	}
	return s, err
}

// onlyOf says which flags are for springs of some classes alone.
func onlyOf(flag string) []string {
	switch flag {
	case "ends":
		return []string{spring.Compression}
	case "start-force", "inside-hooks":
		return []string{spring.Extension}
	case "leg-a", "leg-b", "post":
		return []string{spring.Torsion}
	case "free-length", "to-length":
		return []string{spring.Compression, spring.Extension}
	case "thick", "width", "length", "plan":
		return []string{spring.Flat}
	case "wire", "od", "id", "mean", "coils", "active", "rate", "family":
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
	if n := len(slices.DeleteFunc([]string{"od", "mean", "id"}, func(f string) bool { return !c.IsSet(f) })); n > 1 {
		return line.Usagef("--od, --mean and --id say one thing: give one of them")
	}
	if c.IsSet("free-length") && c.IsSet("inside-hooks") {
		return line.Usagef("--free-length and --inside-hooks say one thing: give one of them")
	}
	for _, m := range []struct {
		flag string
		f    dim.Field
		at   *int64
	}{{"wire", dim.Wire, &s.Wire}, {"od", dim.OD, &s.OD}, {"id", dim.ID, &s.OD}, {"mean", dim.OD, &s.Mean}, {"coils", dim.Coils, &s.Coils}, {"active", dim.Coils, &s.Active},
		{"free-length", dim.FreeLength, &s.FreeLength}, {"inside-hooks", dim.InsideHooks, &s.FreeLength}, {"thick", dim.Thick, &s.Thick}, {"width", dim.Width, &s.Width}, {"length", dim.Length, &s.Length}} {
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
	if c.IsSet("id") {
		s.OD += 2 * s.Wire
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

// springNumbers reads the tool, the modulus and the force that opens a spring.
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
	var out []string
	for _, m := range spring.Materials() {
		out = append(out, m.Key+" "+m.Name)
	}
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

// reckoned works out a spring, and says of what is refused which part or flag it
// is about.
func reckoned(c *call, p store.Part, s spring.Spring) (spring.Figures, error) {
	l, err := springLoad(c)
	if err != nil {
		return spring.Figures{}, err
	}
	f, err := spring.Reckon(s, l)
	missing, lacks := errors.AsType[*spring.MissingError](err)
	switch {
	case err == nil:
		return f, nil
	case lacks && p.Code != "":
		return f, refusef("of %s %s the rate needs %s: give it here, or tinful edit %s records it", p.Code, p.Name, strings.Join(missing.Measures, " and "), p.Code)
	case lacks:
		return f, line.Usagef("%s", missing.Error())
	case errors.Is(err, spring.ErrLoad):
		return f, line.UsageError{Err: err}
	case p.Code != "":
		return f, refusef("%s: %v", p.Code, err)
	}
	return f, refusef("%v", err)
}

// A springAnswer is one spring in JSON.
type springAnswer struct {
	Part code.Code `json:"part,omitempty"`
	Name string    `json:"name,omitempty"`
	spring.Figures
	Notes    []string `json:"notes,omitempty"`
	Cautions []string `json:"cautions,omitempty"`
}

func answerSpring(c *call, p store.Part, s spring.Spring) (springAnswer, error) {
	f, err := reckoned(c, p, s)
	if err != nil {
		return springAnswer{}, err
	}
	a := springAnswer{Part: p.Code, Name: p.Name, Figures: f, Cautions: ask.SpringCautions(p, s, false)}
	a.Notes = ask.SpringNotes(p, s)
	if grip := ask.GripsPost(p, f.Inside); grip != "" {
		a.Remarks = append(a.Remarks, grip)
	}
	return a, nil
}

func toldSpring(c *call, p store.Part, s spring.Spring) error {
	a, err := answerSpring(c, p, s)
	if err != nil {
		return err
	}
	if c.JSON() {
		return c.PrintJSON(a)
	}
	c.Println(strings.Join(tell.Filled(strings.Join(tell.Filled(string(p.Code), p.Name), " "), words.ClassName(s.Class)), ", "))
	if err := springFacts(c, a.Figures, s).Print(c.Out); err != nil {
		return err
	}
	c.Lines("note", append(a.Remarks, a.Notes...), false)
	c.Lines("take care", a.Cautions, true)
	return nil
}
