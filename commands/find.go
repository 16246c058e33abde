package commands

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"tinful/commands/line"
	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/dim"
	"tinful/store/thread"
	"tinful/store/words"
)

// mostFound is how many parts are printed without --all.
const mostFound = 40

// findFlags are those of the measures.
func findFlags() []*line.Flag {
	var flags []*line.Flag
	for _, in := range dim.Table() {
		usage := "`" + strings.ToUpper(in.Name()) + "`"
		if in.Unit != "" {
			usage = in.Name() + " in `" + strings.ToUpper(in.Unit) + "`"
		}
		flags = append(flags, line.ValueFlag(in.Flag, usage))
	}
	return flags
}

func find(c *call) error {
	if c.Bool("pictures") {
		return findPhotos(c)
	}
	if of := c.SetOf("seat", "since", "until"); len(of) > 0 {
		return line.Usagef("--%s is of pictures: write --pictures with it", of[0])
	}
	var q ask.Query
	var found ask.Found
	var written []string
	err := c.view(func(v *store.View) (err error) {
		q, found, err = lookFor(c, v)
		if err == nil && len(q.Words) > 0 && !found.Any() {
			written, err = writtenOf(v, q.Words)
		}
		return err
	})
	if err != nil {
		return err
	}
	for _, f := range found.Fuzzy {
		c.Warnf("%s", f) // --quiet does not hide that a hit is not exact
	}
	if len(found.Clash) > 0 && len(c.Args()) > 0 && (len(found.Parts) > 0 || c.JSON()) { // else the error says it
		c.Notef("%s is also %s: show says more", strings.Join(c.Args(), " "), strings.Join(found.Clash, " and "))
	}
	keepFound(c, found)
	if c.JSON() {
		if err := c.PrintJSON(found); err != nil {
			return err
		}
	} else {
		tell.Found(c.Screen, q.Camera.Model, found, mostTold(c))
	}
	if len(found.Parts)+len(found.Numbers)+len(found.Sheets) == 0 {
		if c.JSON() {
			return silentError(exitNotFound)
		}
		for _, where := range written {
			c.Notef("%s", where)
		}
		return noHit(q, found, strings.Join(c.Args(), " "))
	}
	return nil
}

// mostTold is how many parts are told whole, 0 for all.
func mostTold(c *call) int {
	if c.JSON() || c.Bool("all") {
		return 0
	}
	return mostFound
}

// lookFor looks for what was typed, and where nothing is found and a word is the code of
// a model, for the others in that camera.
func lookFor(c *call, v *store.View) (ask.Query, ask.Found, error) {
	q, found, err := lookForTyped(c, v)
	if found.Any() || c.IsSet("model") {
		return q, found, err
	}
	rest, model := modelAmong(v, c.Args())
	if model == "" || len(rest) == 0 {
		return q, found, err
	}
	c.Notef("read as %s --model %s", strings.Join(rest, " "), model)
	c.Set("model", string(model))
	line.SetArgs(c.Given, rest)
	return lookForTyped(c, v)
}

// lookForTyped looks for what was typed. Numbers behind a trade word are measures;
// where nothing measures so, they may belong to a name, E-clip 1.5. What a camera or
// a piece bears comes with the parts, and where nothing is found the codes that are
// near to what was typed.
func lookForTyped(c *call, v *store.View) (ask.Query, ask.Found, error) {
	typed := strings.Join(c.Args(), " ")
	numbers, err := ask.NumberedAs(v, typed)
	if err != nil {
		return ask.Query{}, ask.Found{}, err
	}
	var q ask.Query
	var found ask.Found
	if len(numbers) > 0 {
		q, found, err = byName(c, v)
	} else {
		q, found, err = lookForParts(c, v)
	}
	found.Numbers = numbers
	if err == nil && !found.Any() && len(c.Args()) == 1 {
		_, none := v.Thing(typed)
		if unknown, ok := errors.AsType[*store.UnknownError](none); ok {
			found.Near = unknown.Near
		}
	}
	return q, found, err
}

