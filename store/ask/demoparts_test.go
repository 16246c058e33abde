package ask

import (
	"errors"
	"maps"
	"slices"
	"strings"
	"testing"

	"tinful/store"
	"tinful/store/code"

	"github.com/google/go-cmp/cmp"
)

// What the sheet of a part, the list of hits and the book say of every part of the
// demo, against bags.csv, moves.csv, goes.csv, seen.csv and wants.csv added up here.
func TestDemoParts(t *testing.T) {
	book, goes, wants, units := demoBook(t, "Part"), map[string]int{}, map[string]int{}, map[string][]code.Code{}
	for _, g := range sheet(t, "goes") {
		goes[g["Part"]]++
	}
	for _, w := range sheet(t, "wants") {
		if w["Met"] == "" {
			wants[w["Part"]]++
		}
	}
	parts := sheet(t, "parts")
	for _, p := range parts {
		for _, held := range p.list("Holds") {
			units[held] = append(units[held], p.code("Part"))
		}
	}
	seen, taken := lastDates(t, "seen", "Part"), map[string]string{} // of a part
	bags := map[string]string{}
	for _, b := range sheet(t, "bags") {
		bags[b["Bag"]] = b["Part"]
	}
	for _, m := range sheet(t, "moves") {
		if slices.Contains([]string{"fitted", "scrapped", "sold", "lent"}, m["What"]) {
			taken[bags[m["Bag"]]] = max(taken[bags[m["Bag"]]], m["Date"])
		}
	}
	view(t, demo(t), func(v *store.View) error {
		for _, r := range parts {
			part, l := r["Part"], book[r["Part"]]
			s, err := PartSheet(v, code.Code(part))
			if err != nil {
				return err
			}
			want := []int64{l[""], l["fitted"], l["scrapped"], l["sold"], l["held"], l["lent"], l.onHand(), l.free()}
			if got := []int64{s.BookedIn, s.Fitted, s.Scrapped, s.Sold, s.Held, s.Lent, s.OnHand, s.Free}; !slices.Equal(got, want) {
				t.Errorf("%s: booked in, fitted, scrapped, sold, held, lent, on hand, free are %v, by the sheets %v", part, got, want)
			}
			if len(s.Goes) != goes[part] || len(s.Wants) != wants[part] || !slices.Equal(s.HeldIn, units[part]) {
				t.Errorf("%s: %d statements, %d open wants, in %v; by the sheets %d, %d, %v", part, len(s.Goes), len(s.Wants), s.HeldIn, goes[part], wants[part], units[part])
			}
			if (s.LastSeen == nil) != (seen[part] == "") || s.LastSeen != nil && s.LastSeen.Day != seen[part] {
				t.Errorf("%s was last seen %+v, by seen.csv on %q", part, s.LastSeen, seen[part])
			}
			if (s.Taken == nil) != (taken[part] == "") || s.Taken != nil && s.Taken.Day != taken[part] {
				t.Errorf("%s was last taken from %+v, by moves.csv on %q", part, s.Taken, taken[part])
			}
			f, err := Find(v, Query{Words: []string{part}})
			if err != nil {
				return err
			}
			if len(f.Parts) != 1 || f.Parts[0].Match != "exact" || f.Parts[0].OnHand != l.onHand() || f.Parts[0].Free != l.free() {
				t.Errorf("find %s: %+v, want it alone with %d on hand, %d free", part, f.Parts, l.onHand(), l.free())
			}
		}
		_, err := PartSheet(v, "P999")
		if !errors.Is(err, store.ErrNotFound) {
			t.Errorf("P999: %v", err)
		}
		return nil
	})
}

// lastDates are the latest date of a sheet's rows, by a column.
func lastDates(tb testing.TB, name, column string) map[string]string {
	out := map[string]string{}
	for _, r := range sheet(tb, name) {
		out[r[column]] = max(out[r[column]], r["Date"])
	}
	return out
}

