package commands

import (
	"cmp"
	"errors"
	"path/filepath"
	"strconv"
	"strings"

	"tinful/commands/line"
	"tinful/commands/photo"
	sheet "tinful/import"
	"tinful/store"
	"tinful/store/words"
)

// mapFlags are the flags of a list with headings of its own.
var mapFlags = []string{"map", "map-file", "sheet", "as", "header-row"}

// readMapping is the mapping of the flags, those on the line before those of the map
// file; nil where none is given.
func readMapping(c *call) (*sheet.Mapping, error) {
	if len(c.SetOf(mapFlags...)) == 0 {
		return nil, nil
	}
	m := &sheet.Mapping{}
	if file := c.String("map-file"); file != "" {
		text, note, err := sheet.ReadText(file)
		if err != nil {
			return nil, err
		}
		if note != "" {
			c.Notef("%s", note)
		}
		if m, err = sheet.ParseMap(filepath.Base(file), text); err != nil {
			return nil, err
		}
	}
	for _, pair := range c.List("map") {
		if err := m.AddPair(pair); err != nil {
			return nil, line.AsUsage(err)
		}
	}
	for flag, field := range map[string]*string{"sheet": &m.Sheet, "as": &m.As, "dates": &m.Dates} {
		if c.IsSet(flag) {
			*field = c.String(flag)
		}
	}
	if row := c.String("header-row"); row != "" {
		n, err := strconv.Atoi(row)
		if err != nil || n < 1 {
			return nil, line.Usagef("--header-row %q is no number of a row", row)
		}
		m.HeaderRow = n
	}
	m.Dates = strings.ToLower(m.Dates)
	return m, nil
}

// howToRead is how a file is read for the store at path, whose currency amounts have:
// by the mapping of the flags, which is checked, or without one.
func howToRead(c *call, path string) (o sheet.Options, err error) {
	o = sheet.Options{Look: lookAt, Beside: path, AsCount: c.Bool("as-count"), Struck: c.Bool("struck"), Dates: strings.ToLower(c.String("dates"))}
	err = c.over(nil, func(l *lookup) {
		o.Unsaid, o.Encoding = l.word("no-quantity", sheet.Unsaid), l.word("encoding", sheet.Encodings())
		o.Make = got(l, makesOf, c)
		o.MaxSize = got(l, parseSize, c.String("max-size"))
		o.Map = got(l, readMapping, c)
	})
	if err != nil {
		return o, err
	}
	if o.Map != nil {
		o.Unsaid = cmp.Or(o.Unsaid, o.Map.Unsaid)
	}
	check := o.Map
	if check == nil {
		check = &sheet.Mapping{As: "bags", Dates: o.Dates}
	}
	if err := check.Check(); err != nil {
		return o, line.AsUsage(err)
	}
	s, err := store.Open(path)
	if errors.Is(err, store.ErrNoStore) {
		return o, nil
	}
	if err != nil {
		return o, err
	}
	defer s.Close()
	err = s.View(func(v *store.View) error { o.Currency = v.Setting("currency"); return nil })
	return o, err
}

// lookAt reads the file of a picture that a list names as photo does.
func lookAt(file string, asItIs bool) (store.Photo, error) {
	p, _, err := photo.File(file, asItIs)
	return p, err
}

// makesOf is what --make says that a list may make.
func makesOf(c *call) (all []string, err error) {
	for _, w := range strings.FieldsFunc(c.String("make"), func(r rune) bool { return r == ',' || r == ' ' }) {
		word, err := words.OneOf("make", store.Makes, w)
		if err != nil {
			return nil, line.UsageError{Err: err}
		}
		all = append(all, word)
	}
	return all, nil
}

// suggestMap prints a proposal for reading a list.
func suggestMap(c *call, file string) error {
	if also := c.SetOf("map", "map-file", "as-count", "problems"); len(also) > 0 {
		return line.Usagef("--suggest proposes a map and reads nothing: leave --%s out", also[0])
	}
	m, err := readMapping(c)
	if err != nil {
		return err
	}
	if m == nil {
		m = &sheet.Mapping{Dates: strings.ToLower(c.String("dates"))}
	}
	s, err := suggested(c, file, m)
	if err != nil {
		return err
	}
	return c.Answer(map[string]any{"suggested": s}, func() {
		c.Printf("%s", s.String())
		c.Notef("keep this as a file, look it through, then: tinful import %s --map-file FILE --dry-run", file)
	})
}

// suggested is a proposal for reading a list of which the flags and m say something.
func suggested(c *call, file string, m *sheet.Mapping) (*sheet.Suggested, error) {
	o := sheet.Options{Map: m}
	err := c.over(nil, func(l *lookup) {
		o.MaxSize = got(l, parseSize, c.String("max-size"))
		o.Encoding = l.word("encoding", sheet.Encodings())
	})
	if err != nil {
		return nil, err
	}
	defer store.Collect(importGarbage, importMemory)()
	return sheet.Suggest(file, o)
}
