package store

import (
	"bytes"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tinful/store/code"
	"tinful/store/pages"

	bolt "go.etcd.io/bbolt"
)

// wide makes a rich store with enough in it that every bucket of records has pages of its
// own, and with bookings of every kind that were taken back.
func wide(tb testing.TB) *Store {
	tb.Helper()
	s := rich(tb)
	for i := range 40 {
		bag := code.Code(fmt.Sprintf("B1%02d", i))
		mustBook(tb, s, func(t *Tx) error {
			part := code.Code(fmt.Sprintf("Q%03d", i))
			if err := putAll(t, Part{Code: part, Name: strings.Repeat("spring ", 12)}, Goes{Part: part, Model: "A-2", Degrees: []string{"direct"}}, Place{Code: "N" + bag}); err != nil {
				return err
			}
			_, err := t.PutIn(Bag{Code: bag, Part: part, Origin: "bought", Quantity: 9, Grade: "usable", Place: "K1"})
			return err
		})
		n := int64(i%3 + 1)
		for _, book := range []func(*Tx) error{
			func(t *Tx) error { return t.Fit(Take{Bag: bag, N: n, Job: "105"}) },
			func(t *Tx) error { return t.Hold(Take{Bag: bag, N: 1, Job: "106"}) },
			func(t *Tx) error { return t.Enter(Entry{What: Moved, Bag: bag, To: "K2"}) },
			func(t *Tx) error { return t.Enter(Entry{What: Graded, Bag: bag, To: "ready"}) },
			func(t *Tx) error { return t.Enter(Entry{What: Lent, Bag: bag, Quantity: 1, To: "customer 4"}) },
		} {
			mustBook(tb, s, book)
		}
		res := mustBook(tb, s, func(t *Tx) error { return t.Enter(Entry{What: Scrapped, Bag: bag, Quantity: 1, Why: "bent"}) })
		if i%4 == 0 {
			if _, err := s.Undo(head(), res.Booking.Number); err != nil {
				tb.Fatal(err)
			}
		}
	}
	res := mustBook(tb, s, func(t *Tx) error {
		_, err := t.PutIn(Bag{Code: "B300", Part: "P1", Origin: "bought", Quantity: 4})
		return err
	})
	if _, err := s.Undo(head(), res.Booking.Number); err != nil {
		tb.Fatal(err)
	}
	return s
}

// busy makes a store as an import does: all in one booking, the movements of many bags in
// order of days, so that a lost page takes some of each.
func busy(tb testing.TB, seed uint64) *Store {
	tb.Helper()
	s, r := newStore(tb), rand.New(rand.NewPCG(seed, 3))
	h := head()
	h.Day = day0 + 900
	_, err := s.Book(h, func(t *Tx) error {
		for i := range 60 {
			if _, err := t.PutIn(Bag{Code: code.Code(fmt.Sprintf("C%02d", i)), Part: "P1", Origin: "bought", Quantity: int64(r.IntN(9)), Place: "K1"}); err != nil {
				return err
			}
		}
		jobs, who := []code.Code{"105", "106"}, []string{"customer 4", "customer 5"}
		for i := range 900 {
			e := Entry{Bag: code.Code(fmt.Sprintf("C%02d", r.IntN(60))), Quantity: 1 + int64(r.IntN(2)), Day: h.Day + code.Day(i/3)}
			switch e.What = []What{In, Fitted, Fitted, Returned, Held, Unheld, Lent, Lost, Found, Scrapped, Sold, Moved, Graded, Counted, Corrected}[r.IntN(15)]; e.What {
			case Fitted, Held, Unheld:
				e.Job = jobs[r.IntN(2)]
			case Returned:
				if e.Job = jobs[r.IntN(2)]; r.IntN(2) == 0 {
					e.Job, e.To = "", who[r.IntN(2)]
				}
			case Lent:
				e.To = who[r.IntN(2)]
			case Moved:
				e.To, e.Quantity = []string{"K1", "K2"}[r.IntN(2)], 0
			case Graded:
				e.To, e.Quantity = Grades[r.IntN(len(Grades))], 0
			}
			if err := t.Enter(e); err != nil && !errors.Is(err, ErrRefused) {
				return err
			}
		}
		return nil
	})
	if err != nil {
		tb.Fatal(err)
	}
	return s
}

