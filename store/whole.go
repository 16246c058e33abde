package store

import (
	"bytes"
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"tinful/store/code"
	"tinful/store/dim"
)

// What a workbook holds beside the records of its first ten sheets, as rows: what a
// record keeps in a list has a row an element. They are taken together again in
// loadwhole.go.

// A SignRow is one sign by which the history of a parts camera was told.
type SignRow struct {
	Donor code.Code
	Text  string
}

// A MeasuredRow is one reading of a part, or of the pieces in a bag.
type MeasuredRow struct {
	Part, Bag code.Code // one of them
	Field     dim.Field
	Reading
}

// A MakingRow is what the pieces of a bag were made from here: see [Bag].
type MakingRow struct {
	Bag      code.Code
	Material string
	Pattern  code.Code
	Minutes  int64
}

// What a row of the sheet Papers is.
const (
	PaperShop     = "shop"     // the workshop's name
	PaperAddress  = "address"  // a line of its address
	PaperTerms    = "terms"    // what stands under every paper
	PaperSheet    = "paper"    // a kept sheet or roll, by its name
	PaperLabel    = "label"    // a line of what the last label of a thing said
	PaperMonth    = "month"    // a piece of the sheet of a month that was handed over
	PaperEstimate = "estimate" // a line of a job's estimate
	PaperTyped    = "typed"    // a line of a strip-down that is not booked yet
	PaperCurrency = "currency" // in which amounts of money are
)

// PaperWords are the words for what a row of the sheet Papers is.
var PaperWords = []string{PaperShop, PaperAddress, PaperTerms, PaperSheet, PaperLabel, PaperMonth, PaperEstimate, PaperTyped, PaperCurrency}

// A PaperRow is a row of the sheet Papers.
type PaperRow struct {
	What string // one of PaperWords
	Name string // of a paper or month; a job's code; a thing such as bag:B203
	Line int64  // 1 for the first
	Text string
	Sum  *code.Cents
	Day  code.Day
	By   string
	// Entry is the number of the last entry that a month could have.
	Entry uint64
}

// Entered tells of bags the number that a workbook gives the entry that booked one in,
// and who did; 0 for a bag made by a split.
func (v *View) Entered() (func(bag code.Code) (entry uint64, by string), error) {
	c, err := v.course()
	if err != nil {
		return nil, err
	}
	rank, err := v.ranksOf(c)
	return func(bag code.Code) (uint64, string) {
		seq, by := c.entered(bag)
		return rank(seq), by
	}, err
}

// EachOld calls fn for every piece that came out of a customer's camera.
func (v *View) EachOld(fn func(Old) error) error { return each(v, bOld, fn) }

// EachSign calls fn for every sign of a parts camera, in order of donors.
func (v *View) EachSign(fn func(SignRow) error) error {
	return v.EachDonor(func(d Donor) error {
		for _, text := range d.Signs {
			if err := fn(SignRow{d.Code, text}); err != nil {
				return err
			}
		}
		return nil
	})
}

// EachStepRow calls fn for the rows of every step: each has one piece, layer and thing
// that was wrong at most, and the first has what is said of the step.
func (v *View) EachStepRow(fn func(Step) error) error {
	return each(v, bStep, func(s Step) error {
		first := s
		first.Off, first.Under, first.Over, first.Wrong, first.Pictures = nil, nil, nil, nil, nil
		rows := max(1, len(s.Off), len(s.Under), len(s.Over), len(s.Wrong), len(s.Pictures))
		for i := range rows {
			row := Step{Kind: s.Kind, Camera: s.Camera, Nth: s.Nth}
			if i == 0 {
				row = first
			}
			row.Off, row.Under, row.Over, row.Wrong, row.Pictures = nth(s.Off, i), nth(s.Under, i), nth(s.Over, i), nth(s.Wrong, i), nth(s.Pictures, i)
			if err := fn(row); err != nil {
				return err
			}
		}
		return nil
	})
}

// nth is the element at i of a list, alone, or nothing.
func nth[T any](list []T, i int) []T {
	if i >= len(list) {
		return nil
	}
	return list[i : i+1 : i+1]
}

// EachCountRow calls fn for the rows of every count: one a place, then one for what was
// met of each part without a bag.
func (v *View) EachCountRow(fn func(Count) error) error {
	rank, err := v.ranks()
	if err != nil {
		return err
	}
	return v.EachCount(func(c Count) error {
		c.Cut = rank(c.Cut)
		first := c
		first.Places, first.Loose = nil, nil
		for i := range max(1, len(c.Places)) + len(c.Loose) {
			row := Count{Number: c.Number}
			if i == 0 {
				row = first
			}
			if row.Places = nth(c.Places, i); i >= max(1, len(c.Places)) {
				row.Loose = nth(c.Loose, i-max(1, len(c.Places)))
			}
			if err := fn(row); err != nil {
				return err
			}
		}
		return nil
	})
}

// EachMeasured calls fn for every reading, of parts first.
func (v *View) EachMeasured(fn func(MeasuredRow) error) error {
	x, err := v.besides()
	if err != nil {
		return err
	}
	return callEach(x.measured, fn)
}

// EachMaking calls fn for every bag of which it is known what its pieces were made from.
func (v *View) EachMaking(fn func(MakingRow) error) error {
	x, err := v.besides()
	if err != nil {
		return err
	}
	return callEach(x.making, fn)
}

func callEach[T any](list []T, fn func(T) error) error {
	for _, x := range list {
		if err := fn(x); err != nil {
			return err
		}
	}
	return nil
}

// sideRows are what few parts and bags have beside their columns.
type sideRows struct {
	measured []MeasuredRow
	making   []MakingRow
}

