package cover

import "slices"

// A kept want is one that can be met, with its gifts by body.
type kept struct {
	want  Want
	gifts []Gift // Want is the body here
}

// kept lists the wants that can be met, and notes the others.
func (s *solver) kept(p Problem) []kept {
	all := make([]kept, len(p.Wants))
	for i, w := range p.Wants {
		all[i].want = Want{max(1, w.Need), max(1e-6, min(w.Target, 1)), w.Reckon}
	}
	for b, body := range p.Bodies {
		for _, g := range body.Gives {
			if k := &all[g.Want]; g.Pieces > 0 {
				k.gifts = append(k.gifts, Gift{b, min(g.Pieces, k.want.Need), max(g.Group, -1)})
			}
		}
	}
	var out []kept
	for i := range all {
		all[i].shrink()
		if !all[i].possible() {
			s.impossible = append(s.impossible, i)
			continue
		}
		out = append(out, all[i])
	}
	return out
}

// shrink divides pieces and need by what divides all pieces: yarn is counted in
// millimetres.
func (k *kept) shrink() {
	d := int64(0)
	for _, g := range k.gifts {
		for a := g.Pieces; a != 0; {
			d, a = a, d%a
		}
	}
	if d < 2 {
		return
	}
	k.want.Need = (k.want.Need + d - 1) / d
	for i := range k.gifts {
		k.gifts[i].Pieces /= d
	}
}

func (k *kept) possible() bool {
	if k.certain() {
		sum := int64(0)
		for _, g := range k.gifts {
			sum += g.Pieces
		}
		return sum >= k.want.Need
	}
	set := k.want.Reckon(k.want.Need)
	for _, g := range k.gifts {
		set.Add(g.Group, g.Pieces)
	}
	return met(set.Enough(), k.want.Target)
}

func (k *kept) certain() bool {
	return !slices.ContainsFunc(k.gifts, func(g Gift) bool { return g.Group >= 0 })
}

// needed drops every want that is met whenever another one is; of equals the
// first stays.
func needed(all []kept) []kept {
	gone := make([]bool, len(all))
	for a := range all {
		for b := range all {
			if a == b || gone[b] || len(all[b].gifts) > len(all[a].gifts) || !implied(all[a], all[b]) {
				continue
			}
			if a > b || !implied(all[b], all[a]) {
				gone[a] = true
				break
			}
		}
	}
	var out []kept
	for i, k := range all {
		if !gone[i] {
			out = append(out, k)
		}
	}
	return out
}

// implied says that a is met by every set that meets b: each body that gives b
// gives as much of a, as surely, and a asks no more.
func implied(a, b kept) bool {
	if a.want.Need > b.want.Need || a.want.Target > b.want.Target {
		return false
	}
	var of pairing
	if !a.certain() && !b.certain() {
		of = pairing{a: a.want.Reckon(1), b: b.want.Reckon(1), as: map[int]int{}, from: map[int]int{}}
	}
	i := 0
	for _, g := range b.gifts {
		for i < len(a.gifts) && a.gifts[i].Want < g.Want {
			i++
		}
		if i == len(a.gifts) || a.gifts[i].Want != g.Want || a.gifts[i].Pieces < min(g.Pieces, a.want.Need) || !of.firmer(a.gifts[i].Group, g.Group) {
			return false
		}
	}
	return true
}

// A pairing holds the groups of two wants against each other: those of a are to
// part the bodies as those of b do.
type pairing struct {
	a, b     Reckoner
	as, from map[int]int // group of a by that of b, and back
}

// firmer says that a body gives one part, by group i, as surely as the other, by
// group j, beside all others.
func (p pairing) firmer(i, j int) bool {
	if i < 0 {
		return true
	}
	if j < 0 || p.a == nil {
		return false
	}
	if was, ok := p.as[j]; ok && was != i {
		return false
	}
	if was, ok := p.from[i]; ok && was != j {
		return false
	}
	p.as[j], p.from[i] = i, j
	lackA, haveA := p.a.Rate(i)
	lackB, haveB := p.b.Rate(j)
	return lackA <= lackB && haveA >= haveB
}