func lookForParts(c *call, v *store.View) (ask.Query, ask.Found, error) {
	q, measured, err := query(c, v)
	var found ask.Found
	switch {
	case err != nil:
	case len(q.Words) == 1 && isThread(q.Words[0]):
		measured = true
		if err = threadTo(&q, q.Words[0]); err == nil {
			q.Words = nil
			found, err = ask.Find(v, q)
		}
	case len(q.Words) == 1 && isMeasure(q.Words[0]):
		if found, err = loose(v, q, q.Words[0]); err != nil && mayBeBorne(q.Words[0]) {
			return byName(c, v) // no length, so a number that is borne
		}
	default:
		found, err = ask.Find(v, q)
	}
	if !measured || err == nil && len(found.Parts) > 0 {
		return q, found, err
	}
	if named, byName, err := byName(c, v); err == nil && len(byName.Parts) > 0 && len(byName.Fuzzy) == 0 {
		return named, byName, nil
	}
	return q, found, err
}

// isPlain tells whether a word is digits alone.
func isPlain(w string) bool { return w != "" && strings.Trim(w, "0123456789") == "" }

// mayBeBorne tells whether a word may be the number on a body: three digits or more.
func mayBeBorne(w string) bool { return isPlain(w) && len(w) > 2 }

// byName looks for all that was typed as words.
func byName(c *call, v *store.View) (ask.Query, ask.Found, error) {
	q, err := askedOf(c, v)
	if err == nil {
		err = flagged(c, &q)
	}
	if err != nil {
		return q, ask.Found{}, err
	}
	found, err := ask.Find(v, q)
	return q, found, err
}

// noHit is the error of a search without a hit: what was typed may be the code
// of something else.
func noHit(q ask.Query, found ask.Found, typed string) error {
	if len(found.Clash) > 0 && typed != "" {
		return store.Absent("%s is %s and no part: tinful show %s", typed, strings.Join(found.Clash, " and "), found.Clash[0])
	}
	if len(found.Near) > 0 {
		return store.Absent("nothing is called %q here: did you mean %s?", typed, words.Or(found.Near))
	}
	return store.Absent("%s", nothingWords(q))
}

// nothingWords says that nothing is found, and how measures were read.
func nothingWords(q ask.Query) string {
	var bits []string
	for _, in := range dim.Table() {
		if r, ok := q.Dims[in.Field]; ok {
			bits = append(bits, strings.TrimSpace(in.Name()+" "+dim.Format(in.Field, r.Want)+" "+in.Unit))
		}
		if w := q.Marks[in.Field]; w != "" {
			bits = append(bits, in.Name()+" "+strings.TrimPrefix(w, thread.Unknown+" "))
		}
	}
	if len(q.Words) > 0 && len(bits) > 0 {
		bits = append(bits, "with "+strings.Join(q.Words, " "))
	}
	for _, t := range words.Query(q.Words) {
		if t.Narrow && len(bits) == 0 {
			class := words.ClassName(t.Class[0])
			return fmt.Sprintf("no %s is here by its name; it is one of many kinds: tinful find %s lists them all", t.Text, class)
		}
	}
	kind := "nothing"
	if len(q.Class) == 1 {
		kind = "no " + words.ClassName(q.Class[0])
	}
	i := slices.IndexFunc(q.Words, func(w string) bool { return isMeasure(w) && !isPlain(w) })
	switch {
	case len(q.Words) == 1 && mayBeBorne(q.Words[0]):
		return "nothing here bears the number " + q.Words[0]
	case len(bits) > 0:
		return kind + " here measures so (" + strings.Join(bits, ", ") + ")"
	case i >= 0:
		return fmt.Sprintf("no part has %s among its words; a measure stands behind the trade word of one kind, torsion .20 or csk 1.7 .35 (tinful help measures), or has its flag, --wire .20", q.Words[i])
	}
	if asked := len(q.Words) + len(tell.Filled(string(q.Camera.Model), string(q.Place), string(q.Donor), q.Grade, strings.Join(q.Class, ""))); asked > 1 {
		return "nothing of that kind is here: fewer words and flags find more"
	}
	return "nothing of that kind is here"
}

