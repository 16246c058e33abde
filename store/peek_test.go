package store

import (
	"slices"
	"testing"

	"tinful/store/code"
	"tinful/store/dim"

	diff "github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// What is peeked at a record is what decoding all of it gives.
func TestPeekAgreesWithDecoding(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		text := rapid.StringMatching(`[ -~äß]{0,40}`)
		st := State{Bag: "B1", BookedIn: rapid.Int64().Draw(rt, "in"), Corrected: rapid.Int64().Draw(rt, "corrected"), About: rapid.Bool().Draw(rt, "about"),
			Place: code.Code(text.Draw(rt, "place")), Book: rapid.SliceOfN(rapid.Uint64(), 0, 40).Draw(rt, "book")}
		if len(st.Book) == 0 {
			st.Book = nil
		}
		for _, who := range rapid.SliceOfN(text, 0, 30).Draw(rt, "who") {
			st.HeldFor = append(st.HeldFor, Owed{who, rapid.Int64().Draw(rt, "n")})
		}
		p := peekedOf(rt, bState, "B1", st)
		if got := (State{Bag: "B1", BookedIn: p.number(2), Corrected: p.number(9), About: p.field(14) != nil, Place: code.Code(p.text(15)), HeldFor: p.owed(11), Book: p.numbers(23)}); diff.Diff(got, st) != "" {
			rt.Errorf("peeked at %+v, decoded %+v", got, st)
		}
		if p.field(4) != nil || p.text(16) != nil || p.number(3) != 0 || p.field(20) != nil {
			rt.Error("fields that are left out are there")
		}
		part := Part{Code: "P1", Name: text.Draw(rt, "name"), Class: rapid.OneOf(text, rapid.Just(classLeft)).Draw(rt, "class"), Seat: rapid.SampledFrom(append(Seats, "")).Draw(rt, "seat"), Twin: code.Code(text.Draw(rt, "twin")), Marks: map[dim.Field]string{dim.Hand: "left", dim.Thread: rapid.OneOf(text, rapid.Just("M2 LH")).Draw(rt, "thread") + "x"},
			Aliases: rapid.SliceOfN(text, 0, 5).Draw(rt, "aliases"), Same: code.Code(text.Draw(rt, "same"))}
		for _, held := range rapid.SliceOfN(text, 0, 3).Draw(rt, "holds") {
			part.Holds = append(part.Holds, code.Code(held))
		}
		p = peekedOf(rt, bPart, "P1", part)
		if string(p.text(2)) != part.Name || string(p.text(3)) != part.Class || string(p.text(16)) != string(part.Same) || string(peeked(p.field(8)).text(uint64(dim.Thread))) != part.Marks[dim.Thread] {
			rt.Errorf("peeked at another part than %+v", part)
		}
		thread := map[dim.Field]string{dim.Thread: part.Marks[dim.Thread]}
		if got, want := sketchOf(p), (Part{Code: "P1", Name: part.Name, Class: part.Class, Seat: part.Seat, Marks: thread, Holds: part.Holds}); diff.Diff(got, want) != "" {
			rt.Errorf("sketched %+v, want %+v", got, want)
		}
		if got, want := p.toFit("P1"), (Part{Code: "P1", Seat: part.Seat, Twin: part.Twin, Marks: thread}); diff.Diff(got, want) != "" {
			rt.Errorf("to fit there is %+v, want %+v", got, want)
		}
		left := map[string]string{}
		for range 2 { // the second time it is known
			if got, same := p.called(left); got != part.Called() || string(same) != string(part.Same) {
				rt.Errorf("called %q and joined to %q, want %q and %q", got, same, part.Called(), part.Same)
			}
		}
		d := Donor{Code: "D1", Model: "M", Bought: code.Day(rapid.Int32().Draw(rt, "bought")), From: text.Draw(rt, "from"), Lot: "L", BodyNo: "7", Shutter: code.Code(text.Draw(rt, "shutter") + "x"),
			ShutterNo: "8", Lens: code.Code(text.Draw(rt, "lens") + "x"), State: rapid.SampledFrom(append(DonorStates, "")).Draw(rt, "state"), Owner: rapid.SampledFrom([]string{Own, "", "somebody"}).Draw(rt, "owner"), Place: "S1"}
		if rapid.Bool().Draw(rt, "priced") {
			d.Price = new(code.Cents)
		}
		if got, want := peekDonor(peekedOf(rt, bDonor, "D1", d)), donorPeekOf(d); diff.Diff(got, want) != "" {
			rt.Errorf("peeked at %+v, want %+v", got, want)
		}
		if got, want := donorSketchOf(peekedOf(rt, bDonor, "D1", d)), (Donor{Code: "D1", Model: "M", Bought: d.Bought, State: d.State, Owner: d.Owner, Place: "S1"}); diff.Diff(got, want) != "" {
			rt.Errorf("sketched %+v, want %+v", got, want)
		}
		j := Job{Code: "1", Model: code.Code(text.Draw(rt, "model")), BodyNo: "7", State: "ready", Opened: code.Day(rapid.Int32().Draw(rt, "opened")), Closed: 9, History: rapid.SampledFrom(append(Histories, "")).Draw(rt, "history")}
		models := map[string]code.Code{}
		for range 2 { // the second time the model is known
			if got, want := jobSketchOf(peekedOf(rt, bJob, "1", j), models), (Job{Model: j.Model, Opened: j.Opened, History: j.History}); diff.Diff(got, want) != "" {
				rt.Errorf("sketched %+v, want %+v", got, want)
			}
		}
		var aliases []string
		textsItem(p.field(5), func(x []byte) { aliases = append(aliases, string(x)) })
		if !slices.Equal(aliases, part.Aliases) {
			rt.Errorf("aliases are %q, want %q", aliases, part.Aliases)
		}
	})
}

func peekedOf(t rapid.TB, bucket string, key code.Code, rec any) peeked {
	b, err := encode(bucket, keyCode(key), 7, rec)
	if err != nil {
		t.Fatal(err)
	}
	p, err := peek(bucket, keyCode(key), b)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// Bytes that are no record give nothing and no trace.
func FuzzPeek(f *testing.F) {
	f.Add([]byte{0xa2, 0x02, 0x05, 0x0b, 0x81, 0xa2, 0x01, 0x61, 'x', 0x02, 0x01})
	f.Add([]byte{0xbb, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0x01})
	f.Add([]byte{0xa1, 0x02, 0x9b, 0x7f, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0x00})
	f.Fuzz(func(t *testing.T, b []byte) {
		p := peeked(b)
		for field := range uint64(26) {
			p.text(field)
			p.number(field)
			textsItem(p.field(field), func([]byte) {})
			if n := len(p.owed(field)) + len(p.numbers(field)); n > 2*len(b) {
				t.Errorf("%d entries out of %d bytes", n, len(b))
			}
		}
	})
}
