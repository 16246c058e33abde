package commands

import (
	"strings"

	"tinful/commands/paper"
	"tinful/store"
	"tinful/store/dim"
	"tinful/store/thread"
	"tinful/store/words"
)

// What of a part is drawn, by its class.

// figureOf draws a part from its measures; it is false where there are too few.
func figureOf(p store.Part) (paper.Figure, bool) {
	m := measuresIn(p)
	switch class := p.Class; {
	case class == "SPR-TOR" || class == "SPR-EXT" || class == "SPR-CMP":
		return springFigure(p, m)
	case words.Under(class, "SCR"):
		return screwFigure(p, m)
	case class == "GER":
		return gearFigure(m)
	case class == "WSH" || class == "SHM" || class == "SPC" || class == "CLP" || class == "BAL" || class == "SPR-SPI":
		return ringFigure(p, m)
	case class == store.Covering && m(dim.Length).Known && m(dim.Width).Known:
		return drawn(panelFigure(store.OutlineOf(p)).Draw())
	case m(dim.Length).Known && m(dim.Width).Known:
		s := paper.Plate{Length: m(dim.Length).V, Width: m(dim.Width).V, Thick: m(dim.Thick), Hole: m(dim.Bore), Apart: m(dim.Centres), Outline: class == "SPR-FLAT"}
		return drawn(s.Draw())
	}
	return paper.Figure{}, false
}

// drawnFrom says which measures a drawing of a class needs.
func drawnFrom(class string) string {
	switch {
	case class == "SPR-TOR" || class == "SPR-EXT" || class == "SPR-CMP":
		return "a spring is drawn from its wire and outside diameter"
	case words.Under(class, "SCR"):
		return "a screw is drawn from its thread"
	case class == "GER":
		return "a gear is drawn from its teeth and outside diameter or module"
	case class == "WSH" || class == "SHM" || class == "SPC" || class == "CLP" || class == "BAL":
		return "a ring is drawn from its outside or inside diameter"
	}
	return "a flat part is drawn from its length and width"
}

// measuresIn reads the measures of a part, in millimetres, degrees and turns.
func measuresIn(p store.Part) func(dim.Field) paper.Measure {
	return func(f dim.Field) paper.Measure {
		n, ok := p.Dims[f]
		return paper.Measure{V: dim.Number(f, n), Known: ok}
	}
}

func drawn(f paper.Figure) (paper.Figure, bool) { return f, !f.Empty() }

func springFigure(p store.Part, m func(dim.Field) paper.Measure) (paper.Figure, bool) {
	wire, od := m(dim.Wire), m(dim.OD)
	if !od.Known && m(dim.ID).Known {
		od = paper.Measure{V: m(dim.ID).V + 2*wire.V, Known: true}
	}
	if !wire.Known || !od.Known || od.V <= 2*wire.V {
		return paper.Figure{}, false
	}
	ends, hand := p.Marks[dim.Ends], p.Marks[dim.Hand]
	s := paper.Spring{Kind: map[string]string{"SPR-TOR": "torsion", "SPR-EXT": "extension", "SPR-CMP": "compression"}[p.Class],
		Wire: wire.V, OD: od.V, Coils: m(dim.Coils), Left: hand == "left", HandKnown: hand != "",
		LegA: m(dim.LegA), LegB: m(dim.LegB), Angle: m(dim.Angle), Inside: m(dim.InsideHooks), Free: m(dim.FreeLength),
		HooksKnown: ends != "", EndsSaid: ends != "", Closed: strings.Contains(ends, "closed")}
	if strings.Contains(ends, "90") {
		s.Hooks = 90
	}
	if p.Class != "SPR-TOR" {
		// Which way they are wound changes nothing in what they do, and few note it.
		s.HandKnown = true
	}
	return drawn(s.Draw())
}

func screwFigure(p store.Part, m func(dim.Field) paper.Measure) (paper.Figure, bool) {
	t, err := thread.Parse(p.Marks[dim.Thread])
	if err != nil || t.Form == "" {
		return paper.Figure{}, false
	}
	flank, _ := thread.Flank(t.Form)
	const nm = 1e6
	s := paper.Screw{Head: map[string]string{"SCR-CSK": "countersunk", "SCR-RCS": "raised", "SCR-PAN": "pan", "SCR-SHD": "shoulder", "SCR-SET": "set"}[p.Class],
		Major: float64(t.Major) / nm, Pitch: float64(t.Pitch) / nm, Depth: float64(t.Height()) / nm, Flank: flank, Left: t.Left || p.Class == "SCR-LH",
		Length: m(dim.Length), HeadWide: m(dim.Head), HeadHigh: m(dim.HeadHeight), Slot: m(dim.Slot), Slotted: p.Marks[dim.Drive] == "slotted",
		Shoulder: m(dim.Shoulder), ShoulderLong: m(dim.ShoulderLength)}
	return drawn(s.Draw())
}

func ringFigure(p store.Part, m func(dim.Field) paper.Measure) (paper.Figure, bool) {
	r := paper.Ring{Outside: m(dim.OD), Inside: m(dim.ID), High: m(dim.Thick), Open: p.Class == "CLP", Ball: p.Class == "BAL"}
	if !r.High.Known {
		r.High = m(dim.Height)
	}
	if !r.Outside.Known && !r.Inside.Known {
		return paper.Figure{}, false
	}
	return drawn(r.Draw())
}

func gearFigure(m func(dim.Field) paper.Measure) (paper.Figure, bool) {
	teeth, od, module := m(dim.Teeth), m(dim.OD), m(dim.Module)
	switch {
	case !teeth.Known || teeth.V < 4 || !od.Known && !module.Known:
		return paper.Figure{}, false
	case !od.Known:
		od.V = module.V * (teeth.V + 2)
	case !module.Known:
		module.V = od.V / (teeth.V + 2)
	}
	width := m(dim.Thick)
	if !width.Known {
		width = m(dim.Width)
	}
	g := paper.Gear{Teeth: int(teeth.V), Outside: od.V, Module: module.V, Bore: m(dim.Bore), Width: width}
	return drawn(g.Draw())
}
