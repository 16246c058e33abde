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

// A stepper compares shutters with their cameras. It reads every model once.
type stepper struct {
	v      *store.View
	models map[code.Code]store.Model // the zero Model for one that is not recorded
}

func newStepper(v *store.View) *stepper { return &stepper{v: v, models: map[code.Code]store.Model{}} }

func (s *stepper) model(c code.Code) store.Model {
	m, ok := s.models[c]
	if !ok {
		m, _ = s.v.Model(c)
		s.models[c] = m
	}
	return m
}

// outOfStep says why a shutter cannot have left the maker with a body of this
// model, empty where nothing speaks against it. A shutter older than its body says
// nothing: they lay in stock for years. It is younger when it was not made yet,
// when its number points to a later year even with that much slack, or when a
// camera of later years has an earlier shutter of the same model.
func (s *stepper) outOfStep(model store.Model, m Marks) (string, error) {
	shutter := m.Shutter
	var err error
	if shutter == "" && m.ShutterNo != "" {
		shutter, err = numbered(s.v, "shutter", m.ShutterNo)
	}
	if err != nil || shutter == "" {
		return "", err
	}
	sh := s.model(shutter)
	body, ok := years(model.Years)
	if !ok {
		return "", nil
	}
	made, ok := years(sh.Years)
	if ok && made.from > body.to {
		return fmt.Sprintf("it was made from %d on, and %s until %d", made.from, model.Code, body.to), nil
	}
	if ok {
		if at, ok := madeAbout(sh, made, m.ShutterNo); ok && at > float64(body.to+1+slack) {
			return fmt.Sprintf("its number %s is later than the body: it points to about %d if numbers ran evenly, and %s was made %s",
				m.ShutterNo, int(at), model.Code, model.Years), nil
		}
	}
	return s.witness(sh.Code, body, model, m)
}

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

// witness looks for a parts camera of later years with an earlier shutter, among
// those of the models that carry it.
func (s *stepper) witness(shutter code.Code, body span, model store.Model, m Marks) (string, error) {
	for _, carries := range s.v.CarriedBy(shutter) {
		other := s.model(carries)
		made, ok := years(other.Years)
		if !ok || made.from <= body.to {
			continue
		}
		for _, c := range s.v.DonorsOf(carries) {
			d, err := s.v.Donor(c)
			if err != nil {
				return "", err
			}
			if d.Code == m.Self || d.Shutter != shutter {
				continue
			}
			if later, same := code.CompareNumbers(m.ShutterNo, d.ShutterNo); same && later > 0 {
				return fmt.Sprintf("its number %s is later than %s of %s, a %s of %s, and %s was made %s",
					m.ShutterNo, d.ShutterNo, d.Code, other.Code, other.Years, model.Code, model.Years), nil
			}
		}
	}
	return "", nil
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
		d = store.Donor{BodyNo: j.BodyNo, Shutter: j.Shutter, Lens: j.Lens}
	}
	m := MarksOf(d)
	m.Number, m.ShutterNo, m.LensNo = cmp.Or(said.Number, m.Number), cmp.Or(said.ShutterNo, m.ShutterNo), cmp.Or(said.LensNo, m.LensNo)
	m.Shutter, m.Lens = cmp.Or(said.Shutter, m.Shutter), cmp.Or(said.Lens, m.Lens)
	m.Kind, m.Scale, m.Told = said.Kind, said.Scale, said.Told
	return m, err
}

// ShutterOutOfStep says why the shutter of a parts camera is not its own, empty
// where nothing speaks against it.
func ShutterOutOfStep(v *store.View, d store.Donor) (string, error) {
	s := newStepper(v)
	return s.outOfStep(s.model(d.Model), MarksOf(d))
}
