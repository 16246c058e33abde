package tell

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"tinful/store"
	"tinful/store/ask"
	"tinful/store/dim"
	"tinful/store/words"
)

// Cut tells how panels are cut, the answer first, then each piece of covering: drawn, or
// in words for a reader by ear.
func Cut(s *Screen, c ask.Cutting) {
	for _, text := range cutAnswer(c) {
		s.Println(Hang(text, s.Columns(), 2))
	}
	for i, sh := range c.Sheets {
		s.Println()
		s.Println(Hang(fmt.Sprintf(":%d %s", i+1, sheetWords(sh)), s.Columns(), 5))
		if !s.Plain {
			s.Println()
			for _, row := range drawnSheet(sh, s.Columns()-4) {
				s.Println("  " + row)
			}
		}
		cutTables(s, c, sh)
	}
	if c.File != "" {
		s.Println()
		s.Println(Hang(fmt.Sprintf("drawn in %s: print at 100 %% and hold a rule against its scale", c.File), s.Columns(), 2))
	}
	s.Lines("to know", store.Texts(c.Notes), false)
	if len(c.Sheets) > 0 {
		s.Lines("how", cutHow, false)
		Care(s, c.Cautions)
	}
}

// cutHow is how panels are cut. Source: common practice; how full from memory.
var cutHow = []string{
	"all panels of a camera the same way up, so that light falls alike on the grain",
	"cut 0.1 to 0.2 mm full and trim in place; a new blade at the first drag",
}

// cutAnswer is the answer in a few sentences.
func cutAnswer(c ask.Cutting) (out []string) {
	from := fmt.Sprintf("%s can be cut from %s", piecesWords(c.Placed(), c.Panels), fromWords(c))
	switch {
	case c.Panels == 0:
		return []string{"There is no panel to cut."}
	case c.Placed() == 0 && c.Most > 0:
		out = append(out, "No place is found for any panel on what is here; that there is none is not proven.")
	case c.Placed() == 0:
		out = append(out, "No panel has a place on what is here.")
	default:
		out = append(out, from+"; "+provenWords(c))
	}
	if len(c.Unplaced) == 0 {
		return out
	}
	found := ""
	if c.Most > c.Placed() {
		found = "is found "
	}
	out = append(out, fmt.Sprintf("No place %sfor %s.", found, words.And(counted(c.Unplaced))))
	if c.There > 0 {
		text := fmt.Sprintf("With %g mm around each panel %.0f cm2 are needed, %.0f are there", c.Margin, c.Needed, c.There)
		switch {
		case c.AreaWouldDo && c.Most < c.Panels:
			text += ": the area would do, the shape does not"
		case c.AreaWouldDo:
			text += ": the area would do, whether the shape does is not decided"
		}
		out = append(out, text+".")
	}
	if len(c.WouldDo) > 0 {
		out = append(out, "What would do: "+strings.Join(store.Texts(c.WouldDo), "; or ")+".")
	}
	return out
}

func piecesWords(placed, all int) string {
	if placed == all {
		if all == 1 {
			return "The panel"
		}
		return fmt.Sprintf("All %d panels", all)
	}
	return fmt.Sprintf("%d of %s", placed, Many(all, "panel"))
}

// fromWords names the pieces that are cut from.
func fromWords(c ask.Cutting) string {
	var list []string
	for _, sh := range c.Sheets {
		what := "an offcut"
		if sh.New {
			what = "a new sheet"
		}
		list = append(list, fmt.Sprintf("%s (%s)", sh.Bag, what))
	}
	return words.And(counted(list))
}

// counted are names once each, with how often they stand there.
func counted(list []string) (out []string) {
	for i, name := range list {
		if slices.Index(list, name) < i {
			continue
		}
		n := 0
		for _, o := range list {
			if o == name {
				n++
			}
		}
		if n > 1 {
			name = fmt.Sprintf("%d times %s", n, name)
		}
		out = append(out, name)
	}
	return out
}

func provenWords(c ask.Cutting) string {
	switch {
	case !c.Proven && c.New() > c.Fewest && len(c.Unplaced) == 0:
		return fmt.Sprintf("the best found: %s at least would be needed.", Many(c.Fewest, "new sheet"))
	case !c.Proven && len(c.Unplaced) > 0 && c.Most == c.Placed():
		return "proven: no layout places more."
	case !c.Proven && len(c.Unplaced) > 0 && c.Most < c.Panels:
		return fmt.Sprintf("the best found; proven: no layout places more than %d.", c.Most)
	case !c.Proven && len(c.Unplaced) > 0:
		return "the best found; that the others have no place is not proven."
	case !c.Proven:
		return "the best found, not proven."
	case len(c.Unplaced) > 0:
		return "proven: no layout places more."
	case !c.BestLeft:
		return "proven: no layout needs fewer sheets or pieces. What it leaves is the best found."
	}
	return "proven: no layout needs fewer sheets or pieces or leaves a larger rectangle."
}

func sheetWords(sh ask.CutSheet) string {
	what := "offcut"
	if sh.New {
		what = "new sheet"
	}
	thick := ""
	if sh.Thick > 0 {
		thick = fmt.Sprintf("%g mm thick", sh.Thick)
	}
	place := ""
	if sh.Place != "" {
		place = " in " + string(sh.Place)
	}
	return strings.Join(Filled(fmt.Sprintf("%s%s, %s of %s %s", sh.Bag, place, what, sh.Part, sh.Name), fmt.Sprintf("%g x %g mm", sh.W, sh.H), thick, "grain along the "+sh.Runs), ", ")
}

