package ask

import (
	"maps"
	"slices"
	"strings"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/dim"
	"tinful/store/words"
)

// scope finds what every condition but words leaves.
func (f *finder) scope() {
	f.scopeBags()
	f.scopeCamera()
	f.scopeMeasure()
	f.scopeThread()
	switch {
	case f.base != nil || len(f.terms) > 0:
	case len(f.q.Class) > 0:
		f.narrow(f.callNames(f.ofClass(f.q.Class), f.q.Class))
	case hand(f.q.Marks[dim.Hand]) == "left":
		f.narrow(f.callNames(f.ofKinds(), []string{"SCR-LH"}))
	default:
		f.narrow(f.ofKinds())
	}
}

// ofKinds lists the parts of the classes that may have all that is asked for:
// for measures and marks that no index knows, such as a head or a shoulder.
func (f *finder) ofKinds() set {
	s := set{}
	asked := slices.Concat(slices.Collect(maps.Keys(f.q.Dims)), slices.Collect(maps.Keys(f.q.Marks)))
	for _, class := range words.Classes() {
		if slices.ContainsFunc(asked, func(d dim.Field) bool { return !mayHave(class, d) }) {
			continue
		}
		s.add(f.v.PartsOfClass(class, false)...)
	}
	return s
}

// narrow keeps of the base what is in s.
func (f *finder) narrow(s set) {
	if f.base == nil {
		f.base = s
		return
	}
	maps.DeleteFunc(f.base, func(c code.Code, _ bool) bool { return !s[c] })
}

func (f *finder) scopeCamera() {
	cam := f.q.Camera
	if cam.Model == "" || f.byMeasure() {
		return
	}
	var lists [][]code.Code
	n := 0
	for _, m := range got(f.v, f.v.Within, cam) {
		lists = append(lists, f.v.PartsInto(m))
		n += len(lists[len(lists)-1])
	}
	s := make(set, n) // of a busy model many thousands, which growing would put in their places again and again
	for _, list := range lists {
		s.add(list...)
	}
	f.narrow(s)
}

func (f *finder) ofClass(classes []string) set {
	s := set{}
	for _, c := range classes {
		s.add(f.v.PartsOfClass(c, true)...)
	}
	return s
}

// callNames adds to s, which it returns, the parts whose class is not said and that are
// called as those of some classes.
func (f *finder) callNames(s set, classes []string) set {
	met := make(map[code.Code]*hit, len(s))
	for c := range s {
		met[c] = &hit{}
	}
	f.byNames(words.Term{Class: classes}, nil, met)
	s.add(slices.Collect(maps.Keys(met))...)
	return s
}

// mayBe says whether a part is of a class asked for. Where its class is not said, its
// measures or its words decide.
func (f *finder) mayBe(p store.Part) bool {
	if p.Class != "" || len(f.q.Class) == 0 || f.byMeasure() {
		return p.Class == "" || underAny(p.Class, f.q.Class)
	}
	return called(p, words.NamesOf(f.q.Class))
}

// byKindOf says that a kind was asked for, by a class, a hand or a word for one.
func (f *finder) byKindOf() bool {
	return len(f.q.Class) > 0 || f.q.Marks[dim.Hand] != "" || slices.ContainsFunc(f.terms, func(t words.Term) bool { return len(t.Class) > 0 })
}

// called says whether a part has all words of one of some names.
func called(p store.Part, names [][]string) bool {
	has := words.Tokens(strings.Join(append([]string{p.Name}, p.Aliases...), " "))
	lacks := func(w string) bool { return !slices.Contains(has, w) }
	return slices.ContainsFunc(names, func(name []string) bool { return !slices.ContainsFunc(name, lacks) })
}

func underAny(class string, prefixes []string) bool {
	return len(prefixes) == 0 || slices.ContainsFunc(prefixes, func(p string) bool { return words.Under(class, p) })
}

// narrowClass leaves what is of a class asked for, where many are left.
func (f *finder) narrowClass() {
	if len(f.q.Class) == 0 || len(f.hits) <= few || len(f.terms) == 0 {
		return
	}
	of := f.callNames(f.ofClass(f.q.Class), f.q.Class)
	maps.DeleteFunc(f.hits, func(c code.Code, _ *hit) bool { return !of[c] })
}
