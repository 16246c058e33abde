package ask

import (
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"slices"
	"strings"
	"testing"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/dim"
	"tinful/store/thread"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// answers asks everything of the demo workshop and writes each answer as JSON.
func answers(v *store.View) (map[string]string, error) {
	out, errs := map[string]string{}, []error(nil)
	add := func(name string, x any, err error) {
		text, jerr := json.Marshal(x)
		out[name], errs = string(text), append(errs, err, jerr)
	}
	errs = append(errs, v.EachPart(func(p store.Part) error {
		s, err := PartSheet(v, p.Code)
		add("part "+string(p.Code), s, err)
		return nil
	}), v.EachJob(func(j store.Job) error {
		f, err := JobFileOf(v, j.Code)
		add("job "+string(j.Code), f, err)
		return nil
	}), v.EachDonor(func(d store.Donor) error {
		if d.Owner == store.Own {
			c, err := Cost(v, d.Code)
			add("cost "+string(d.Code), c, err)
		}
		r, err := remarksOn(v, d, demoDay)
		add("remarks "+string(d.Code), r, err)
		return nil
	}))
	found, err := Find(v, Query{Words: []string{"spring"}})
	add("find spring", found, err)
	found, err = Find(v, Query{Marks: marks(dim.Thread, "1.7x0.35")})
	add("find thread", found, err)
	needed, err := Need(v, Request{Part: "P001", Camera: store.Camera{Model: "W1-B", BodyNo: "19000"}})
	add("need", needed, err)
	needed, err = Need(v, Request{Part: "P070", Camera: store.Camera{Model: "W3-A"}, Job: "106", Owner: "customer 6"})
	add("need for a job", needed, err)
	low, err := Low(v, LowQuery{Today: demoDay})
	add("low", low, err)
	odds, err := Odds(v, OddsQuery{Next: 3})
	add("odds", odds, err)
	shelf, err := Donors(v, demoDay)
	add("donors", shelf, err)
	cover, err := Donate(v, []Wanted{{"P005", 1}, {"P080", 1}}, 0.8, []Offer{{Code: "X1", Price: 900, Model: "W1-B"}})
	add("cover", cover, err)
	label, err := LabelOf(v, store.Ref{Kind: "bag", Code: "B301"}) // of no part, and in no other answer
	add("label of what is not sorted", label, err)
	which, err := Which(v, Marks{Number: "27766", Shutter: "ORV-00", ShutterNo: "O 301 777", Scale: "ft", Told: "three-screw base"})
	add("which", which, err)
	today, err := TodayOn(v, demoDay)
	add("today", today, err)
	month, err := MonthOf(v, "2031-08")
	add("month", month, err)
	count, err := CountOf(v, store.CountID{Day: demoDay})
	add("count", count, err)
	shims, err := FindShims(v, ShimQuery{Want: 350})
	add("shims", shims, err)
	gear, err := FindGear(v, GearQuery{Rack: true, Teeth: 22, Module: 300, Low: 295, High: 305}, 0)
	add("gear", gear, err)
	waste, err := WasteOf(v, WasteQuery{})
	add("waste", waste, err)
	threads, err := FindThreads(v, ThreadQuery{Reading: &thread.Reading{Diameter: 1_680_000, Spread: 20_000, Pitch: 350_000, PitchSpread: 12_000}, Model: "W1-B"})
	add("threads", threads, err)
	return out, errors.Join(errs...)
}

func sheetCodes(tb testing.TB, name, column string) (out []code.Code) {
	for _, r := range sheet(tb, name) {
		out = append(out, r.code(column))
	}
	return out
}

// A booking is one that a person makes of a bag or about a part.
type booking struct {
	name      string
	bag, part code.Code
}

// panel is the booking of one of the panels of the demo, where it is to be cut.
func (b booking) panel(rt *rapid.T) booking {
	if b.name == "cut" {
		b.part = rapid.SampledFrom([]code.Code{"P069", "P070", "P071", "P079", "PW-2"}).Draw(rt, "panel")
	}
	return b
}

func (b booking) book(x *store.Tx) error {
	take := store.Take{Bag: b.bag, N: 1, To: "H", Why: "test"}
	switch b.name {
	case "fit":
		take.Job = "106"
		return x.Fit(take)
	case "hold":
		take.Job = "106"
		return x.Hold(take)
	case "lend":
		return x.Lend(take)
	case "lost", "scrapped", "sold":
		what, _ := store.ParseWhat(b.name)
		return x.Away(what, take)
	case "move":
		take.To = "Q1"
		return x.Move(take)
	case "cut": // panels that are on hand are spoilt, else cut
		if _, err := Spoil(x, store.Ref{Kind: "part", Code: b.part}, "test", CutQuery{}); err == nil || !errors.Is(err, store.ErrRefused) {
			return err
		}
		q := CutQuery{Panels: []Wanted{{b.part, 1}}, Margin: UsualMargin}
		c, err := FindCut(&x.View, q)
		if err != nil {
			return err
		}
		return BookCut(x, q, c, "", "")
	case "split":
		_, err := x.SplitBag(take, "Q1")
		return err
	case "grade":
		take.To = "scrap"
		return x.Regrade(take)
	case "put":
		_, err := x.PutIn(store.Bag{Part: b.part, Origin: "PC-11", Quantity: 1, Grade: "ready", Place: "K1"})
		return err
	case "want":
		return x.Put(store.Want{Date: demoDay, Part: b.part, Model: "W1-B"})
	case "seen":
		return x.Put(store.Seen{Donor: "PC-11", Part: b.part, Seen: "missing", Date: demoDay})
	case "goes":
		return x.Put(store.Goes{Part: b.part, Model: "C-2", Degrees: []string{"direct"}, PerBody: n(1), Evidence: "compared"})
	}
	return x.Put(store.Job{Code: "109", Model: "W1-B", BodyNo: "22418", State: "arrived", Opened: demoDay})
}

// Whatever is booked in the demo shows in some answer, and taken back, the last first,
// leaves every answer as it was.
func TestUndoRestoresEveryAnswer(t *testing.T) {
	s, bags, parts := demo(t), sheetCodes(t, "bags", "Bag"), sheetCodes(t, "parts", "Part")
	ask := func() (out map[string]string) {
		view(t, s, func(v *store.View) (err error) { out, err = answers(v); return err })
		return out
	}
	before := ask()
	head := store.Head{Day: demoDay, Today: demoDay, By: "R", Command: "test"}
	draw := rapid.Custom(func(rt *rapid.T) booking {
		return booking{rapid.SampledFrom([]string{"fit", "hold", "lend", "lost", "scrapped", "sold", "move", "split", "grade", "put", "want", "seen", "goes", "job", "cut"}).Draw(rt, "name"),
			rapid.SampledFrom(bags).Draw(rt, "bag"), rapid.SampledFrom(parts).Draw(rt, "part")}.panel(rt)
	})
	if f := flag.Lookup("rapid.checks"); f.Value.String() == f.DefValue {
		_ = flag.Set("rapid.checks", "15") // each asks everything twice
		defer flag.Set("rapid.checks", f.DefValue)
	}
	rapid.Check(t, func(rt *rapid.T) {
		var done []uint64
		for _, b := range rapid.SliceOfN(draw, 1, 6).Draw(rt, "bookings") {
			res, err := s.Book(head, b.book)
			if errors.Is(err, store.ErrRefused) || err == nil && res.Booking.Number == 0 {
				continue // not allowed, or so already
			}
			if err != nil {
				rt.Fatalf("%+v: %v", b, err)
			}
			done = append(done, res.Booking.Number)
		}
		if len(done) > 0 && cmp.Equal(before, ask()) {
			rt.Error("what was booked shows in no answer")
		}
		for _, number := range slices.Backward(done) {
			if _, err := s.Undo(head, number); err != nil {
				rt.Fatal(err)
			}
		}
		if d := cmp.Diff(before, ask()); d != "" {
			rt.Errorf("(-before +after)\n%s", d)
		}
	})
}

// What find leaves for a camera is what need has a way for, and what it names as
// never going in need names as well.
func TestFindAndNeedAgree(t *testing.T) {
	s, parts, models := demo(t), sheetCodes(t, "parts", "Part"), sheetCodes(t, "models", "Model")
	rapid.Check(t, func(rt *rapid.T) {
		part := rapid.SampledFrom(parts).Draw(rt, "part")
		model := rapid.SampledFrom(models).Draw(rt, "model")
		cam := store.Camera{Model: model, BodyNo: rapid.SampledFrom([]string{"", "329115", "336000"}).Draw(rt, "body")}
		view(t, s, func(v *store.View) error {
			found, err := Find(v, Query{Words: []string{string(part)}, Camera: cam})
			if err != nil {
				return err
			}
			needed, err := Need(v, Request{Part: part, Camera: cam})
			in := slices.ContainsFunc(found.Parts, func(p FoundPart) bool { return p.Part == part })
			if usable := needed.ToWant() || slices.ContainsFunc(needed.Ways, func(w Way) bool { return w.Part == part && w.Way != "near" }); in != usable {
				rt.Errorf("%s into %+v: find has it: %t, need has a way or a want: %t", part, cam, in, usable)
			}
			if in && found.Parts[0].Goes != needed.Goes {
				rt.Errorf("%s into %+v: find says %q, need %q", part, cam, found.Parts[0].Goes, needed.Goes)
			}
			for _, r := range found.Traps {
				said := func(o store.Reason) bool { return o.Kind == NeverGoes && slices.Equal(o.Codes, r.Codes) }
				if r.Kind == NeverGoes && !slices.ContainsFunc(needed.Traps, said) {
					rt.Errorf("%s into %+v: find says %q, need only %q", part, cam, r.Text, needed.Traps)
				}
			}
			return err
		})
	})
}

// Beside every list of reasons in an answer stand as many kinds, and each kind has a
// line in the doc of the package or of store/differ.
func TestKindsStandBesideTexts(t *testing.T) {
	view(t, demo(t), func(v *store.View) error {
		all, err := answers(v)
		met := 0
		for name, text := range all {
			var x any
			if err := json.Unmarshal([]byte(text), &x); err != nil {
				return err
			}
			met += kindsBeside(t, name, x)
		}
		if met < 100 {
			t.Errorf("only %d lists with kinds in all answers", met)
		}
		return err
	})
}

func kindsBeside(t *testing.T, at string, x any) (met int) {
	switch x := x.(type) {
	case []any:
		for _, y := range x {
			met += kindsBeside(t, at, y)
		}
	case map[string]any:
		for key, y := range x {
			met += kindsBeside(t, at+"."+key, y)
			name, is := strings.CutSuffix(key, "_kind")
			kinds, list := y.([]any)
			if !is || !list {
				continue
			}
			met++
			if texts, _ := x[name].([]any); len(texts) != len(kinds) || slices.Contains(kinds, any("")) {
				t.Errorf("%s: %d texts beside %v", at+"."+key, len(texts), fmt.Sprint(kinds))
			}
		}
	}
	return met
}

// remarksOn are the [Remarks] on one donor.
func remarksOn(v *store.View, d store.Donor, today code.Day) (store.Reasons, error) {
	own := read(v)
	facts := donorFacts(own, d)
	if own.err != nil {
		return nil, own.err
	}
	return RemarksOnFacts(v, facts, today)
}
