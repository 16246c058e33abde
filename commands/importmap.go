package commands

import (
	"errors"
	"path/filepath"
	"strconv"
	"strings"

	sheet "tinful/import"
	"tinful/store"
)

// mapFlags are the flags of a list with headings of its own.
var mapFlags = []string{"map", "map-file", "sheet", "as", "header-row", "dates"}

// readMapping is the mapping of the flags, those on the line before those of the map
// file; nil where none is given.
func (c *call) readMapping() (*sheet.Mapping, error) {
	given := false
	for _, f := range mapFlags {
		given = given || c.IsSet(f)
	}
	if !given {
		return nil, nil
	}
	m := &sheet.Mapping{}
	if file := c.String("map-file"); file != "" {
		text, note, err := sheet.ReadText(file)
		if err != nil {
			return nil, err
		}
		if note != "" {
			c.notef("%s", note)
		}
		if m, err = sheet.ParseMap(filepath.Base(file), text); err != nil {
			return nil, err
		}
	}
	for _, pair := range c.List("map") {
		if err := m.AddPair(pair); err != nil {
			return nil, usageError{err}
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
			return nil, usagef("--header-row %q is no number of a row", row)
		}
		m.HeaderRow = n
	}
	m.Dates = strings.ToLower(m.Dates)
	return m, nil
}

// mapping is the checked mapping for the store at path, whose currency amounts have.
func (c *call) mapping(path string) (*sheet.Mapping, error) {
	m, err := c.readMapping()
	if m == nil || err != nil {
		return nil, err
	}
	if err := m.Check(); err != nil {
		return nil, usageError{err}
	}
	s, err := store.Open(path)
	if errors.Is(err, store.ErrNoStore) {
		return m, nil
	}
	if err != nil {
		return nil, err
	}
	defer s.Close()
	return m, s.View(func(v *store.View) error { m.Currency = v.Setting("currency"); return nil })
}

// suggestMap prints a proposal for reading a list.
func (c *call) suggestMap(file string) error {
	if c.IsSet("map") || c.IsSet("map-file") {
		return usagef("--suggest proposes a map: leave --map and --map-file out")
	}
	size, err := parseSize(c.String("max-size"))
	if err != nil {
		return err
	}
	m, err := c.readMapping()
	if err != nil {
		return err
	}
	if m == nil {
		m = &sheet.Mapping{}
	}
	s, err := sheet.Suggest(file, sheet.Options{MaxSize: size, Map: m})
	if err != nil {
		return err
	}
	if c.JSON() {
		return c.printJSON(map[string]any{"suggested": s})
	}
	c.printf("%s", s.String())
	c.notef("keep this as a file, look it through, then: tinful import %s --map-file FILE --dry-run", file)
	return nil
}
