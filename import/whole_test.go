package sheet

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"image"
	"image/png"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/dim"
	"tinful/store/pages"
	"tinful/store/picture"
)

// notCarried is all of a store that an export does not carry, by bucket or by bucket and
// key, and why.
var notCarried = map[string]string{
	"booking":                 "the book's own commands: a workbook is taken in as one booking",
	"booking_by_who":          "an index of those",
	"booking_by_undo":         "an index of those",
	"former":                  "what undo gives back",
	"entry":                   "is compared entry by entry: how many lie behind one key follows from bookings",
	"meta booking":            "counts bookings",
	"meta series/":            "the highest number of a code that was made up and perhaps taken back: it follows from the codes that are there",
	"meta set/demo":           "a copy of the demo is a workshop of one's own",
	"meta set/salvaged":       "names a booking",
	"meta schema":             "of the program",
	"entry field Undoes":      "names a booking; what took it back stands in Why",
	"bag that was taken back": "its entries cancel, and undo alone could bring it back",
}

// frames are the buckets whose values are records, which begin with the number of the
// booking that wrote them.
var frames = []string{"part", "bag", "model", "goes", "donor", "seen", "place", "job", "want", "old", "step", "count", "draft", "paper", "label", "note", "shop", "month", "picture", "state", "figure"}

// itemsOf are the keys and values of every bucket of a store but what is not carried,
// without the numbers of bookings and the sums that cover them.
func itemsOf(t rapid.TB, path string) map[string]string {
	t.Helper()
	file, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	info, err := file.Stat()
	if err != nil {
		t.Fatal(err)
	}
	f, err := pages.Open(file, info.Size())
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]string{}
	if _, err := f.Items(func(i pages.Item) error {
		name, value := fmt.Sprintf("%s %q", i.Bucket, i.Key), i.Value
		for part := range notCarried {
			if part == i.Bucket || strings.HasPrefix(i.Bucket+" "+string(i.Key), part) && strings.Contains(part, " ") {
				return nil
			}
		}
		if slices.Contains(frames, i.Bucket) {
			_, n := binary.Uvarint(value[1:])
			value = value[1+n : len(value)-4]
		}
		out[name] = string(value)
		return nil
	}); err != nil {
		t.Fatal(err)
	}
	return out
}

// entriesOf are the entries of a store, without what is not carried.
func entriesOf(t rapid.TB, path string) (out []string) {
	t.Helper()
	viewed(t, path, func(v *store.View) error {
		return v.EachEntry(func(e store.Entry) error {
			e.Booking, e.Undoes = 0, 0
			out = append(out, fmt.Sprintf("%+v", e))
			return nil
		})
	})
	return out
}

func viewed(t rapid.TB, path string, fn func(*store.View) error) {
	t.Helper()
	s, err := store.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if err := s.View(fn); err != nil {
		t.Fatal(err)
	}
}

// carried exports the store at one into out, makes a store of that at two, and holds
// that both are equal, record for record. What is read is what through makes of out.
func carried(t rapid.TB, one, out, two string, through func(out string) string) {
	t.Helper()
	viewed(t, one, func(v *store.View) error {
		_, err := Export(v, out, Output{Photos: one, Said: func(text string) { t.Error(text) }})
		return err
	})
	load, problems, report, err := Read(through(out), Options{Look: unsure})
	if err != nil || len(problems)+len(report.Ignored)+len(report.Notes) > 0 {
		t.Fatalf("read back: %v %v %+v", err, problems, report)
	}
	takenIn(t, load, two)
	differ(t, itemsOf(t, one), itemsOf(t, two))
	differ(t, filesOf(t, store.PhotoFolder(one)), filesOf(t, store.PhotoFolder(two)))
	if a, b := entriesOf(t, one), entriesOf(t, two); !slices.Equal(a, b) {
		t.Fatalf("entries\n%s\nhave become\n%s", strings.Join(a, "\n"), strings.Join(b, "\n"))
	}
	s, err := store.Open(two)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if h, err := s.Check(); err != nil || len(h.Problems) > 0 {
		t.Fatalf("check: %v %v", h.Problems, err)
	}
}

// unsure takes what is kept as it is for a picture that cannot be decoded.
func unsure(path string, asItIs bool) (store.Photo, error) {
	p, err := stripped(path, asItIs)
	p.Unsure = asItIs && p.Format != ""
	return p, err
}

// filesOf are the files of a folder, which may not be there.
func filesOf(t rapid.TB, folder string) map[string]string {
	t.Helper()
	out := map[string]string{}
	list, _ := os.ReadDir(folder)
	for _, f := range list {
		b, err := os.ReadFile(filepath.Join(folder, f.Name()))
		if err != nil {
			t.Fatal(err)
		}
		out[f.Name()] = string(b)
	}
	return out
}

