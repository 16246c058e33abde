package ask

import (
	"cmp"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/words"
)

// Title is what a thing is called, in words.
func Title(v *store.View, ref store.Ref) string {
	var bits []string
	switch ref.Kind {
	case "part":
		p, _ := v.Part(ref.Code)
		bits = []string{p.Name, words.ClassName(p.Class)}
	case "bag":
		b, _ := v.Bag(ref.Code)
		st, _ := v.State(ref.Code)
		p, _ := v.Part(b.Part)
		return store.Amount(st.OnHand(), b.Unit, st.About) + " " + cmp.Or(p.Name, "unsorted")
	case "model":
		m, _ := v.Model(ref.Code)
		bits = []string{m.Name}
	case "donor":
		d, _ := v.Donor(ref.Code)
		bits = []string{string(d.Model), d.BodyNo}
	case "job":
		j, _ := v.Job(ref.Code)
		bits = []string{string(j.Model), j.BodyNo, j.Owner}
	case "place":
		p, _ := v.Place(ref.Code)
		bits = []string{p.Where}
	}
	return filled(bits...)
}

// Called is what a list calls a part that has a name, or could not be read: its code then.
func Called(c code.Code, name string, err error) string {
	switch {
	case c == "":
		return "unsorted"
	case err != nil:
		return string(c)
	}
	return name
}

// NameOf is what stands beside a code in a list, and whether there is such a thing.
func NameOf(v *store.View, ref store.Ref) (string, bool) {
	named := func(err error, texts ...string) (string, bool) { return filled(texts...), err == nil }
	switch own := ref.Code; ref.Kind {
	case "part":
		p, err := v.Part(own)
		return named(err, p.Called())
	case "bag":
		b, err := v.Bag(own)
		st, _ := v.State(own) // a list that lacks the place is a list
		p, _ := v.Part(b.Part)
		return named(err, p.Called(), string(st.Place))
	case "model":
		m, err := v.Model(own)
		return named(err, m.Name)
	case "donor":
		d, err := v.Donor(own)
		return named(err, string(d.Model), d.History)
	case "job":
		j, err := v.Job(own)
		return named(err, string(j.Model), j.Owner)
	case "place":
		p, err := v.Place(own)
		return named(err, p.Where)
	}
	return "", false
}
