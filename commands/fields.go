package commands

import (
	"fmt"
	"slices"
	"strings"
	"sync"

	"tinful/commands/line"
	"tinful/commands/tell"
	sheet "tinful/import"
	"tinful/store"
	"tinful/store/code"
	"tinful/store/dim"
	"tinful/store/thread"
	"tinful/store/words"
)

// A refused is a sentence that says which rule forbids what was asked. Its Unwrap
// returns [store.ErrRefused].
type refused string

func (r refused) Error() string { return string(r) }
func (r refused) Unwrap() error { return store.ErrRefused }

// leadsTo says which kind of thing the cells of a column name.
var leadsTo = sync.OnceValue(func() map[string]string {
	return map[string]string{
		"Part": "part", "Twin": "part", "Mirror": "part", "Holds": "part", "Model": "model", "Carries": "model", "Shutter": "model",
		"Lens": "model", "Origin": "donor", "Place": "place", "Tray": "place", "Job": "job",
	}
})

// severalIn are the columns that take several values, each with a flag of its own.
var severalIn = []string{"Aliases", "Maker no", "Holds", "Carries", "Degree"}

// valuesOf are the words a flag takes, for its help.
var valuesOf = sync.OnceValue(func() map[string][]string {
	return map[string][]string{
		"kind": store.Kinds, "seat": store.Seats, "degree": store.Degrees, "evidence": store.Evidences, "grade": store.Grades,
		"looks": store.Looks, "history": store.Histories, "unit": store.Units, "agreed": {"yes", "no"}, "runs": store.Sides, "up": store.Sides, "whole": store.WholeWords, "thread-form": thread.Forms(),
	}
})

// flagFor is the flag of a column: --maker-no for Maker no, --wire for Wire mm.
func flagFor(heading string) string {
	if in, ok := dim.ByHeading(heading); ok {
		return in.Flag
	}
	if heading == "Aliases" {
		return "alias"
	}
	return strings.ReplaceAll(strings.ToLower(strings.TrimSuffix(heading, " mm")), " ", "-")
}

// flagsFor makes the flags of the columns of records R but those left out, once and
// not before they are asked for.
func flagsFor[R any](without ...string) func() []*line.Flag {
	return sync.OnceValue(func() []*line.Flag { return columnFlags[R](without) })
}

func columnFlags[R any](without []string) []*line.Flag {
	var flags []*line.Flag
	for _, f := range sheet.Fields[R]() {
		if slices.Contains(without, f.Heading) {
			continue
		}
		flag := line.ValueFlag(flagFor(f.Heading), fmt.Sprintf("`%s`", strings.ToUpper(f.Heading)))
		if in, ok := dim.ByHeading(f.Heading); ok && in.Unit != "" {
			flag.Usage = fmt.Sprintf("%s in `%s`", in.Name(), strings.ToUpper(in.Unit))
		} else if list := valuesOf()[flag.Name]; list != nil {
			flag.Usage = "`WORD`: " + strings.Join(list, ", ")
		} else if kind := leadsTo()[f.Heading]; kind != "" {
			flag.Usage = strings.ToLower(f.Heading) + ", the code of a `" + strings.ToUpper(kind) + "`"
		}
		if slices.Contains(severalIn, f.Heading) {
			flag.Kind = line.List
			flag.Usage += "; may be given several times"
		}
		flags = append(flags, flag)
	}
	return flags
}

// filled returns the record was with the cells that flags give. It is built anew
// in the order of its columns, so that a new class is held against all measures.
// preset are texts for columns that no flag gives; own is the column of its code,
// which no flag changes.
func filled[R any](l *lookup, own string, was R, preset map[string]string) (r R) {
	for _, f := range sheet.Fields[R]() {
		name := flagFor(f.Heading)
		text, set := strings.Join(l.List(name), "; "), l.IsSet(name) && f.Heading != own
		if p, ok := preset[f.Heading]; ok && !set {
			text = p
		} else if !set {
			text = f.Get(&was)
		} else {
			text = readOf(l, f.Heading, f.Day, text)
		}
		if l.Err != nil {
			return r
		}
		if text == "" {
			if f.Fill != nil {
				f.Fill(&r)
			}
			continue
		}
		if err := f.Set(&r, text); err != nil {
			l.Err = flagError(f.Heading, err)
		}
	}
	return r
}