// takenIn makes a store of what was read.
func takenIn(t rapid.TB, load *store.Load, path string) {
	t.Helper()
	p, err := store.PlanLoad(nil, load, whenRead)
	if err != nil || len(p.Problems) > 0 {
		t.Fatalf("%v %+v", err, p)
	}
	settings := map[string]string{}
	if p.Currency != "" {
		settings["currency"] = p.Currency
	}
	if _, err := store.CreateFrom(path, p, settings, nil); err != nil {
		t.Fatal(err)
	}
}

func differ(t rapid.TB, one, two map[string]string) {
	t.Helper()
	said := 0
	for _, k := range slices.Sorted(maps.Keys(one)) {
		if x, there := two[k]; !there || x != one[k] {
			t.Errorf("%s\n  holds %q\n  taken in %q (%t)", k, one[k], x, there)
			said++
		}
	}
	for _, k := range slices.Sorted(maps.Keys(two)) {
		if _, there := one[k]; !there {
			t.Errorf("%s was not there", k)
			said++
		}
	}
	if said > 0 {
		t.FailNow()
	}
}

// Whatever a store keeps is the same after it was exported and taken into a new one,
// by record: what is not carried stands in the table above.
func TestExportIsWhole(t *testing.T) {
	checks(t, "40") // each makes two stores
	rapid.Check(t, func(rt *rapid.T) {
		dir, err := os.MkdirTemp("", "whole")
		if err != nil {
			rt.Fatal(err)
		}
		defer os.RemoveAll(dir)
		at := func(name string) string { return filepath.Join(dir, name) }
		drawStore(rt, at("1.db"))
		out := "out"
		if rapid.IntRange(0, 2).Draw(rt, "workbook") == 0 {
			out = "out.xlsx"
		}
		carried(rt, at("1.db"), at(out), at("2.db"), func(out string) string { return out })
	})
}

// drawStore makes a store of everything at path.
func drawStore(t *rapid.T, path string) {
	load := drawLoad(t)
	d := &keeper{T: t, models: codesOfAll(load.Models, func(x store.Model) code.Code { return x.Code }), parts: codesOfAll(load.Parts.Records(), func(x store.Part) code.Code { return x.Code }),
		bags: codesOfAll(load.Bags.Records(), func(x store.Bag) code.Code { return x.Code }), places: codesOfAll(load.Places, func(x store.Place) code.Code { return x.Code }),
		jobs: codesOfAll(load.Jobs.Records(), func(x store.Job) code.Code { return x.Code }), donors: codesOfAll(load.Donors.Records(), func(x store.Donor) code.Code { return x.Code })}
	stored(t, load, path)
	d.keep(path)
}

func codesOfAll[R any](list []R, own func(R) code.Code) (out []code.Code) {
	for _, r := range list {
		out = append(out, own(r))
	}
	return out
}

// A keeper keeps in a store what no list of a person's has.
type keeper struct {
	*rapid.T
	models, parts, bags, places, jobs, donors []code.Code
}

func (d *keeper) text(what string) string { return drawText(d.T, what) }

// must is a text that says something.
func (d *keeper) must(what string) string { return "x" + d.text(what) }

func (d *keeper) day(what string) code.Day { return drawDay(d.T, what) }

func (d *keeper) thing() (string, code.Code) {
	kinds := map[string][]code.Code{"part": d.parts, "bag": d.bags, "place": d.places, "job": d.jobs}
	if len(d.donors) > 0 {
		kinds["donor"] = d.donors
	}
	kind := rapid.SampledFrom(slices.Sorted(maps.Keys(kinds))).Draw(d.T, "thing")
	return kind, rapid.SampledFrom(kinds[kind]).Draw(d.T, "which")
}

func (d *keeper) readings() map[dim.Field]store.Reading {
	out := map[dim.Field]store.Reading{}
	for _, f := range []dim.Field{dim.Wire, dim.Coils, dim.Angle, dim.Mass, dim.Teeth, dim.Thick} {
		if rapid.IntRange(0, 2).Draw(d.T, "read") == 0 {
			var each []int64
			if rapid.Bool().Draw(d.T, "several") {
				each = []int64{rapid.Int64Range(0, 9_999_999).Draw(d.T, "one"), 2000}
			}
			out[f] = store.Reading{Each: each, Value: rapid.Int64Range(0, 9_999_999).Draw(d.T, "value"), Tool: oneOrNone(d.T, "tool", dim.Tools), Times: rapid.Int64Range(0, 9).Draw(d.T, "times"),
				Day: d.day("read on"), By: d.text("read by"), From: d.text("read from")}
		}
	}
	if len(out) == 0 {
		return nil
	}
	return out
}

