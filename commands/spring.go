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
	return c.over(nil, func(l *lookup) {
		s := springTyped(l)
		tellSpring(l, postBeside(l, store.Part{}, s.Class), s)
	})
}

// postBeside is a part with the post that a flag gives in place of its own.
func postBeside(l *lookup, p store.Part, class string) store.Part {
	n := int64(0)
	if measureOf(l, dim.Of(dim.Post).Flag, dim.Post, class, &n); n == 0 {
		return p
	}
	p.Dims = maps.Clone(p.Dims)
	if p.Dims == nil {
		p.Dims = map[dim.Field]int64{}
	}
	p.Dims[dim.Post] = n
	return p
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
func springTyped(l *lookup) spring.Spring {
	class := l.String("class")
	if class == "" {
		l.Keep(line.Usagef("name a part, or say --class compression, extension, torsion, flat, spiral or hairspring, and the measures; see tinful help spring"))
	}
	s := spring.Spring{Class: got(l, springClass, class)}
	if !l.IsSet("material") && l.Err == nil {
		s.Material = spring.UsualMaterial(s.Class)
		l.Notef("no --material: reckoned as %s %s", s.Material.Name, s.Material.Key)
	}
	springFlags(l, &s)
	return s
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
		springsCompared(l, two)
		return
	}
	p := l.part(l.Args()...)
	s := springOf(l, p)
	tellSpring(l, postBeside(l, p, s.Class), s)
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
func springOf(l *lookup, p store.Part) spring.Spring {
	s, _, err := ask.SpringOf(p)
	l.Keep(err)
	springFlags(l, &s)
	return s
}

// reckoned works out a spring, and says of what is refused which part or flag it
// is about.
func reckoned(l *lookup, p store.Part, s spring.Spring) (f spring.Figures) {
	load := springLoad(l)
	if l.Err != nil {
		return f
	}
	f, err := spring.Reckon(s, load)
	missing, lacks := errors.AsType[*spring.MissingError](err)
	switch {
	case err == nil:
	case lacks && p.Code != "":
		l.Err = refusef("of %s %s the rate needs %s: give it here, or tinful edit %s records it", p.Code, p.Name, strings.Join(missing.Measures, " and "), p.Code)
	case lacks:
		l.Err = line.Usagef("%s", missing.Error())
	case errors.Is(err, spring.ErrLoad):
		l.Err = line.AsUsage(err)
	case p.Code != "":
		l.Err = refusef("%s: %v", p.Code, err)
	default:
		l.Err = refusef("%v", err)
	}
	return f
}

// springAnswer is the answer about a spring of a part, or of measures that were typed.
func springAnswer(l *lookup, p store.Part, s spring.Spring) (a tell.SpringAnswer) {
	f := reckoned(l, p, s)
	if l.Err != nil {
		return a
	}
	if grip := ask.GripsPost(p, f.Inside); grip != "" {
		f.Remarks = append(f.Remarks, grip)
	}
	return tell.SpringAnswer{Part: p.Code, Name: p.Name, Figures: f, Notes: ask.SpringNotes(p, s), Cautions: ask.SpringCautions(p, s, false), Measures: s}
}

func tellSpring(l *lookup, p store.Part, s spring.Spring) {
	if a := springAnswer(l, p, s); l.Err == nil {
		l.Err = l.Answer(a, func() { tell.Spring(l.Screen, a) })
	}
}

// springsCompared tells how the second of two parts differs from the first.
func springsCompared(l *lookup, p []store.Part) {
	var a tell.SpringsAnswer
	for _, part := range p {
		a.Springs = append(a.Springs, springAnswer(l, part, springOf(l, part)))
	}
	if l.Err != nil {
		return
	}
	var err error
	if a.Difference, err = spring.Compare(a.Springs[0].Measures, a.Springs[1].Measures); err != nil {
		l.Err = refusef("%v", err)
		return
	}
	a.Traps = ask.SpringTraps(p[0], p[1], a.Springs[1].Measures)
	a.TrapsKind = store.ReasonKinds(a.Traps)
	l.Err = l.Answer(a, func() { tell.Springs(l.Screen, a) })
}
