package commands

import (
	"cmp"
	"errors"
	"fmt"
	"strconv"
	"strings"

	"tinful/commands/line"
	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/dim"
	"tinful/store/thread"
)

func findThread(c *call) error {
	q := ask.ThreadQuery{Hand: strings.ToLower(c.String("hand"))}
	if err := threadReading(c, &q); err != nil {
		return err
	}
	var found ask.Threads
	err := c.looksIfThere(func(l *lookup) {
		threadNames(l, &q)
		found = asked(l, ask.FindThreads, q)
	})
	if err != nil {
		return err
	}
	return toldThreads(c, q, found)
}

// looksIfThere asks questions of the person's store, or runs fn without one. A
// store that is there and cannot be read is said, and the answer does without.
func (c *call) looksIfThere(read func(*lookup)) error {
	s, err := c.open()
	switch {
	case err == nil:
		defer s.Close()
		return s.View(func(v *store.View) error { return c.over(v, read) })
	case !errors.Is(err, store.ErrNoStore):
		c.Warnf("%v; the parts of the store are not listed", err)
	}
	return c.over(nil, read)
}

// needStore is the error of what only a store can answer, where there is none.
func needStore(c *call) error {
	s, err := c.open()
	if err == nil {
		s.Close()
	}
	return err
}

// threadReading reads the diameter and the flags that go with it. An argument
// that is no diameter leaves q without a reading, with how one would be made.
func threadReading(c *call, q *ask.ThreadQuery) error {
	text := strings.Join(c.Args(), " ")
	diameter, _, err := dim.Parse(dim.OD, "", text)
	behind := ""
	if args := c.Args(); len(args) == 2 && err != nil && isMeasure(args[0]) && isMeasure(args[1]) { // as find reads them
		behind = args[1]
		diameter, _, err = dim.Parse(dim.OD, "", args[0])
	}
	if errors.Is(err, dim.ErrRange) {
		return line.AsUsage(err)
	}
	tool, spread, badTool := tool(c, dim.Thread)
	if badTool != nil {
		return badTool
	}
	q.Of, q.Spread, q.Inside = tool, spread*1000, c.Bool("inside")
	if err != nil {
		if also := c.SetOf("pitch", "tpi", "over", "hand"); len(also) > 0 {
			return line.Usagef("--%s goes with a measured diameter, and %q is none", also[0], text)
		}
		return nil
	}
	if q.Hand != "" {
		if _, q.Hand, err = dim.Parse(dim.Hand, "", q.Hand); err != nil {
			return line.AsUsage(err)
		}
	}
	q.Reading = &thread.Reading{Diameter: diameter * 1000, Spread: q.Spread, Inside: q.Inside}
	return pitchOf(c, q.Reading, behind)
}

// tool is --tool, else the usual one for a field, and what it may be off by in
// micrometres.
func tool(c *call, f dim.Field) (string, int64, error) {
	tool, err := flagWord(c, "tool", dim.Tools)
	if tool == "" {
		tool = dim.ToolOf(f)
	}
	spread, _ := dim.Spread(tool, f)
	return tool, spread, err
}

// pitchOf reads the one of --pitch, --tpi and --over that is given, or the pitch
// that stands behind the diameter.
func pitchOf(c *call, r *thread.Reading, behind string) error {
	given := c.SetOf("pitch", "tpi", "over")
	switch {
	case len(given) > 1:
		return line.Usagef("--%s and --%s both say the pitch: write one", given[0], given[1])
	case len(given) == 1 && behind != "":
		return line.Usagef("--%s and %s behind the diameter both say the pitch: write one", given[0], behind)
	case behind != "":
		given = []string{""}
	case len(given) == 0:
		return nil
	}
	r.PitchSpread = thread.GaugeSpread
	text := cmp.Or(c.String(given[0]), behind)
	switch given[0] {
	case "pitch", "":
		n, ok := length(text)
		if !ok {
			return line.Usagef("%q is no pitch: write it in millimetres as 0.35, or --tpi 72", text)
		}
		r.Pitch = n * 1000
	case "tpi":
		n, err := strconv.ParseInt(text, 10, 64)
		if err != nil || n < 4 || n > 400 {
			return line.Usagef("--tpi %q is no number of threads per inch (4 to 400)", text)
		}
		r.Pitch = thread.Pitch(n)
	default:
		n, total, err := over(text)
		if err != nil {
			return err
		}
		r.Pitch, r.PitchSpread = thread.Over(n, total*1000, r.Spread)
	}
	return nil
}