func (d *keeper) layers(what string) (out []store.Layer) {
	for range rapid.IntRange(0, 3).Draw(d.T, what) {
		l := store.Layer{Part: oneOrNone(d.T, what+" part", d.parts), Thick: drawCount(d.T, what+" thick")}
		if l.Part == "" {
			l.Piece = d.must(what + " piece")
		}
		out = append(out, l)
	}
	return out
}

func (d *keeper) step(kind string, camera code.Code, n uint64) store.Step {
	s := store.Step{Kind: kind, Camera: camera, Nth: n, Seat: oneOrNone(d.T, "seat", store.Seats), Day: d.day("step day"), By: d.text("step by"), Note: d.text("step note"),
		Facing: d.text("facing"), Turns: drawCount(d.T, "turns"), Teeth: drawCount(d.T, "teeth"), Sealed: d.text("sealed"), Tools: d.text("tools"), Went: d.text("went"),
		Set: d.text("set"), Stop: d.text("stop"), Text: d.text("as written"), Under: d.layers("under"), Over: d.layers("over")}
	for range rapid.IntRange(0, 3).Draw(d.T, "off") {
		o := store.Off{Part: oneOrNone(d.T, "off part", d.parts), Quantity: rapid.Int64Range(1, 9).Draw(d.T, "off n"), Unit: oneOrNone(d.T, "off unit", store.Units), Hole: d.text("hole"),
			Hand: d.text("off hand"), Grade: oneOrNone(d.T, "off grade", store.Grades), Bag: oneOrNone(d.T, "off bag", d.bags), Place: oneOrNone(d.T, "off place", d.places)}
		if o.Part == "" {
			o.Piece = d.must("off piece")
		}
		s.Off = append(s.Off, o)
	}
	for range rapid.IntRange(0, 2).Draw(d.T, "wrong") {
		w := store.Wrong{Part: rapid.SampledFrom(d.parts).Draw(d.T, "wrong part"), Seen: oneOrNone(d.T, "wrong seen", store.SeenWords)}
		if rapid.Bool().Draw(d.T, "in words") {
			w = store.Wrong{Text: d.must("wrong text")}
		}
		s.Wrong = append(s.Wrong, w)
	}
	for range rapid.IntRange(0, 2).Draw(d.T, "pictures") {
		s.Pictures = append(s.Pictures, d.must("picture"))
	}
	return s
}

// lines draws lines of a text.
func (d *keeper) lines(what string, most int) (out []string) {
	for range rapid.IntRange(1, most).Draw(d.T, what) {
		out = append(out, d.must(what+" line"))
	}
	return out
}

// keep books records of every kind into the store at path, and a few movements.
func (d *keeper) keep(path string) {
	s, err := store.OpenToBook(path)
	if err != nil {
		d.Fatal(err)
	}
	defer s.Close()
	// A seventh of the bookings at most is refused, as what they draw may not be.
	for range rapid.IntRange(1, 12).Draw(d.T, "bookings") {
		h := store.Head{Day: lastDay + 100, Today: lastDay + 100, At: 7, By: "B" + d.text("who"), Command: "x"}
		if _, err := s.Book(h, d.one); err != nil {
			d.Fatalf("%v", err)
		}
	}
}

