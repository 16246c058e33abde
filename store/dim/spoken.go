package dim

import (
	"slices"
	"strings"
	"sync"
)

// spoken are the words by which a bench calls a measure beside its heading and key;
// with a class before the colon, there alone. A thread's diameter and pitch are told
// by their place, so that their names say nothing more.
var spoken = sync.OnceValue(func() map[string]Field {
	out := map[string]Field{}
	for _, in := range table() {
		if in.Kind == KindWord {
			continue
		}
		for _, name := range []string{in.name, strings.ReplaceAll(in.Key, "_", " ")} {
			out[name] = in.Field
		}
	}
	for f, names := range map[Field]string{
		Wire: "wires|wire diameter", OD: "outer|outside|outer diameter|SPR:diameter|SPR:dia", ID: "inner|inside|inner diameter|WSH:bore|WSH:hole|SHM:bore|SHM:hole|SPC:bore|SPC:hole|BSH:bore|BSH:hole",
		Coils: "coil|turn|turns|windings", LegA: "leg|legs|arm|arms|first leg", LegB: "second leg", Angle: "free angle|degrees|deg",
		FreeLength: "free|SPR-CMP:length|SPR-CMP:long|SPR-EXT:length|SPR-EXT:long", InsideHooks: "hook|hooks|between hooks|over hooks", Thick: "thick", Width: "wide",
		Length: "long|overall", Height: "high|tall", Head: "heads|head diameter", HeadHeight: "head thickness", Slot: "slots|slot width",
		Shoulder: "shoulder diameter|step", ShoulderLength: "step length", Teeth: "tooth", Bore: "hole|bores|holes", Centres: "centers|centre distance",
	} {
		for name := range strings.SplitSeq(names, "|") {
			out[name] = f
		}
	}
	return out
})

// ThreadWords name a thread's diameter and pitch, which are told by their place.
var ThreadWords = []string{"thread", "diameter", "dia", "pitch", "size"}

// Spoken is the measure that some words begin with the name of, and how many of them
// name it; 0 for none.
func Spoken(class string, said []string) (f Field, n int) {
	for n := min(3, len(said)); n > 0; n-- {
		text := strings.ToLower(strings.Join(said[:n], " "))
		for _, of := range []string{class, prefixOf(class), ""} {
			if of != "" {
				of += ":"
			}
			if f, ok := spoken()[of+text]; ok {
				return f, n
			}
		}
	}
	return 0, 0
}

func prefixOf(class string) string { before, _, _ := strings.Cut(class, "-"); return before }

// IsSpoken tells whether a word is the name of a measure, or of what a thread has.
func IsSpoken(word string) bool {
	_, n := Spoken("", []string{word})
	return n > 0 || slices.Contains(ThreadWords, strings.ToLower(word))
}
