package words

import (
	_ "embed"
	"encoding/csv"
	"strings"
	"sync"
)

//go:embed classes.csv
var classesCSV string

// class is one row of classes.csv: a code or prefix and the words shown for it.
type class struct{ code, name, plural string }

var classList = sync.OnceValue(func() []class {
	var list []class
	for _, row := range rows(classesCSV) {
		list = append(list, class{row[0], row[1], row[2]})
	}
	return list
})

var classIndex = sync.OnceValue(func() map[string]class {
	index := make(map[string]class)
	for _, c := range classList() {
		index[c.code] = c
	}
	return index
})

// rows returns the rows of an embedded table below its heading. A table that
// cannot be read is a mistake in the program.
func rows(text string) [][]string {
	r := csv.NewReader(strings.NewReader(text))
	list, err := r.ReadAll()
	if err != nil {
		panic("words: embedded table: " + err.Error())
	}
	return list[1:]
}

// Classes returns the codes of all classes and prefixes, each prefix before
// what lies below it.
func Classes() []string {
	var codes []string
	for _, c := range classList() {
		codes = append(codes, c.code)
	}
	return codes
}

// Intern returns the class or prefix that code holds without making a text of it,
// and false for one that is not of the list.
func Intern(code []byte) (string, bool) {
	c, ok := classIndex()[string(code)]
	return c.code, ok
}

// ClassName returns the English trade word for a class or prefix, "torsion
// spring" for SPR-TOR; an unknown code is returned as it is.
func ClassName(class string) string {
	if c, ok := classIndex()[class]; ok {
		return c.name
	}
	return class
}

var nameIndex = sync.OnceValue(func() map[string]string {
	index := make(map[string]string)
	for _, c := range classList() {
		index[c.name] = c.code
	}
	return index
})

// ClassNamed returns the class whose trade word is exactly this one, as [ClassName]
// writes it.
func ClassNamed(name string) (class string, ok bool) {
	class, ok = nameIndex()[name]
	return class, ok
}

// Known reports whether class is a code or prefix of the list, in upper case.
func Known(class string) bool {
	_, ok := classIndex()[class]
	return ok
}

// Under reports whether class is prefix or lies below it, as SPR-TOR does below
// SPR. No class lies below "".
func Under(class, prefix string) bool {
	rest, ok := strings.CutPrefix(class, prefix)
	return ok && prefix != "" && (rest == "" || rest[0] == '-')
}

// ClassOf returns the classes or prefixes that text stands for: a code or prefix
// in any case, or a trade word, one or several of it. A word can stand for several
// classes; the slice is the caller's. ok is false if text is neither.
func ClassOf(text string) (classes []string, ok bool) {
	t, _ := term(text)
	return t.Class, len(t.Class) > 0
}

// OneClass is the class that a code or trade word stands for. Several are listed by
// their names, none is nil.
func OneClass(text string) (class string, several []string) {
	found, _ := ClassOf(text)
	var full []string
	for _, class := range found {
		full = append(full, below(class)...)
	}
	if len(full) == 1 {
		return full[0], nil
	}
	for _, class := range full {
		several = append(several, ClassName(class))
	}
	return "", several
}

// below are the classes a prefix stands for; a class that is itself one, as COV
// is beside COV-NEW, stands for itself.
func below(class string) []string {
	var under []string
	for _, c := range Classes() {
		if c != class && Under(c, class) {
			under = append(under, c)
		}
	}
	if len(under) < 2 {
		return []string{class}
	}
	return under
}