// length reads a length above zero in micrometres.
func length(text string) (int64, bool) {
	n, _, err := dim.Parse(dim.Thick, "", text)
	return n, err == nil && n > 0
}

// over reads COUNT=LENGTH, the length of several pitches in micrometres.
func over(text string) (n, total int64, err error) {
	count, measured, _ := strings.Cut(text, "=")
	n, err = strconv.ParseInt(strings.TrimSpace(count), 10, 64)
	total, ok := length(measured)
	if err != nil || !ok || n < 1 || n > 1000 {
		return 0, 0, line.Usagef("--over %q is no count and length: write 10=3.5 where ten measure 3.5 mm", text)
	}
	return n, total, nil
}

// threadNames reads what is told by name: a size, a part, the model, the hole.
func threadNames(l *lookup, q *ask.ThreadQuery) {
	if l.IsSet("into") {
		into, _ := threadNamed(l, []string{l.String("into")})
		q.Into = &into
	}
	if q.Reading == nil {
		tool := q.Of
		q.Known, q.Of = threadNamed(l, l.Args())
		if t := q.Known; t.Form == thread.Unknown { // it was read with the tool and a gauge
			q.Reading, q.Of = &thread.Reading{Diameter: t.Major, Spread: q.Spread, Inside: q.Inside, Pitch: t.Pitch, PitchSpread: thread.GaugeSpread}, tool
		}
	}
	if l.View == nil && l.String("model") != "" {
		l.Keep(needStore(l.call))
	}
	q.Model = l.flag("model")
}

// threadNamed reads a size, or the part whose thread is meant, and says what it
// is the thread of.
func threadNamed(l *lookup, args []string) (t thread.Thread, of string) {
	text := strings.Join(args, " ")
	t, noThread := thread.Parse(text)
	switch {
	case noThread == nil:
		return t, thread.Series(t)
	case l.Err != nil:
		return t, ""
	case l.View == nil && thread.Meant(text):
		l.Err = line.UsageError{Err: noThread}
		return t, ""
	case l.View == nil:
		l.Err = needStore(l.call)
		return t, ""
	}
	p := l.part(args...)
	if errors.Is(l.Err, store.ErrNotFound) && thread.Meant(text) {
		l.Err = line.UsageError{Err: noThread}
	}
	if l.Err != nil {
		return t, ""
	}
	t, err := thread.Parse(p.Marks[dim.Thread])
	if err != nil {
		l.Err = refusef("%s %s has no thread recorded: tinful edit %s --thread \"metric 1.7x0.35\"", p.Code, p.Name, p.Code)
	}
	return t, fmt.Sprintf("the thread of %s %s", p.Code, p.Name)
}

func toldThreads(c *call, q ask.ThreadQuery, found ask.Threads) error {
	var answer []string
	for _, l := range found.Threads {
		for _, p := range l.Parts {
			answer = append(answer, "part:"+string(p.Part))
		}
	}
	head := ""
	if q.Reading != nil {
		head = readingWords(*q.Reading, q.Of)
	}
	if err := c.told(answer, found, func() { tell.Threads(c.Screen, head, found, threadTraps(found.Traps)) }); err != nil {
		return err
	}
	none := "no form has such a thread: measure again, at the crests and not at a burr"
	if q.Reading != nil && q.Reading.Pitch == 0 {
		none = "no thread of the lists has that diameter: measure the pitch too, and sizes in no list are reckoned"
	}
	return c.orNothing(len(found.Threads) > 0, none)
}

// threadTraps are traps in words, each with the command that helps.
func threadTraps(list store.Reasons) []string {
	out := store.Texts(list)
	for i, r := range list {
		if r.Kind == ask.NoForm {
			out[i] += fmt.Sprintf(": edit %s --thread-form metric", r.Codes[0])
		}
	}
	return out
}

// readingWords say what was measured and within what it lies.
func readingWords(r thread.Reading, tool string) string {
	band := func(n, spread int64) string {
		return fmt.Sprintf("%s mm (%s)", thread.Micro(n), thread.Band{Min: n - spread, Max: n + spread})
	}
	text := band(r.Diameter, r.Spread) + " by " + tool
	if r.Inside {
		text = "a hole of " + text
	}
	if r.Pitch == 0 {
		return text + "; the pitch is not measured: --pitch, --tpi or --over 10=3.5 leaves fewer"
	}
	return text + ", pitch " + band(r.Pitch, r.PitchSpread)
}
