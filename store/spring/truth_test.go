package spring

import (
	"math"
	"math/rand/v2"
	"os"
	"testing"
)

// A truth is a spring as it is, in mm, turns, MPa and coils of hooks, and what a
// bench reads of it. Its figures are worked out here from the books' formulas, not by
// the program.
type truth struct {
	d, mean, n, legs, hooks float64
	modulus, friction       float64 // friction: what E d^4 is divided by, a turn
	t, b, l                 float64 // of strip
	held                    bool    // the outer end of a spiral
	read                    Spring
}

// A bench draws springs of the sizes that small cameras have and reads them: a
// reading is within the spread of its tool in 99 of 100, as that is the greater of the
// figures that benches give; coils are counted to the quarter; the modulus of a piece
// of wire is within 2 per cent of the table's in 99 of 100.
type bench struct{ *rand.Rand }

func (r bench) between(lo, hi float64) float64 { return lo + (hi-lo)*r.Float64() }

// sure is how many times the middle error is what 99 of 100 stay within.
const sure = 2.576

// reads is a measure read with a tool, in micrometres.
func (r bench) reads(mm, spread float64) int64 {
	return max(int64(math.Round((mm+r.NormFloat64()*spread/sure)*1000)), 1)
}

// coil is the coil that all wound springs have.
func (r bench) coil(class string, e, g float64) truth {
	x := truth{d: r.between(0.1, 0.8), n: r.between(1.5, 10)}
	x.mean = x.d * r.between(4, 12)
	x.modulus = map[bool]float64{true: e, false: g}[class == Torsion] * 1000 * (1 + 0.02/sure*r.NormFloat64())
	x.read = Spring{Class: class, Wire: r.reads(x.d, 0.005), OD: r.reads(x.mean+x.d, 0.03), Coils: int64(math.Round(x.n*4)) * 250, Spread: benchSpread}
	return x
}

func (r bench) torsion(m Material) truth {
	_, e := m.moduli(200)
	x := r.coil(Torsion, e, 0)
	x.friction = r.between(64/(2*math.Pi), 4000./360)
	for _, at := range []**int64{&x.read.LegA, &x.read.LegB} {
		long := r.between(0, 3*x.mean)
		if r.IntN(3) > 0 {
			long *= 2
			n := r.reads(long, 0.5)
			*at = &n
		}
		x.legs += long
	}
	return x
}

func (r bench) extension(m Material) truth {
	g, e := m.moduli(200)
	x := r.coil(Extension, e, g)
	x.hooks = r.between(0, 1)
	return x
}

func (r bench) compression(m Material) truth {
	g, e := m.moduli(200)
	x := r.coil(Compression, e, g)
	x.n += 2
	x.read.Ends, x.read.Coils = Closed, int64(math.Round((x.n+2)*4))*250
	return x
}

func (r bench) strip(class string, m Material) truth {
	_, e := m.moduli(200)
	x := truth{t: r.between(0.05, 0.5), b: r.between(1, 10), l: r.between(10, 60), modulus: e * 1000 * (1 + 0.02/sure*r.NormFloat64()), held: r.IntN(2) > 0}
	x.read = Spring{Class: class, Thick: r.reads(x.t, 0.005), Width: r.reads(x.b, 0.03), Length: r.reads(x.l, 0.03),
		Spread: Spread{Thick: 5, Width: 30, Length: 30, Modulus: 0.02}}
	return x
}

func (x truth) rate() float64 {
	switch x.read.Class {
	case Torsion: // Shigley eqs. 10-48, 10-51, a turn by 2 pi
		return x.modulus * math.Pow(x.d, 4) / (x.friction * 2 * math.Pi * x.mean * (x.n + x.legs/(3*math.Pi*x.mean)))
	case Flat: // 3 E I / L^3
		return 3 * x.modulus * x.b * x.t * x.t * x.t / 12 / (x.l * x.l * x.l)
	case Spiral: // E I / l, Wahl 1.25 on a pin
		k := x.modulus * x.b * x.t * x.t * x.t / 12 / x.l
		if !x.held {
			k /= 1.25
		}
		return k
	}
	return x.modulus * math.Pow(x.d, 4) / (8 * math.Pow(x.mean, 3) * (x.n + x.hooks))
}

func (x truth) stress(load float64) float64 {
	c := x.mean / x.d
	switch x.read.Class {
	case Torsion: // Shigley eq. 10-43
		return (4*c*c - c - 1) / (4 * c * (c - 1)) * 32 * load / (math.Pi * x.d * x.d * x.d)
	case Flat:
		return 6 * load * x.l / (x.b * x.t * x.t)
	case Spiral:
		if x.held {
			return 6 * load / (x.b * x.t * x.t)
		}
		return 12 * load / (x.b * x.t * x.t)
	}
	return (4*c + 2) / (4*c - 3) * 8 * load * x.mean / (math.Pi * x.d * x.d * x.d)
}