// one books one thing.
func (d *keeper) one(t *store.Tx) error {
	pick := func(what string, list []code.Code) code.Code { return rapid.SampledFrom(list).Draw(d.T, what) }
	switch op := rapid.IntRange(0, 20).Draw(d.T, "op"); op {
	case 19, 20:
		return d.photograph(t)
	case 0:
		kind, c := d.thing()
		_, err := t.Remark(store.Ref{Kind: kind, Code: c}, d.must("remark"))
		return err
	case 1:
		p, err := t.Part(pick("measured", d.parts))
		if err != nil {
			return err
		}
		p.Readings, p.CountFirst = d.readings(), rapid.Bool().Draw(d.T, "count first")
		return t.Put(p)
	case 2:
		b, err := t.Bag(pick("made", d.bags))
		if err != nil {
			return err
		}
		b.Readings, b.Material, b.Pattern, b.Minutes = d.readings(), d.text("made from"), oneOrNone(d.T, "pattern", d.parts), rapid.Int64Range(0, 99).Draw(d.T, "minutes")
		return t.Put(b)
	case 3:
		if len(d.donors) == 0 {
			return t.Put(store.Shop{Name: d.must("shop")})
		}
		x, err := t.Donor(pick("signs", d.donors))
		if err != nil {
			return err
		}
		x.Signs, x.Why, x.Frozen, x.Carcass = nil, d.text("bought for"), d.day("frozen"), drawCents(d.T, "carcass")
		for i, text := range d.lines("sign", 3) {
			x.Signs = append(x.Signs, fmt.Sprint(i, text))
		}
		return t.Put(x)
	case 4:
		j, err := t.Job(pick("estimate", d.jobs))
		if err != nil {
			return err
		}
		j.History, j.Lines = oneOrNone(d.T, "history", store.Histories), nil
		for i, text := range d.lines("estimate", 3) {
			j.Lines = append(j.Lines, store.JobLine{Text: fmt.Sprint(i, text), Sum: drawCents(d.T, "sum")})
		}
		return t.Put(j)
	case 5:
		return t.Put(store.Seen{Job: pick("seen on", d.jobs), Part: pick("seen part", d.parts), Seen: rapid.SampledFrom(store.SeenWords).Draw(d.T, "seen"), Date: d.day("seen day"), Note: d.text("seen note")})
	case 6:
		o := store.Old{Job: pick("old job", d.jobs), Nth: rapid.Uint64Range(1, 9).Draw(d.T, "nth"), Part: oneOrNone(d.T, "old part", d.parts), Quantity: rapid.Int64Range(1, 9).Draw(d.T, "old n"),
			Why: d.must("old why"), Fate: oneOrNone(d.T, "fate", store.Fates), Where: d.must("old where"), Day: d.day("old day"), Settled: d.day("settled"), By: d.text("old by"), Note: d.text("old note")}
		if o.Part == "" {
			o.Piece = d.must("old piece")
		}
		return t.Put(o)
	case 7:
		kind, camera := "job", pick("step job", d.jobs)
		if len(d.donors) > 0 && rapid.Bool().Draw(d.T, "of a donor") {
			kind, camera = "donor", pick("step donor", d.donors)
		}
		return t.Put(d.step(kind, camera, rapid.Uint64Range(1, 9).Draw(d.T, "step")))
	case 8:
		c := store.Count{Number: rapid.Uint64Range(1, 3).Draw(d.T, "count"), Places: drawSome(d.T, "counted places", d.places), Day: firstDay, Closed: d.day("closed"), By: d.text("counted by"),
			Cut: rapid.Uint64Range(0, t.LastEntry()).Draw(d.T, "cut"), Since: d.day("since")}
		for range rapid.IntRange(0, 2).Draw(d.T, "loose") {
			c.Loose = append(c.Loose, store.Loose{Part: pick("loose part", d.parts), Place: oneOrNone(d.T, "lay in", d.places), N: rapid.Int64Range(0, 9).Draw(d.T, "loose n"),
				About: rapid.Bool().Draw(d.T, "loose about"), By: d.text("loose by"), Day: d.day("loose day"), Bag: oneOrNone(d.T, "loose bag", d.bags)})
		}
		return t.Put(c)
	case 9:
		return t.Put(store.Paper{Name: rapid.SampledFrom([]string{"drawer", "roll", "2031-08-31", "007"}).Draw(d.T, "paper"), Sheet: d.must("measures")})
	case 10:
		kind, c := d.thing()
		lines := append(d.lines("label", 3), "")
		return t.Put(store.Label{Kind: kind, Code: c, Text: strings.Join(append([]string{"", "a", ""}, lines...), "\n"), Day: d.day("label day")})
	case 11:
		name := rapid.SampledFrom([]string{"2031-01", "2031-02", "2031-03"}).Draw(d.T, "month")
		if m, err := t.HandedOver(name); err != nil || m.Name != "" {
			return err
		}
		return t.Put(store.Month{Name: name, Day: d.day("handed over"), By: d.text("handed by"), Last: rapid.Uint64Range(0, t.LastEntry()).Draw(d.T, "last"),
			Sheet: []byte(`{"a":"` + strings.Repeat(d.must("month")+" é 0 ", rapid.IntRange(1, 3000).Draw(d.T, "pages")) + `"}`)})
	case 12:
		on := store.Ref{Kind: "job", Code: pick("typed", d.jobs)}
		if had, err := t.DraftOf(on); err != nil || len(had.Lines) > 0 {
			return err
		}
		return t.Put(store.Draft{Kind: on.Kind, Camera: on.Code, Lines: d.lines("typed", 3)})
	case 13:
		return t.Put(store.Shop{Name: d.must("shop"), Lines: d.lines("address", 3), Terms: d.text("terms")})
	case 14:
		return t.Enter(store.Entry{What: store.Counted, Bag: pick("read", d.bags), Quantity: rapid.Int64Range(0, 9).Draw(d.T, "read n"), Count: rapid.Uint64Range(0, 3).Draw(d.T, "of count"), Unsure: rapid.Bool().Draw(d.T, "unsure")})
	case 15:
		_, err := t.PutIn(store.Bag{Part: pick("new bag", d.parts), Origin: "bought", Quantity: 3, Place: pick("new place", d.places), Grade: "usable"})
		return err
	case 16:
		b, err := t.PutIn(store.Bag{Part: pick("split bag", d.parts), Origin: "bought", Quantity: 5, Place: pick("split place", d.places), Grade: "usable"})
		if err != nil {
			return err
		}
		_, err = t.SplitBag(store.Take{Bag: b, N: 2}, pick("split to", d.places))
		return err
	case 17:
		sheet := store.Part{Code: code.Code(fmt.Sprintf("SHEET-%d", t.LastEntry())), Name: d.must("sheet"), Class: "COV-NEW", Dims: map[dim.Field]int64{dim.Width: 90_000, dim.Length: 80_000}}
		if _, err := t.Part(sheet.Code); err == nil {
			return nil
		}
		panel := store.Part{Code: "PANEL", Name: "front", Class: "COV"}
		if err := errors.Join(t.Put(sheet), t.Put(panel)); err != nil {
			return err
		}
		cost := code.Cents(1000)
		b, err := t.PutIn(store.Bag{Part: sheet.Code, Origin: "bought", Quantity: 2, Cost: &cost, Place: pick("sheet place", d.places), Grade: "new", Flaws: []dim.Spot{{Width: 9000, X: 40_000, Y: 60_000}}})
		if err != nil {
			return err
		}
		cut := store.CutUp{Bag: b, N: 1, Model: pick("cut for", d.models), Cost: &cost, Into: []store.CutPiece{
			{Part: panel.Code, Width: 30_000, Length: 40_000, N: 2}, {Offcut: true, X: 35_000, Width: 55_000, Length: 80_000, N: 1}}}
		made, err := t.CutUp(cut)
		if err == nil && rapid.Bool().Draw(d.T, "spoilt") {
			_, err = t.CutUp(store.CutUp{Bag: made[1], N: 1, Why: d.must("spoilt why")})
		}
		return err
	}
	p := store.Part{Code: code.Code(fmt.Sprintf("SECOND-%d", t.LastEntry())), Name: d.must("second name"), Same: pick("same", d.parts)}
	if _, err := t.Part(p.Code); err == nil {
		return nil
	}
	return t.Put(p)
}

