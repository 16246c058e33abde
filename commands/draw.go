package commands

import (
	"cmp"
	"errors"
	"slices"
	"strconv"
	"strings"
	"time"

	"tinful/commands/line"
	web "tinful/commands/page"
	"tinful/commands/paper"
	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/code"
	"tinful/store/dim"
	"tinful/store/words"
)

// drawnOn is the page of a drawing where nobody names one.
const drawnOn = "A4"

// draw draws parts to scale.
func draw(c *call) error {
	times, err := timesOf(c)
	if err != nil {
		return err
	}
	_, page, err := paper.ParsePage(cmp.Or(c.String("paper"), drawnOn))
	if err != nil {
		return line.AsUsage(err)
	}
	var parts []store.Part
	var day code.Day
	err = c.looks(func(l *lookup) {
		day = c.dayNow(l.View)
		parts = tell.Each(c.Args(), func(token string) store.Part { return l.part(token) })
	})
	if err != nil {
		return err
	}
	w, err := drawingOf(parts, times)
	if err != nil {
		return err
	}
	file := cmp.Or(c.String("output"), "drawing.pdf")
	var room error
	err = writePaper(c, file, "drawing", day, func(d *paper.Doc) error {
		room = d.Drawing(page, w)
		return room
	})
	if large, ok := errors.AsType[*paper.TooLargeError](room); ok {
		return refusef("%v", large)
	}
	if err != nil {
		return err
	}
	return toldDrawing(c, file, parts, w)
}

// timesOf is how many times as large a drawing is.
func timesOf(c *call) (float64, error) {
	text := c.String("times")
	if text == "" {
		return 1, nil
	}
	n, err := strconv.ParseFloat(strings.ReplaceAll(text, ",", "."), 64)
	if err != nil || !(n >= 0.1 && n <= 100) {
		return 0, line.Usagef("--times %s: draw it 0.1 to 100 times as large", text)
	}
	return n, nil
}

// drawingOf are parts as they are drawn, with their measures.
func drawingOf(parts []store.Part, times float64) (w paper.Drawing, err error) {
	w.Times = times
	for _, p := range parts {
		f, ok := figureOf(p)
		if !ok {
			return w, refusef("there are no measures to draw %s %s from: %s", p.Code, p.Name, drawnFrom(p.Class))
		}
		t := paper.Thing{Code: string(p.Code), Name: p.Name, Figure: f, Stop: store.LeftHand(p)}
		if hand := p.Marks[dim.Hand]; hand == "left" && t.Stop == "" {
			t.Stop = "left-hand"
		}
		w.Things = append(w.Things, t)
		if len(f.Guessed) > 0 {
			w.Notes = append(w.Notes, string(p.Code)+" not known: "+strings.Join(f.Guessed, "; ")+".")
		}
	}
	if slices.ContainsFunc(parts, func(p store.Part) bool { return p.Class == store.Covering }) {
		w.Notes = append(w.Notes, "Coverings are seen from outside: the arrow points up on the camera, the one with two heads along the grain. Cut 0.1 to 0.2 mm full.")
	}
	w.Rows = comparedRows(parts)
	return w, nil
}

// sketchOf draws a part for a screen.
func sketchOf(p store.Part) (s web.Sketch, err error) {
	f, ok := figureOf(p)
	if !ok {
		return s, nil
	}
	d, err := paper.New("sketch.svg", string(p.Code), paper.GoFonts(), time.Time{})
	if err != nil {
		return s, err
	}
	_, page, err := paper.ParsePage(drawnOn)
	w, errDrawn := drawingOf([]store.Part{p}, 1)
	if err = cmp.Or(err, errDrawn); err != nil {
		return s, err
	}
	s.Guessed, s.AtSize = f.Guessed, d.Most(page, w) >= 1
	d.Sketch(&f)
	s.SVG, err = d.Bytes()
	return s, err
}

// comparedRows are the measures that any of some parts has.
func comparedRows(parts []store.Part) (rows []paper.Compared) {
	for _, in := range dim.Table() {
		if in.Field == dim.Mass {
			continue
		}
		r := paper.Compared{Name: in.Name()}
		had, first := 0, ""
		for _, p := range parts {
			text := p.Marks[in.Field]
			if n, ok := p.Dims[in.Field]; ok {
				text = strings.TrimSpace(dim.Format(in.Field, n) + " " + in.Unit)
			}
			if text != "" {
				had++
				r.Differs = r.Differs || first != "" && first != text
				first = cmp.Or(first, text)
			}
			r.Values = append(r.Values, text)
		}
		if had > 0 {
			rows = append(rows, r)
		}
	}
	return rows
}

func toldDrawing(c *call, file string, parts []store.Part, w paper.Drawing) error {
	if c.JSON() {
		guessed, differs := map[string][]string{}, []string{}
		for _, t := range w.Things {
			guessed[t.Code] = append([]string{}, t.Figure.Guessed...)
		}
		for _, r := range w.Rows {
			if r.Differs {
				differs = append(differs, r.Name)
			}
		}
		return c.PrintJSON(map[string]any{"file": file, "times": w.Times, "guessed": guessed, "differs": differs})
	}
	if file == fromLines {
		return nil
	}
	for _, n := range w.Notes {
		c.Notef("%s", n)
	}
	names := tell.Each(parts, func(p store.Part) code.Code { return p.Code })
	c.Printf("%s drawn in %s: print at 100 %% and hold a rule against its scale\n", words.And(names), file)
	return nil
}
