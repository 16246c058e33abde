package commands

import (
	"maps"
	"slices"
	"strconv"
	"strings"

	"tinful/commands/line"
	"tinful/commands/tell"
	"tinful/store/ask"
	"tinful/store/dim"
	"tinful/store/words"
)

func gear(c *call) error {
	tool, spread, err := tool(c, dim.OD)
	if err != nil {
		return err
	}
	q, err := gearMeasures(c, spread)
	if err != nil {
		return err
	}
	var g ask.Gear
	err = c.looksIfThere(func(l *lookup) {
		if q.Module == 0 {
			q = gearPart(l, c.Args(), spread)
		}
		gearMate(l, &q, spread)
		if l.Err == nil {
			g, l.Err = ask.FindGear(l.View, q, spread)
		}
		if q.Part != "" {
			g.Name = got(l, l.Part, q.Part).Name
		}
	})
	if err != nil {
		return err
	}
	return toldGear(c, g, tool)
}

// gearMeasures reads arguments and flags. A query without a module is about a
// part.
func gearMeasures(c *call, spread int64) (q ask.GearQuery, err error) {
	text := map[dim.Field]string{dim.Teeth: c.String("teeth"), dim.OD: c.String("od"), dim.Module: c.String("module")}
	args := c.Args()
	if len(args) == 2 && isMeasure(args[0]) && isMeasure(args[1]) {
		for i, f := range []dim.Field{dim.Teeth, dim.OD} {
			if text[f] != "" {
				return q, line.Usagef("--%s and %s say it twice: write one", dim.Of(f).Flag, args[i])
			}
			text[f] = args[i]
		}
		args = nil
	}
	measured := text[dim.Teeth]+text[dim.OD]+text[dim.Module]+c.String("over") != ""
	switch {
	case len(args) > 0 && measured:
		return q, line.Usagef("%q and measures: write a part, or teeth and outside diameter", strings.Join(args, " "))
	case len(args) == 1 && isMeasure(args[0]):
		return q, line.Usagef("teeth and outside diameter stand together: tinful gear 19 4.5; a part that is called %s is part:%s", args[0], args[0])
	case len(args) > 0:
		return q, nil
	case c.IsSet("over"):
		return rackMeasures(c, text, spread)
	}
	for _, m := range []struct {
		f  dim.Field
		at *int64
	}{{dim.Teeth, &q.Teeth}, {dim.OD, &q.OD}, {dim.Module, &q.Module}} {
		if text[m.f] == "" {
			continue
		}
		if *m.at, _, err = dim.Parse(m.f, "GER", text[m.f]); err != nil {
			return q, line.AsUsage(err)
		}
	}
	switch {
	case q.OD > 0 && q.Module > 0:
		return q, line.Usagef("outside diameter and module say the same of a gear: write one, and its teeth")
	case q.Teeth > 0 && q.OD > 0:
		return q.Measured(spread), nil
	case q.Teeth > 0 && q.Module > 0:
		q.OD, q.Low, q.High = dim.GearOutside(q.Module, q.Teeth), q.Module, q.Module
		return q, nil
	}
	return q, line.Usagef("a gear is told by its teeth and outside diameter: tinful gear 19 4.5")
}

// rackMeasures reads the pitch over several teeth of a rack.
func rackMeasures(c *call, text map[dim.Field]string, spread int64) (ask.GearQuery, error) {
	for _, f := range slices.Sorted(maps.Keys(text)) {
		if text[f] != "" {
			return ask.GearQuery{}, line.Usagef("--over is the pitch of a rack, and --%s goes with a gear", dim.Of(f).Flag)
		}
	}
	n, total, err := over(c.String("over"))
	if err != nil {
		return ask.GearQuery{}, err
	}
	q := ask.GearQuery{Rack: true, Module: dim.RackModule(n, total), Low: dim.RackModule(n, max(0, total-2*spread)), High: dim.RackModule(n, total+2*spread)}
	if q.Module < 1 {
		return q, line.Usagef("--over %s makes no module", c.String("over"))
	}
	return q, nil
}

// gearPart reads a part as a gear.
func gearPart(l *lookup, args []string, spread int64) ask.GearQuery {
	if l.View == nil {
		l.Keep(needStore(l.call))
	}
	p := l.part(args...)
	q, ok := ask.GearOf(p, spread)
	if !ok {
		l.Keep(refusef("%s %s (%s) has no module recorded, nor what makes one: tinful edit %s --module 0.25", p.Code, p.Name, words.ClassName(p.Class), p.Code))
	}
	return q
}

// gearMate reads --mate: a number of teeth, or a part.
func gearMate(l *lookup, q *ask.GearQuery, spread int64) {
	text := l.String("mate")
	if text == "" {
		return
	}
	n, err := strconv.ParseInt(text, 10, 64)
	if err != nil {
		q.Mate = gearPart(l, []string{text}, spread).Part
		return
	}
	if q.MateTeeth, _, err = dim.Parse(dim.Teeth, "GER", text); err != nil || n < 1 {
		l.Keep(line.Usagef("--mate %s is no number of teeth", text))
	}
}

func toldGear(c *call, g ask.Gear, tool string) error {
	answer := tell.Each(g.Mates, func(m ask.GearMate) string { return "part:" + string(m.Part) })
	return c.told(answer, g, func() { tell.Gear(c.Screen, g, tool) })
}
