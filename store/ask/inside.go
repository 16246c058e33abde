package ask

import (
	"slices"

	"tinful/store"
	"tinful/store/code"
)

// An insides tells what is in parts cameras: it goes from a camera to its parts, as
// [looking.holders] goes from a part to the cameras, by the same statements.
type insides struct {
	o     *looking
	whole bool // the statements of all models that are asked for were read, of recorded parts
	said  map[code.Code][]store.Statement
	parts map[code.Code]bool                // those that are recorded and no second name
	units map[code.Code][]code.Code         // what each unit contains
	took  map[code.Code]map[code.Code]int64 // see taken
	holds []code.Code                       // of the last camera that was shelved
}

func newInsides(o *looking) *insides {
	in := &insides{o: o, said: map[code.Code][]store.Statement{}, parts: map[code.Code]bool{}, units: map[code.Code][]code.Code{}, took: map[code.Code]map[code.Code]int64{}}
	o.v.EachHeldIn(func(part, unit code.Code) { in.units[unit] = append(in.units[unit], part) })
	return in
}

// all reads the statements of some models, once and in order of the file.
func (in *insides) all(v *store.View, models map[code.Code]bool) error {
	in.whole = true
	return v.EachBelonging(models, func(s store.Statement) { in.said[s.Model] = append(in.said[s.Model], s) })
}

// models are a parts camera's own and those of its shutter and lens that are certain, in
// order of codes.
func (in *insides) models(d *store.Donor) []code.Code {
	models := []code.Code{d.Model}
	for _, m := range in.o.certain(d.Camera()) {
		if slices.Contains(in.o.v.known(d.Model).Carries, m) {
			models = append(models, m)
		}
	}
	slices.Sort(models)
	return models
}

// into are the statements that parts belong into a model, in order of the parts.
func (in *insides) into(model code.Code) []store.Statement {
	list, ok := in.said[model]
	if ok || in.whole {
		return list
	}
	for _, part := range in.o.v.PartsInto(model) {
		list = append(list, got2(in.o.v, in.o.v.BelongingOn, part, model)...)
	}
	in.said[model] = list
	return list
}

// recorded says whether a part has a record of its own: what else is stated or was seen
// is no part yet, or a second name.
func (in *insides) recorded(part code.Code) bool {
	is, ok := in.parts[part]
	if !ok {
		is = got(in.o.v, in.o.v.IsRecorded, part)
		in.parts[part] = is
	}
	return is
}

// taken counts what was taken out of a parts camera, by part, once: a unit that was taken
// out whole took along what it contains.
func (in *insides) taken(d *store.Donor) map[code.Code]int64 {
	out, had := in.took[d.Code]
	if had {
		return out
	}
	out = map[code.Code]int64{}
	for _, b := range got(in.o.v, in.o.v.DrawnFrom, string(d.Code)) {
		out[b.Part] += b.Pieces
		for _, part := range in.units[b.Part] {
			out[part] += b.Pieces
		}
	}
	in.took[d.Code] = out
	return out
}

// of calls fn for every part that may be in a parts camera of the workshop's that is not
// stripped, in order of the parts: what was seen of it there, and how many were taken out.
// What was seen to lack it is left out.
func (in *insides) of(d *store.Donor, fn func(part code.Code, s source, seen string, taken int64)) {
	if !unstripped(*d) || !store.MayHave(d.Owner, "") {
		return
	}
	models := in.models(d) // of several statements that of the first model counts
	lists := make([][]store.Statement, len(models))
	for i, m := range models {
		lists[i] = in.into(m)
	}
	looks, taken := got(in.o.v, in.o.v.SeenOn, d.Code), in.taken(d)
	for {
		part, any := code.Code(""), len(looks) > 0
		if any {
			part = looks[0].Part
		}
		for _, l := range lists {
			if len(l) > 0 && (!any || l[0].Part < part) {
				part, any = l[0].Part, true
			}
		}
		if !any {
			return
		}
		s, seen := source{donor: d, per: 1}, ""
		if len(looks) > 0 && looks[0].Part == part {
			seen, looks = looks[0].Seen, looks[1:]
		}
		for i, l := range lists {
			for len(l) > 0 && l[0].Part == part {
				if !s.said && (d.Model != models[i] || store.InRange(d.BodyNo, l[0].From, l[0].To)) {
					s.said, s.per = true, l[0].PerBody
				}
				l = l[1:]
			}
			lists[i] = l
		}
		if (s.said || seen != "") && !lacking(seen) && (s.said && in.whole || in.recorded(part)) {
			fn(part, s, seen, taken[part])
		}
	}
}