// keepFound keeps the parts as the last answer.
func keepFound(c *call, found ask.Found) {
	answer := tell.Each(found.Parts, func(p ask.FoundPart) string { return "part:" + string(p.Part) })
	for _, n := range found.Numbers {
		answer = append(answer, n.Kind+":"+string(n.Code))
	}
	c.keepAnswer(answer)
}

// query reads words and flags, and says whether there were measures among the
// words.
func query(c *call, v *store.View) (ask.Query, bool, error) {
	q, err := askedOf(c, v)
	if err != nil {
		return q, false, err
	}
	sister := q.Marks[dim.Thread]
	measured, err := inOrder(&q)
	if err == nil {
		err = flagged(c, &q)
	}
	if err == nil && sister != "" && (q.Marks[dim.Thread] != sister || len(q.Words) == 1 && isThread(q.Words[0])) {
		err = line.Usagef("--like says which thread it is, and another one is typed: leave one of them out")
	}
	return q, measured, err
}

// flagged reads the measures that have a flag.
func flagged(c *call, q *ask.Query) error {
	for _, in := range dim.Table() {
		text := c.String(in.Flag)
		if text == "" {
			continue
		}
		if _, told := q.Dims[in.Field]; told {
			return line.Usagef("%s is told twice, behind the trade word and by --%s: leave one of them out", in.Name(), in.Flag)
		}
		if err := measureTo(q, in, text); err != nil {
			return err
		}
	}
	return nil
}

// askedOf reads words and flags without measures. The job in hand leaves nothing
// out: each part says whether it goes into that camera.
func askedOf(c *call, v *store.View) (q ask.Query, err error) {
	q = ask.Query{Words: c.Args(), Detail: mostTold(c), Dims: map[dim.Field]ask.Range{}, Marks: map[dim.Field]string{}}
	err = c.over(v, func(l *lookup) {
		q.Grade = l.word("grade", store.Grades)
		if text := c.String("class"); text != "" {
			var ok bool
			if q.Class, ok = words.ClassOf(text); !ok || len(q.Class) == 0 {
				l.Keep(line.Usagef("no class is called %q: write a trade word such as torsion spring", text))
			}
			if t := words.Query([]string{text}); len(t) == 1 && t[0].Narrow {
				q.Words = append(slices.Clone(q.Words), text) // less than its class
			}
		}
		q.Camera.Model, q.Place, q.Donor = l.flag("model"), l.flag("place"), l.flag("donor")
		onBench(l, &q)
		sister(l, &q)
	})
	return q, err
}

// onBench reads the tool of the measures, and the camera on the bench: that of
// --job, else of the job taken in hand today.
func onBench(l *lookup, q *ask.Query) {
	q.Tool = l.word("tool", dim.Tools)
	if l.String("job") != "" || q.Camera.Model == "" && l.handJobToday() != "" {
		q.For = l.job(string(l.handJobToday())).Camera()
	}
}

// sister reads --like: the thread of a screw that the one at hand agrees with.
func sister(l *lookup, q *ask.Query) {
	own := l.code(l.String("like"), "part")
	if own == "" {
		return
	}
	p := got(l, l.Part, own)
	if q.Marks[dim.Thread] = p.Marks[dim.Thread]; p.Marks[dim.Thread] == "" {
		l.Keep(line.Usagef("%s %s has no thread to agree with: --like compares screws; for springs there is tinful spring --like %s", p.Code, p.Name, p.Code))
	}
}

// writtenOf says where words of which no part is found are written: in remarks, in what
// wants say.
func writtenOf(v *store.View, typed []string) (out []string, err error) {
	said := strings.Join(typed, " ")
	remarks, err := v.RemarksWith(typed)
	if err != nil {
		return nil, err
	}
	n, err := ask.NewWantFinder(v, typed).Count()
	if len(remarks) > 0 {
		out = append(out, haveWords(len(remarks), "remark")+" tinful note --find "+said)
	}
	if n > 0 {
		out = append(out, haveWords(n, "want")+" tinful wants "+said)
	}
	return out, err
}

// haveWords says how many of something have the words looked for.
func haveWords(n int, what string) string {
	if n == 1 {
		return "a " + what + " has these words:"
	}
	return tell.Many(n, what) + " have these words:"
}
