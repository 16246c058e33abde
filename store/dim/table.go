package dim

import (
	"strings"
	"sync"
)

// table is built on first use. Same and near follow the bench's search
// tolerances: wire 0.01 and 0.02, spring diameter 0.10 and 0.25, coils 0.25 and
// 0.75, free length 0.3 and 1.0, leg 0.5 and longer, angle 15 and 45 degrees,
// screw length 0.2 and longer by 1.5, head 0.2 and 0.5, shoulder +0 -0.02 and
// 0.05, shoulder length 0.02 and longer by 0.3, shim 0.005, centres 0.05 and
// 0.15. Lengths without such a line take 0.05 and 0.2, two readings of a
// calliper. Ranges are those of small cameras with a generous margin.
var table = sync.OnceValue(func() []Info {
	t := []Info{
		size(Wire, "Wire", "thinner", "thicker", 10, 20, 20, "0.06..1.6 RAW:0.03..5").indexed(),
		size(OD, "Outside", "smaller", "larger", 100, 250, 250,
			"0.2..250 SPR:0.4..30 SPR-SPI:1..60 WSH:0.5..100 SHM:0.5..100 BAL:0.2..12 GER:1..100 PIN:0.15..20 BSH:0.3..40 KNB:2..60").keyed("od").indexed(),
		size(ID, "Inside", "smaller", "larger", 100, 250, 250, "0.1..250 SPR:0.2..30 SPR-SPI:0.3..60 BSH:0.1..40").keyed("id"),
		size(Post, "Post", "thinner", "thicker", 50, 200, 200, "0.1..30"),
		other(Coils, "Coils", KindTurns, 250, 750, 750, "0..500 SPR-TOR:0..60"),
		word(Hand, "Hand"),
		size(LegA, "Leg A", "shorter", "longer", 500, 500, Any, "0.1..100"),
		size(LegB, "Leg B", "shorter", "longer", 500, 500, Any, "0.1..100"),
		word(LegEnds, "Leg ends"),
		other(Angle, "Free angle deg", KindAngle, 15_000, 45_000, 45_000, "-360..1080").keyed("angle"),
		size(FreeLength, "Free length", "shorter", "longer", 300, 1000, 1000, "0.5..200").indexed(),
		size(InsideHooks, "Inside hooks", "shorter", "longer", 300, 1000, 1000, "0.8..200"),
		word(Ends, "Ends"),
		size(Thick, "Thick", "thinner", "thicker", 5, 20, 20,
			"0.005..60 SPR:0.02..2 SPR-SPI:0.02..1 WSH:0.02..4 SPC:0.02..20 SHM:0.005..1.5 CLP:0.08..3 LEV:0.05..6 RCK:0.2..10 BLD:0.01..0.6 COV:0.05..3 GLS:0.15..40").indexed(),
		size(Width, "Width", "narrower", "wider", 50, 200, 200, "0.1..2000"),
		size(Length, "Length", "shorter", "longer", 200, 200, 1500, "0.2..10000 SCR:0.4..60").indexed(),
		size(Height, "Height", "lower", "higher", 50, 200, 200, "0.1..1000 SPR-SPI:0.2..20"),
		word(Thread, "Thread"),
		word(Point, "Point"),
		size(Head, "Head", "smaller", "larger", 200, 500, 500, "0.5..60 SCR:0.8..25"),
		size(HeadHeight, "Head height", "lower", "higher", 50, 200, 200, "0.1..30"),
		word(Drive, "Drive"),
		size(Slot, "Slot", "narrower", "wider", 50, 200, 200, "0.05..10"),
		size(Shoulder, "Shoulder", "thinner", "thicker", 20, 50, 50, "0.4..40").noLarger(),
		size(ShoulderLength, "Shoulder length", "shorter", "longer", 20, 20, 300, "0.1..40"),
		other(Teeth, "Teeth", KindCount, 0, 0, 0, "1..1000"),
		size(Module, "Module", "finer", "coarser", 10, 20, 20, "0.05..3"),
		size(Bore, "Bore", "smaller", "larger", 50, 200, 200, "0.1..150"),
		size(Centres, "Centres", "nearer", "farther", 50, 150, 150, "0.2..500"),
		size(ShaftFrom, "Shaft from", "thinner", "thicker", 50, 200, 200, "0.2..60"),
		size(ShaftTo, "Shaft to", "thinner", "thicker", 50, 200, 200, "0.2..60"),
		word(Grain, "Grain"),
		word(Colour, "Colour"),
		word(Material, "Material"),
		word(Magnetic, "Magnetic"),
		word(Finish, "Finish"),
		other(Mass, "Mass g", KindMass, 0, 0, 0, "0..20000"),
	}
	return t
})

func word(f Field, heading string) Info {
	return named(Info{Field: f, Heading: heading, Kind: KindWord}, heading)
}

