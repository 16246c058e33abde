package ask

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"
	"tinful/store"
	"tinful/store/code"
	"tinful/store/dim"
	"tinful/store/words"
)

// A hit is a part the words have led to.
type hit struct {
	score                   float64
	exact, byClass, guessed bool
}

// search follows the words. All terms must be met; an exact code or name is
// a hit by itself.
func (f *finder) search() {
	if len(f.terms) == 0 {
		for c := range f.base {
			f.hits[c] = &hit{}
		}
		return
	}
	f.exact()
	for c, h := range f.meetAll() {
		if old := f.hits[c]; old != nil {
			old.score = h.score
		} else {
			f.hits[c] = h
		}
	}
}

// exact finds the part whose code or whole name was typed.
func (f *finder) exact() {
	typed := strings.Join(f.q.Words, " ")
	var list []code.Code
	for _, r := range f.v.Resolve(typed) {
		if r.Kind == "part" {
			list = append(list, r.Code)
		} else {
			f.out.Clash = append(f.out.Clash, r.String())
		}
	}
	for _, c := range append(list, f.v.PartsNamed(words.Fold(typed))...) {
		if f.base == nil || f.base[c] {
			f.hits[c] = &hit{exact: true}
		}
	}
}

// meetAll meets the terms one after the other, plain words first, as they
// leave the fewest.
func (f *finder) meetAll() map[code.Code]*hit {
	terms := slices.Clone(f.terms)
	slices.SortStableFunc(terms, func(a, b words.Term) int { return cmp.Compare(min(len(a.Class), 1), min(len(b.Class), 1)) })
	met, local := map[code.Code]*hit{}, f.base
	for i, t := range terms {
		now := f.meet(t, local)
		local = set{}
		for c, h := range now {
			local[c] = true
			if old := met[c]; old != nil && i > 0 {
				h.score, h.byClass, h.guessed = h.score+old.score, h.byClass || old.byClass, h.guessed || old.guessed
			}
		}
		met = now
	}
	return met
}

// meet finds the parts in local, or all where it is nil, that meet a term: by
// their words, their code, their class, or else by the nearest word.
func (f *finder) meet(t words.Term, local set) map[code.Code]*hit {
	met := map[code.Code]*hit{}
	for c, s := range f.text(single(t.Tokens), local) {
		met[c] = &hit{score: s}
	}
	f.byCode(t, local, met)
	if len(t.Class) == 0 && len(t.Tokens) == 1 {
		t.Class = classesWith(t.Tokens[0])
	}
	f.byKind(t, local, met)
	if len(met) == 0 && len(t.Class) == 0 && !t.Other && len(f.hits) == 0 {
		f.guess(t, local, met)
	}
	return met
}

// byKind adds the parts of a kind that are not met by their words: those of its
// classes, and by the words of all languages those whose class is not said. Of a
// narrow kind the words decide alone.
func (f *finder) byKind(t words.Term, local set, met map[code.Code]*hit) {
	if !t.Narrow {
		f.byClass(t.Class, local, met)
	}
	f.byNames(t, local, met)
}

// byNames adds the parts that are called by another word for the kind: of a narrow
// kind those of its classes, and those whose class is not said.
func (f *finder) byNames(t words.Term, local set, met map[code.Code]*hit) {
	if len(t.Class) == 0 {
		return
	}
	left := rest(local, met)
	if !t.Narrow && f.said(left) {
		return
	}
	classes := withBelow(t.Class)
	if f.classed() && left != nil { // only those of its classes can be it
		maps.DeleteFunc(left, func(c code.Code, _ bool) bool { return !f.isOf(c, classes) })
		if len(left) == 0 {
			return
		}
	}
	for _, name := range t.Names() {
		if slices.ContainsFunc(name, func(w string) bool { return !f.has(w) }) {
			continue
		}
		for c, s := range f.text(single(name), left) {
			if met[c] == nil && (t.Narrow && f.isOf(c, classes) || !f.classed() && f.read(c).Class == "") {
				met[c] = &hit{score: s, byClass: !t.Narrow}
			}
		}
	}
}

// isOf says whether a part is of one of some classes, those below not counted.
func (f *finder) isOf(c code.Code, classes []string) bool {
	return slices.ContainsFunc(classes, func(class string) bool { return f.v.OfClass(c, class) })
}

// withBelow lists classes and all below them.
func withBelow(classes []string) []string {
	return slices.DeleteFunc(words.Classes(), func(class string) bool { return !underAny(class, classes) })
}

// said says whether the class of each of some parts is said, nil for all. A few are read
// for it: to count all that have a class takes every page of their index.
func (f *finder) said(parts set) bool {
	if f.all != nil || parts == nil || len(parts) > handful {
		return f.classed()
	}
	for c := range parts {
		if f.read(c).Class == "" {
			f.all = new(bool)
			return false
		}
	}
	return true
}

// classed says whether the class of every part is said.
func (f *finder) classed() bool {
	if f.all == nil {
		all := f.v.AllClassed()
		f.all = &all
	}
	return *f.all
}

// rest is what of local is not met, nil for all.
func rest(local set, met map[code.Code]*hit) set {
	if local == nil {
		return nil
	}
	out := maps.Clone(local)
	maps.DeleteFunc(out, func(c code.Code, _ bool) bool { return met[c] != nil })
	return out
}

