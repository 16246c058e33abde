package ask

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/dim"
)

// A GearQuery is a gear or rack as it was measured or recorded, in micrometres;
// what is not known is 0.
type GearQuery struct {
	Part      code.Code // whose gear it is, empty for one on the bench
	Rack      bool      // teeth in a line: they have no axis
	Teeth     int64
	OD        int64
	Module    int64
	Low, High int64     // within which the module lies
	Reckoned  bool      // the module follows from teeth and outside
	Mate      code.Code // a part it is to mesh with
	MateTeeth int64     // of a mate that is no part and of the same module
}

// circle is the diameter of the pitch circle, 0 for a rack and where the teeth
// are not known. It is reckoned from the outside where the module is, which is
// rounded.
func (q GearQuery) circle() int64 {
	switch {
	case q.Rack:
		return 0
	case q.Reckoned:
		return dim.GearCircle(q.OD, q.Teeth)
	}
	return dim.GearPitchCircle(q.Module, q.Teeth)
}

// A Gear is the answer to a GearQuery. Lengths are millimetres.
type Gear struct {
	Part        code.Code     `json:"part,omitempty"`
	Name        string        `json:"name,omitempty"`
	Teeth       int64         `json:"teeth,omitempty"`
	OD          float64       `json:"od,omitempty"`
	Module      float64       `json:"module"`
	Low         float64       `json:"module_low"`
	High        float64       `json:"module_high"`
	Pitch       float64       `json:"pitch"`
	PitchCircle float64       `json:"pitch_circle,omitempty"`
	Diametral   float64       `json:"diametral_pitch"` // teeth to an inch of the pitch circle
	Rack        bool          `json:"rack"`
	Mate        *GearMate     `json:"mate,omitempty"` // the one asked for
	Mates       []GearMate    `json:"mates"`          // parts of the same module
	Traps       store.Reasons `json:"traps"`

	Micro struct{ OD, Module, Low, High, Pitch, Circle int64 } `json:"-"`
}

// MarshalJSON has the kinds of the traps beside them.
func (g Gear) MarshalJSON() ([]byte, error) {
	type plain Gear
	return store.JSON(struct {
		plain
		Kinds []store.ReasonKind `json:"traps_kind"`
	}{plain(g), store.ReasonKinds(g.Traps)})
}

// A GearMate is a gear, rack or ratchet that may mesh.
type GearMate struct {
	Part    code.Code `json:"part,omitempty"`
	Name    string    `json:"name,omitempty"`
	Class   string    `json:"class,omitempty"`
	Teeth   int64     `json:"teeth,omitempty"`
	Module  float64   `json:"module"`
	Meshes  bool      `json:"meshes"`            // the modules agree
	Centres *float64  `json:"centres,omitempty"` // from axis to axis, for a rack from axis to pitch line
	Rack    bool      `json:"rack"`
	OnHand  int64     `json:"on_hand"`
	Free    int64     `json:"free"`
	Bags    []BagLine `json:"bags,omitempty"`

	low, high, module, circle int64
}

// recorded is how far a module that is written down to a hundredth may be off.
const recorded = 5

// GearOf is what is recorded of a part that is a gear, rack or ratchet. spread is
// what its outside diameter may be off by. It returns false where neither its
// module nor teeth and outside are recorded.
func GearOf(p store.Part, spread int64) (GearQuery, bool) {
	q := GearQuery{Part: p.Code, Rack: p.Class == "RCK", Teeth: p.Dims[dim.Teeth], OD: p.Dims[dim.OD], Module: p.Dims[dim.Module]}
	switch {
	case q.Module > 0:
		q.Low, q.High = q.Module-recorded, q.Module+recorded
		return q, true
	case q.Teeth > 0 && q.OD > 0 && p.Class == "GER":
		return q.Measured(spread), true
	}
	return q, false
}

// Measured is the query with the module that follows from teeth and outside.
func (q GearQuery) Measured(spread int64) GearQuery {
	q.Module, q.Reckoned = dim.GearModule(q.OD, q.Teeth), true
	q.Low, q.High = dim.GearModule(max(0, q.OD-spread), q.Teeth), dim.GearModule(q.OD+spread, q.Teeth)
	return q
}