// besides goes through the parts and bags for what few of them have. A reading
// transaction does that once.
func (v *View) besides() (*sideRows, error) {
	if v.few != nil {
		return v.few, nil
	}
	x := &sideRows{}
	read := func(all map[dim.Field]Reading, m MeasuredRow) {
		for _, f := range slices.Sorted(maps.Keys(all)) {
			m.Field, m.Reading = f, all[f]
			x.measured = append(x.measured, m)
		}
	}
	type few struct { // of a [Part] and a [Bag]
		Readings map[dim.Field]Reading `cbor:"17,keyasint"`
	}
	err := v.scan(bPart, nil, func(k, b []byte) error {
		var p few
		err := decode(bPart, k, b, &p)
		read(p.Readings, MeasuredRow{Part: code.Code(k)})
		return err
	})
	if err != nil {
		return nil, err
	}
	err = v.scan(bBag, nil, func(k, b []byte) error {
		var p struct {
			few
			Material string    `cbor:"18,keyasint"`
			Pattern  code.Code `cbor:"19,keyasint"`
			Minutes  int64     `cbor:"20,keyasint"`
		}
		err := decode(bBag, k, b, &p)
		read(p.Readings, MeasuredRow{Bag: code.Code(k)})
		if m := (MakingRow{code.Code(k), p.Material, p.Pattern, p.Minutes}); m != (MakingRow{Bag: m.Bag}) {
			x.making = append(x.making, m)
		}
		return err
	})
	if err == nil && !v.tx.Writable() {
		v.few = x
	}
	return x, err
}

// EachPaperRow calls fn for the rows of the sheet Papers: the workshop's head, what is
// kept of papers, labels and months, lines of estimates, and what is typed of
// strip-downs.
func (v *View) EachPaperRow(fn func(PaperRow) error) error {
	var rows []PaperRow
	add := func(r PaperRow) { rows = append(rows, r) }
	lines := func(r PaperRow, all []string) {
		for i, text := range all {
			if r.Line, r.Text = int64(i+1), text; text != "" || i == len(all)-1 {
				add(r)
				r.Day, r.By, r.Entry = 0, "", 0
			}
		}
	}
	if s := v.Setting(PaperCurrency); s != "" {
		add(PaperRow{What: PaperCurrency, Text: s})
	}
	shop, err := v.Shop()
	if err != nil {
		return err
	}
	rank, err := v.ranks()
	if err != nil {
		return err
	}
	if shop.Name != "" {
		add(PaperRow{What: PaperShop, Text: shop.Name})
	}
	lines(PaperRow{What: PaperAddress}, shop.Lines)
	if shop.Terms != "" {
		add(PaperRow{What: PaperTerms, Text: shop.Terms})
	}
	for _, err := range []error{
		each(v, bPaper, func(p Paper) error {
			add(PaperRow{What: PaperSheet, Name: p.Name, Text: p.Sheet})
			return nil
		}),
		each(v, bLabel, func(l Label) error {
			lines(PaperRow{What: PaperLabel, Name: l.Kind + ":" + string(l.Code), Day: l.Day}, strings.Split(l.Text, "\n"))
			return nil
		}),
		each(v, bMonth, func(m Month) error {
			lines(PaperRow{What: PaperMonth, Name: m.Name, Day: m.Day, By: m.By, Entry: rank(m.Last)}, slices.Collect(cellfuls(string(m.Sheet))))
			return nil
		}),
		each(v, bDraft, func(d Draft) error {
			lines(PaperRow{What: PaperTyped, Name: d.Kind + ":" + string(d.Camera)}, d.Lines)
			return nil
		}),
		v.EachJob(func(j Job) error {
			for i, l := range j.Lines {
				add(PaperRow{What: PaperEstimate, Name: string(j.Code), Line: int64(i + 1), Text: l.Text, Sum: l.Sum})
			}
			return nil
		}),
	} {
		if err != nil {
			return err
		}
	}
	return callEach(rows, fn)
}

// cellful is how many bytes of a long text go into a cell.
const cellful = 30_000

// cellfuls parts a text into pieces that cells hold: none begins or ends with a blank,
// which reading a cell takes off, or within a letter.
func cellfuls(text string) func(yield func(string) bool) {
	return func(yield func(string) bool) {
		for len(text) > cellful {
			at := cellful
			for at > 1 && (text[at] >= utf8.RuneSelf || text[at-1] >= utf8.RuneSelf || text[at] == ' ' || text[at-1] == ' ') {
				at--
			}
			if at == 1 { // no letter of ASCII: before any that is no mark upon another
				for at = cellful; at > 1 && (text[at-1] == ' ' || !startsWhole(text[at:])); {
					at--
				}
			}
			if !yield(text[:at]) {
				return
			}
			text = text[at:]
		}
		yield(text)
	}
}

// startsWhole says that a text begins with a letter of its own.
func startsWhole(text string) bool {
	r, _ := utf8.DecodeRuneInString(text)
	return utf8.RuneStart(text[0]) && !unicode.Is(unicode.M, r) && !unicode.IsSpace(r)
}

// thingOf reads bag:B203.
func thingOf(text string) (kind string, c code.Code, err error) {
	kind, rest, ok := strings.Cut(text, ":")
	if kind = strings.ToLower(kind); !ok || !slices.Contains(KindsOfCode, kind) {
		return "", "", fmt.Errorf("%q is no thing: write it like bag:B203, with one of %s", text, strings.Join(KindsOfCode, ", "))
	}
	c, err = code.Parse(rest)
	return kind, c, err
}

// wholeOf is what cellfuls parted.
func wholeOf(rows []PaperRow) []byte {
	var b bytes.Buffer
	for _, r := range rows {
		b.WriteString(r.Text)
	}
	return b.Bytes()
}