// The sheet of a part says what the README's questions and faults of the demo say.
func TestDemoPartSheets(t *testing.T) {
	for _, tt := range []struct {
		part   code.Code
		traps  []string
		donors string
		reach  string // of the statement about a shutter or lens
		source string
	}{
		{"P001", []string{"P002 release lever return spring is its opposite-hand twin", "P001 does not go into W3-A: opposite-hand"}, "PC-11 PC-12", "", "fault 4; not stripped, own, W1 and W2"},
		{"P021", []string{"BA 10 reads the same and is another thread: P037", "metric 1.7x0.35 reads the same and is another thread: P022, P038, P039"}, "PC-11", "", "fault 5; PC-12 has it replaced"},
		{"P057", []string{"P057 does not go into"}, "", "", "fault 6: seen missing in PC-05, PC-06 is stripped"},
		{"P011", nil, "PC-11", "W1-B (if it carries HAL-00: look first)", "models.csv: W1-B carries ORV-00 or HAL-00"},
		{"P080", nil, "", "", "missing in PC-08, PC-07 is stripped"},
	} {
		view(t, demo(t), func(v *store.View) error {
			s, err := PartSheet(v, tt.part)
			var donors []string
			for _, d := range s.Donors {
				donors = append(donors, string(d.Donor))
			}
			if got := strings.Join(donors, " "); got != tt.donors {
				t.Errorf("%s: donors %q, want %q (%s)", tt.part, got, tt.donors, tt.source)
			}
			if tt.part != "P057" {
				hasAll(t, store.Texts(s.Traps), tt.traps)
			} else if slices.Contains(store.ReasonKinds(s.Traps), NeverGoes) {
				t.Errorf("P057 goes into W3-A with rework and is forbidden nowhere: %q (fault 15)", s.Traps)
			}
			reach := ""
			for _, g := range s.Goes {
				reach += strings.Join(g.Reaches, ", ")
			}
			if !strings.Contains(reach, tt.reach) {
				t.Errorf("%s reaches %q, want %q in it (%s)", tt.part, reach, tt.reach, tt.source)
			}
			like, err2 := LooksLike(v, demoPartNamed(t, v, tt.part))
			for _, r := range like {
				if !slices.Contains(store.Texts(s.Traps), r.Text) {
					t.Errorf("%s looks like %q, and its sheet does not say so", tt.part, r.Text)
				}
			}
			return errors.Join(err, err2)
		})
	}
}

func demoPartNamed(tb testing.TB, v *store.View, c code.Code) store.Part {
	tb.Helper()
	p, err := v.Part(c)
	if err != nil {
		tb.Fatal(err)
	}
	return p
}

// Nine parts have less free than to keep (README: 20 have a keep, 9 are short); the
// least share left comes first, then the greater number lacking, then the code.
func TestDemoShort(t *testing.T) {
	book := demoBook(t, "Part")
	type short struct {
		part       string
		free, keep int64
	}
	var want []short
	for _, r := range sheet(t, "parts") {
		if keep := r.number(t, "Keep"); keep != nil && book[r["Part"]].free() < *keep {
			want = append(want, short{r["Part"], book[r["Part"]].free(), *keep})
		}
	}
	slices.SortStableFunc(want, func(a, b short) int {
		if l := a.free*b.keep - b.free*a.keep; l != 0 {
			return int(l)
		}
		return int((b.keep - b.free) - (a.keep - a.free))
	})
	if len(want) != 9 {
		t.Fatalf("%d are short by the sheets, the README counts 9", len(want))
	}
	view(t, demo(t), func(v *store.View) error {
		a, err := Low(v, LowQuery{Today: demoDay})
		for i, w := range want {
			l := a.Low[i]
			if string(l.Part) != w.part || l.Free != w.free || l.Keep == nil || *l.Keep != w.keep || !l.Short || l.Do == nil {
				t.Errorf("line %d: %+v, want %+v", i+1, l, w)
			}
		}
		if a.Short != len(want) || slices.ContainsFunc(a.Low[len(want):], func(l LowLine) bool { return l.Short }) {
			t.Errorf("%d short, want %d", a.Short, len(want))
		}
		return errors.Join(err, nudgesAgree(t, v, a), scopesAgree(t, v, a))
	})
}