// FindGear tells of a gear its module, pitch and circle, the distance to the mate
// asked for, and the parts of the same module. v may be nil: then the gear alone
// is told. spread is what an outside diameter may be off by.
func FindGear(view *store.View, q GearQuery, spread int64) (Gear, error) {
	v := read(view)
	g := Gear{Part: q.Part, Teeth: q.Teeth, OD: mmOf(q.OD), Module: mmOf(q.Module), Low: mmOf(q.Low), High: mmOf(q.High), Rack: q.Rack,
		Mates: []GearMate{}}
	g.Micro.OD, g.Micro.Module, g.Micro.Low, g.Micro.High, g.Micro.Circle = q.OD, q.Module, q.Low, q.High, q.circle()
	module := float64(q.Module)
	if g.Micro.Circle > 0 {
		module = float64(g.Micro.Circle) / float64(q.Teeth) // less rounded
	}
	g.Micro.Pitch = dim.GearPitch(module)
	g.Pitch, g.PitchCircle, g.Diametral = mmOf(g.Micro.Pitch), mmOf(g.Micro.Circle), math.Round(25_400/module*10)/10
	if view != nil {
		g.mates(v, q, spread)
	}
	if q.MateTeeth > 0 {
		m := GearMate{Teeth: q.MateTeeth, module: q.Module, low: q.Low, high: q.High, circle: dim.GearPitchCircle(q.Module, q.MateTeeth)}
		if q.Teeth > 0 && !q.Rack {
			m.circle = dim.GearShare(g.Micro.Circle, q.MateTeeth, q.Teeth)
		}
		g.meet(&m, q)
		g.Mate = &m
	}
	g.traps(v, q, spread)
	return g, v.err
}

func mmOf(um int64) float64 { return float64(um) / 1000 }

// mates finds the parts of the same module, and the one asked for whatever its
// module.
func (g *Gear) mates(v *reader, q GearQuery, spread int64) {
	if q.Mate != "" {
		m, _ := gearMate(v, q.Mate, spread)
		g.meet(&m, q)
		g.Mate = &m
	}
	for _, class := range []string{"GER", "RCK", "RAT"} {
		for _, c := range v.PartsOfClass(class, true) {
			if c == q.Part || c == q.Mate {
				continue
			}
			m, known := gearMate(v, c, spread)
			if g.meet(&m, q); known && m.Meshes {
				g.Mates = append(g.Mates, m)
			}
		}
	}
	slices.SortStableFunc(g.Mates, func(a, b GearMate) int {
		return cmp.Or(cmp.Compare(min(b.Free, 1), min(a.Free, 1)), cmp.Compare(a.Part, b.Part))
	})
}

func gearMate(v *reader, c code.Code, spread int64) (m GearMate, known bool) {
	p := v.part(c)
	o, known := GearOf(p, spread)
	if !known {
		return m, false
	}
	f := v.figure(c)
	return GearMate{Part: c, Name: p.Name, Class: p.Class, Teeth: o.Teeth, Rack: o.Rack, OnHand: f.OnHand(), Free: f.Free(), Bags: ownBags(v, c),
		low: o.Low, high: o.High, module: o.Module, circle: o.circle()}, true
}

// meet tells whether a mate's module agrees, and how far apart the axes are. Two
// racks never mesh.
func (g *Gear) meet(m *GearMate, q GearQuery) {
	m.Module = mmOf(m.module)
	m.Meshes = m.low <= q.High && q.Low <= m.high && !(q.Rack && m.Rack)
	if !m.Meshes || !q.Rack && g.Micro.Circle == 0 || !m.Rack && m.circle == 0 {
		return
	}
	centres := mmOf(dim.GearCentres(g.Micro.Circle, m.circle))
	m.Centres = &centres
}

// traps names the usual mistakes and what the records do not agree on.
func (g *Gear) traps(v *reader, q GearQuery, spread int64) {
	trap := func(kind store.ReasonKind, format string, args ...any) {
		g.Traps = append(g.Traps, store.Say(kind, format, args...))
	}
	if q.Part == "" && q.Reckoned {
		trap(Divided, "not %s / %d = %.3f: the tips stand a module over the pitch circle on either side, so the outside is divided by teeth + 2, %d",
			dim.Format(dim.OD, q.OD), q.Teeth, float64(q.OD)/float64(q.Teeth)/1000, q.Teeth+2)
	}
	if q.Teeth > 0 && q.OD > 0 && !q.Rack {
		if m := q.Measured(spread); m.Low > q.High || q.Low > m.High {
			trap(Disagrees, "teeth and outside make module %s, not %s: other teeth than standard, worn tips, or a slip of the pen", dim.Format(dim.Module, m.Module), dim.Format(dim.Module, q.Module))
		}
	}
	if g.Mate != nil && !g.Mate.Meshes {
		why := fmt.Sprintf("module %v against %v", g.Mate.Module, g.Module)
		if q.Rack && g.Mate.Rack {
			why = "both are racks"
		}
		trap(NotMeshing, "%s does not mesh: %s", cmp.Or(string(g.Mate.Part), "the mate"), why)
	}
	if v.View == nil || q.Part == "" {
		return
	}
	for _, l := range ownBags(v, q.Part) {
		if b := v.bag(l.Bag); b.GoesWith != "" {
			trap(GoesWith, "%s goes with %s: what has worn together stays together", b.Code, b.GoesWith)
		}
	}
}