// has says whether any part has a folded word.
func (f *finder) has(word string) bool {
	known, asked := f.words[word]
	if !asked {
		known = f.v.AnyWord(word)
		f.words[word] = known
	}
	return known
}

// classesWith lists the classes in whose name a word stands.
func classesWith(token string) []string {
	var out []string
	for _, c := range words.Classes() {
		if slices.Contains(words.Tokens(words.ClassName(c)), token) {
			out = append(out, c)
		}
	}
	return out
}

func single(tokens []string) [][]string {
	out := make([][]string, len(tokens))
	for i, t := range tokens {
		out[i] = []string{t}
	}
	return out
}

// text finds the parts that have, of each list, at least one word, and what
// that adds to their score.
func (f *finder) text(lists [][]string, local set) map[code.Code]float64 {
	sum := map[code.Code]float64{}
	for i, alts := range lists {
		now := map[code.Code]float64{}
		for _, w := range alts {
			for c, s := range f.word(w, local) {
				now[c] = max(now[c], s)
			}
		}
		local = make(set, len(now))
		for c := range now {
			now[c] += sum[c]
			local[c] = true
		}
		sum = now
		if i+1 < len(lists) && len(now) == 0 {
			return now
		}
	}
	return sum
}

// word scores the parts that have one word. Where few parts are left, each is
// asked, and the word's weight is that among them.
func (f *finder) word(w string, local set) map[code.Code]float64 {
	parts, all := f.v.Words()
	var list []store.Posting
	n, having := int(parts), 0
	switch {
	case local == nil:
		list = f.v.WordIn(w)
		having = len(list)
	case len(local) > few:
		list, having = f.v.WordAmong(w, local)
	default:
		n = len(local)
		for c := range local {
			if count, of := f.v.HasWord(w, c); count > 0 {
				list = append(list, store.Posting{Part: c, Count: count, Of: of})
			}
		}
		having = len(list)
	}
	idf := words.IDF(min(having, n), n)
	avg := float64(all) / float64(max(parts, 1))
	out := make(map[code.Code]float64, len(list))
	for _, p := range list {
		out[p.Part] = words.Score(idf, float64(p.Count), float64(p.Of), avg)
	}
	return out
}

// byCode adds the part whose code the term is.
func (f *finder) byCode(t words.Term, local set, met map[code.Code]*hit) {
	if !words.HasDigit(t.Text) {
		return
	}
	for _, r := range f.v.Resolve(t.Text, "part") {
		if (local == nil || local[r.Code]) && met[r.Code] == nil {
			met[r.Code] = &hit{}
		}
	}
}

// byClass adds the parts of the classes that are not met by their words.
func (f *finder) byClass(classes []string, local set, met map[code.Code]*hit) {
	if len(classes) == 0 {
		return
	}
	if local == nil {
		for c := range f.ofClass(classes) {
			if met[c] == nil {
				met[c] = &hit{byClass: true}
			}
		}
		return
	}
	rest := rest(local, met)
	if len(rest) > handful {
		for _, class := range classes {
			for _, c := range f.v.PartsOfClassAmong(class, rest) {
				met[c] = &hit{byClass: true}
			}
		}
		return
	}
	classes = withBelow(classes)
	for c := range rest {
		if p := f.read(c); p.Code == c && slices.Contains(classes, p.Class) {
			met[c] = &hit{byClass: true}
		}
	}
}

// guess takes the words of a term that no part has for the nearest that some
// part has, or that the trade has.
func (f *finder) guess(t words.Term, local set, met map[code.Code]*hit) {
	var lists [][]string
	var kinds []words.Term
	guessed := false
	for _, tok := range t.Tokens {
		if f.has(tok) || len(classesWith(tok)) > 0 {
			lists = append(lists, []string{tok})
			continue
		}
		near := f.nearest(tok)
		if len(near) == 0 {
			return
		}
		guessed = true
		off := words.Distance(tok, near[0])
		f.out.Fuzzy = append(f.out.Fuzzy, fmt.Sprintf("no exact match for %q; nearest: %s (%s different)", tok, strings.Join(near, ", "), oneOr(off, "one letter", several(off, "letter"))))
		lists, kinds = append(lists, near), append(kinds, words.Query(near)...)
	}
	if !guessed {
		return
	}
	for c, s := range f.text(lists, local) {
		met[c] = &hit{score: s}
	}
	for _, kind := range kinds {
		if len(t.Tokens) > 1 {
			break // one of several words names no kind
		}
		if len(kind.Class) == 0 {
			kind.Class = classesWith(kind.Tokens[0])
		}
		f.byKind(kind, local, met)
	}
	for _, h := range met {
		h.guessed = true
	}
}

// nearest lists the words that are equally near to one that nobody has.
func (f *finder) nearest(tok string) []string {
	if words.HasDigit(tok) || dim.IsSpoken(tok) {
		return nil
	}
	all := append(f.v.WordsFrom(""), words.Spelt()...)
	for _, c := range words.Classes() {
		all = append(all, words.Tokens(words.ClassName(c))...)
	}
	near := words.Fuzzy(tok, slices.Values(all))
	for i, w := range near {
		if words.Distance(tok, w) > words.Distance(tok, near[0]) {
			return near[:i]
		}
	}
	return near
}
