package tell

import (
	"cmp"
	"fmt"
	"strings"

	"tinful/store"
	"tinful/store/ask"
	"tinful/store/dim"
	"tinful/store/words"
)

// Gear prints a gear or rack, the mate asked for and the parts of the same module,
// numbered from 1. tool is what its outside was read with.
func Gear(s *Screen, g ask.Gear, tool string) {
	s.Para("", gearWords(g, tool), false)
	text := fmt.Sprintf("pitch %s mm, ten are %s", dim.Format(dim.Length, g.Micro.Pitch), dim.Format(dim.Length, 10*g.Micro.Pitch))
	if g.Micro.Circle > 0 {
		text += fmt.Sprintf("; pitch circle %s mm", dim.Format(dim.Length, g.Micro.Circle))
	}
	s.Para("  ", text+fmt.Sprintf("; diametral pitch %v", g.Diametral), false)
	if g.Mate != nil {
		s.Para("  ", "with "+mateWords(g, *g.Mate), !g.Mate.Meshes)
	}
	if len(g.Mates) > 0 {
		s.Println("\nof the same module")
	}
	for i, m := range g.Mates {
		s.Para("  ", fmt.Sprintf(":%d %s", i+1, mateWords(g, m)), false)
	}
	s.Lines("traps", store.Texts(g.Traps), true)
}

// gearWords is the gear in one sentence.
func gearWords(g ask.Gear, tool string) string {
	text := strings.Join(Filled(string(g.Part), g.Name), " ")
	if text != "" {
		text += ": "
	}
	if g.Teeth > 0 {
		text += fmt.Sprintf("%d teeth, ", g.Teeth)
	}
	if g.OD > 0 {
		text += fmt.Sprintf("outside %s mm, ", dim.Format(dim.OD, g.Micro.OD))
	}
	if g.Rack {
		text += "rack, "
	}
	text += "module " + dim.Format(dim.Module, g.Micro.Module)
	if g.Part != "" {
		return text
	}
	if g.Micro.Low < g.Micro.High {
		text += fmt.Sprintf(" (%s to %s by %s)", dim.Format(dim.Module, g.Micro.Low), dim.Format(dim.Module, g.Micro.High), tool)
	}
	return text
}

// mateWords is a mate on one line, with the distance of the axes.
func mateWords(g ask.Gear, m ask.GearMate) string {
	var bits []string
	if m.Part != "" {
		bits = append(bits, fmt.Sprintf("%s %s (%s)", m.Part, m.Name, words.ClassName(m.Class)))
	}
	if m.Teeth > 0 {
		bits = append(bits, fmt.Sprintf("%d teeth", m.Teeth))
	}
	text := strings.Join(bits, ", ")
	switch {
	case !m.Meshes:
		text += ": does not mesh"
	case m.Centres != nil && (m.Rack || g.Rack):
		text += fmt.Sprintf(": %v mm from axis to pitch line", *m.Centres)
	case m.Centres != nil:
		text += fmt.Sprintf(": axes %v mm apart", *m.Centres)
	}
	if m.Part == "" {
		return text
	}
	text += fmt.Sprintf("; %d free", m.Free)
	if m.OnHand != m.Free {
		text += fmt.Sprintf(" of %d", m.OnHand)
	}
	for _, b := range m.Bags {
		text += fmt.Sprintf(", %s in %s", b.Bag, cmp.Or(string(b.Place), "no place"))
	}
	return text
}
