package store

import (
	"path/filepath"
	"reflect"
	"testing"

	"tinful/store/code"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// packedSoon lets lists pack rows after so many, and put them on the disk after so many
// blocks.
func packedSoon(tb testing.TB, rows, blocks int) {
	wasRows, wasBlocks, wasBlock := nearRows, packedAt, packedBlock
	nearRows, packedAt, packedBlock = rows, blocks, 300
	tb.Cleanup(func() { nearRows, packedAt, packedBlock = wasRows, wasBlocks, wasBlock })
}

// A list gives back the records that were added, changed and taken away, wherever they
// lie.
func TestListGivesBack(t *testing.T) {
	for _, at := range [][2]int{{1, 0}, {3, 1}, {1 << 20, 0}} {
		packedSoon(t, at[0], at[1])
		rapid.Check(t, func(t *rapid.T) {
			givesBack[Part](t)
			givesBack[Goes](t)
			givesBack[Donor](t)
			givesBack[Seen](t)
			givesBack[Bag](t)
			givesBack[Job](t)
		})
	}
}

func givesBack[T any](t *rapid.T) {
	var l List[T]
	var want []T
	one := rapid.Make[T]()
	for range rapid.IntRange(0, 6).Draw(t, "rows") {
		x := one.Draw(t, "row")
		for range rapid.SampledFrom([]int{1, 1, 1, 9}).Draw(t, "times") { // more than a block
			l.Add(x)
			want = append(want, x)
		}
		if rapid.IntRange(0, 3).Draw(t, "cut") == 0 {
			l.Cut()
			want = want[:len(want)-1]
		}
		if n := len(want); n > 0 && rapid.Bool().Draw(t, "change") {
			i := rapid.IntRange(0, n-1).Draw(t, "i")
			x := one.Draw(t, "changed")
			l.Change(i, func(r *T) { *r = x })
			want[i] = x
		}
		if n := len(want); n > 0 {
			i := rapid.IntRange(0, n-1).Draw(t, "asked")
			if got := l.At(i); !reflect.DeepEqual(got, want[i]) {
				t.Fatalf("row %d of %d: %+v, not %+v", i, n, got, want[i])
			}
		}
	}
	if got := l.Records(); len(got) != len(want) || len(want) > 0 && !reflect.DeepEqual(got, want) {
		t.Fatalf("%d rows, not %d, or others", len(got), len(want))
	}
	if got := l.held(); l.Len() != len(want) || len(want) > 0 && !reflect.DeepEqual(got, want) {
		t.Fatalf("in memory: %d rows, not %d, or others", len(got), len(want))
	}
	l.drop()
}

// The movements of a list keep what a sheet has of them, and what is read of their bytes
// alone is what they say.
func TestMovesGiveBack(t *testing.T) {
	packedSoon(t, 1, 0)
	rapid.Check(t, func(t *rapid.T) {
		var m Moves
		var want []Entry
		for range rapid.IntRange(0, 5).Draw(t, "rows") {
			e := rapid.Make[Entry]().Draw(t, "entry")
			e.Booking, e.Undoes = 0, 0
			m.Add(e)
			b := packEntry(nil, &e)
			if got := entryOf(b); got != e {
				t.Fatalf("%+v, not %+v", got, e)
			}
			x := packedEntry(b)
			if bag, _ := x.bag(); x.what() != e.What || x.first() != e.First || x.day() != e.Day || code.Code(bag) != e.Bag || x.seq() != e.Seq {
				t.Fatalf("%v %v %v %s %d of %+v", x.what(), x.first(), x.day(), bag, x.seq(), e)
			}
			e.First = false
			want = append(want, e)
		}
		for i := len(want) - 1; i >= 0; i-- {
			if m.At(i) != want[i] {
				t.Fatalf("row %d: %+v, not %+v", i, m.At(i), want[i])
			}
		}
		if got := m.All(); len(want) > 0 && !reflect.DeepEqual(got, want) || m.Len() != len(want) {
			t.Fatalf("%+v, not %+v", got, want)
		}
	})
}

// What the disk does not take, or does not give back, is an error of the plan.
func TestListOfABadDisk(t *testing.T) {
	packedSoon(t, 1, 0)
	for name, harm := range map[string]func(*scratch){
		"cut off": func(s *scratch) { s.file.Truncate(0) },
		"closed":  func(s *scratch) { s.file.Close() },
	} {
		for _, sheet := range []string{"Parts", "Moves"} {
			l := workbook()
			l.KeepBeside(filepath.Join(t.TempDir(), "w.db"))
			l.Parts.far.put()
			l.Moves.rows.put()
			harm(map[string]*scratch{"Parts": &l.Parts.far.disk, "Moves": &l.Moves.rows.disk}[sheet])
			if _, err := PlanLoad(nil, l, head()); err == nil {
				t.Errorf("%s that is %s was read", sheet, name)
			}
		}
	}
}

// A new store is the same, whatever of the workbook and of the store lay on the disk
// meanwhile, with numbers of entries and without.
func TestWorkbookByWayOfTheDisk(t *testing.T) {
	for _, numbered := range []bool{false, true} {
		made := func() (*Store, []string) {
			l := workbook()
			if numbered {
				n := uint64(100)
				for i := range l.Bags.Len() {
					l.Bags.Change(i, func(b *Bag) { b.Entry = n; b.Booked = []code.Day{day0 - 40, 0}[i%2] })
					n -= 7
				}
				moves := l.Moves.All()
				l.Moves = Moves{}
				for i, e := range moves {
					e.Seq = uint64(101 + 3*i)
					l.Moves.Add(e)
				}
			}
			p, err := PlanLoad(nil, l, head())
			if err != nil || len(p.Problems) > 0 {
				t.Fatal(err, p.Problems)
			}
			path := filepath.Join(t.TempDir(), "w.db")
			if _, err := CreateFrom(path, p, nil, nil); err != nil {
				t.Fatal(err)
			}
			s := opened(t, path)
			out := contents(t, s)
			s.View(func(v *View) error {
				return v.EachEntry(func(e Entry) error {
					out = append(out, "entry "+string(e.Bag)+e.What.String()+e.Day.String())
					return nil
				})
			})
			return s, out
		}
		soon(t, 24<<20)
		packedSoon(t, 256, 16)
		_, want := made()
		for _, n := range []int{1, 1000} {
			packedSoon(t, n, 0)
			soon(t, n)
			if _, got := made(); cmp.Diff(want, got) != "" {
				t.Errorf("numbered %v, after %d: %s", numbered, n, cmp.Diff(want, got))
			}
		}
	}
}
