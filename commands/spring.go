package commands

import (
	"errors"
	"maps"
	"slices"
	"strings"

	"tinful/commands/line"
	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/dim"
	"tinful/store/spring"
	"tinful/store/words"
)

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
		return c.looks(springParts)
	}
	s, err := springTyped(c)
	if err != nil {
		return err
	}
	p, err := postBeside(c, store.Part{}, s.Class)
	if err != nil {
		return err
	}
	return tellSpring(c, p, s)
}

// postBeside is a part with the post that a flag gives in place of its own.
func postBeside(c *call, p store.Part, class string) (store.Part, error) {
	n := int64(0)
	if err := measureOf(c, dim.Of(dim.Post).Flag, dim.Post, class, &n); err != nil || n == 0 {
		return p, err
	}
	p.Dims = maps.Clone(p.Dims)
	if p.Dims == nil {
		p.Dims = map[dim.Field]int64{}
	}
	p.Dims[dim.Post] = n
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
		return spring.Spring{}, line.Usagef("name a part, or say --class compression, extension, torsion, flat, spiral or hairspring, and the measures; see tinful help spring")
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
			return "", line.Usagef("--class %q is no spring: write compression, extension, torsion, flat, spiral or hairspring", text)
		}
	}
	if _, _, err := ask.SpringOf(store.Part{Class: class}); err != nil {
		return "", refusef("rates are reckoned of %s, not of a %s", ask.SpringKinds(" and "), words.ClassName(class))
	}
	return class, nil
}

// springParts answers for one part, or compares two.
func springParts(l *lookup) {
	if l.IsSet("class") {
		l.Keep(line.Usagef("a part has its own class: leave --class out"))
	}
	if two := twoParts(l); two != nil {
		l.Keep(springsCompared(l.call, two))
		return
	}
	p := l.part(l.Args()...)
	if l.Err != nil {
		return
	}
	s, err := springOf(l.call, p)
	if err == nil {
		p, err = postBeside(l.call, p, s.Class)
	}
	if err == nil {
		err = tellSpring(l.call, p, s)
	}
	l.Err = err
}

// twoParts are the parts of two arguments that are both codes or lines of the
// last answer, nil otherwise: two words may be the name of one.
func twoParts(l *lookup) (out []store.Part) {
	if len(l.Args()) != 2 {
		return nil
	}
	for _, arg := range l.Args() {
		token := l.meant(arg)
		if l.Err != nil || len(l.Resolve(token, "part", "bag")) == 0 && !line.IsCode(token) {
			return nil
		}
		out = append(out, got(l, l.PartAt, l.thing(token, "part", "bag")))
	}
	if l.Err != nil {
		return nil
	}
	return out
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
		return f, line.AsUsage(err)
	case p.Code != "":
		return f, refusef("%s: %v", p.Code, err)
	}
	return f, refusef("%v", err)
}

// springAnswer is the answer about a spring of a part, or of measures that were typed.
func springAnswer(c *call, p store.Part, s spring.Spring) (tell.SpringAnswer, error) {
	f, err := reckoned(c, p, s)
	if err != nil {
		return tell.SpringAnswer{}, err
	}
	if grip := ask.GripsPost(p, f.Inside); grip != "" {
		f.Remarks = append(f.Remarks, grip)
	}
	return tell.SpringAnswer{Part: p.Code, Name: p.Name, Figures: f, Notes: ask.SpringNotes(p, s), Cautions: ask.SpringCautions(p, s, false), Measures: s}, nil
}

func tellSpring(c *call, p store.Part, s spring.Spring) error {
	a, err := springAnswer(c, p, s)
	if err != nil {
		return err
	}
	return c.Answer(a, func() { tell.Spring(c.Screen, a) })
}

// springsCompared tells how the second of two parts differs from the first.
func springsCompared(c *call, p []store.Part) error {
	var a tell.SpringsAnswer
	for _, part := range p {
		s, err := springOf(c, part)
		if err != nil {
			return err
		}
		one, err := springAnswer(c, part, s)
		if err != nil {
			return err
		}
		a.Springs = append(a.Springs, one)
	}
	var err error
	if a.Difference, err = spring.Compare(a.Springs[0].Measures, a.Springs[1].Measures); err != nil {
		return refusef("%v", err)
	}
	a.Traps = ask.SpringTraps(p[0], p[1], a.Springs[1].Measures)
	a.TrapsKind = store.ReasonKinds(a.Traps)
	return c.Answer(a, func() { tell.Springs(c.Screen, a) })
}
