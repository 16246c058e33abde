package ask

import (
	"tinful/store"
	"tinful/store/code"
)

// ForeignShutter is the kind of a remark that a part sits in a shutter that is not the
// camera's own; the part and the parts camera stand beside it.
const ForeignShutter store.ReasonKind = "foreign-shutter"

// A Looked is what a look said that is new, with names and remarks.
type Looked struct {
	store.LookNews
	On      store.Ref
	Remarks store.Reasons // parts of a shutter that is not the camera's own
	names   map[code.Code]string
}

// Name is the name of a part that the look speaks of.
func (l Looked) Name(part code.Code) string { return l.names[part] }

// LookedOn reads what belongs to a look at a camera.
func LookedOn(view *store.View, on store.Ref, looked store.LookNews) (Looked, error) {
	v := read(view)
	out := Looked{LookNews: looked, On: on, names: map[code.Code]string{}}
	late := ""
	var d store.Donor
	if on.Kind == "donor" {
		d = v.donor(on.Code)
		late = outOfStep(v, v.known(d.Model), MarksOf(d))
	}
	for _, x := range looked.Now {
		p := v.part(x.Part)
		out.names[x.Part] = p.Called()
		if late != "" && p.Seat == "shutter" && x.Seen != "replaced" {
			out.Remarks = append(out.Remarks, store.Say(ForeignShutter, "the shutter of %s was changed, %s: note %s as replaced, it is no evidence for %s",
				d.Code, late, x.Part, d.Model).Of(x.Part, d.Code))
		}
	}
	return out, v.err
}
