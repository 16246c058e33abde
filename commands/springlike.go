package commands

import (
	"errors"
	"strconv"
	"strings"

	"tinful/commands/line"
	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/ask"
)

// springsLike lists the parts that behave like one.
func springsLike(c *call, token string) error {
	within, err := within(c)
	if err != nil {
		return err
	}
	var p store.Part
	var found ask.Alikes
	err = c.looks(func(l *lookup) {
		if p = l.part(token); l.Err == nil {
			found, l.Err = ask.LikeSpring(l.View, p, within)
		}
	})
	if err != nil {
		return lacking(err)
	}
	c.keepAnswer(tell.Each(found.Like, func(l ask.Alike) string { return "part:" + string(l.Part) }))
	told := tell.LikeAnswer{Part: p.Code, Name: p.Name, Alikes: found}
	err = c.Answer(told, func() { tell.SpringsLike(c.Screen, told, p.Class) })
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

// springMade tells of which wire a part can be made.
func springMade(c *call, token string) error {
	var p store.Part
	var m ask.Makes
	err := c.looks(func(l *lookup) {
		p = l.part(token)
		if m = asked(l, ask.Make, p); len(m.Missing) > 0 {
			l.Keep(&ask.SpringLacks{Part: p.Code, Name: p.Name, Measures: m.Missing})
		}
	})
	if err != nil {
		return lacking(err)
	}
	told := tell.MadeAnswer{Part: p.Code, Name: p.Name, Makes: m}
	return c.Answer(told, func() { tell.SpringMade(c.Screen, told, p.Dims) })
}

// lacking says of a part whose rate needs a measure what records it.
func lacking(err error) error {
	if l, ok := errors.AsType[*ask.SpringLacks](err); ok {
		return refusef("%v: tinful edit %s records it", err, l.Part)
	}
	return err
}
