package spring

import (
	"math"
	"slices"
)

// A span is a figure and the least and the greatest that its spring leaves.
type span struct{ mid, low, high float64 }

// into fills in a figure and its ends; an end without a bound stays nil.
func (r span) into(mid, low, high **float64) {
	*mid, *low, *high = ptr(r.mid), ptr(r.low), ptr(r.high)
}

// What may turn a figure: readings, and what two springs may have alike.
const (
	byReading  = "reading"
	byModulus  = "modulus"
	byFriction = "friction" // of coils, or how the outer end of a spiral is held
	byHooks    = "hooks"
)

// A knob turns one input of a spring to an end of what it may be, -1 or 1.
type knob struct {
	what string
	turn func(x *exact, end float64)
}

// span returns a figure of the middle, and its least and greatest over all corners:
// every figure here rises or falls with each input alone, so no other spring that
// can be goes beyond them. except are knobs that stay in the middle.
func (s Spring) span(figure func(exact) float64, except ...string) span {
	mid := s.middle()
	knobs := slices.DeleteFunc(s.knobs(), func(k knob) bool { return slices.Contains(except, k.what) })
	v := figure(mid)
	r := span{v, v, v}
	for bits := range 1 << len(knobs) {
		x := mid
		for i, k := range knobs {
			k.turn(&x, float64(bits>>i&1*2-1))
		}
		if v := figure(x); !math.IsNaN(v) {
			r.low, r.high = min(r.low, v), max(r.high, v)
		}
	}
	return r
}

// knobs are what is open in a spring.
func (s Spring) knobs() []knob {
	w := s.Spread
	out := []knob{{byModulus, func(x *exact, end float64) { x.modulus *= 1 + end*w.Modulus }}}
	read := func(spread int64, at func(x *exact) *float64) {
		if spread > 0 {
			out = append(out, knob{byReading, func(x *exact, end float64) { *at(x) = off(*at(x), end*mm(spread)) }})
		}
	}
	switch {
	case Wound(s.Class):
		read(w.Wire, func(x *exact) *float64 { return &x.wire })
		read(w.Across, func(x *exact) *float64 {
			if x.od > 0 {
				return &x.od
			}
			return &x.mean
		})
		read(w.Coils, func(x *exact) *float64 { return &x.coils })
		if s.FreeLength > 0 {
			read(w.Free, func(x *exact) *float64 { return &x.free })
		}
		return append(out, s.ends()...)
	case s.Length > 0:
		read(w.Length, func(x *exact) *float64 { return &x.strip })
	default:
		read(w.Coils, func(x *exact) *float64 { return &x.coils })
		read(w.Across, func(x *exact) *float64 { return &x.od })
		read(w.Across, func(x *exact) *float64 { return &x.id })
	}
	read(w.Thick, func(x *exact) *float64 { return &x.thick })
	read(w.Width, func(x *exact) *float64 { return &x.width })
	if s.Class != Flat {
		out = append(out, knob{byFriction, func(x *exact, end float64) { x.soft = 1 + (1+end)*turnsSofter/2 }},
			knob{byFriction, func(x *exact, end float64) { x.bent = (3 + end) / 2 }})
	}
	return out
}

// off is a measure that is off by so much: it stays more than nothing, as no
// measure that was read is less.
func off(n, by float64) float64 { return max(n+by, 0.001) }

// ends are the knobs of legs and hooks, and of coils that rub. A leg that was not
// measured may be loaded where it leaves the coil or three diameters away, hooks
// that were not may count for nothing or, as Machinery's Handbook counts, for half a
// coil each: our own brackets.
func (s Spring) ends() []knob {
	var out []knob
	if s.Class == Extension && s.Hooks == nil {
		out = append(out, knob{byHooks, func(x *exact, end float64) { x.hooks = (1 + end) / 2 }})
	}
	if s.Class != Torsion {
		return out
	}
	out = append(out, knob{byFriction, func(x *exact, end float64) {
		if end < 0 {
			x.friction = rubbing
		}
	}})
	far := 3 * s.middle().across()
	for i, leg := range []*int64{s.LegA, s.LegB} {
		switch {
		case leg == nil:
			out = append(out, knob{byReading, func(x *exact, end float64) { x.legs[i] = far * (1 + end) / 2 }})
		case *leg > 0 && s.Spread.Leg > 0:
			out = append(out, knob{byReading, func(x *exact, end float64) { x.legs[i] = max(x.legs[i]+end*mm(s.Spread.Leg), 0) }})
		}
	}
	return out
}