// cutTables tell where panels lie, in which order the cuts are made, what is left.
func cutTables(s *Screen, c ask.Cutting, sh ask.CutSheet) {
	t := s.WideTable(">no", "panel", ">mm", ">from left", ">from below", "name")
	for i, p := range sh.Placed {
		t.Row(fmt.Sprintf("%d", i+1), p.Panel, fmt.Sprintf("%g x %g", p.W, p.H), fmt.Sprintf("%g", p.X), fmt.Sprintf("%g", p.Y),
			strings.Join(Filled(p.Outline.Name, map[bool]string{true: "turned"}[p.Turned], map[bool]string{true: "spare"}[p.Spare]), ", "))
	}
	s.Listed(fmt.Sprintf("panels on %s, without the %g mm around them", sh.Bag, c.Margin), t)
	s.Lines("cuts, with blade and rule, edge to edge, in this order", numberedLines(Each(sh.Cuts, cutWords)), false)
	left := Each(sh.Left, func(r ask.CutRect) string {
		return fmt.Sprintf("%g x %g mm, %g from the left, %g from below", r.W, r.H, r.X, r.Y)
	})
	s.Lines(fmt.Sprintf("left of %s, besides %.0f cm2 of waste", sh.Bag, float64(sh.Waste)/100), left, false)
	if len(left) == 0 {
		s.Printf("\nnothing worth keeping is left of %s\n", sh.Bag)
	}
}

func numberedLines(list []string) (out []string) {
	for i, text := range list {
		out = append(out, fmt.Sprintf("%d  %s", i+1, text))
	}
	return out
}

func cutWords(k ask.CutLine) string {
	if k.X1 == k.X2 {
		return fmt.Sprintf("along the length, %g from the left, from %g to %g", k.X1, k.Y1, k.Y2)
	}
	return fmt.Sprintf("across, %g from below, from %g to %g", k.Y1, k.X1, k.X2)
}

// mostRows is how high the drawing of a sheet is at most.
const mostRows = 36

// drawnSheet draws a sheet with block characters, a column half as wide as a row is high.
func drawnSheet(sh ask.CutSheet, columns int) []string {
	step := max(sh.W/float64(min(columns, 76)-2), sh.H/(2*mostRows))
	w, h := int(math.Round(sh.W/step)), int(math.Round(sh.H/(2*step)))
	w, h = max(w, 1), max(h, 1)
	grid := make([][]rune, h)
	for row := range grid {
		y := sh.H - (float64(row)+0.5)*sh.H/float64(h)
		grid[row] = make([]rune, w)
		for col := range grid[row] {
			grid[row][col] = blockAt(sh, (float64(col)+0.5)*sh.W/float64(w), y)
		}
	}
	for i, p := range sh.Placed {
		up := '↑'
		if p.Turned != (p.Outline.Up == store.Sides[1]) {
			up = '→'
		}
		name := p.Panel + string(up)
		col, room := int((p.X+p.W/2)/sh.W*float64(w)), int(p.W/sh.W*float64(w))
		row := h - 1 - int((p.Y+p.H/2)/sh.H*float64(h))
		if len([]rune(name)) > room {
			name = fmt.Sprintf("%d%c", i+1, up)
		}
		write(grid, row, col-len([]rune(name))/2, name)
	}
	out := []string{"┌" + strings.Repeat("─", w) + "┐"}
	for _, row := range grid {
		out = append(out, "│"+string(row)+"│")
	}
	return append(out, "└"+strings.Repeat("─", w)+"┘")
}

// write writes a name into a grid with a blank on either side of it.
func write(grid [][]rune, row, col int, name string) {
	if row < 0 || row >= len(grid) {
		return
	}
	for i, r := range []rune(" " + name + " ") {
		if at := col - 1 + i; at >= 0 && at < len(grid[row]) {
			grid[row][at] = r
		}
	}
}

// blockAt is what lies at a point of a sheet: a panel, a hole in it, a flaw, what is kept.
func blockAt(sh ask.CutSheet, x, y float64) rune {
	for _, f := range sh.Flaws {
		if spotHas(f, x, y) {
			return '▒'
		}
	}
	inside := func(r ask.CutRect) bool { return x >= r.X && x < r.X+r.W && y >= r.Y && y < r.Y+r.H }
	for _, p := range sh.Placed {
		if inside(p.CutRect) {
			for _, h := range p.HolesOnSheet() {
				if spotHas(h, x, y) {
					return ' '
				}
			}
			return '█'
		}
	}
	if slices.ContainsFunc(sh.Left, inside) {
		return '·'
	}
	return ' '
}

func spotHas(f dim.Spot, x, y float64) bool {
	x1, y1, x2, y2 := f.Box()
	if f.Round() {
		return math.Hypot(x-dim.Number(dim.Width, f.X), y-dim.Number(dim.Width, f.Y)) <= dim.Number(dim.Width, f.Width)/2
	}
	mm := func(n int64) float64 { return dim.Number(dim.Width, n) }
	return x >= mm(x1) && x < mm(x2) && y >= mm(y1) && y < mm(y2)
}
