package ask

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"
	"tinful/store"
	"tinful/store/code"
	"tinful/store/words"
)

// A hit is a part the words have led to.
type hit struct {
	score                   float64
	exact, byClass, guessed bool
}

// search follows the words. All terms must be met; an exact code or name is
// a hit by itself.
func (f *finder) search() error {
	if len(f.terms) == 0 {
		for c := range f.base {
			f.hits[c] = &hit{}
		}
		return nil
	}
	f.exact()
	met, err := f.meetAll()
	if err != nil {
		return err
	}
	for c, h := range met {
		if old := f.hits[c]; old != nil {
			old.score = h.score
			continue
		}
		f.hits[c] = h
	}
	return nil
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
func (f *finder) meetAll() (map[code.Code]*hit, error) {
	terms := slices.Clone(f.terms)
	slices.SortStableFunc(terms, func(a, b words.Term) int { return cmp.Compare(min(len(a.Class), 1), min(len(b.Class), 1)) })
	met, local := map[code.Code]*hit{}, f.base
	for i, t := range terms {
		now, err := f.meet(t, local)
		if err != nil {
			return nil, err
		}
		local = set{}
		for c, h := range now {
			local[c] = true
			if old := met[c]; old != nil && i > 0 {
				h.score, h.byClass, h.guessed = h.score+old.score, h.byClass || old.byClass, h.guessed || old.guessed
			}
		}
		met = now
	}
	return met, nil
}

// meet finds the parts in local, or all where it is nil, that meet a term: by
// their words, their code, their class, or else by the nearest word.
func (f *finder) meet(t words.Term, local set) (map[code.Code]*hit, error) {
	met := map[code.Code]*hit{}
	if !t.Only {
		for c, s := range f.text(single(t.Tokens), local) {
			met[c] = &hit{score: s}
		}
		f.byCode(t, local, met)
	}
	if err := f.byClass(cmp.Or(joined(t.Class), joined(classesNamed(t))), local, met); err != nil {
		return nil, err
	}
	if len(met) > 0 || len(t.Class) > 0 || len(f.hits) > 0 {
		return met, nil
	}
	return met, f.guess(t, local, met)
}

// joined and parted carry a list of classes as one comparable text.
func joined(classes []string) string { return strings.Join(classes, ";") }

func parted(classes string) []string {
	if classes == "" {
		return nil
	}
	return strings.Split(classes, ";")
}

// classesNamed lists the classes in whose name a plain word stands.
func classesNamed(t words.Term) []string {
	if len(t.Class) > 0 || len(t.Tokens) != 1 {
		return nil
	}
	return classesWith(t.Tokens[0])
}

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
		for c := range now {
			now[c] += sum[c]
		}
		sum, local = now, keys(now)
		if i+1 < len(lists) && len(now) == 0 {
			return now
		}
	}
	return sum
}

func keys(m map[code.Code]float64) set {
	s := make(set, len(m))
	for c := range m {
		s[c] = true
	}
	return s
}

// word scores the parts that have one word. Where few parts are left, each is
// asked, and the word's weight is that among them.
func (f *finder) word(w string, local set) map[code.Code]float64 {
	parts, all := f.v.Words()
	var list []store.Posting
	n := int(parts)
	if local != nil && len(local) <= few {
		n = len(local)
		for c := range local {
			if count, of := f.v.HasWord(w, c); count > 0 {
				list = append(list, store.Posting{Part: c, Count: count, Of: of})
			}
		}
	} else {
		list = f.v.WordIn(w)
	}
	idf := words.IDF(min(len(list), n), n)
	avg := float64(all) / float64(max(parts, 1))
	out := make(map[code.Code]float64, min(len(list), max(len(local), few)))
	for _, p := range list {
		if local == nil || local[p.Part] {
			out[p.Part] = words.Score(idf, float64(p.Count), float64(p.Of), avg)
		}
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
func (f *finder) byClass(classes string, local set, met map[code.Code]*hit) error {
	if classes == "" {
		return nil
	}
	if local == nil || len(local) > few {
		for c := range f.ofClass(parted(classes)) {
			if (local == nil || local[c]) && met[c] == nil {
				met[c] = &hit{byClass: true}
			}
		}
		return nil
	}
	rest := maps.Clone(local)
	maps.DeleteFunc(rest, func(c code.Code, _ bool) bool { return met[c] != nil })
	if len(rest) > handful {
		for _, class := range parted(classes) {
			for _, c := range f.v.PartsOfClassAmong(class, rest) {
				met[c] = &hit{byClass: true}
			}
		}
		return nil
	}
	for c := range rest {
		p, err := f.read(c)
		if err != nil {
			return err
		}
		if underAny(p.Class, parted(classes)) {
			met[c] = &hit{byClass: true}
		}
	}
	return nil
}

// guess takes the words of a term that no part has for the nearest that some
// part has.
func (f *finder) guess(t words.Term, local set, met map[code.Code]*hit) error {
	var lists [][]string
	var classes []string
	guessed := false
	for _, tok := range t.Tokens {
		if f.known(tok) {
			lists = append(lists, []string{tok})
			continue
		}
		near := f.nearest(tok)
		if len(near) == 0 {
			return nil
		}
		guessed = true
		f.out.Fuzzy = append(f.out.Fuzzy, fmt.Sprintf("no exact match for %q; nearest: %s (%s different)", tok, strings.Join(near, ", "), letters(words.Distance(tok, near[0]))))
		lists = append(lists, near)
		for _, w := range near {
			classes = append(classes, classesWith(w)...)
		}
	}
	if !guessed {
		return nil
	}
	for c, s := range f.text(lists, local) {
		met[c] = &hit{score: s}
	}
	if len(t.Tokens) == 1 {
		if err := f.byClass(joined(classes), local, met); err != nil {
			return err
		}
	}
	for _, h := range met {
		h.guessed = true
	}
	return nil
}

// known says whether any part or class has the word.
func (f *finder) known(tok string) bool {
	list := f.v.WordsFrom(tok)
	return len(list) > 0 && list[0] == tok || len(classesWith(tok)) > 0
}

// nearest lists the words that are equally near to one that nobody has.
func (f *finder) nearest(tok string) []string {
	if words.HasDigit(tok) {
		return nil
	}
	all := f.v.WordsFrom("")
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

func letters(n int) string {
	if n == 1 {
		return "one letter"
	}
	return fmt.Sprintf("%d letters", n)
}
