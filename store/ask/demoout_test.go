package ask

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"tinful/store"
	"tinful/store/code"
)

// What is held and lent by the demo's moves.csv, and what is not fetched.
func TestDemoOut(t *testing.T) {
	view(t, demo(t), func(v *store.View) error {
		out, err := OutOfHouse(v, false)
		if err != nil {
			return err
		}
		words := func(list Aways) string {
			var bits []string
			for a := range list.All() {
				bits = append(bits, fmt.Sprintf("%d %s %s", a.N, a.Bag, a.Who))
			}
			return strings.Join(bits, ", ")
		}
		if got, want := words(out.Held), "1 B281 105, 1 B284 105, 1 B252 106"; got != want {
			t.Errorf("held: %s, want %s (moves.csv)", got, want)
		}
		if got, want := words(out.Lent), "1 B220 another bench"; got != want {
			t.Errorf("lent: %s, want %s (moves.csv)", got, want)
		}
		if out.Empty() || !(Out{}).Empty() {
			t.Error("empty where something is out, or not where nothing is")
		}
		for a := range out.Held.All() {
			if j, err := v.Job(code.Code(a.Who)); err != nil || a.State != j.State || a.Closed != j.Closed {
				t.Errorf("%s stands as %q, closed on %s: %v", a.Who, a.State, a.Closed, err)
			}
		}
		return nil
	})
}

// The jobs of each state by jobs.csv.
func TestDemoJobs(t *testing.T) {
	byState := map[string][]string{}
	for _, r := range sheet(t, "jobs") {
		byState[r["State"]] = append(byState[r["State"]], r["Job"])
	}
	view(t, demo(t), func(v *store.View) error {
		for state, want := range byState {
			list, gone, err := Jobs(v, state, false)
			if err != nil {
				return err
			}
			var got []string
			for _, j := range list {
				got = append(got, string(j.Code))
			}
			if !slices.Equal(got, want) || gone != len(byState["collected"])+len(byState["refused"]) {
				t.Errorf("%s: %v and %d gone, want %v (jobs.csv)", state, got, gone, want)
			}
		}
		all, _, err := Jobs(v, "", true)
		if len(all) != len(sheet(t, "jobs")) {
			t.Errorf("%d jobs of all", len(all))
		}
		return err
	})
}

// The book by bag, job, person and number of bookings, held against what is booked here.
func TestLog(t *testing.T) {
	s := drawer(t)
	for _, what := range []store.Request{{What: store.Fitted, Items: []store.Item{{Token: "B1", Qty: "2"}}}, {What: store.Held, Items: []store.Item{{Token: "B2", Qty: "1"}}}} {
		what.Job = "105"
		book(t, s, 22001, func(x *store.Tx) error { return x.Pieces(what) })
	}
	tests := []struct {
		name string
		q    LogQuery
		want string // numbers of entries asked for, by booking, the latest first
		more bool
	}{
		{"all", LogQuery{Most: -1}, "1 1 4", false},
		{"one", LogQuery{Most: 1}, "1", true},
		{"a bag", LogQuery{Bags: []code.Code{"B1"}, Most: -1}, "1 1", false},
		{"a job", LogQuery{Job: "105", Most: -1}, "1 1", false},
		{"a bag for a job", LogQuery{Bags: []code.Code{"B2"}, Job: "105", Most: -1}, "1", false},
		{"by R", LogQuery{By: "R", Most: 2}, "1 1", true},
		{"by nobody", LogQuery{By: "Z", Most: -1}, "", false},
	}
	view(t, s, func(v *store.View) error {
		for _, tt := range tests {
			list, more, err := Log(v, tt.q)
			if err != nil {
				return err
			}
			var got []string
			for _, l := range list {
				got = append(got, fmt.Sprint(len(l.Asked)))
			}
			if strings.Join(got, " ") != tt.want || more != tt.more {
				t.Errorf("%s: %v %v, want %s %v", tt.name, got, more, tt.want, tt.more)
			}
		}
		return nil
	})
}

