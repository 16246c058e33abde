package store

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"tinful/store/code"
	"tinful/store/dim"
	"tinful/store/words"

	diff "github.com/google/go-cmp/cmp"
	bolt "go.etcd.io/bbolt"
)

// A request names a bag, a part or words; what is booked, asked and refused. newStore
// has of P1 B1 (3 ready), B2 (2 usable), B5 (1, customer 5's) and B6 (1, held), of P3
// 4 m of yarn in B3, and 37 unsorted pieces in B4.
func TestPiecesRequests(t *testing.T) {
	item := func(token, qty string, check ...string) []Item { return []Item{{Token: token, Qty: qty, Check: check}} }
	for _, tt := range []struct {
		name   string
		before []Request
		req    Request
		want   string // bag and what of it is free then; empty where it is refused
		said   ReasonKind
		err    error
		text   string // of the refusal
	}{
		{"a bag", nil, Request{What: Fitted, Items: item("B1", "2"), Job: "105"}, "B1 1", "", nil, ""},
		{"one, where no number is given", nil, Request{What: Lost, Items: item("b2", ""), Why: "fell"}, "B2 1", "", nil, ""},
		{"a part of which one bag will do", nil, Request{What: Fitted, Items: item("P1", "3"), Job: "106", Anyway: true}, "B1 0", "", nil, ""},
		{"a part of which two will do", nil, Request{What: Fitted, Items: item("P1", "2"), Job: "105"}, "", "", ErrSeveral, ""},
		{"any of them: the one that can give most", nil, Request{What: Fitted, Items: item("P1", "2"), Job: "105", Any: true}, "B1 1", "", nil, ""},
		{"what is held for the job comes first", []Request{{What: Held, Items: item("B2", "1"), Job: "105"}}, Request{What: Fitted, Items: item("P1", ""), Job: "105"}, "B2 1", "", nil, ""},
		{"by words", nil, Request{What: Scrapped, Items: item("yarn", "1m"), Why: "moths"}, "B3 3000", FoundByWords, nil, ""},
		{"a length without a number", nil, Request{What: Sold, Items: item("B3", "")}, "", "", ErrRefused, "B3 is sold by length: name it"},
		{"about is no number to sell", nil, Request{What: Sold, Items: item("B1", "about 2")}, "", "", ErrRefused, "B1: count them: about is no number to sell"},
		{"nought", nil, Request{What: Lost, Items: item("B1", "0")}, "", "", ErrRefused, "B1: 0 is no number of pieces to book"},
		{"no number", nil, Request{What: Lost, Items: item("B1", "many")}, "", "", ErrUsage, ""},
		{"more than any bag has", nil, Request{What: Lent, Items: item("P1", "9"), To: "H"}, "", "", ErrRefused, "P1 lever spring: no bag of it can lend 9: B1 3 free; "},
		{"none in the house", nil, Request{What: Lent, Items: item("P2", "1"), To: "H"}, "", "", ErrRefused, "P2 lever spring: none in the house"},
		{"two things sold", nil, Request{What: Sold, Items: append(item("B1", ""), item("B2", "")...)}, "", "", ErrUsage, "one thing is sold at a time"},
		{"an unknown bag", nil, Request{What: Lost, Items: item("B999", "")}, "", "", ErrNotFound, ""},
		{"an unknown job", nil, Request{What: Fitted, Items: item("B1", ""), Job: "999"}, "", "", ErrNotFound, ""},
		{"a job that is closed", nil, Request{What: Fitted, Items: item("B1", ""), Job: "101"}, "", "", ErrRefused, ""},
		{"a customer's bag for another's job", nil, Request{What: Fitted, Items: item("B5", ""), Job: "106"}, "", "", ErrRefused, "B5 belongs to customer 5: only for a job of the same owner"},
		{"the customer's own job", nil, Request{What: Fitted, Items: item("B5", ""), Job: "105"}, "B5 0", "", nil, ""},
		{"an uncollected repair's", nil, Request{What: Fitted, Items: item("B6", ""), Job: "105"}, "", "", ErrRefused, "B6 belongs to an uncollected repair"},
		{"back from whom it was lent to", []Request{{What: Lent, Items: item("B1", "2"), To: "H"}}, Request{What: Returned, Items: item("P1", ""), To: "H"}, "B1 3", "", nil, ""},
		{"back from nobody", nil, Request{What: Returned, Items: item("B1", ""), To: "H"}, "", "", ErrRefused, "B1 has nothing lent to H"},
		{"back from the job in hand", []Request{{What: Fitted, Items: item("B1", "1"), Job: "105"}}, Request{What: Returned, Items: item("B1", "1"), InHand: "105"}, "B1 3", ForInHand, nil, ""},
		{"held no more", []Request{{What: Held, Items: item("B1", "1"), Job: "105"}, {What: Held, Items: item("B1", "1"), Job: "106", Anyway: true}}, Request{What: Unheld, Items: item("B1", ""), InHand: "105"}, "B1 2", ForInHand, nil, ""},
		{"found where most lie", []Request{{What: Lost, Items: item("B2", "1"), Why: "fell"}}, Request{What: Found, Items: item("P1", "1")}, "", "", ErrSeveral, ""},
		{"all of a bag moves", nil, Request{What: Moved, Items: item("B1", ""), To: "k2"}, "B1 3", "", nil, ""},
		{"to no place", nil, Request{What: Moved, Items: item("B1", ""), To: "K9"}, "", "", ErrNotFound, ""},
		{"a part does not move", nil, Request{What: Moved, Items: item("P1", ""), To: "K2"}, "", "", ErrNotFound, ""},
		{"two bags become one", nil, Request{What: Joined, Items: item("B2", ""), To: "B1", Anyway: true}, "B1 5", "", nil, ""},
		{"about is split into about", nil, Request{What: Split, Items: item("B4", "about 7"), To: "K1"}, "B4 30", "", nil, ""},
		{"graded, for a reason", nil, Request{What: Graded, Items: item("B2", ""), To: "scrap", Why: "bent"}, "B2 2", "", nil, ""},
	} {
		t.Run(tt.name, func(t *testing.T) {
			s := newStore(t)
			for _, r := range tt.before {
				mustBook(t, s, func(x *Tx) error { return x.Pieces(r) })
			}
			res, err := s.Book(head(), func(x *Tx) error { return x.Pieces(tt.req) })
			if tt.err != nil {
				if !errors.Is(err, tt.err) || !strings.HasPrefix(err.Error(), tt.text) {
					t.Errorf("%v, want %v: %s", err, tt.err, tt.text)
				}
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			bag, _, _ := strings.Cut(tt.want, " ")
			if err := s.View(func(v *View) error {
				st, err := v.State(code.Code(bag))
				if got := fmt.Sprintf("%s %d", bag, st.Free()); got != tt.want {
					t.Errorf("%s free, want %s", got, tt.want)
				}
				return err
			}); err != nil {
				t.Error(err)
			}
			if tt.said != "" && !slices.Contains(ReasonKinds(res.Said), tt.said) {
				t.Errorf("said %v, want %s", res.Said, tt.said)
			}
		})
	}
}

// A bag that never goes in names those one slip of the finger away that would: B21 for
// B12, two digits swapped.
func TestSlips(t *testing.T) {
	s := newStore(t)
	mustBook(t, s, func(x *Tx) error {
		_, err := x.PutIn(Bag{Code: "B12", Part: "P2", Origin: "bought", Quantity: 1, Grade: "ready"})
		_, err2 := x.PutIn(Bag{Code: "B21", Part: "P1", Origin: "bought", Quantity: 1, Grade: "ready"})
		return errors.Join(x.Put(Goes{Part: "P2", Model: "A-1", Degrees: []string{"opposite-hand"}}), err, err2)
	})
	for token, want := range map[string]string{
		"B12": "B12 was typed; one slip away and would go: B21 lever spring",
		"B22": "one slip away and would go: ", // no such bag; B21 and B2 are a slip away
	} {
		_, err := s.Book(head(), func(x *Tx) error { return x.Pieces(Request{What: Fitted, Items: []Item{{Token: token}}, Job: "105"}) })
		if slip, ok := errors.AsType[*SlipError](err); !ok || !strings.Contains(err.Error(), want) || len(slip.Slips) == 0 || slip.Unwrap() == nil {
			t.Errorf("%s: %v, want %q", token, err, want)
		}
	}
}

// A customer's pieces: parts by code or name, words that are none, and never a bag.
func TestOldPiecesAsTyped(t *testing.T) {
	s := newStore(t)
	for _, tt := range []struct {
		name  []string
		plain string
		want  string
		err   error
	}{
		{[]string{"P1"}, "", "P1 ", nil},
		{[]string{"yarn"}, "", "P3 ", nil},
		{[]string{"strap", "lug"}, "", " strap lug", nil},
		{[]string{"yarn"}, "as words", " yarn", nil},
		{[]string{"B1"}, "", "", ErrRefused},
		{[]string{"P999"}, "", "", ErrNotFound},
	} {
		var got []Old
		_, err := s.Book(head(), func(x *Tx) (err error) {
			got, err = x.TakeOutAll("105", []OldItem{{Old: Old{Quantity: 1, Why: "worn"}, Name: tt.name, WordsAre: tt.plain != ""}}, false)
			return err
		})
		if !errors.Is(err, tt.err) || err == nil && string(got[0].Part)+" "+got[0].Piece != tt.want {
			t.Errorf("%v: %+v, %v; want %q, %v", tt.name, got, err, tt.want, tt.err)
		}
	}
	res := mustBook(t, s, func(x *Tx) error {
		_, err := x.TakeOutAll("105", []OldItem{{Old: Old{Quantity: 1, Why: "worn"}, Name: []string{"P1"}}}, false)
		return err
	})
	if !slices.Contains(ReasonKinds(res.Said), NotedBefore) {
		t.Errorf("P1 is noted twice: %v", res.Said)
	}
	for _, tt := range []struct {
		tokens string
		job    string
		hand   code.Code
		want   bool
		err    error
	}{
		{"P1", "105", "", true, nil}, {"P1", "", "105", true, nil}, {"B1", "", "105", false, nil}, {"B1", "105", "", false, ErrRefused}, {"P1 B1", "", "105", false, ErrRefused}, {"P1", "", "", false, nil},
	} {
		r := Request{What: Lost, Job: tt.job, InHand: tt.hand}
		for _, token := range strings.Fields(tt.tokens) {
			r.Items = append(r.Items, Item{Token: token})
		}
		if err := s.View(func(v *View) error {
			theirs, err := v.OfCamera(r)
			if theirs != tt.want || !errors.Is(err, tt.err) {
				t.Errorf("%+v is the customer's: %t, %v; want %t, %v", tt, theirs, err, tt.want, tt.err)
			}
			return nil
		}); err != nil {
			t.Error(err)
		}
	}
}

// What the indexes of words, codes and drawers say is what reading every record says.
func TestIndexesAgreeWithRecords(t *testing.T) {
	s := emptyStore(t)
	takenInto(t, s, workbook())
	err := s.View(func(v *View) error {
		has := map[string]map[code.Code]int{} // by word
		all := map[code.Code]int{}
		err := v.EachPart(func(p Part) error {
			for _, w := range words.Tokens(strings.Join(append([]string{p.Name}, p.Aliases...), " ")) {
				if has[w] == nil {
					has[w] = map[code.Code]int{}
				}
				has[w][p.Code]++
				all[p.Code]++
			}
			return nil
		})
		if d := diff.Diff(slices.Sorted(maps.Keys(has)), v.WordsFrom("")); d != "" {
			t.Errorf("words (-records +index)\n%s", d)
		}
		for w, parts := range has {
			for _, p := range v.WordIn(w) {
				if n, of := v.HasWord(w, p.Part); p.Count != parts[p.Part] || p.Of != all[p.Part] || n != p.Count || of != p.Of {
					t.Errorf("%s is %d times in the %d words of %s, by its record %d of %d", w, p.Count, p.Of, p.Part, parts[p.Part], all[p.Part])
				}
			}
			one := v.WordIn(w)[:1]
			if got, n := v.WordAmong(w, map[code.Code]bool{one[0].Part: true, "P-NONE": true}); n != len(parts) || !slices.Equal(got, one) {
				t.Errorf("%s is in %v of one part, and in %d", w, got, n)
			}
			if len(v.WordIn(w)) != len(parts) || !v.AnyWord(w) {
				t.Errorf("%s is in %v, by the records in %v", w, v.WordIn(w), parts)
			}
		}
		sum := 0
		for _, n := range all {
			sum += n
		}
		if parts, n := v.Words(); int(parts) != len(all) || int(n) != sum {
			t.Errorf("%d parts have %d words, by the records %d have %d", parts, n, len(all), sum)
		}
		if n, _ := v.HasWord("lever", "P003"); n != 0 || v.AnyWord("zebra") {
			t.Error("a word that is not there is found")
		}
		var drawers, want []string
		v.EachDrawer(func(part code.Code, d Drawer) {
			drawers = append(drawers, fmt.Sprintf("%s %s %d", part, d.Bag, d.Holds))
		})
		err2 := v.EachBag(func(b Bag) error {
			st, err := v.State(b.Code)
			want = append(want, fmt.Sprintf("%s %s %d", b.Part, b.Code, st.InDrawer()))
			return err
		})
		if slices.Sort(want); !slices.Equal(drawers, want) {
			t.Errorf("drawers %v, by the records %v", drawers, want)
		}
		wants := 0
		v.EachWanted(func(part code.Code) { wants++ })
		v.EachWorth(func(part code.Code, value code.Cents, first bool) {
			t.Errorf("%s is worth %s: no part has a value", part, value)
		})
		if wants != 2 {
			t.Errorf("%d wants, the workbook has two", wants)
		}
		for start, want := range map[string]string{"p00": "P001 P002 P003", "b": "B1 B2 B3", "pc1": "PC-1", "x": ""} {
			var got []string
			for _, c := range v.CodesFrom(start, 5, "part", "bag", "donor") {
				got = append(got, string(c))
			}
			if strings.Join(got, " ") != want {
				t.Errorf("codes that begin with %s are %v, want %s", start, got, want)
			}
		}
		if !v.AllClassed() || !v.OfClass("P003", "SCR-CHS") || v.OfClass("P003", "SPR-TOR") {
			t.Error("every part has its class, P003 is a cheese screw")
		}
		if got := v.PartsOfClassAmong("SPR", map[code.Code]bool{"P002": true, "P003": true}); !slices.Equal(got, []code.Code{"P002"}) {
			t.Errorf("springs of P002 and P003 are %v", got)
		}
		if got := v.Family(words.Fold("A")); !slices.Equal(got, []code.Code{"A-1", "A-2"}) {
			t.Errorf("the family is %v", got)
		}
		if got := v.BagsGraded("usable"); !slices.Equal(got, []code.Code{"B2"}) {
			t.Errorf("usable is in %v", got)
		}
		met := 0
		outside := v.EachOutside(func(b Outside) error {
			met++
			st, err := v.State(code.Code(b.Bag))
			rec, err2 := v.Bag(code.Code(b.Bag))
			taken := func(list []Owed) (out []Taken) {
				for _, x := range list {
					out = append(out, Taken{[]byte(x.Who), x.N})
				}
				return out
			}
			want := Outside{[]byte("B1"), []byte(rec.Part), []byte(st.Place), rec.Unit, st.About, taken(st.HeldFor), taken(st.LentTo), st.Book}
			if diff.Diff(b, want) != "" {
				t.Errorf("out is %+v, want %+v", b, want)
			}
			return cmp.Or(err, err2)
		})
		if outside != nil || met != 1 {
			t.Errorf("%d bags are out: %v", met, outside)
		}
		return cmp.Or(err, err2)
	})
	if err != nil {
		t.Error(err)
	}
}

// What the indexes of measures, models, wants and what runs short say is what reading
// every record says; and a store and its copy are one, another store is not.
func TestMoreIndexesAgreeWithRecords(t *testing.T) {
	s := rich(t)
	if err := s.View(func(v *View) error {
		var measured, into, wanted, short, seen, want []string
		err := errors.Join(
			v.Measured(dim.Wire, 300, 300, func(m Measured) error {
				n, ok := m.Dim(dim.Wire)
				_, none := m.Dim(dim.OD)
				measured = append(measured, fmt.Sprint(m.Part(), m.Class(), string(m.class), n, ok, none))
				return nil
			}),
			v.Measured(dim.Wire, 301, 9000, func(m Measured) error { return fmt.Errorf("%s is no such part", m.Part()) }),
			v.GoesInto("A-1", func(part code.Code, degrees []string) error {
				into = append(into, fmt.Sprint(part, degrees))
				return nil
			}),
			v.Short(func(part, name []byte, free, keep, held int64) error {
				short = append(short, fmt.Sprint(code.Code(part), string(name), free, keep, held))
				return nil
			}),
			v.EachLookOnJobs(func(x Seen) error { seen = append(seen, string(x.Job+x.Part)); return nil }))
		v.EachOpenWant(func(part code.Code) { wanted = append(wanted, string(part)) })
		for _, tt := range []struct {
			got  []string
			want string
		}{
			{measured, fmt.Sprint("P6", "SPR-EXT", "SPR-EXT", 300, true, false)},
			{into, fmt.Sprint("P1", []string{"direct"})}, {wanted, "P2"}, {seen, "105P2"},
		} {
			if strings.Join(tt.got, ", ") != tt.want {
				t.Errorf("%v, want %s", tt.got, tt.want)
			}
		}
		err = errors.Join(err, v.EachPart(func(p Part) error {
			f, err := v.Figure(p.Code)
			if p.Keep != nil && f.Free() < *p.Keep {
				want = append(want, fmt.Sprint(p.Code, p.Name, f.Free(), *p.Keep, f.Held))
			}
			return err
		}))
		if slices.Sort(short); !slices.Equal(short, want) || len(want) == 0 {
			t.Errorf("short of %v, by the records %v", short, want)
		}
		return err
	}); err != nil {
		t.Error(err)
	}
	var own, other string
	s.View(func(v *View) error { own = v.Identity(); return nil })
	copied := filepath.Join(t.TempDir(), "copy.db")
	var b bytes.Buffer
	err := s.db.View(func(tx *bolt.Tx) error { _, err := tx.WriteTo(&b); return err })
	if err := errors.Join(err, os.WriteFile(copied, b.Bytes(), 0o600)); err != nil {
		t.Fatal(err)
	}
	opened(t, copied).View(func(v *View) error { other = v.Identity(); return nil })
	if own == "" || own != other {
		t.Errorf("a store is %s and its copy %s", own, other)
	}
	emptyStore(t).View(func(v *View) error { other = v.Identity(); return nil })
	if own == other {
		t.Errorf("two stores are both %s", own)
	}
}
