package store

import (
	"strings"

	"tinful/store/dim"
	"tinful/store/thread"
)

// LeftHand is what stands on every line that names a part to which a driver may be
// put and whose thread is left-hand, in capitals; empty for any other part.
func LeftHand(p Part) string {
	const said = "LEFT-HAND, loosens clockwise"
	cell := p.Marks[dim.Thread]
	switch {
	case p.Class == classLeft:
		return said
	case !strings.ContainsAny(cell, "lL"): // LH, left, links
		return ""
	}
	if t, err := thread.Parse(cell); err != nil || !t.Left {
		return ""
	}
	return said
}

// classLeft is the class of screws whose thread is left-hand.
const classLeft = "SCR-LH"

// Called is the name of a part as lines show it, with what a hand must know before a
// driver is put to it.
func (p Part) Called() string { return calledWith(p.Name, LeftHand(p)) }

func calledWith(name, left string) string {
	if left != "" {
		return name + ", " + left
	}
	return name
}
