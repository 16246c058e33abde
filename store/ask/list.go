package ask

import (
	"cmp"
	"slices"
	"strings"

	"tinful/store"
	"tinful/store/code"
)

// A Lying is a part that lies in a place, on a list that hangs on the cabinet.
type Lying struct {
	Part   code.Code `json:"part"`
	Name   string    `json:"name"`
	Left   string    `json:"left_hand,omitempty"` // in capitals, where a driver must turn the other way
	Place  code.Code `json:"place"`
	Where  string    `json:"where,omitempty"`
	Pieces int64     `json:"pieces"` // that lie there, held ones too; of stock by length in millimetres
	Unit   string    `json:"unit"`
	About  bool      `json:"about,omitempty"`
	Theirs string    `json:"owner,omitempty"` // whose they are, where they are not the workshop's
}

// LyingIn lists what lies in some places, in all but trays where none is named: by name,
// then place. What was sorted into no part, and bags with nothing in them, are left out.
func LyingIn(view *store.View, places []code.Code) ([]Lying, error) {
	v := read(view)
	if len(places) == 0 {
		v.keep(view.EachPlace(func(p store.Place) error {
			if !view.IsTray(p.Code) {
				places = append(places, p.Code)
			}
			return nil
		}))
	}
	type key struct {
		part, place code.Code
		unit, owner string
	}
	lines := map[key]*Lying{}
	for _, place := range places {
		where := got(v, view.Place, place).Where
		for _, c := range view.BagsAt(place) {
			b, st := v.bag(c), v.state(c)
			n := st.InDrawer()
			if v.err != nil || n <= 0 || b.Part == "" {
				continue
			}
			p := v.part(b.Part)
			k := key{p.Code, place, b.Unit, b.Owner}
			l := lines[k]
			if l == nil {
				l = &Lying{Part: p.Code, Name: p.Name, Left: store.LeftHand(p), Place: place, Where: where, Unit: b.Unit}
				if b.Owner != store.Own {
					l.Theirs = b.Owner
				}
				lines[k] = l
			}
			l.Pieces, l.About = l.Pieces+n, l.About || st.About
		}
	}
	out := make([]Lying, 0, len(lines))
	for _, l := range lines {
		out = append(out, *l)
	}
	slices.SortFunc(out, func(a, b Lying) int {
		return cmp.Or(strings.Compare(strings.ToLower(a.Name), strings.ToLower(b.Name)), cmp.Compare(a.Part, b.Part), cmp.Compare(a.Place, b.Place), cmp.Compare(a.Theirs, b.Theirs), cmp.Compare(a.Unit, b.Unit))
	})
	return out, v.err
}

// A FreeIn is a part of which something is free and that goes into a model.
type FreeIn struct {
	Model     code.Code   `json:"model"`
	ModelName string      `json:"model_name,omitempty"`
	Part      code.Code   `json:"part"`
	Name      string      `json:"name"`
	Left      string      `json:"left_hand,omitempty"`
	Degrees   []string    `json:"degree"`
	Free      int64       `json:"free"`
	Unit      string      `json:"unit"`
	About     bool        `json:"about,omitempty"`
	Places    []code.Code `json:"places"` // where free ones lie
}

// FreeByModel lists for each model, or the one named, the parts said to go into it of
// which something is free, with how they go in. What is said not to go in is left out; a
// part that goes into several models stands with each of them.
func FreeByModel(view *store.View, only code.Code) ([]FreeIn, error) {
	v := read(view)
	out := []FreeIn{}
	known := map[code.Code]*FreeIn{}
	free := func(part code.Code) *FreeIn {
		if l, ok := known[part]; ok {
			return l
		}
		p, f := v.part(part), v.figure(part)
		l := &FreeIn{Part: p.Code, Name: p.Name, Left: store.LeftHand(p), Free: f.Free(), Places: []code.Code{}}
		for _, c := range view.BagsOf(part) {
			if b, st := v.bag(c), v.state(c); st.Free() > 0 && b.Owner == store.Own {
				l.About, l.Unit = l.About || st.About, b.Unit
				if b.Place != "" && !slices.Contains(l.Places, b.Place) {
					l.Places = append(l.Places, b.Place)
				}
			}
		}
		known[part] = l
		return l
	}
	v.keep(view.EachModel(func(m store.Model) error {
		if only != "" && m.Code != only {
			return nil
		}
		from := len(out)
		said := map[code.Code]bool{}
		err := view.GoesInto(m.Code, func(part code.Code, degrees []string) error {
			if v.err != nil || said[part] || slices.Contains(degrees, "no") || slices.Contains(degrees, "opposite-hand") {
				return v.err
			}
			l := *free(part)
			if said[part] = true; l.Free > 0 {
				l.Model, l.ModelName, l.Degrees = m.Code, m.Name, slices.Clone(degrees)
				out = append(out, l)
			}
			return nil
		})
		slices.SortFunc(out[from:], func(a, b FreeIn) int {
			return cmp.Or(strings.Compare(strings.ToLower(a.Name), strings.ToLower(b.Name)), cmp.Compare(a.Part, b.Part))
		})
		return err
	}))
	return out, v.err
}

// A SeenGrid has a row for each part and a column for each parts camera: what was seen.
type SeenGrid struct {
	Cameras []code.Code `json:"donors"`
	Rows    []SeenRow   `json:"parts"`
}

// A SeenRow is a part and what was seen of it on each camera, empty where nobody looked.
type SeenRow struct {
	Part code.Code `json:"part"`
	Name string    `json:"name"`
	Seen []string  `json:"seen"`
}

// SeenOnDonors is what was seen on parts cameras, of all models or of one: its parts are
// those said to go into the model and those that were looked for.
func SeenOnDonors(view *store.View, only code.Code) (SeenGrid, error) {
	v := read(view)
	g := SeenGrid{Cameras: []code.Code{}, Rows: []SeenRow{}}
	seen, parts := map[[2]code.Code]string{}, map[code.Code]bool{}
	v.keep(view.EachDonor(func(d store.Donor) error {
		if only != "" && d.Model != only {
			return nil
		}
		g.Cameras = append(g.Cameras, d.Code)
		all, err := view.SeenOn(d.Code)
		for _, s := range all {
			seen[[2]code.Code{d.Code, s.Part}], parts[s.Part] = s.Seen, true
		}
		return err
	}))
	if only != "" {
		for _, p := range view.PartsInto(only) {
			parts[p] = true
		}
	}
	for p := range parts {
		r := SeenRow{Part: p, Name: v.part(p).Called(), Seen: []string{}} // LEFT-HAND stands with its name
		for _, d := range g.Cameras {
			r.Seen = append(r.Seen, seen[[2]code.Code{d, p}])
		}
		g.Rows = append(g.Rows, r)
	}
	slices.SortFunc(g.Rows, func(a, b SeenRow) int { return cmp.Compare(a.Part, b.Part) })
	return g, v.err
}