// flagError says which flag an error is about, unless it says so itself.
func flagError(heading string, err error) error {
	if _, ok := dim.ByHeading(heading); ok {
		return line.AsUsage(err) // it names the measure
	}
	return line.Usagef("--%s: %w", flagFor(heading), err)
}

// readOf turns the text of a flag into that of a cell: codes as they are written,
// days as days, a number of pieces or a length as a whole number.
func readOf(l *lookup, heading string, day bool, text string) string {
	switch {
	case text == "":
	case heading == "Origin" && slices.Contains(store.Origins, strings.ToLower(text)):
		return strings.ToLower(text)
	case leadsTo()[heading] != "":
		return codesIn(l, text, leadsTo()[heading])
	case heading == "Class":
		return got(l, oneClass, text)
	case heading == "Thread form":
		form, ok := thread.ParseForm(text)
		if !ok {
			l.Keep(line.UsageError{Err: words.NotOneOf("thread-form", thread.Forms(), text)})
		}
		return form
	case heading == "Quantity":
		text, l.Err = pieces(l, text)
	case day:
		d, err := code.ParseDay(text, l.dayNow(l.View))
		if err != nil {
			l.Keep(flagError(heading, err))
		}
		return d.String()
	}
	return text
}

// codesIn reads things parted by semicolons.
func codesIn(l *lookup, text, kind string) string {
	tokens := strings.FieldsFunc(text, func(r rune) bool { return r == ';' })
	tokens = tell.Filled(tell.Each(tokens, strings.TrimSpace)...)
	return strings.Join(tell.Each(l.codes(tokens, kind), func(c code.Code) string { return string(c) }), "; ")
}

// pieces reads a typed quantity in the unit of --unit.
func pieces(l *lookup, text string) (string, error) {
	q, err := code.ParseQty(text, strings.ToLower(l.String("unit")))
	switch {
	case err != nil:
		return "", line.AsUsage(err)
	case q.N < 0:
		return "", line.Usagef("%s is no number of pieces", text)
	case q.About:
		return fmt.Sprintf("ca. %d", q.N), nil
	}
	return fmt.Sprint(q.N), nil
}

// oneClass reads a code or trade word that stands for one class.
func oneClass(text string) (string, error) {
	switch class, several := words.OneClass(text); {
	case class != "":
		return class, nil
	case len(several) > 0:
		return "", line.Usagef("--class %q may be %s: write one", text, strings.Join(several, ", "))
	}
	return "", line.Usagef("no class is called %q: write a trade word such as torsion spring", text)
}

// flagWord is the word of a list that a flag gives, whatever its case, and gives the
// flag that word; empty without the flag.
func flagWord(c *call, flag string, list []string) (string, error) {
	text := c.String(flag)
	if text == "" {
		return "", nil
	}
	word, err := words.OneOf(flag, list, text)
	if err != nil {
		return "", line.AsUsage(err)
	}
	c.Set(flag, word)
	return word, nil
}

// anyFlag tells whether a flag of the command itself is given.
func anyFlag(c *call) bool {
	return slices.ContainsFunc(c.Flags, func(f *line.Flag) bool { return c.IsSet(f.Name) })
}

// foreign refuses a flag that no column of R has but that of its own code.
func foreign[R any](c *call, kind string) error {
	for _, flag := range c.Flags {
		own := func(f sheet.Field[R]) bool { return flagFor(f.Heading) == flag.Name && f.Heading != ownColumn(kind) }
		known := flag.Name == countFirst && kind == "part" || flag.Name == "line" && kind == "job" || slices.ContainsFunc(sheet.Fields[R](), own)
		if c.IsSet(flag.Name) && !known {
			return line.Usagef("a %s has no --%s that could be changed", kind, flag.Name)
		}
	}
	return nil
}

// ownColumn is the column of a thing's own code.
func ownColumn(kind string) string { return strings.ToUpper(kind[:1]) + kind[1:] }
