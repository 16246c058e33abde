package dim

import (
	"sort"
	"strings"
	"sync"
)

// orders are the measures of a kind in the order they are typed behind its
// trade word: the measures by which a bench tells the kind, the one that tells
// most first. Thread stands for the diameter and the pitch, which may also be
// typed as one, 1.7x0.35.
var orders = sync.OnceValue(func() map[string][]Field {
	return map[string][]Field{
		"SPR-TOR":   {Wire, OD, Coils, Hand, LegA, LegB, Angle},
		"SPR-EXT":   {Wire, OD, Coils, InsideHooks, FreeLength},
		"SPR-CMP":   {Wire, OD, Coils, FreeLength},
		"SPR-FLAT":  {Thick, Width, Length},
		"SPR-SPI":   {Thick, Width, OD, Hand},
		"SPR-WIRE":  {Wire, Length},
		"SCR":       {Thread, Length, Head, HeadHeight},
		"SCR-SET":   {Thread, Length},
		"SCR-SHD":   {Thread, Length, Head, Shoulder, ShoulderLength},
		"NUT":       {Thread, Thick, OD},
		"WSH":       {ID, OD, Thick},
		"SHM":       {Thick, ID, OD},
		"SPC":       {ID, OD, Length},
		"CLP":       {Thick, ShaftFrom, ShaftTo},
		"GER":       {Teeth, OD, Bore, Thick},
		"RAT":       {Teeth, OD, Bore, Hand, Thick},
		"RCK":       {Teeth, Thick, Length},
		"LEV":       {Thick, Bore, Centres},
		"PIN":       {OD, Length},
		"BSH":       {ID, OD, Length},
		"BAL":       {OD},
		"KNB":       {OD, Height, Bore},
		"BLD":       {Thick, Length},
		"GLS":       {OD, Thick},
		"COV":       {Length, Width, Thick},
		"SEA":       {Thick, Width, Length},
		"RAW-WIRE":  {Wire},
		"RAW-ROD":   {OD, Length},
		"RAW-SHEET": {Thick, Width, Length},
	}
})

// Order returns the measures of a class in the order they are typed behind its
// trade word, of the nearest prefix that has one: a countersunk screw's are a
// screw's. It returns nil for a class without an order. The slice is not to be
// changed.
func Order(class string) []Field {
	for {
		if o, ok := orders()[class]; ok {
			return o
		}
		i := strings.LastIndexByte(class, '-')
		if i < 0 {
			return nil
		}
		class = class[:i]
	}
}

// Ordered returns the classes and prefixes that have an order of their own, by
// code.
func Ordered() []string {
	out := make([]string, 0, len(orders()))
	for class := range orders() {
		out = append(out, class)
	}
	sort.Strings(out)
	return out
}