// A count: B1 has 6 by the book and 4 lie there, two of part P2 lie there without a bag.
func TestClosing(t *testing.T) {
	s := drawer(t)
	var number uint64
	book(t, s, 22001, func(x *store.Tx) error {
		n, err := x.BeginCount([]code.Code{"N1"}, 0)
		if err != nil {
			return err
		}
		number = n.Number
		for _, g := range []store.Given{{Bag: "B1", Qty: code.Qty{N: 4}, Seen: "N1"}, {Part: "P2", Qty: code.Qty{N: 2}, Seen: "N1"}} {
			if err := x.ReadIn(number, g); err != nil {
				return err
			}
		}
		return nil
	})
	id := store.CountID{Number: number}
	view(t, s, func(v *store.View) error {
		left, err := LeftToCount(v, number, false)
		if err != nil || len(left) != 1 || left[0].Bag != "B3" {
			t.Errorf("left to count: %v %v, want B3", left, err)
		}
		if all, err := LeftToCount(v, number, true); err != nil || len(all) != 2 {
			t.Errorf("all: %v %v, want B1 and B3", all, err)
		}
		k, err := ClosingOf(v, id)
		if err != nil || !k.None() {
			t.Fatalf("%v, accepted before anything was", err)
		}
		for _, ref := range []store.Ref{{Kind: "bag", Code: "B2"}, {Kind: "part", Code: "P1"}} {
			if err := k.Accept(ref); !errors.Is(err, store.ErrRefused) {
				t.Errorf("%v: %v, want a refusal: nothing of it is open", ref, err)
			}
		}
		return nil
	})
	book(t, s, 22002, func(x *store.Tx) error {
		k, err := ClosingOf(&x.View, id)
		if err != nil {
			return err
		}
		if err := errors.Join(k.Accept(store.Ref{Kind: "bag", Code: "B1"}), k.Accept(store.Ref{Kind: "part", Code: "P2"})); err != nil {
			return err
		}
		done, err := k.Close(x, "")
		if err != nil || !done.Closed || len(done.Open)+len(done.Loose) > 0 || done.Now.Closed == "" {
			t.Errorf("%+v %v, want it closed", done, err)
		}
		return nil
	})
	view(t, s, func(v *store.View) error {
		if _, err := ClosingOf(v, id); !errors.Is(err, store.ErrRefused) {
			t.Errorf("a closed count: %v", err)
		}
		if st, err := v.State("B1"); err != nil || st.OnHand() != 4 {
			t.Errorf("B1 has %d, %v", st.OnHand(), err)
		}
		return nil
	})
}

// Names in lists and titles by the demo's sheets.
func TestDemoNames(t *testing.T) {
	tests := []struct{ kind, own, name, title, source string }{
		{"part", "P003", "counter pawl spring", "counter pawl spring, torsion spring", "parts.csv"},
		{"bag", "B252", "", "", "bags.csv: P007, in K1"},
		{"model", "W1-B", "", "", "models.csv"},
		{"job", "101", "W1-B, customer 1", "W1-B, 22418, customer 1", "jobs.csv"},
		{"place", "K1", "springs cabinet K, drawer 1", "springs cabinet K, drawer 1", "places.csv"},
	}
	view(t, demo(t), func(v *store.View) error {
		for _, tt := range tests {
			ref := store.Ref{Kind: tt.kind, Code: code.Code(tt.own)}
			name, ok := NameOf(v, ref)
			if title := Title(v, ref); !ok || tt.name != "" && (name != tt.name || title != tt.title) {
				t.Errorf("%s: %q %v, %q, want %q, %q (%s)", tt.own, name, ok, title, tt.name, tt.title, tt.source)
			}
		}
		if _, ok := NameOf(v, store.Ref{Kind: "part", Code: "P999"}); ok {
			t.Error("a part that is not there has a name")
		}
		p, err := v.Part("P003")
		if got, want := MeasuresOf(p), "wire 0.15 mm, outside diameter 1.6 mm, post 1.1 mm, 4.5 coils, right-hand"; !strings.HasPrefix(got, want) {
			t.Errorf("%s, want %s ... (parts.csv)", got, want)
		}
		return err
	})
}

// Gauges: SWG 36 is 0.0076 in, 0.193 mm (the Imperial Standard Wire Gauge of 1883).
func TestWireGauges(t *testing.T) {
	swg := func(w Wire) *WireGauge {
		i := slices.IndexFunc(w.Gauges, func(g WireGauge) bool { return g.Table == "swg" })
		if i < 0 {
			t.Fatalf("no SWG in %+v", w.Gauges)
		}
		return &w.Gauges[i]
	}
	if g := swg(GaugeNumber("36")); g.Inch == nil || *g.Inch != 0.0076 || g.Diameter != 0.193 {
		t.Errorf("SWG 36: %+v", g)
	}
	if g := swg(WireOf(193, "")); g.Number != "36" || !*g.Exact || !g.Nearest || *g.Difference != 0 {
		t.Errorf("0.193 mm: %+v", g)
	}
	if g := swg(WireOf(190, "")); *g.Exact {
		t.Errorf("0.190 mm is no SWG: %+v", g)
	}
	if kinds := store.ReasonKinds(GaugeTraps("36")); len(kinds) == 0 || GaugeTraps("1000") != nil {
		t.Errorf("36 stands in several tables, 1000 in none: %v", kinds)
	}
}

// Marks that are said are stronger than those recorded; the rest is the camera's own.
func TestDemoMarks(t *testing.T) {
	view(t, demo(t), func(v *store.View) error {
		for _, r := range sheet(t, "donors") {
			m, err := MarksOn(v, store.Ref{Kind: "donor", Code: r.code("Donor")}, Marks{Number: "99", Scale: "ft"})
			if err != nil {
				return err
			}
			if m.Number != "99" || m.Scale != "ft" || m.Shutter != r.code("Shutter") || m.Self != r.code("Donor") {
				t.Errorf("%s: %+v (donors.csv)", r["Donor"], m)
			}
		}
		m, err := MarksOn(v, store.Ref{Kind: "job", Code: "101"}, Marks{})
		if m.Number != "22418" || m.Self != "" {
			t.Errorf("job 101: %+v (jobs.csv)", m)
		}
		return err
	})
}
