package thread

// effective returns the basic effective (pitch) diameter in nanometres, 0 for a
// form that is not known. Metric, S, unified and unified miniature: D - 0.649519 P
// (ISO 68-1, ISO 724, ISO 1501, ASME B1.1, B1.10M); Whitworth: D - 0.640327 P (BS
// 84); BA: D less the depth of thread (BS 93); Loewenherz: D - 0.75 P.
func (t Thread) effective() int64 {
	if t.Form == Unknown {
		return 0
	}
	return t.Major - t.depth()
}

// minor returns the basic minor diameter of a hole in nanometres, 0 for a form that
// is not known: metric and unified D - 1.082532 P, the others D less twice the depth
// of thread. Sources: as for effective.
func (t Thread) minor() int64 {
	switch t.Form {
	case Unknown:
		return 0
	case Metric, Unified:
		return t.Major - millionths(t.Pitch, 1_082_532)
	}
	return t.Major - 2*t.depth()
}

// depth is D - D2 in nanometres: of Whitworth, Loewenherz and BA the depth of thread,
// that of BA rounded to 0.005 mm.
func (t Thread) depth() int64 {
	switch t.Form {
	case Metric, Unified:
		return millionths(t.Pitch, 649_519)
	case Whitworth:
		return millionths(t.Pitch, 640_327)
	case Loewenherz:
		return millionths(t.Pitch, 750_000)
	}
	return nearest(millionths(t.Pitch, 600_000), 5_000)
}

// Height is how high a crest stands over the minor diameter of a hole of its kind, in
// nanometres, 0 for a form that is not known.
func (t Thread) Height() int64 {
	if t.Form == Unknown {
		return 0
	}
	return (t.Major - t.minor()) / 2
}

// millionths returns n millionths of x, halves up.
func millionths(x, n int64) int64 { return (x*n + 500_000) / 1_000_000 }

// nearest rounds x to a step, halves up.
func nearest(x, step int64) int64 { return (x + step/2) / step * step }
