package commands

import (
	"cmp"
	"errors"
	"fmt"

	"tinful/commands/line"
	"tinful/commands/paper"
	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
	"tinful/store/dim"
)

// writeLayout draws how panels are cut, where a file is named, and returns its name.
func writeLayout(c *call, found ask.Cutting, day code.Day) (string, error) {
	file := c.String("output")
	if file == "" {
		return "", nil
	}
	if len(found.Sheets) == 0 {
		c.Notef("nothing is drawn: no panel has a place")
		return "", nil
	}
	_, page, err := paper.ParsePage(cmp.Or(c.String("paper"), "A4"))
	if err != nil {
		return "", line.AsUsage(err)
	}
	list := tell.Each(found.Sheets, func(sh ask.CutSheet) paper.Layout { return layoutOf(sh, found.Margin) })
	var room error
	err = writePaper(c, file, "layout", day, func(d *paper.Doc) error {
		room = d.Layouts(page, list)
		return room
	})
	if large, ok := errors.AsType[*paper.TooLargeError](room); ok {
		return "", refusef("%v", large)
	}
	return file, err
}

// layoutOf is a sheet as it is drawn.
func layoutOf(sh ask.CutSheet, margin float64) paper.Layout {
	grain := "grain upright"
	if sh.Runs == store.Sides[1] {
		grain = "grain across"
	}
	l := paper.Layout{Title: fmt.Sprintf("%s %s, %g x %g mm, %s, grain side up; %g mm around each panel", sh.Bag, sh.Name, sh.W, sh.H, grain, margin),
		W: sh.W, H: sh.H, GrainAcross: sh.Runs == store.Sides[1], Margin: margin, Flaws: spotsOf(sh.Flaws)}
	for _, p := range sh.Placed {
		l.Panels = append(l.Panels, paper.LaidPanel{Panel: panelFigure(p.Outline), Name: p.Panel, X: p.X, Y: p.Y, Turned: p.Turned})
	}
	for _, k := range sh.Cuts {
		l.Cuts = append(l.Cuts, [4]float64{k.X1, k.Y1, k.X2, k.Y2})
	}
	for _, r := range sh.Left {
		l.Left = append(l.Left, paper.Spot{X: r.X, Y: r.Y, W: r.W, L: r.H})
	}
	return l
}

// panelFigure is a panel as it is drawn.
func panelFigure(p store.Panel) paper.Panel {
	mm := func(n int64) float64 { return dim.Number(dim.Width, n) }
	return paper.Panel{Width: mm(p.Width), Length: mm(p.Length), Corner: mm(p.Corner), Holes: spotsOf(p.Holes),
		GrainAcross: p.Runs == store.Sides[1], UpAcross: p.Up == store.Sides[1]}
}

func spotsOf(list []dim.Spot) (out []paper.Spot) {
	mm := func(n int64) float64 { return dim.Number(dim.Width, n) }
	for _, s := range list {
		out = append(out, paper.Spot{X: mm(s.X), Y: mm(s.Y), W: mm(s.Width), L: mm(s.Length)})
	}
	return out
}