// A nudge says of a part what the whole list says, but for cameras.
func nudgesAgree(t *testing.T, v *store.View, a LowAnswer) error {
	for _, l := range a.Low {
		got, err := Nudges(v, []code.Code{l.Part}, demoDay)
		if err != nil {
			return err
		}
		if !l.Short && len(got) == 0 {
			continue
		}
		if len(got) != 1 || got[0].Free != l.Free || got[0].Short != l.Short || cmp.Diff(got[0].Risk, l.Risk) != "" || cmp.Diff(got[0].BuyWhen, l.BuyWhen) != "" {
			t.Errorf("%s is nudged as %+v, listed as %+v", l.Part, got, l)
		}
	}
	got, err := Nudges(v, []code.Code{"P026"}, demoDay) // 13 free, keep 10
	if len(got) != 0 {
		t.Errorf("P026 has enough and is nudged: %+v", got)
	}
	return err
}

// A place or model leaves of the list the parts that lie there or go in.
func scopesAgree(t *testing.T, v *store.View, all LowAnswer) error {
	in := map[string]map[code.Code]bool{"K1": {}, "F-L": {}}
	for _, b := range sheet(t, "bags") {
		if b["Place"] == "K1" {
			in["K1"][b.code("Part")] = true
		}
	}
	for _, g := range sheet(t, "goes") { // ORL-00 and TAR-45/3.5 are in every F-L
		if slices.Contains([]string{"F-L", "ORL-00", "TAR-45/3.5"}, g["Model"]) && g["Degree"] != "no" && g["Degree"] != "opposite-hand" && g["Degree"] != "unproven" {
			in["F-L"][g.code("Part")] = true
		}
	}
	for name, q := range map[string]LowQuery{"K1": {Place: "K1", Today: demoDay}, "F-L": {Model: "F-L", Today: demoDay}} {
		got, err := Low(v, q)
		if err != nil {
			return err
		}
		var list, want []code.Code
		for _, l := range got.Low {
			list = append(list, l.Part)
		}
		for _, l := range all.Low {
			if in[name][l.Part] {
				want = append(want, l.Part)
			}
		}
		if d := cmp.Diff(want, list); d != "" {
			t.Errorf("%s: (-want +got)\n%s", name, d)
		}
	}
	_, err := Low(v, LowQuery{Model: "NONE", Today: demoDay})
	if !errors.Is(err, store.ErrNotFound) {
		t.Errorf("an unknown model: %v", err)
	}
	return nil
}

// What a filtered export holds: the parts by the sheets, and every record that one of
// them names.
func TestDemoPick(t *testing.T) {
	parts := func(names string, keep func(row) bool) []string {
		set := map[string]bool{}
		for _, name := range strings.Fields(names) {
			for _, r := range sheet(t, name) {
				if keep(r) && r["Part"] != "" {
					set[r["Part"]] = true
				}
			}
		}
		return slices.Sorted(maps.Keys(set))
	}
	for _, tt := range []struct {
		name string
		pick Pick
		want []string
	}{
		{"a place", Pick{Place: "N1"}, parts("bags", func(r row) bool { return r["Place"] == "N1" })},
		{"a donor", Pick{Donor: "PC-07"}, parts("bags seen", func(r row) bool { return r["Origin"] == "PC-07" || r["Donor"] == "PC-07" })},
		{"a model", Pick{Model: "C-1"}, parts("goes", func(r row) bool { return slices.Contains([]string{"C-1", "HAL-00", "TAR-45/3.5"}, r["Model"]) })},
		{"both", Pick{Place: "K2", Donor: "PC-07"}, []string{"P011", "P012"}}, // bags.csv: B275, B276
		{"what runs short", Pick{Low: true, Today: demoDay, Place: "N2"}, []string{"P025"}},
		{"what is not sorted", Pick{Place: "T1"}, nil},
	} {
		t.Run(tt.name, func(t *testing.T) {
			view(t, demo(t), func(v *store.View) error {
				k, err := PickFrom(v, tt.pick)
				if err != nil {
					return err
				}
				got := slices.Sorted(maps.Keys(k.picked))
				if d := cmp.Diff(tt.want, strings.Fields(codeText(got))); d != "" && len(tt.want)+len(got) > 0 {
					t.Errorf("(-want +got)\n%s", d)
				}
				return namesAll(t, k, tt.pick)
			})
		})
	}
	view(t, demo(t), func(v *store.View) error {
		if _, err := PickFrom(v, Pick{Model: "NONE"}); !errors.Is(err, store.ErrNotFound) {
			t.Errorf("an unknown model: %v", err)
		}
		return nil
	})
}