// photograph keeps a picture of a thing: one of a few of a pixel, held in one of eight ways,
// or what is none.
func (d *keeper) photograph(t *store.Tx) error {
	m := image.NewGray(image.Rect(0, 0, 1, 1))
	m.Pix[0] = rapid.SampledFrom([]uint8{1, 2, 3}).Draw(d.T, "grey")
	var b bytes.Buffer
	if err := png.Encode(&b, m); err != nil {
		return err
	}
	clean, err := picture.Strip(picture.Clean{Bytes: b.Bytes(), Format: "png", Turn: uint8(rapid.IntRange(1, 8).Draw(d.T, "turn"))}.Upright())
	if err != nil {
		return err
	}
	s := store.Shot{Photo: store.Photo{Clean: clean, Name: d.text("file") + rapid.SampledFrom([]string{".png", ".PNG", ".x y", ""}).Draw(d.T, "ending"), Unsure: rapid.Bool().Draw(d.T, "unsure")}, Caption: d.text("caption")}
	if rapid.IntRange(0, 3).Draw(d.T, "no picture") == 0 {
		s.Clean, s.Unsure = picture.Clean{Bytes: []byte("<svg/>" + fmt.Sprint(m.Pix[0]))}, false
	}
	kind, c := d.thing()
	if all, err := t.StepsOf(kind, c); err != nil {
		return err
	} else if len(all) > 0 && (kind == "donor" || kind == "job") {
		s.Step = rapid.SampledFrom([]uint64{0, all[0].Nth}).Draw(d.T, "step")
	}
	_, _, err = t.Photograph(store.Ref{Kind: kind, Code: c}, s)
	return err
}

// drawSome draws some of a list, at least one, in their order.
func drawSome[T any](t *rapid.T, what string, list []T) []T {
	return list[:rapid.IntRange(1, len(list)).Draw(t, what)]
}
