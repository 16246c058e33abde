package odds

import "testing"

// The sentences, as they were laid down; the figures in them are those of the
// tables in odds_test.go, rounded by hand.
func TestSentences(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{Count{7, 9}.Say(Bodies("unknown")), "7 of 9 bodies of unknown history lacked it: 78 %, likely between 45 % and 94 %."},
		{Count{0, 9}.Say(Bodies("failed")), "0 of 9 lacked it; it could still be as many as 30 %."},
		{Count{5, 5}.Say(Bodies("meddled")), "5 of 5 lacked it; it could still be as few as 57 %."},
		{Count{1, 2}.Say(Bodies("meddled")), "1 of 2 lacked it: too few to say."},
		{Count{}.Say(""), "Not looked at yet."},
		{Count{}.Say(Bodies("unknown")), "No bodies of unknown history looked at yet."},
		{SayPlan(Counts{Own: Count{2, 3}, Sisters: Count{10, 20}}), "2 of 3 here, 10 of 20 in sister models (counted as two bodies): about 58 %, likely between 21 % and 91 %."},
		{SayPlan(Counts{Own: Count{1, 1}, Sisters: Count{3, 4}}), "1 of 1 here, 3 of 4 in sister models (counted as one body): about 75 %, likely above 23 %."},
		{SayPlan(Counts{Own: Count{4, 6}, Sisters: Count{3, 24}}), "4 of 6 here but 3 of 24 in sister models: too different, not mixed."},
		{SayPlan(Counts{Own: Count{4, 6}, Sisters: Count{}}), ""},
		// Beta(1, 3/4) is 1-(1-x)^0.75: 1-0.975^(4/3) and 1-0.025^(4/3), by hand.
		{SayPlan(Counts{Own: Count{}, Sisters: Count{2, 3}}), "None here, 2 of 3 in sister models (each counted as a quarter of a body): about 57 %, likely between 3 % and 99 %."},
		{Planned(Counts{Own: Count{7, 9}}).SayNext(2), "Chance that at least one of the next two has it: 42 %, likely between 10 % and 79 %."},
		{Planned(Counts{Own: Count{7, 9}}).SayNext(1), "Chance that the next one has it: 25 %, likely between 5 % and 54 %."},
		{Planned(Counts{}).SayNext(4), "Nobody looked: a guess. Chance that at least one of the next four has it: 73 %, it could be anything."},
		{SayPlan(Counts{Others: Count{9, 14}}), "None here, 9 of 14 in other models (counted as one body): about 57 %, it could be anything."},
		{SayPlan(Counts{Own: Count{1, 2}, Others: Count{5, 6}}), "1 of 2 here, 5 of 6 in other models (each counted as an eighth of a body): about 57 %, likely between 13 % and 94 %."},
		{Planned(Counts{Others: Count{9, 14}}).Basis.Rests(), "nobody looked at this model: by bodies of others"},
		{SayRight(46, 50, "boxes"), "50 boxes counted, 46 right: 92 %, likely between 81 % and 97 %."},
		{SayRight(30, 30, "boxes"), "30 boxes counted, 30 right; it could still be as few as 89 %."},
		{SayRight(0, 9, "boxes"), "9 boxes counted, 0 right; it could still be as many as 30 %."},
		{SayRight(0, 1, "boxes"), "1 boxes counted, 0 right."}, {SayRight(2, 4, "boxes"), "4 boxes counted, 2 right."},
		{SayRight(0, 5, "boxes"), "5 boxes counted, 0 right; it could still be as many as 43 %."}, // z² / (5 + z²) = 3.8415 / 8.8415
		{SayRight(0, 0, "boxes"), "0 boxes counted, 0 right."},
		{Percent(0.001), "under 1 %"}, {Percent(0.999), "over 99 %"}, {Percent(0.545), "55 %"},
		{Interval{0.001, 0.2}.Likely(), "likely below 20 %"},
		{Interval{0.001, 0.999}.Likely(), "it could be anything"},
	} {
		if c.got != c.want {
			t.Errorf("says\n  %s\nwant\n  %s", c.got, c.want)
		}
	}
}

// Parts of the invented workshop and the row of experience they belong to, chosen
// by reading the table.
func TestExpect(t *testing.T) {
	for _, c := range []struct {
		seat, class, name, history, want string
	}{
		{"counter", "SPR-TOR", "counter pawl spring", "meddled", "expect it"},
		{"wind", "SPR-TOR", "film stop pawl spring", "failed", "often"},
		{"finder", "SPR-TOR", "rangefinder arm return spring", "unopened", "sometimes"},
		{"finder", "GLS", "half mirror", "unopened", "expect it"}, // its coating, not the loose mirror
		{"shutter", "SPR-EXT", "Orvik 00 mainspring", "meddled", "sometimes"},
		{"shutter", "SPR-EXT", "Orvik 00 mainspring", "serviced", "hardly ever"},
		{"focus", "SHM", "focus shim", "unopened", "hardly ever"},
		{"covering", "COV", "back door covering", "serviced", "often"},
		{"covering", "COV-NEW", "new covering, goatskin", "serviced", ""}, // stock, not from a camera
		{"body", "SPR-WIRE", "spool friction spring", "meddled", ""},
		{"counter", "SPR-TOR", "counter pawl spring", "unknown", ""},
	} {
		e, ok := Expect(c.seat, c.class, c.name, c.history)
		got := ""
		if ok {
			got = e.Level.String()
		}
		if got != c.want {
			t.Errorf("%s in %s bodies: %q, want %q", c.name, c.history, got, c.want)
		}
	}
	want := "Expectation from memory, no count, for counter, counter spring, pawl, disc screw (lost, mis-set): failed sometimes, meddled expect it."
	if got := SayExpected("counter", "SPR-TOR", "counter pawl spring", []string{"failed", "unknown", "meddled"}); got != want {
		t.Errorf("says\n  %s\nwant\n  %s", got, want)
	}
	if got := SayExpected("body", "SPR-WIRE", "spool friction spring", []string{"failed"}); got != "" {
		t.Errorf("says %q of a part that the table has not", got)
	}
}