// Whatever page of a book in one booking is lost, every bag holds what it held.
func TestSalvageBusy(t *testing.T) {
	seeds := uint64(1)
	if os.Getenv("TINFUL_SOAK") != "" {
		seeds = 30
	}
	for seed := range seeds {
		o := savingOf(t, busy(t, seed))
		for _, n := range o.live {
			gone := map[uint64]bool{n: true}
			got, path := o.salvage(t, gone)
			o.agree(t, path, gone, true)
			if t.Failed() {
				t.Fatalf("seed %d, page %d: %s", seed, n, strings.Join(got.Lost, "\n"))
			}
		}
	}
}

// A saving is a store as it was, and where in its file everything lay.
type saving struct {
	raw    []byte
	size   int
	page   map[string]uint64 // of every key, by bucket and key
	recs   map[string][]byte // CBOR by bucket and key
	states map[code.Code]State
	onPage map[uint64]int // records of the catalogue, entries, bookings, former bytes
	live   []uint64
}

func savingOf(t *testing.T, s *Store) *saving {
	t.Helper()
	path := harmed(t, s, func(*bolt.Tx) error { return nil })
	raw, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	o := &saving{raw: raw, page: map[string]uint64{}, recs: map[string][]byte{}, states: map[code.Code]State{}, onPage: map[uint64]int{}}
	f := readPages(t, raw)
	o.size = int(f.PageSize())
	seen := map[uint64]bool{}
	_, err = f.Items(func(i pages.Item) error {
		name := recordName(i.Bucket, i.Key)
		o.page[name] = i.Page
		seen[i.Page] = true
		if shelves()[i.Bucket].rows || i.Bucket == bFigure {
			return nil
		}
		_, body, err := unseal(i.Bucket, i.Key, i.Value)
		if i.Bucket == bState {
			var st State
			err = decode(bState, i.Key, i.Value, &st)
			o.states[st.Bag] = st
			return err
		}
		o.recs[name] = bytes.Clone(body)
		o.onPage[i.Page]++
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	for n := 0; n < len(raw)/o.size; n++ {
		p := raw[n*o.size:]
		if kind := p[8]; n < 2 || kind == 1 || seen[uint64(n)] || kind == 16 {
			o.live = append(o.live, uint64(n))
		}
	}
	return o
}

// salvage zeroes pages and salvages what is left.
func (o *saving) salvage(t *testing.T, gone map[uint64]bool) (Salvaged, string) {
	t.Helper()
	raw := bytes.Clone(o.raw)
	for n := range gone {
		clear(raw[int(n)*o.size : int(n+1)*o.size])
	}
	dir := t.TempDir()
	from, to := filepath.Join(dir, "old.db"), filepath.Join(dir, "new.db")
	if err := errors.Join(os.WriteFile(from, raw, 0o600), KeepPhoto(from, aPhoto)); err != nil {
		t.Fatal(err)
	}
	got, err := Salvage(from, to, day0)
	if err != nil {
		t.Fatalf("pages %v: %v", gone, err)
	}
	if now, err := os.ReadFile(from); err != nil || !bytes.Equal(now, raw) {
		t.Errorf("the old file was written (%v)", err)
	}
	return got, to
}

// agree holds a salvaged store against what lay on the pages that are whole.
func (o *saving) agree(t *testing.T, path string, gone map[uint64]bool, balances bool) {
	t.Helper()
	s, err := Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	h, err := s.Check()
	if err != nil || len(h.Problems) > 0 {
		t.Errorf("pages %v: check: %v %v", gone, h.Problems, err)
	}
	err = s.View(func(v *View) error {
		for name, body := range o.recs {
			bucket, key := splitName(name)
			if gone[o.page[name]] || bucket == bFormer || bucket == bEntry {
				continue
			}
			x := v.at(bucket, key)
			if bucket == bBooking && x != nil {
				continue // its entries may have other numbers
			}
			if _, now, err := unseal(bucket, key, x); err != nil || !bytes.Equal(now, body) {
				t.Errorf("pages %v: %s was on page %d and is %x (%v), was %x", gone, called(bucket, key), o.page[name], now, err, body)
			}
		}
		for name := range o.page {
			bucket, key := splitName(name)
			if bucket == bEntry && !gone[o.page[name]] {
				o.entries(t, v, key)
			}
		}
		for bag, st := range o.states {
			if gone[o.page[recordName(bState, keyCode(bag))]] || st.Gone || !balances {
				continue
			}
			now, err := v.State(bag)
			if err != nil || now.OnHand() != st.OnHand() || now.Held() != st.Held() || now.Lent() != st.Lent() || now.Place != st.Place || now.Grade != st.Grade {
				t.Errorf("pages %v: bag %s: %s, was %s (%v)", gone, bag, inWords(now), inWords(st), err)
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

// entries holds a chunk of the old book against the new one, whose numbers differ.
func (o *saving) entries(t *testing.T, v *View, key []byte) {
	t.Helper()
	frame := seal(bEntry, key, append(beginFrame(1, 0), o.recs[recordName(bEntry, key)]...))
	err := unchunk(key, frame, 0, func(e Entry) error {
		found := false
		err := v.EachEntry(func(x Entry) error {
			e.Seq, e.Booking = x.Seq, x.Booking
			found = found || x == e
			return nil
		})
		if !found {
			t.Errorf("the entry %s %s %d is not there", e.What, e.Bag, e.Quantity)
		}
		return err
	})
	if err != nil {
		t.Error(err)
	}
}

// Every page that is in use, zeroed, costs what lay on it and nothing else.
func TestSalvageEveryPage(t *testing.T) {
	s := wide(t)
	o := savingOf(t, s)
	t.Logf("%d pages in use of %d", len(o.live), len(o.raw)/o.size)
	for _, n := range o.live {
		gone := map[uint64]bool{n: true}
		got, path := o.salvage(t, gone)
		o.agree(t, path, gone, true)
		if lost := len(got.Lost) > 0; lost != (o.onPage[n] > 0) {
			t.Errorf("page %d had %d records, and lost are: %s", n, o.onPage[n], strings.Join(got.Lost, "; "))
		}
	}
}

// Half of all pages zeroed, at random: what lay on the others is there, and the store that
// is made of it agrees with itself.
func TestSalvageHalf(t *testing.T) {
	s := wide(t)
	o := savingOf(t, s)
	rounds := 12
	if os.Getenv("TINFUL_SOAK") != "" {
		rounds = 300
	}
	for seed := range uint64(rounds) {
		r := rand.New(rand.NewPCG(seed, 1))
		gone := map[uint64]bool{}
		for n := range len(o.raw) / o.size {
			if r.IntN(2) == 0 {
				gone[uint64(n)] = true
			}
		}
		got, path := o.salvage(t, gone)
		if len(got.Lost) == 0 {
			t.Errorf("seed %d: nothing is lost", seed)
		}
		o.agree(t, path, gone, false)
		if t.Failed() {
			t.Fatalf("seed %d: %s", seed, strings.Join(got.Lost, "\n"))
		}
	}
}

// What was taken away stays away, though pages that are not in use any more still have
// it, and what is older is not taken for what is newer.
func TestSalvageTakesNothingStale(t *testing.T) {
	s := rich(t)
	res := mustBook(t, s, func(t *Tx) error { return t.Put(Part{Code: "P50", Name: "gone soon"}) })
	if _, err := s.Undo(head(), res.Booking.Number); err != nil {
		t.Fatal(err)
	}
	for i := range 6 {
		mustBook(t, s, func(t *Tx) error { return t.Put(Part{Code: "P51", Name: fmt.Sprint("state ", i)}) })
	}
	raw, err := os.ReadFile(s.Path())
	if err != nil {
		t.Fatal(err)
	}
	size := os.Getpagesize()
	if !bytes.Contains(raw, []byte("gone soon")) || !bytes.Contains(raw, []byte("state 3")) {
		t.Fatal("no page has what is stale")
	}
	f := readPages(t, raw)
	for name, harm := range map[string]func([]byte){
		"nothing":                  func([]byte) {},
		"the tree of buckets":      func(raw []byte) { clear(raw[int(f.Now.Root)*size:][:size]) },
		"the list of free pages":   func(raw []byte) { clear(raw[int(f.Now.Freelist)*size:][:size]) },
		"both first pages, and it": func(raw []byte) { clear(raw[:2*size]); clear(raw[int(f.Now.Freelist)*size:][:size]) },
	} {
		t.Run(name, func(t *testing.T) {
			raw, from := bytes.Clone(raw), filepath.Join(t.TempDir(), "old.db")
			harm(raw)
			if err := os.WriteFile(from, raw, 0o600); err != nil {
				t.Fatal(err)
			}
			n := salvageOf(t, from)
			if p := partOf(t, n, "P51"); p.Name != "state 5" {
				t.Errorf("P51 is %q", p.Name)
			}
			n.View(func(v *View) error {
				if _, err := v.Part("P50"); !errors.Is(err, ErrNotFound) {
					t.Errorf("P50: %v", err)
				}
				return nil
			})
		})
	}
}

func TestSalvageRefuses(t *testing.T) {
	dir := t.TempDir()
	write := func(name, text string) string {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		return path
	}
	there := write("there.db", "x")
	for _, tt := range []struct {
		from, to string
		want     error
	}{
		{filepath.Join(dir, "none.db"), filepath.Join(dir, "new.db"), ErrNoStore},
		{there, there, ErrRefused},
		{write("text.db", strings.Repeat("springs and screws\n", 5000)), filepath.Join(dir, "new.db"), ErrDamaged},
		{version2(t), filepath.Join(dir, "new.db"), ErrDamaged},
	} {
		if _, err := Salvage(tt.from, tt.to, day0); !errors.Is(err, tt.want) {
			t.Errorf("%s: %v, want %v", tt.from, err, tt.want)
		}
	}
	if left, _ := filepath.Glob(filepath.Join(dir, "new*")); len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
	s := rich(t)
	if _, err := Salvage(s.Path(), filepath.Join(dir, "new.db"), day0); !errors.Is(err, ErrBusy) {
		t.Errorf("a store that is booked in: %v", err)
	}
}

// Bytes that are anything, and a file that is cut off: a store that agrees with itself is
// made, or a sentence says why none is.
func TestSalvageInjured(t *testing.T) {
	o := savingOf(t, wide(t))
	rounds := uint64(40)
	if os.Getenv("TINFUL_SOAK") != "" {
		rounds = 1000
	}
	made := 0
	for seed := range rounds {
		r := rand.New(rand.NewPCG(seed, 2))
		raw, dir := bytes.Clone(o.raw), t.TempDir()
		for range 1 + r.IntN(60) {
			raw[r.IntN(len(raw))] ^= byte(1 << r.IntN(8))
		}
		if r.IntN(4) == 0 {
			raw = raw[:r.IntN(len(raw))]
		}
		from, to := filepath.Join(dir, "old.db"), filepath.Join(dir, "new.db")
		if err := os.WriteFile(from, raw, 0o600); err != nil {
			t.Fatal(err)
		}
		if _, err := Salvage(from, to, day0); err != nil {
			if !errors.Is(err, ErrDamaged) || len(raw) > len(o.raw)/2 {
				t.Errorf("seed %d, %d bytes: %v", seed, len(raw), err)
			}
			continue
		}
		made++
		h, err := Examine(to)
		if err != nil || len(h.Problems) > 0 {
			t.Errorf("seed %d: %v %v", seed, h.Problems, err)
		}
	}
	if made < int(rounds)*3/4 {
		t.Errorf("only %d of %d", made, rounds)
	}
}

// A bag of which nothing is left but that pieces of another went into it holds these.
func TestSalvageOfASplit(t *testing.T) {
	s := rich(t)
	var bag code.Code
	mustBook(t, s, func(t *Tx) (err error) { bag, err = t.SplitBag(Take{Bag: "B1", N: 1}, "K2"); return err })
	from := filepath.Join(t.TempDir(), "old.db")
	raw, err := os.ReadFile(s.Path())
	if err == nil {
		err = os.WriteFile(from, raw, 0o600)
	}
	db, oerr := bolt.Open(from, 0o600, nil)
	if err != nil || oerr != nil {
		t.Fatal(err, oerr)
	}
	err = db.Update(func(tx *bolt.Tx) error {
		return errors.Join(tx.Bucket([]byte(bBag)).Delete(keyCode(bag)), tx.Bucket([]byte(bState)).Delete(keyCode(bag)))
	})
	if err = errors.Join(err, db.Close()); err != nil {
		t.Fatal(err)
	}
	err = salvageOf(t, from).View(func(v *View) error {
		st, err := v.State(bag)
		if err == nil && st.OnHand() != 1 {
			t.Errorf("%d pieces are in %s, want 1", st.OnHand(), bag)
		}
		return err
	})
	if err != nil {
		t.Error(err)
	}
}

// salvageOf is what salvage makes of a store.
func salvageOf(t *testing.T, from string) *Store {
	t.Helper()
	to := filepath.Join(t.TempDir(), "new.db")
	if _, err := Salvage(from, to, day0); err != nil {
		t.Fatal(err)
	}
	s, err := OpenToBook(to)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return s
}