// soak is how many springs are drawn of a class: few, or many where TINFUL_SOAK is 1.
func soak(few, many int) int {
	if os.Getenv("TINFUL_SOAK") == "1" {
		return many
	}
	return few
}

// Every interval holds the truth in at least 97 of 100 springs. That a rate of the
// coils alone does not shows that this can fail.
func TestIntervalsHoldTheTruth(t *testing.T) {
	r := bench{rand.New(rand.NewPCG(16, 11))}
	steel, strip := material(t, "A313-302"), UsualMaterial(Flat) // whose modulus is one for all wire
	for _, draw := range []struct {
		name string
		draw func() truth
		m    Material
	}{
		{"torsion", func() truth { return r.torsion(steel) }, steel}, {"extension", func() truth { return r.extension(steel) }, steel},
		{"compression", func() truth { return r.compression(steel) }, steel},
		{"flat", func() truth { return r.strip(Flat, strip) }, strip}, {"spiral", func() truth { return r.strip(Spiral, strip) }, strip},
	} {
		t.Run(draw.name, func(t *testing.T) {
			held, coilsAlone := map[string]int{}, 0
			n := soak(800, 20_000)
			for range n {
				x := draw.draw()
				x.read.Material = draw.m
				x.count(t, held)
				if bare := legless(x.read); x.read.Class == Torsion && inRange(x.rate(), bare) {
					coilsAlone++
				}
			}
			for what, k := range held {
				t.Logf("%s: %.2f %%", what, 100*float64(k)/float64(n))
				if float64(k) < 0.97*float64(n) {
					t.Errorf("%s lies inside in %d of %d", what, k, n)
				}
			}
			if float64(coilsAlone) > 0.8*float64(n) {
				t.Errorf("coils alone hold %d of %d: legs do not tell", coilsAlone, n)
			}
		})
	}
}

// So does the interval between two springs, though the coils of each rub as they do.
func TestComparisonHoldsTheTruth(t *testing.T) {
	r := bench{rand.New(rand.NewPCG(16, 12))}
	steel := material(t, "A313-302")
	for class, draw := range map[string]func(Material) truth{Torsion: r.torsion, Extension: r.extension, Compression: r.compression} {
		held, n := 0, soak(800, 20_000)
		for range n {
			a, b := draw(steel), draw(steel)
			a.read.Material, b.read.Material = steel, steel
			d, err := Compare(a.read, b.read)
			if err != nil {
				t.Fatal(err)
			}
			if p := (b.rate()/a.rate() - 1) * 100; d.Low <= p && p <= d.High {
				held++
			}
		}
		t.Logf("%s: %.2f %%", class, 100*float64(held)/float64(n))
		if float64(held) < 0.97*float64(n) {
			t.Errorf("%s: %d of %d inside", class, held, n)
		}
	}
}

func inRange(rate float64, s Spring) bool {
	f, err := Reckon(s, Load{})
	return err == nil && f.RateLow <= rate && rate <= f.RateHigh
}

// count counts the figures of one spring whose interval holds the truth: under a
// movement and under a load.
func (x truth) count(tb testing.TB, held map[string]int) {
	turned := Turned(x.read.Class)
	move, force := 1.0, 0.5
	moved, loaded := Load{Deflection: &move}, Load{Force: &force}
	if turned {
		angle := move * 180 / math.Pi
		moved, loaded = Load{Angle: &angle}, Load{Torque: &force}
	}
	m, l := reckon(tb, x.read, moved), reckon(tb, x.read, loaded)
	in := func(what string, v float64, low, high *float64) {
		if *low <= v && v <= *high {
			held[what]++
		} else {
			held[what] += 0
		}
	}
	k := x.rate()
	in("rate", k, &m.RateLow, &m.RateHigh)
	in("stress of a movement", x.stress(k*move), m.StressLow, m.StressHigh)
	in("stress of a load", x.stress(force), l.StressLow, l.StressHigh)
	if turned {
		in("torque", k*move, m.TorqueLow, m.TorqueHigh)
		in("angle", force/k*180/math.Pi, l.AngleLow, l.AngleHigh)
	} else {
		in("force", k*move, m.ForceLow, m.ForceHigh)
		in("deflection", force/k, l.DeflectionLow, l.DeflectionHigh)
	}
	if x.read.Class == Torsion || x.read.Class == Compression { // 302 wire, Shigley table 10-4 and its shares of 0.61 and 0.35
		set := map[string]float64{Torsion: 0.61, Compression: 0.35}[x.read.Class] * 1867 / math.Pow(x.d, 0.146)
		in("share of a set", x.stress(k*move)/set, m.ShareLow, m.ShareHigh)
	}
}
