package commands

import (
	"cmp"
	"errors"
	"strconv"
	"strings"

	"tinful/commands/line"
	"tinful/commands/photo"
	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
	"tinful/store/picture"
)

// takePhoto keeps pictures of a thing, or of one of the last booking, or lists them.
func takePhoto(c *call) error {
	args := c.Args()
	token := ""
	if !c.Bool("last") {
		if len(args) == 0 {
			return line.Usagef("a picture of what? tinful photo PC-05 a.jpg, or --last for what was booked last")
		}
		token, args = args[0], args[1:]
		if len(args) == 0 {
			return listPhotos(c, token)
		}
	} else if len(args) == 0 {
		return line.Usagef("which file? tinful photo --last a.jpg")
	}
	step, err := stepNumber(c)
	if err != nil {
		return err
	}
	caption, err := store.CleanText(c.String("caption"))
	if err != nil {
		return line.AsUsage(err)
	}
	var ref store.Ref
	err = c.looks(func(l *lookup) {
		if ref, step = photographed(l, token, step); l.Err == nil && step != 0 {
			l.Err = l.HasStep(ref, step)
		}
	})
	if err != nil {
		return err
	}
	shots, err := readShots(c, args)
	if err != nil {
		return err
	}
	for i := range shots {
		shots[i].Step, shots[i].Caption = step, caption
	}
	return bookShots(c, ref, shots)
}

// stepNumber is --step, 0 for none.
func stepNumber(c *call) (uint64, error) {
	text := c.String("step")
	if text == "" {
		return 0, nil
	}
	n, err := strconv.ParseUint(text, 10, 32)
	if err != nil || n == 0 {
		return 0, line.Usagef("--step %s is no number of a step: the first is 1", text)
	}
	return n, nil
}

// photographed is the thing that pictures are of, and the step.
func photographed(l *lookup, token string, step uint64) (ref store.Ref, _ uint64) {
	if token != "" {
		return l.thing(token, store.NoteOn...), step
	}
	ref, last, err := l.LastThing(l.By())
	l.Keep(err)
	return ref, cmp.Or(step, last)
}

// readShots reads the files of pictures, and says what is to be known of them.
func readShots(c *call, files []string) (out []store.Shot, err error) {
	var said []string
	for _, file := range files {
		p, more, err := photo.File(file, c.Bool("as-it-is"))
		if err != nil {
			return nil, photoHelp(err)
		}
		said = append(said, more...)
		out = append(out, store.Shot{Photo: p})
	}
	for _, text := range said {
		c.Warnf("%s", text)
	}
	return out, nil
}

// photoHelp adds to what is wrong with a picture what to type, where that helps.
func photoHelp(err error) error {
	if errors.Is(err, picture.ErrUnread) || errors.Is(err, picture.ErrLarge) {
		return helped{err, "; --as-it-is keeps it all the same"}
	}
	return err
}

// bookShots keeps the files, then books the records.
func bookShots(c *call, ref store.Ref, shots []store.Shot) error {
	path, err := c.StorePath()
	if err != nil {
		return err
	}
	for _, s := range shots {
		if err := store.KeepPhoto(path, s.Photo); err != nil { // while nobody waits for it
			return err
		}
	}
	var kept []store.Picture
	made := 0
	res, err := c.book(false, func(t *store.Tx) (err error) {
		if kept, made, err = t.Photographs(ref, shots); err == nil && made == 0 {
			err = errStop
		}
		return err
	})
	known := errors.Is(err, errStop)
	if err != nil && !known {
		return err
	}
	if c.JSON() {
		answer := map[string]any{"pictures": tell.Each(kept, func(p store.Picture) map[string]any { return tell.PictureAnswer(ask.Pictured{Picture: p}) })}
		if known {
			return c.PrintJSON(answer)
		}
		return c.PrintJSON(catalogueAnswer(res, answer))
	}
	return toldShots(c, kept, known, res)
}

func toldShots(c *call, kept []store.Picture, known bool, res store.Result) error {
	lines := tell.PicturesKept(kept)
	if known {
		c.Println(strings.Join(append(lines, tell.NoPictureKept), "\n"))
		return nil
	}
	lines[len(lines)-1] += "   kept"
	c.Println(strings.Join(tell.WithUndo(lines, res), "\n"))
	return nil
}

// listPhotos lists the pictures of a thing, and where they lie.
func listPhotos(c *call, token string) error {
	if c.IsSet("step") || c.IsSet("caption") || c.Bool("as-it-is") {
		return line.Usagef("--step, --caption and --as-it-is go with a picture: name its file behind %s", token)
	}
	var list []ask.Pictured
	if err := c.looks(func(l *lookup) { list = asked(l, ask.PicturesOf, l.thing(token, store.NoteOn...)) }); err != nil {
		return err
	}
	return toldPhotos(c, list, "no picture is kept of "+token)
}

// toldPhotos prints pictures; their things can be taken up by number.
func toldPhotos(c *call, list []ask.Pictured, none string) error {
	path, err := c.StorePath()
	if err != nil {
		return err
	}
	c.keepAnswer(tell.Each(list, func(p ask.Pictured) string { return p.Kind + ":" + string(p.Code) }))
	folder := store.PhotoFolder(path)
	return c.Answer(map[string]any{"folder": folder, "pictures": tell.Each(list, tell.PictureAnswer)}, func() {
		if len(list) == 0 {
			c.Println(none)
			return
		}
		tell.Pictures(c.Screen, list, folder)
	})
}

// findPhotos answers find --pictures.
func findPhotos(c *call) error {
	ofParts := []string{"class", "place", "grade", "tool", "like"}
	for _, f := range findFlags() {
		ofParts = append(ofParts, f.Name)
	}
	for _, f := range c.SetOf(ofParts...) {
		return line.Usagef("--%s is of parts: with --pictures there are --seat, --since, --until, --model, --donor and --job", f)
	}
	var list []ask.Pictured
	err := c.looks(func(l *lookup) {
		q := ask.PictureQuery{Words: c.Args(), Seat: l.word("seat", store.Seats), Model: l.flag("model")}
		for _, kind := range []string{"donor", "job"} {
			own := l.flag(kind)
			if own != "" && q.On.Code != "" {
				l.Keep(line.Usagef("--donor and --job are two cameras: write one"))
			}
			if own != "" {
				q.On = store.Ref{Kind: kind, Code: own}
			}
		}
		today := c.dayNow(l.View)
		q.Since, _ = daysOf(l, "since", today)
		_, q.Until = daysOf(l, "until", today)
		list = asked(l, ask.Pictures, q)
	})
	if err != nil {
		return err
	}
	more := 0
	if !c.JSON() && !c.Bool("all") && len(list) > mostFound {
		more, list = len(list)-mostFound, list[:mostFound]
	}
	if err := toldPhotos(c, list, "no picture shows that"); err != nil {
		return err
	}
	if more > 0 {
		c.Notef("and %d more: --all prints them", more)
	}
	if len(list) == 0 {
		return silentError(exitNotFound)
	}
	return nil
}

// daysOf are the first and the last that a flag names by a day or a month, 0 without it.
func daysOf(l *lookup, flag string, today code.Day) (first, last code.Day) {
	text := l.String(flag)
	if text == "" {
		return 0, 0
	}
	first, last, err := store.MonthDays(text)
	if err == nil {
		return first, last
	}
	if first, err = code.ParseDay(text, today); err != nil {
		l.Keep(line.Usagef("%v; or a month, 2031-03", err))
	}
	return first, first
}
