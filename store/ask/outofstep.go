package ask

import (
	"cmp"
	"fmt"
	"strconv"
	"strings"

	"tinful/store"
	"tinful/store/code"
)

// slack is by how many years a shutter may seem younger than its camera's last
// year before that is pointed out: makers jumped in their numbers, and a number
// dates a shutter roughly. From memory.
const slack = 2

// A span is some years, both included.
type span struct{ from, to int }

// years reads 1934-36, 1949-1952 and 1942.
func years(text string) (span, bool) {
	a, b, two := strings.Cut(strings.ReplaceAll(strings.TrimSpace(text), "–", "-"), "-")
	from, err := strconv.Atoi(strings.TrimSpace(a))
	if err != nil || from < 1000 || from > 9999 {
		return span{}, false
	}
	if !two {
		return span{from, from}, true
	}
	b = strings.TrimSpace(b)
	to, err := strconv.Atoi(b)
	if err != nil || to < 0 {
		return span{}, false
	}
	if len(b) == 2 {
		if to += from / 100 * 100; to < from {
			to += 100
		}
	}
	return span{from, to}, to >= from
}

// madeAbout is the year that a shutter's number points to if numbers ran evenly.
func madeAbout(sh store.Model, made span, number string) (float64, bool) {
	for _, c := range claimed(sh.Numbers) {
		if at, ok := c.share(number); ok {
			return float64(made.from) + at*float64(made.to+1-made.from), true
		}
	}
	return 0, false
}

// MarksOf are the marks of a parts camera.
func MarksOf(d store.Donor) Marks {
	return Marks{Number: d.BodyNo, Shutter: d.Shutter, ShutterNo: d.ShutterNo, Lens: d.Lens, LensNo: d.LensNo, Self: d.Code}
}

// MarksOn are marks that were said and, where they were not, those recorded of a parts
// camera or job.
func MarksOn(v *store.View, ref store.Ref, said Marks) (Marks, error) {
	d, err := store.Donor{}, error(nil)
	if ref.Kind == "donor" {
		d, err = v.Donor(ref.Code)
	} else {
		var j store.Job
		j, err = v.Job(ref.Code)
		d = store.Donor{Model: j.Model, BodyNo: j.BodyNo, Shutter: j.Shutter, Lens: j.Lens}
	}
	m := MarksOf(d)
	m.Number, m.ShutterNo, m.LensNo = cmp.Or(said.Number, m.Number), cmp.Or(said.ShutterNo, m.ShutterNo), cmp.Or(said.LensNo, m.LensNo)
	m.Shutter, m.Lens = cmp.Or(said.Shutter, m.Shutter), cmp.Or(said.Lens, m.Lens)
	m.Kind, m.Scale, m.Told = "camera", said.Scale, said.Told
	if model, merr := v.Model(d.Model); merr == nil && model.Kind != "" {
		m.Kind = model.Kind
	}
	return m, err
}

// outOfStep says why a shutter cannot have left the maker with a body of this
// model, empty where nothing speaks against it. A shutter older than its body says
// nothing: they lay in stock for years. It is younger when it was not made yet,
// when its number points to a later year even with that much slack, or when a
// camera of later years has an earlier shutter of the same model.
func outOfStep(v *reader, model store.Model, m Marks) string {
	shutter := m.Shutter
	if shutter == "" && m.ShutterNo != "" {
		shutter = numbered(v, "shutter", m.ShutterNo)
	}
	body, ok := years(model.Years)
	if shutter == "" || !ok {
		return ""
	}
	sh := v.known(shutter)
	made, ok := years(sh.Years)
	if ok && made.from > body.to {
		return fmt.Sprintf("it was made from %d on, and %s until %d", made.from, model.Code, body.to)
	}
	if ok {
		if at, ok := madeAbout(sh, made, m.ShutterNo); ok && at > float64(body.to+1+slack) {
			return fmt.Sprintf("its number %s is later than the body: it points to about %d if numbers ran evenly, and %s was made %s",
				m.ShutterNo, int(at), model.Code, model.Years)
		}
	}
	return witness(v, sh.Code, body, model, m)
}

// witness looks for a parts camera of later years with an earlier shutter, among
// those of the models that carry it.
func witness(v *reader, shutter code.Code, body span, model store.Model, m Marks) string {
	if m.ShutterNo == "" {
		return ""
	}
	for _, d := range v.shutterOf(shutter) {
		if d.from <= body.to || d.donor == m.Self {
			continue
		}
		if later, same := code.CompareNumbers(m.ShutterNo, d.number); same && later > 0 {
			return fmt.Sprintf("its number %s is later than %s of %s, a %s of %s, and %s was made %s",
				m.ShutterNo, d.number, d.donor, d.model.Code, d.model.Years, model.Code, model.Years)
		}
	}
	return ""
}

// A witnessed is a parts camera with a numbered shutter of a model.
type witnessed struct {
	donor  code.Code
	number string
	model  *store.Model // of the camera
	from   int          // the first year of that
}

// shutterOf lists the parts cameras of known years that have a shutter of a model with a
// number, in order of camera models. They are read once.
func (r *reader) shutterOf(shutter code.Code) []witnessed {
	list, ok := r.shutters[shutter]
	if ok {
		return list
	}
	for _, carries := range r.CarriedBy(shutter) {
		model := r.known(carries)
		made, dated := years(model.Years)
		if !dated {
			continue
		}
		for _, c := range r.DonorsOf(carries) {
			if d := got(r, r.Donor, c); d.Shutter == shutter && d.ShutterNo != "" {
				list = append(list, witnessed{d.Code, d.ShutterNo, &model, made.from})
			}
		}
	}
	if r.shutters == nil {
		r.shutters = map[code.Code][]witnessed{}
	}
	r.shutters[shutter] = list
	return list
}
