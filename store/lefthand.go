package store

import (
	"tinful/store/dim"
	"tinful/store/thread"
)

// LeftHand is what stands on every line that names a part to which a driver may be
// put and whose thread is left-hand, in capitals; empty for any other part.
func LeftHand(p Part) string {
	cell := p.Marks[dim.Thread]
	t, err := thread.Parse(cell)
	if p.Class != "SCR-LH" && (cell == "" || err != nil || !t.Left) {
		return ""
	}
	return "LEFT-HAND, loosens clockwise"
}
