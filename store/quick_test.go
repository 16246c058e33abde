package store

import (
	"testing"

	"tinful/store/code"
	"tinful/store/dim"

	diff "github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// What a record reads of itself is what decoding all of it gives, for records made at
// random; what it does not know it leaves to decoding.
func TestQuickReadsAgree(t *testing.T) {
	text := rapid.StringMatching(`([ -~äß]{0,12})?`)
	n := rapid.OneOf(rapid.Just(int64(0)), rapid.Int64Range(-70000, 70000), rapid.Int64())
	day := rapid.Custom(func(t *rapid.T) code.Day { return code.Day(rapid.Int32().Draw(t, "day")) })
	owed := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Owed { return Owed{text.Draw(t, "who"), n.Draw(t, "n")} }), 0, 4)
	cents := rapid.Ptr(rapid.Custom(func(t *rapid.T) code.Cents { return code.Cents(n.Draw(t, "cents")) }), true)
	is := rapid.Bool()
	ends := rapid.Custom(func(t *rapid.T) DayEnd {
		return DayEnd{day.Draw(t, "day"), n.Draw(t, "entries"), n.Draw(t, "free"), n.Draw(t, "low")}
	})
	owing := rapid.Custom(func(t *rapid.T) Owing {
		days := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) OwedDay { return OwedDay{day.Draw(t, "on"), n.Draw(t, "had"), n.Draw(t, "least")} }), 0, 3)
		return Owing{What(rapid.Byte().Draw(t, "what")), text.Draw(t, "who"), n.Draw(t, "was"), days.Draw(t, "owed")}
	})
	turns := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Turn { return Turn{rapid.Uint64().Draw(t, "seq"), day.Draw(t, "on")} }), 0, 3)
	past := rapid.Ptr(rapid.Custom(func(t *rapid.T) Past {
		return Past{day.Draw(t, "born"), rapid.SliceOfN(ends, 0, 4).Draw(t, "days"), rapid.Bool().Draw(t, "full"), day.Draw(t, "since"),
			rapid.SliceOfN(owing, 0, 3).Draw(t, "owing"), turns.Draw(t, "moves"), turns.Draw(t, "grades"), turns.Draw(t, "settled"), day.Draw(t, "counted"), rapid.Bool().Draw(t, "vague")}
	}), true)
	rapid.Check(t, func(t *rapid.T) {
		c := func(name string) code.Code { return code.Code(text.Draw(t, name)) }
		readsAs[State](t, State{BookedIn: n.Draw(t, "in"), Fitted: n.Draw(t, "fitted"), Returned: n.Draw(t, "returned"), Scrapped: n.Draw(t, "scrapped"), Sold: n.Draw(t, "sold"),
			Lost: n.Draw(t, "lost"), Found: n.Draw(t, "found"), Corrected: n.Draw(t, "corrected"), Shifted: n.Draw(t, "shifted"), HeldFor: owed.Draw(t, "held"), LentTo: owed.Draw(t, "lent"),
			FittedIn: owed.Draw(t, "fitted in"), About: is.Draw(t, "about"), Place: c("place"), Grade: text.Draw(t, "grade"), LastDay: day.Draw(t, "last"), Read: day.Draw(t, "read"),
			ReadN: n.Draw(t, "read n"), ReadAbout: is.Draw(t, "read about"), ReadBy: text.Draw(t, "by"), Unsettled: n.Draw(t, "unsettled"),
			Book: rapid.SliceOfN(rapid.Uint64(), 0, 30).Draw(t, "book"), LastIn: day.Draw(t, "last in"), Gone: is.Draw(t, "gone"), Cut: n.Draw(t, "cut"),
			Past: past.Draw(t, "past")})
		readsAs[Figure](t, Figure{BookedIn: n.Draw(t, "in"), Fitted: n.Draw(t, "fitted"), Returned: n.Draw(t, "returned"), Scrapped: n.Draw(t, "scrapped"), Sold: n.Draw(t, "sold"), Lost: n.Draw(t, "lost"),
			Found: n.Draw(t, "found"), Corrected: n.Draw(t, "corrected"), Shifted: n.Draw(t, "shifted"), Held: n.Draw(t, "held"), Lent: n.Draw(t, "lent"), Cut: n.Draw(t, "cut")})
		readings := map[dim.Field]Reading(nil)
		if is.Draw(t, "measured") {
			readings = map[dim.Field]Reading{dim.Wire: {}}
		}
		readsAs[Bag](t, Bag{Part: c("part"), Origin: text.Draw(t, "origin"), Quantity: n.Draw(t, "quantity"), Unit: text.Draw(t, "unit"), About: is.Draw(t, "about"), Grade: text.Draw(t, "grade"),
			Looks: text.Draw(t, "looks"), Place: c("place"), Owner: text.Draw(t, "owner"), Number: text.Draw(t, "number"), GoesWith: text.Draw(t, "with"), Cost: cents.Draw(t, "cost"),
			Booked: day.Draw(t, "booked"), Note: text.Draw(t, "note"), Split: c("split"), Readings: readings})
		readsAs[Goes](t, Goes{Degrees: rapid.SliceOfN(text, 0, 3).Draw(t, "degrees"), PerBody: rapid.Ptr(n, true).Draw(t, "per body"), Where: text.Draw(t, "where"), From: text.Draw(t, "from"),
			To: text.Draw(t, "to"), Operation: text.Draw(t, "operation"), Evidence: text.Draw(t, "evidence"), By: text.Draw(t, "by"), Date: day.Draw(t, "date"), Note: text.Draw(t, "note")})
		part := Part{Code: c("code"), Name: text.Draw(t, "name"), Class: text.Draw(t, "class"), Seat: text.Draw(t, "seat"), Aliases: rapid.SliceOfN(text, 0, 3).Draw(t, "aliases"),
			MakerNos: rapid.SliceOfN(text, 0, 3).Draw(t, "numbers"), Keep: rapid.Ptr(n, true).Draw(t, "keep"), Weeks: n.Draw(t, "weeks"), Value: cents.Draw(t, "value"), Twin: c("twin"),
			Hazard: text.Draw(t, "hazard"), Note: text.Draw(t, "note"), Same: c("same"), Readings: readings, CountFirst: is.Draw(t, "first")}
		for range rapid.IntRange(0, 4).Draw(t, "measures") {
			if part.Dims == nil {
				part.Dims, part.Marks = map[dim.Field]int64{}, map[dim.Field]string{}
			}
			part.Dims[dim.Field(rapid.IntRange(0, 255).Draw(t, "field"))] = n.Draw(t, "measure")
			part.Marks[dim.Field(rapid.IntRange(0, 255).Draw(t, "field"))] = text.Draw(t, "mark")
		}
		readsAs[Part](t, part)
		readsAs[Donor](t, Donor{Code: c("code"), Model: c("model"), Bought: day.Draw(t, "bought"), From: text.Draw(t, "from"), Lot: text.Draw(t, "lot"), Price: cents.Draw(t, "price"), Post: cents.Draw(t, "post"),
			BodyNo: text.Draw(t, "number"), Shutter: c("shutter"), ShutterNo: text.Draw(t, "shutter's"), Lens: c("lens"), LensNo: text.Draw(t, "lens's"), History: text.Draw(t, "history"),
			State: text.Draw(t, "state"), Owner: text.Draw(t, "owner"), Place: c("place"), Worth: cents.Draw(t, "worth"), Booked: day.Draw(t, "booked"), Note: text.Draw(t, "note"),
			Frozen: day.Draw(t, "frozen"), Carcass: cents.Draw(t, "carcass"), Signs: rapid.SliceOfN(text, 0, 3).Draw(t, "signs"), Why: text.Draw(t, "why")})
		readsAs[Seen](t, Seen{Seen: text.Draw(t, "seen"), Date: day.Draw(t, "date"), Note: text.Draw(t, "note")})
		readsAs[Model](t, Model{Code: c("code"), Kind: text.Draw(t, "kind"), Maker: text.Draw(t, "maker"), Name: text.Draw(t, "name"), Family: text.Draw(t, "family"), Aliases: rapid.SliceOfN(text, 0, 3).Draw(t, "aliases"),
			Years: text.Draw(t, "years"), Numbers: text.Draw(t, "numbers"), Carries: []code.Code{c("carries"), "S2"}, Scale: text.Draw(t, "scale"), Form: text.Draw(t, "form"), ToldBy: text.Draw(t, "told by"),
			Tools: text.Draw(t, "tools"), Note: text.Draw(t, "note"), Hazard: text.Draw(t, "hazard")})
		readsAs[Job](t, Job{Code: c("code"), Model: c("model"), BodyNo: text.Draw(t, "number"), Shutter: c("shutter"), Lens: c("lens"), Owner: text.Draw(t, "owner"), Fault: text.Draw(t, "fault"),
			Accessories: text.Draw(t, "accessories"), State: text.Draw(t, "state"), Tray: c("tray"), Agreed: text.Draw(t, "agreed"), Promised: day.Draw(t, "promised"), Value: cents.Draw(t, "value"),
			Opened: day.Draw(t, "opened"), Closed: day.Draw(t, "closed"), Note: text.Draw(t, "note"), History: text.Draw(t, "history")})
		readsAs[Want](t, Want{Date: day.Draw(t, "date"), Part: c("part"), Model: c("model"), Job: c("job"), Nth: n.Draw(t, "nth"), Met: day.Draw(t, "met"), Note: text.Draw(t, "note"), Instead: text.Draw(t, "instead")})
		readsAs[Entry](t, Entry{Day: day.Draw(t, "day"), What: What(rapid.Byte().Draw(t, "what")), Bag: c("bag"), Quantity: n.Draw(t, "quantity"), About: is.Draw(t, "about"), Job: c("job"), To: text.Draw(t, "to"),
			Why: text.Draw(t, "why"), Amount: code.Cents(n.Draw(t, "amount")), By: text.Draw(t, "by"), First: is.Draw(t, "first"), Undoes: rapid.Uint64().Draw(t, "undoes"), Unsure: is.Draw(t, "unsure"),
			Count: rapid.Uint64().Draw(t, "count"), Due: day.Draw(t, "due"), Model: c("model")})
		readsAs[Booking](t, Booking{Number: rapid.Uint64().Draw(t, "number"), Day: day.Draw(t, "day"), At: n.Draw(t, "at"), By: text.Draw(t, "by"), Command: text.Draw(t, "command"), First: rapid.Uint64().Draw(t, "first entry"),
			Last: rapid.Uint64().Draw(t, "last entry"), Kind: text.Draw(t, "kind"), Undoes: rapid.Uint64().Draw(t, "undoes"), Undone: rapid.Uint64().Draw(t, "undone"), Fresh: is.Draw(t, "fresh"), File: text.Draw(t, "file"), Hash: text.Draw(t, "hash")})
		readsAs[Place](t, Place{Code: c("code"), Where: text.Draw(t, "where"), For: text.Draw(t, "for")})
	})
}

func readsAs[T any](t *rapid.T, rec T) {
	b, err := encMode().Marshal(rec)
	if err != nil {
		t.Fatal(err)
	}
	var slow, fast T
	if err := decMode().Unmarshal(b, &slow); err != nil {
		t.Fatal(err)
	}
	if any(&fast).(quick).quick(b) {
		if d := diff.Diff(fast, slow); d != "" {
			t.Errorf("read and decoded differ: %s", d)
		}
	}
	for i := range b { // cut off or with one byte turned it is what decoding makes of it, or refused
		for _, broken := range [][]byte{b[:i], turned(b, i)} {
			var slow, fast T
			if any(&fast).(quick).quick(broken) {
				if err := decMode().Unmarshal(broken, &slow); err != nil || diff.Diff(fast, slow) != "" {
					t.Errorf("% x: read %+v, decoded %+v, %v", broken, fast, slow, err)
				}
			}
		}
	}
}

func turned(b []byte, i int) []byte {
	out := append([]byte(nil), b...)
	out[i] ^= 1 << (i % 8)
	return out
}
