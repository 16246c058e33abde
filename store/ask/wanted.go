package ask

import (
	"slices"
	"strings"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/words"
)

// A WantFinder finds wants by words: each begins a word of what the want says, or of the
// name of its part. Names are read of parts alone that the index of words has for all
// that the want does not say itself.
type WantFinder struct {
	v      *store.View
	words  []string
	named  map[string]set       // by word, the parts that the index has for it
	called map[code.Code]string // names, folded
}

// NewWantFinder looks for all of some words.
func NewWantFinder(v *store.View, typed []string) *WantFinder {
	return &WantFinder{v: v, words: words.Tokens(strings.Join(typed, " ")), named: map[string]set{}, called: map[code.Code]string{}}
}

// Has tells whether a want has all of the words.
func (f *WantFinder) Has(w store.Want) bool { return f.has(w.Part, saidBy(w)) }

// saidBy is what a want says itself, folded, a blank before each word.
func saidBy(w store.Want) string {
	return " " + words.Fold(strings.Join([]string{string(w.Part), string(w.Model), string(w.Job), w.Note, w.Instead}, " "))
}

func (f *WantFinder) has(part code.Code, said string) bool {
	left := false
	for _, w := range f.words {
		if strings.Contains(said, " "+w) {
			continue
		}
		if left = true; !f.mayName(w, part) {
			return false
		}
	}
	if !left {
		return true
	}
	name := f.name(part)
	return !slices.ContainsFunc(f.words, func(w string) bool { return !strings.Contains(said, " "+w) && !strings.Contains(name, " "+w) })
}

// handWords are what a name may have beside the words of the index: see [store.Part.Called].
var handWords = []string{"left", "hand", "loosens", "clockwise", "unsorted"}

// mayName says whether a word may begin one of the name of a part.
func (f *WantFinder) mayName(word string, part code.Code) bool {
	parts, ok := f.named[word]
	if !ok {
		parts, _ = store.Once(f.v, "parts named "+word, func() (set, error) {
			parts := set{}
			f.v.EachNamedFrom(word, func(part code.Code) { parts[part] = true })
			return parts, nil
		})
		f.named[word] = parts
	}
	return parts[part] || slices.ContainsFunc(handWords, func(h string) bool { return strings.HasPrefix(h, word) })
}

func (f *WantFinder) name(part code.Code) string {
	name, ok := f.called[part]
	if !ok {
		name = "unsorted"
		if part != "" {
			name = string(part)
			if p, err := f.v.PartSketch(part); err == nil {
				name = p.Called()
			}
		}
		name = " " + words.Fold(name)
		f.called[part] = name
	}
	return name
}

// Count counts the wants that have all of the words.
func (f *WantFinder) Count() (n int, err error) {
	type saying struct {
		part code.Code
		said string
	}
	all, err := store.Once(f.v, "what wants say", func() (all []saying, err error) {
		err = f.v.EachWant(func(w store.Want) error { all = append(all, saying{w.Part, saidBy(w)}); return nil })
		return all, err
	})
	for _, w := range all {
		if f.has(w.part, w.said) {
			n++
		}
	}
	return n, err
}