// size describes a length; same and near are micrometres, ranges millimetres.
func size(f Field, name, less, more string, same, minus, plus int64, ranges string) Info {
	return named(Info{Field: f, Heading: name + " mm", Unit: "mm", Kind: KindLength, less: less, more: more,
		Same: same, SamePlus: same, NearMinus: minus, NearPlus: plus, ranges: parseRanges(ranges)}, name)
}

// other describes a number that is no length.
func other(f Field, heading string, k Kind, same, minus, plus int64, ranges string) Info {
	i := Info{Field: f, Heading: heading, Kind: k, less: "less", more: "more",
		Same: same, SamePlus: same, NearMinus: minus, NearPlus: plus, ranges: parseRanges(ranges)}
	name := heading
	switch k {
	case KindAngle:
		i.Unit, name = "deg", strings.TrimSuffix(heading, " deg")
	case KindMass:
		i.Unit, name = "g", strings.TrimSuffix(heading, " g")
	}
	return named(i, name)
}

func named(i Info, name string) Info {
	i.name = strings.ToLower(name[:1]) + name[1:]
	switch i.Field {
	case OD, ID:
		i.name += " diameter"
	case Thick:
		i.name = "thickness"
	}
	for n := range i.ranges {
		b := &i.ranges[n]
		b.from, b.to = i.limit(b.lo), i.limit(b.hi)
	}
	return i.keyed(strings.ReplaceAll(strings.ToLower(name), " ", "_"))
}

func (i Info) keyed(key string) Info {
	i.Key, i.Flag = key, strings.ReplaceAll(key, "_", "-")
	return i
}

func (i Info) indexed() Info  { i.Indexed = true; return i }
func (i Info) noLarger() Info { i.SamePlus = 0; return i }

// For returns the field with the tolerances of a class, which may be empty or a
// prefix. The table's own are those of springs and screws: a shim's 0.005 holds
// for shims alone, strip is as narrow as wire, what turns or is pressed in is
// read with a micrometer, and all else takes two readings of a calliper.
func (i Info) For(class string) Info {
	class = strings.ToUpper(class)
	is := func(prefix string) bool { return class == prefix || strings.HasPrefix(class, prefix+"-") }
	switch f := i.Field; {
	case class == "":
	case f == Thick && (is("SPR") || is("BLD")):
		return i.tolerate(10, 20, 20)
	case f == Thick && !is("SHM"), f == Length && !is("SCR"):
		return i.tolerate(50, 200, 200)
	case (f == OD || f == ID || f == Bore) && (is("PIN") || is("BSH") || is("BAL")):
		return i.tolerate(20, 50, 50)
	case (f == OD || f == ID) && !is("SPR"):
		return i.tolerate(50, 200, 200)
	}
	return i
}

func (i Info) tolerate(same, minus, plus int64) Info {
	i.Same, i.SamePlus, i.NearMinus, i.NearPlus = same, same, minus, plus
	return i
}

// parseRanges reads "0.06..1.6 RAW:0.03..5".
func parseRanges(s string) []bound {
	var out []bound
	for r := range strings.FieldsSeq(s) {
		class, span, ok := strings.Cut(r, ":")
		if !ok {
			class, span = "", r
		}
		lo, hi, _ := strings.Cut(span, "..")
		out = append(out, bound{class: class, lo: lo, hi: hi})
	}
	return out
}

// boundFor returns the range of the longest prefix that class has. The class
// itself or what stands before a hyphen counts as a prefix.
func (i Info) boundFor(class string) bound {
	best := i.ranges[0]
	for _, b := range i.ranges[1:] {
		if (class == b.class || strings.HasPrefix(class, b.class+"-")) && len(b.class) > len(best.class) {
			best = b
		}
	}
	return best
}

// whose returns whose range it is, in the trade's words.
func (i Info) whose(class string) string {
	if i.Field == Wire && !strings.HasPrefix(class, "RAW") {
		return "any spring wire"
	}
	for _, w := range []struct{ prefix, word string }{
		{"SPR", "spring"}, {"SCR", "screw"}, {"WSH", "washer"}, {"SHM", "shim"}, {"SPC", "spacer"}, {"CLP", "clip"},
		{"GER", "gear"}, {"RCK", "rack"}, {"RAT", "ratchet"}, {"LEV", "lever"}, {"PIN", "pin"}, {"BSH", "bush"},
		{"BAL", "ball"}, {"KNB", "knob"}, {"BLD", "shutter blade"}, {"GLS", "glass"}, {"COV", "covering"}, {"RAW-WIRE", "wire"},
	} {
		if class == w.prefix || strings.HasPrefix(class, w.prefix+"-") {
			return "any " + w.word
		}
	}
	return "any part"
}
