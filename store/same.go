package store

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"tinful/store/code"
	"tinful/store/dim"
	"tinful/store/words"
)

// Same makes part a a second name of part b: what is booked, said, seen and
// wanted of a is b's from then on, and a's code and names lead to b. It is
// refused where they cannot be one part: twins, or one that contains the other; and
// with an [ErrApart] where class, hand or measures differ and nobody says why they are
// one all the same. Where both say something of the same model or donor, and of a
// measure, b's word stands; what only a says b says as well.
func (t *Tx) Same(a, b code.Code, why string) error {
	pa, err := byCode[Part](&t.View, bPart, a)
	if err != nil {
		return err
	}
	pb, err := t.Part(b)
	if err != nil {
		return err
	}
	if err := t.mayBeSame(pa, pb); err != nil {
		return err
	}
	if differs := apart(pa, pb); len(differs) > 0 && why == "" {
		return sentence{refuseAs(ToldApart, "%s and %s are told apart: %s", pa.Code, pb.Code, strings.Join(differs, "; ")), ErrApart}
	}
	if why != "" {
		pa.Note = strings.TrimPrefix(fmt.Sprintf("%s; %s is the same: %s", pb.Note, pa.Code, why), "; ")
		pb.Note = pa.Note
		if err := t.Put(pb); err != nil {
			return err
		}
	}
	return cmp.Or(t.sameBags(pa.Code, pb.Code), t.sameGoes(pa.Code, pb.Code), t.sameSeen(pa.Code, pb.Code),
		t.sameWants(pa.Code, pb.Code), t.sameNames(pa.Code, pb.Code), t.sameParts(pa, pb.Code))
}

func (t *Tx) mayBeSame(a, b Part) error {
	switch {
	case a.Same == b.Code:
		return refuse("%s is a second name of %s already", a.Code, b.Code)
	case a.Same != "":
		return refuse("%s is a second name of %s", a.Code, a.Same)
	case a.Code == b.Code:
		return refuse("%s cannot be made a second name of itself", a.Code)
	case a.Twin == b.Code || b.Twin == a.Code:
		return refuse("%s and %s are twins of opposite hand: they are two parts", a.Code, b.Code)
	case slices.Contains(a.Holds, b.Code) || slices.Contains(b.Holds, a.Code):
		return refuse("one of %s and %s contains the other: they are two parts", a.Code, b.Code)
	}
	return nil
}

// apart lists what tells two parts apart: class, hand and thread, and measures that
// differ by more than readings of one part do.
func apart(a, b Part) (out []string) {
	differ := func(what, x, y string) {
		if x != "" && y != "" && x != y {
			out = append(out, fmt.Sprintf("%s %s and %s", what, x, y))
		}
	}
	differ("class", words.ClassName(a.Class), words.ClassName(b.Class))
	for _, in := range dim.Table() {
		x, taken := a.Dims[in.Field]
		y, both := b.Dims[in.Field]
		of := in.For(cmp.Or(a.Class, b.Class))
		switch lo, hi := min(x, y), max(x, y); {
		case in.Field == dim.Hand || in.Field == dim.Thread:
			differ(in.Name(), a.Marks[in.Field], b.Marks[in.Field])
		case in.Field != dim.Mass && taken && both && hi-lo > max(of.Same, of.SamePlus):
			differ(in.Name(), dim.Format(in.Field, x), dim.Format(in.Field, y))
		}
	}
	return out
}

func (t *Tx) sameBags(a, b code.Code) error {
	for _, c := range t.BagsOf(a) {
		bag, err := t.Bag(c)
		if err != nil {
			return err
		}
		bag.Part = b
		if err := t.Put(bag); err != nil {
			return err
		}
	}
	return nil
}

func (t *Tx) sameGoes(a, b code.Code) error {
	said, err := t.GoesOf(a)
	if err != nil {
		return err
	}
	had, err := t.GoesOf(b)
	if err != nil {
		return err
	}
	for _, g := range said {
		if err := remove[Goes](t, bGoes, keyGoes(g)); err != nil {
			return err
		}
		if slices.ContainsFunc(had, func(h Goes) bool { return h.Model == g.Model }) {
			continue
		}
		g.Part = b
		if err := t.Put(g); err != nil {
			return err
		}
	}
	return nil
}

func (t *Tx) sameSeen(a, b code.Code) error {
	for _, l := range t.LooksOf(a) {
		s, err := get[Seen](&t.View, bSeen, keySeen(l), string(seenOn(l)))
		if err != nil {
			return err
		}
		if err := remove[Seen](t, bSeen, keySeen(s)); err != nil {
			return err
		}
		s.Part = b
		if t.at(bSeen, keySeen(s)) != nil {
			continue
		}
		if err := t.Put(s); err != nil {
			return err
		}
	}
	return nil
}

func (t *Tx) sameWants(a, b code.Code) error {
	wants, err := t.WantsOf(a)
	if err != nil {
		return err
	}
	for _, w := range wants {
		if err := remove[Want](t, bWant, keyWant(w)); err != nil {
			return err
		}
		w.Part, w.Nth = b, 0
		for t.at(bWant, keyWant(w)) != nil {
			w.Nth++
		}
		if err := t.Put(w); err != nil {
			return err
		}
	}
	return nil
}

// sameNames leads what names a to b: twins, units and a's own second names.
func (t *Tx) sameNames(a, b code.Code) error {
	var second []code.Code
	err := t.EachPart(func(p Part) error {
		if p.Same == a {
			second = append(second, p.Code)
		}
		return nil
	})
	if err != nil {
		return err
	}
	for _, c := range slices.Concat(t.TwinsOf(a), t.UnitsWith(a), second) {
		p, err := byCode[Part](&t.View, bPart, c)
		if err != nil {
			return err
		}
		for _, at := range []*code.Code{&p.Twin, &p.Same} {
			if *at == a {
				*at = b
			}
		}
		p.Holds = slices.Clone(p.Holds)
		for i, h := range p.Holds {
			if h == a {
				p.Holds[i] = b
			}
		}
		slices.Sort(p.Holds)
		p.Holds = slices.Compact(p.Holds)
		if err := t.Put(p); err != nil {
			return err
		}
	}
	return nil
}

// sameParts writes both parts: a leads to b, and b has a's names and what else is
// known of a where b says nothing: measures, what to keep, cautions.
func (t *Tx) sameParts(a Part, to code.Code) error {
	had, err := t.Part(to)
	if err != nil {
		return err
	}
	b, _ := merge(a, had)
	b.Code, b.Same = had.Code, had.Same
	b.Aliases = moreNames(had.Aliases, had.Name, append([]string{a.Name, string(a.Code)}, a.Aliases...))
	b.MakerNos = moreNames(had.MakerNos, "", a.MakerNos)
	for _, of := range []struct {
		what  string
		names []string
	}{{"names", b.Aliases}, {"maker's numbers", b.MakerNos}} {
		if _, err := CleanText(strings.Join(of.names, "; ")); err != nil {
			return refuse("the %s of %s and %s are more than one cell of a workbook holds: take some out first", of.what, a.Code, b.Code)
		}
	}
	a.Same = b.Code
	return cmp.Or(t.Put(a), t.Put(b))
}

// moreNames adds the names that a part does not have yet, told by their folded
// words.
func moreNames(have []string, name string, more []string) []string {
	out := slices.Clone(have)
	known := map[string]bool{words.Fold(name): true, "": true}
	for _, n := range have {
		known[words.Fold(n)] = true
	}
	for _, n := range more {
		if f := words.Fold(n); !known[f] {
			known[f] = true
			out = append(out, n)
		}
	}
	return out
}
