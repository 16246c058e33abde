package page

import (
	"strings"

	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/words"
)

// A partPage is all that is known of a part.
type partPage struct {
	Part, Name, Kind, Left string
	Free                   string
	Measures               string
	Facts                  tell.Facts
	Goes                   []degree
	Bags                   []hitBag
	Donors                 []link
	Traps, Care, Wanted    []string
	Twin                   *link
	Jobs                   []link
	List                   string // the list it was chosen from
	Album                  *album
	Sketch                 Sketch
	Labels                 *labelForm
}

// A degree is how a part goes into some models.
type degree struct {
	Degree string
	Never  bool
	Into   []link
}

func showPart(v *visit) {
	ref := v.thing("part")
	s, p := asked(v, ask.PartSheet, ref.Code), found(v, v.view.Part, ref.Code)
	if v.view.Err != nil {
		return
	}
	about, counted := ask.CountedOf(s.Bags)
	out := partPage{Part: string(p.Code), Name: p.Name, Kind: words.ClassName(p.Class), Left: store.LeftHand(p), Free: tell.Free(s.Free, counted, about, s.Bags), Measures: ask.MeasuresOf(p),
		Facts: tell.PartFacts(s), Traps: tell.Hinted(s.Traps), Care: s.Cautions, Wanted: tell.Each(s.Wants, tell.SheetWanted), Bags: v.shelf().bags(s.Bags)}
	for _, d := range s.Degrees() {
		g := degree{Degree: strings.ReplaceAll(d, ";", " and "), Never: store.Verdict{Degrees: strings.Split(d, ";")}.Never()}
		for _, x := range s.Goes {
			if x.Degree == d {
				g.Into = append(g.Into, link{v.Thing("model", x.Model), string(x.Model), tell.StatedWords(x)})
			}
		}
		out.Goes = append(out.Goes, g)
	}
	out.Donors = tell.Each(s.Donors, func(d ask.SheetDonor) link {
		left := tell.Many(d.Left, "piece")
		if unit := tell.UnitIn(s.Bags); unit == "mm" {
			left = store.Amount(d.Left, unit, false)
		}
		return link{v.Thing("donor", d.Donor), strings.Join(tell.Filled(string(d.Donor), string(d.Model)), " "), left + " left, " + tell.StillIn(d)}
	})
	if p.Twin != "" {
		out.Twin = &link{v.Thing("part", p.Twin), string(p.Twin), ""}
	}
	if q := v.given("q"); q != "" {
		v.Asked, out.List = q, v.Link("/find", "q", q)
	}
	drawn, err := v.page.bench.Sketch(p)
	v.view.Keep(err)
	out.Sketch = drawn
	out.Jobs, out.Album, out.Labels = v.openJobs(), v.album(ref, 0), v.labels(ref)
	v.screen, v.Title, v.Body = "part", string(p.Code)+" "+p.Name, out
}

// A bagPage is a bag in hand: how many are taken is asked next.
type bagPage struct {
	hitBag
	Part, Name, Left, Unit string
	PartTo                 string
	N                      string
	Digits                 string // that mean how many, where the box takes them
	Goes                   string
	Traps                  []string
	Jobs                   []link
	Album                  *album
	Labels                 *labelForm
}

func showBag(v *visit) {
	ref := v.thing("bag")
	b, st := found(v, v.view.Bag, ref.Code), found(v, v.view.State, ref.Code)
	if v.view.Err != nil {
		return
	}
	out := bagPage{Unit: b.Unit, N: v.given("n"), hitBag: hitBag{Bag: string(b.Code), Place: string(st.Place), Where: v.shelf().placeWords(st.Place), Grade: st.Grade, Origin: b.Origin,
		Free: store.Amount(b.Free(st), b.Unit, st.About), Some: b.Free(st) > 0, Here: st.FittedInJob(v.On), Held: st.HeldForJob(v.On), To: v.Thing("bag", b.Code), PlaceTo: v.Thing("place", st.Place)}}
	if b.Part != "" {
		p := found(v, v.view.Part, b.Part)
		out.Part, out.Name, out.Left, out.PartTo = string(p.Code), p.Name, store.LeftHand(p), v.Thing("part", p.Code)
		out.Traps = tell.Hinted(asked(v, ask.PartSheet, b.Part).Traps)
	} else {
		out.Name = "unsorted"
	}
	if !b.Ours() {
		out.Notes = "belongs to " + tell.OwnerWords(b.Owner)
	}
	v.plain = v.typed("show bag:{code}")
	out.Jobs, out.Album, out.Labels = v.openJobs(), v.album(ref, 0), v.labels(ref)
	if v.On != "" && out.Some && !v.ReadOnly {
		out.Digits = v.digits()
	}
	v.Bag, v.Led = b.Code, out.N != "" && out.Some && !v.ReadOnly
	v.screen, v.Title, v.Body = "bag", string(b.Code)+" "+out.Name, out
}

// digits are those that are no code of anything: behind a bag they mean how many.
func (v *visit) digits() (out string) {
	for _, d := range "123456789" {
		if len(v.view.Resolve(string(d))) == 0 {
			out += string(d)
		}
	}
	return out
}
