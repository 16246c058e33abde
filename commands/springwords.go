package commands

import (
	"fmt"
	"math"
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

// shortly prints a number with four digits, without an exponent.
func shortly(f float64) string {
	r, _ := strconv.ParseFloat(strconv.FormatFloat(f, 'g', 4, 64), 64)
	return strconv.FormatFloat(r, 'f', -1, 64)
}

// known prints a text with a number in it, nothing for a number that is not known.
func known(format string, f *float64) string {
	if f == nil {
		return ""
	}
	return fmt.Sprintf(format, shortly(*f))
}

// springFacts are the figures of a spring, a line each.
func springFacts(c *call, f spring.Figures, s spring.Spring) tell.Page {
	p := c.Page()
	p.Fact("rate", fmt.Sprintf("%s %s, between %s and %s", shortly(f.Rate), f.RateUnit, shortly(f.RateLow), shortly(f.RateHigh)))
	p.Fact("", known("%s N mm a turn as spring makers reckon, with the friction of coils (10.8)", f.PerTurn))
	p.Fact("measured", spreadWords(s))
	p.Fact("coil", strings.Join(tell.Filled(known("mean %s", f.Mean), known("index %s", f.Index), known("%s active", f.Active)), ", "))
	modulus := map[bool]string{true: "G", false: "E"}[s.Class == spring.Compression || s.Class == spring.Extension]
	name := strings.TrimSpace(s.Material.Name + " " + s.Material.Key)
	p.Fact("material", strings.Join(tell.Filled(name, fmt.Sprintf("%s %s GPa", modulus, shortly(f.Modulus))), ", "))
	if f.Strength != nil {
		p.Fact("strength", fmt.Sprintf("%s MPa (%s)", shortly(*f.Strength), f.Family))
	}
	p.Fact("takes a set", strings.Join(tell.Filled(known("at %s MPa", f.Set), known("that is %s N", f.SetForce), known("that is %s N mm", f.SetTorque)), ", "))
	p.Fact("solid", strings.Join(tell.Filled(known("%s long", f.Solid), known("by %s N", f.SolidAt), known("without a set from a free length of %s at most", f.Safe)), ", "))
	p.Fact("bows out", known("from a free length of %s between two plates", f.Buckling))
	p.Fact(loadWords(f))
	return p
}

// loadWords says what the spring does under its load.
func loadWords(f spring.Figures) (name, text string) {
	bits := tell.Filled(known("%s N", f.Force), known("by %s mm", f.Deflection), known("at a length of %s", f.Length),
		known("%s N mm", f.Torque), known("by %s degrees", f.Angle), known("inside %s", f.Inside))
	if f.Stress == nil {
		return "free", strings.Join(bits, ", ")
	}
	stress := fmt.Sprintf("stressed %s MPa", shortly(*f.Stress))
	if f.Set != nil {
		stress += fmt.Sprintf(", %.0f %% of what makes it take a set", *f.Stress / *f.Set * 100)
	}
	name = "load"
	if f.AtSolid {
		name = "pressed solid"
	}
	return name, strings.Join(append(bits, stress), ", ")
}

// spreadWords says what the tools may be off by, and what that does.
func spreadWords(s spring.Spring) string {
	w := s.Spread
	if s.Class == spring.Flat {
		share := (math.Pow(float64(s.Thick+w.Thick)/float64(s.Thick), 3) - 1) * 100
		return fmt.Sprintf("thickness ±%s enters with its third power, that alone is %.0f %%; width ±%s, length ±%s",
			dim.Format(dim.Thick, w.Thick), share, dim.Format(dim.Width, w.Width), dim.Format(dim.Length, w.Length))
	}
	share := (math.Pow(float64(s.Wire+w.Wire)/float64(s.Wire), 4) - 1) * 100
	return fmt.Sprintf("wire ±%s enters with its fourth power, that alone is %.0f %%; diameter ±%s", dim.Format(dim.Wire, w.Wire), share, dim.Format(dim.OD, w.Across))
}

// A comparedAnswer is two springs in JSON.
type comparedAnswer struct {
	Springs []springAnswer `json:"springs"`
	spring.Difference
	Traps []string `json:"traps,omitempty"`
}

// springsCompared tells how the second of two parts differs from the first.
func springsCompared(c *call, p []store.Part) error {
	var a comparedAnswer
	var s []spring.Spring
	for _, part := range p {
		one, err := springOf(c, part)
		if err != nil {
			return err
		}
		told, err := answerSpring(c, part, one)
		if err != nil {
			return err
		}
		s, a.Springs = append(s, one), append(a.Springs, told)
	}
	var err error
	if a.Difference, err = spring.Compare(s[0], s[1]); err != nil {
		return refusef("%v", err)
	}
	a.Traps = ask.SpringTraps(p[0], p[1], s[1])
	if c.JSON() {
		return c.PrintJSON(a)
	}
	return toldCompared(c, p, a)
}

func toldCompared(c *call, p []store.Part, a comparedAnswer) error {
	c.Println(c.Wrapped(comparedWords(p[0].Code, p[1].Code, a.Difference)))
	t := c.WideTable()
	for i, one := range a.Springs {
		text := fmt.Sprintf("%s %s, between %s and %s", shortly(one.Rate), one.RateUnit, shortly(one.RateLow), shortly(one.RateHigh))
		if _, load := loadWords(one.Figures); one.Stress != nil && !one.AtSolid {
			text += "; " + load
		}
		t.Row(string(p[i].Code), p[i].Name, text)
	}
	if err := t.Print(c.Out); err != nil {
		return err
	}
	if len(a.Shares) > 0 {
		var bits []string
		for _, share := range a.Shares {
			bits = append(bits, share.Measure+" "+percentWords(share.Percent))
		}
		c.Println(c.Wrapped("each alone: " + strings.Join(bits, ", ")))
	}
	c.Lines("traps", a.Traps, true)
	c.Lines("take care", uniqueOf(a.Springs[0].Cautions, a.Springs[1].Cautions), true)
	return nil
}

// uniqueOf is both lists, each text once.
func uniqueOf(lists ...[]string) []string {
	var out []string
	seen := map[string]bool{}
	for _, list := range lists {
		for _, text := range list {
			if !seen[text] {
				seen[text] = true
				out = append(out, text)
			}
		}
	}
	return out
}

// percentWords prints a signed number of per cent, whole from 10 on.
func percentWords(p float64) string {
	switch {
	case p == 0:
		return "0 %"
	case math.Abs(p) < 10:
		return fmt.Sprintf("%+.1f %%", p)
	}
	return fmt.Sprintf("%+.0f %%", p)
}

func comparedWords(a, b code.Code, d spring.Difference) string {
	text := fmt.Sprintf("%s and %s are equally stiff", b, a)
	if d.Percent != 0 {
		text = fmt.Sprintf("%s is %s than %s by %s", b, map[bool]string{true: "stiffer", false: "softer"}[d.Percent > 0], a, strings.TrimLeft(percentWords(d.Percent), "+-"))
	}
	if !d.Sure && d.Percent != 0 {
		text += "; the tool may be off by all the difference"
	}
	return text
}

// springsLike lists the parts that behave like one.
func springsLike(c *call, token string) error {
	within, err := within(c)
	if err != nil {
		return err
	}
	var p store.Part
	var found ask.Alikes
	err = c.view(func(v *store.View) error {
		if p, err = c.partOf(v, []string{token}); err != nil {
			return err
		}
		found, err = ask.LikeSpring(v, p, within)
		return err
	})
	if err != nil {
		return c.offer(err)
	}
	var answer []string
	for _, l := range found.Like {
		answer = append(answer, "part:"+string(l.Part))
	}
	c.keepAnswer(answer)
	if c.JSON() {
		err = c.PrintJSON(struct {
			Part code.Code `json:"part"`
			Name string    `json:"name"`
			ask.Alikes
		}{p.Code, p.Name, found})
	} else {
		toldAlike(c, p, found)
	}
	if err == nil && len(found.Like) == 0 {
		return silentError(exitNotFound)
	}
	return err
}

// within reads --within, 10 per cent unless said.
func within(c *call) (float64, error) {
	if !c.IsSet("within") {
		return 10, nil
	}
	text := strings.TrimSpace(strings.TrimSuffix(c.String("within"), "%"))
	v, err := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
	if err != nil || !line.IsNumber(text) || strings.ContainsAny(text, "+-") {
		return 0, line.Usagef("--within %q is no number of per cent: write 10%%", c.String("within"))
	}
	return v, nil
}

func toldAlike(c *call, p store.Part, found ask.Alikes) {
	head := fmt.Sprintf("like %s %s, rate within %s %%", p.Code, p.Name, shortly(found.Within))
	if found.Post != nil {
		head += fmt.Sprintf(", over a post of %s", shortly(*found.Post))
	} else if p.Class == spring.Torsion {
		head += ", its post is not recorded"
	}
	c.Println(c.Wrapped(head))
	for i, l := range found.Like {
		text := fmt.Sprintf(":%d %s %s  %s, %d free", i+1, l.Part, strings.Join(tell.Filled(l.Name, words.ClassName(l.Class), l.Hand), ", "), percentWords(l.Percent), l.Free)
		c.Println(tell.Hang(text, c.Columns(), 6))
		if len(l.Difference) > 0 {
			c.Println("     " + strings.Join(tell.Wrap(strings.Join(l.Difference, ", "), c.Columns()-5), "\n     "))
		}
	}
	if len(found.Like) == 0 {
		c.Println("no other part behaves alike")
	}
	c.Lines("traps", found.Traps, true)
	if len(found.Lacking) > 0 {
		c.Lines("not reckoned, a measure is missing", found.Lacking, false)
	}
}

// springMade tells of which wire a part can be made.
func springMade(c *call, token string) error {
	var p store.Part
	var m ask.Makes
	err := c.view(func(v *store.View) error {
		var err error
		if p, err = c.partOf(v, []string{token}); err != nil {
			return err
		}
		m, err = ask.Make(v, p)
		return err
	})
	switch {
	case err != nil:
		return c.offer(err)
	case len(m.Missing) > 0:
		return refusef("of %s %s the rate needs %s: tinful edit %s records it", p.Code, p.Name, strings.Join(m.Missing, " and "), p.Code)
	case c.JSON():
		return c.PrintJSON(struct {
			Part code.Code `json:"part"`
			Name string    `json:"name"`
			ask.Makes
		}{p.Code, p.Name, m})
	}
	c.Println(c.Wrapped(fmt.Sprintf("%s %s, of wire %s and %s coils, can be made of", p.Code, p.Name, dim.Format(dim.Wire, p.Dims[dim.Wire]), dim.Format(dim.Coils, p.Dims[dim.Coils]))))
	for _, l := range m.Lines {
		c.Println("  " + tell.Hang(l.Text, c.Columns()-2, 4))
		if len(l.Why) > 0 {
			c.Println("     " + strings.Join(tell.Wrap(strings.Join(l.Why, "; "), c.Columns()-5), "\n     "))
		}
	}
	if len(m.Lines) == 0 {
		c.Println("  no wire here comes near")
	}
	c.Lines("note", m.Notes, false)
	c.Lines("take care", m.Cautions, true)
	return nil
}