func codeText(list []code.Code) string {
	var out []string
	for _, c := range list {
		out = append(out, string(c))
	}
	return strings.Join(out, " ")
}

// namesAll checks that what is picked is whole: every record that a record names is
// there too.
func namesAll(t *testing.T, k *Picked, p Pick) error {
	models, places, parts, donors, jobs, bags := map[code.Code]bool{"": true}, map[code.Code]bool{"": true}, map[code.Code]bool{"": true}, map[code.Code]bool{"": true}, map[code.Code]bool{"": true}, 0
	need := func(what string, in map[code.Code]bool, c code.Code) {
		if !in[c] {
			t.Errorf("%s names %s, which is not picked", what, c)
		}
	}
	return errors.Join(
		k.EachModel(func(m store.Model) error { models[m.Code] = true; return nil }),
		k.EachPlace(func(p store.Place) error { places[p.Code] = true; return nil }),
		k.EachPart(func(p store.Part) error { parts[p.Code] = true; return nil }),
		k.EachDonor(func(d store.Donor) error {
			donors[d.Code] = true
			need(string(d.Code), models, d.Model)
			need(string(d.Code), models, d.Shutter)
			need(string(d.Code), places, d.Place)
			return nil
		}),
		k.EachJob(func(j store.Job) error {
			jobs[j.Code] = true
			need(string(j.Code), models, j.Model)
			need(string(j.Code), places, j.Tray)
			return nil
		}),
		k.EachGoes(func(g store.Goes) error {
			need("a statement", parts, g.Part)
			need("a statement", models, g.Model)
			return nil
		}),
		k.EachOld(func(o store.Old) error { need("a piece", jobs, o.Job); need("a piece", parts, o.Part); return nil }),
		k.EachSign(func(s store.SignRow) error { need("a sign", donors, s.Donor); return nil }),
		k.EachMeasured(func(m store.MeasuredRow) error { need("a reading", parts, m.Part); return nil }),
		k.EachStepRow(func(s store.Step) error {
			need("a step", map[string]map[code.Code]bool{"donor": donors, "job": jobs}[s.Kind], s.Camera)
			return nil
		}),
		k.EachLook(func(s store.Seen) error {
			need("what was seen", jobs, s.Job)
			need("what was seen", parts, s.Part)
			need("what was seen", donors, s.Donor)
			return nil
		}),
		k.EachBag(func(b store.Bag) error {
			bags++
			need(string(b.Code), parts, b.Part)
			need(string(b.Code), places, b.Place)
			if strings.HasPrefix(b.Origin, "PC") {
				need(string(b.Code), donors, code.Code(b.Origin))
			}
			if p.Place != "" && b.Place != p.Place {
				t.Errorf("%s lies in %s, not in %s", b.Code, b.Place, p.Place)
			}
			return nil
		}),
		k.EachMove(func(e store.Entry) error { need("a movement", jobs, e.Job); return nil }),
		k.EachWant(func(w store.Want) error {
			need("a want", parts, w.Part)
			need("a want", jobs, w.Job)
			return nil
		}),
		func() error {
			if bags == 0 {
				t.Error("no bag was picked")
			}
			return nil
		}())
}
