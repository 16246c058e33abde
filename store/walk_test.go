package store

import (
	"bytes"
	"cmp"
	"encoding/binary"
	"errors"
	"fmt"
	"hash/fnv"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"testing"
	"time"

	"tinful/store/pages"

	bolt "go.etcd.io/bbolt"
)

func readPages(t testing.TB, raw []byte) *pages.File {
	t.Helper()
	f, err := pages.Open(bytes.NewReader(raw), int64(len(raw)))
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// wild makes a file with all that a tree can hold: buckets within buckets, inline and
// not, empty ones, values of one byte and of many pages, free pages.
func wild(t testing.TB, seed uint64, rounds int) (*bolt.DB, string) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "wild.db")
	db, err := bolt.Open(path, 0o600, &bolt.Options{NoSync: true, FreelistType: bolt.FreelistMapType})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { db.Close() })
	r := rand.New(rand.NewPCG(seed, 9))
	for range rounds {
		if err := db.Update(func(tx *bolt.Tx) error { return wildly(tx, r) }); err != nil {
			t.Fatal(err)
		}
	}
	return db, path
}

func wildly(tx *bolt.Tx, r *rand.Rand) error {
	b, err := tx.CreateBucketIfNotExists(fmt.Appendf(nil, "b%d", r.IntN(5)))
	if err != nil {
		return err
	}
	if r.IntN(3) == 0 {
		if b, err = b.CreateBucketIfNotExists(fmt.Appendf(nil, "\xffin%d", r.IntN(20))); err != nil {
			return err
		}
	}
	for range r.IntN(200) {
		k := fmt.Appendf(nil, "k%07d", r.IntN(3000))
		if r.IntN(3) == 0 {
			err = b.Delete(k)
		} else {
			size := r.IntN(60)
			if r.IntN(100) == 0 {
				size = r.IntN(30000)
			}
			err = b.Put(k, bytes.Repeat([]byte{7}, size))
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// What the walk counts is what bbolt counts itself (Tx.Check, Bucket.Stats), in files
// made at random.
func TestWalkCountsAsBbolt(t *testing.T) {
	for seed := range uint64(12) {
		db, path := wild(t, seed, 5+40*int(seed%4))
		raw, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		got := readPages(t, raw).Walk()
		if len(got.Findings) > 0 || got.Meta != nil {
			t.Fatalf("seed %d: a sound file: %v %v", seed, got.Findings, got.Meta)
		}
		agree(t, db, got)
	}
}

func agree(t *testing.T, db *bolt.DB, got pages.Report) {
	t.Helper()
	err := db.View(func(tx *bolt.Tx) error {
		for err := range tx.Check() {
			t.Errorf("bbolt's own check: %v", err)
		}
		want := tx.Cursor().Bucket().Stats() // of all trees
		keys, buckets := 0, 0
		for _, n := range got.Keys {
			keys, buckets = keys+n, buckets+1
		}
		have := [...]int{got.BranchPages, got.LeafPages, got.Overflow, got.Inline, keys + buckets, got.Free}
		theirs := [...]int{want.BranchPageN, want.LeafPageN, want.BranchOverflowN + want.LeafOverflowN, want.InlineBucketN, want.KeyN, db.Stats().FreePageN + db.Stats().PendingPageN}
		if have != theirs {
			t.Errorf("branches, leaves, overflow, inline, keys, free: %v, bbolt has %v", have, theirs)
		}
		return nil
	})
	if err != nil {
		t.Error(err)
	}
}

// Every number in the head and in the elements of a page that is in use: whatever bit
// of it is flipped, or byte zeroed, is found. The lengths of the last item of a leaf
// alone are bound to nothing but the sum of what it holds.
func TestEveryNumberOfAPage(t *testing.T) {
	path := made(t)
	raw, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	sound := readPages(t, raw).Walk()
	if len(sound.Findings) > 0 {
		t.Fatal(sound.Findings)
	}
	tried := 0
	for _, at := range numbersOf(raw, os.Getpagesize()) {
		if tried++; os.Getenv("TINFUL_SOAK") == "" && tried%7 != 0 {
			continue
		}
		for _, x := range []byte{1, 2, 4, 8, 16, 32, 64, 128, raw[at]} {
			if x == 0 {
				continue // a zero stays one
			}
			raw[at] ^= x
			if r := readPages(t, raw).Walk(); len(r.Findings) == 0 && r.Meta == nil {
				t.Errorf("page %d, byte %d, %08b: not found", at/os.Getpagesize(), at%os.Getpagesize(), x)
			}
			raw[at] ^= x
		}
	}
	if tried < 1000 {
		t.Errorf("only %d bytes tried", tried)
	}
}

// numbersOf are the places of the bytes of numbers in pages that are in use: heads,
// elements, what a meta page says, the list of free pages. Which pages are in use says
// bbolt's own list, read here by its layout (internal/common/page.go).
func numbersOf(raw []byte, size int) []int {
	var at []int
	meta := raw[16:]
	if other := raw[size+16:]; binary.NativeEndian.Uint64(other[48:]) > binary.NativeEndian.Uint64(meta[48:]) {
		meta = other
	}
	list := int(binary.NativeEndian.Uint64(meta[32:]))
	free := map[int]bool{}
	for i := range int(binary.NativeEndian.Uint16(raw[list*size+10:])) {
		free[int(binary.NativeEndian.Uint64(raw[list*size+16+8*i:]))] = true
	}
	for page := 0; page < int(binary.NativeEndian.Uint64(meta[40:])); page++ {
		n := 16 * (1 + int(binary.NativeEndian.Uint16(raw[page*size+10:])))
		switch {
		case free[page]:
			continue
		case page < 2:
			n = 80
		case page == list:
			n = 16 + 8*len(free)
		}
		for i := range n {
			last := i >= n-8 // lengths of a leaf's last item
			if raw[page*size+8] == 1 {
				last = i >= n-12 && i < n-8 // length of a branch's last key, which may lie below all behind it
			}
			if !last || page < 2 || page == list {
				at = append(at, page*size+i)
			}
		}
	}
	return at
}

// What is asked for item by item is what bbolt reads, and the tolerant way reads the
// same from the pages alone.
func TestItemsAsBboltReadsThem(t *testing.T) {
	db, path := wild(t, 3, 60)
	raw, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	want := map[string]string{}
	err = db.View(func(tx *bolt.Tx) error {
		return tx.ForEach(func(name []byte, b *bolt.Bucket) error { return readAll(string(name), b, want) })
	})
	if err != nil || len(want) < 500 {
		t.Fatal(len(want), err)
	}
	f := readPages(t, raw)
	for name, read := range map[string]func(func(pages.Item) error) error{
		"by the tree": func(fn func(pages.Item) error) error { _, err := f.Items(fn); return err },
		"by pages":    f.Leaves,
	} {
		left, freed := len(want), 0
		err := read(func(i pages.Item) error {
			if i.State != pages.Live {
				freed++
				return nil
			}
			if x, ok := want[i.Bucket+" "+string(i.Key)]; !ok || x != string(i.Value) {
				t.Fatalf("%s: %s %q", name, i.Bucket, i.Key)
			}
			left--
			return nil
		})
		if err != nil || left != 0 {
			t.Errorf("%s: %d are missing, %v", name, left, err)
		}
		if name == "by pages" && freed == 0 {
			t.Error("no free page was read")
		}
	}
}

func readAll(name string, b *bolt.Bucket, into map[string]string) error {
	return b.ForEach(func(k, v []byte) error {
		if v == nil {
			return readAll(name+"/"+string(k), b.Bucket(k), into)
		}
		into[name+" "+string(k)] = string(v)
		return nil
	})
}

// Without its branches, and without either meta page, a file still gives what lies on
// its leaves.
func TestLeavesWithoutATree(t *testing.T) {
	raw, err := os.ReadFile(made(t))
	if err != nil {
		t.Fatal(err)
	}
	count := func(raw []byte) map[string]int {
		seen := map[string]int{}
		if err := readPages(t, raw).Leaves(func(i pages.Item) error { seen[string(i.Key)]++; return nil }); err != nil {
			t.Fatal(err)
		}
		return seen
	}
	want, size := count(raw), os.Getpagesize()
	for at := 0; at < len(raw); at += size {
		if at < 2*size || raw[at+8] == 1 {
			clear(raw[at : at+size])
		}
	}
	got := count(raw)
	for k, n := range want {
		if got[k] != n {
			t.Errorf("%q: %d times, not %d", k, got[k], n)
		}
	}
}

// Whatever page a single spoilt number of a branch leads to, a free one that was a branch
// once too, the walk in haste finds what that over all heads does.
func TestTreesInHaste(t *testing.T) {
	path := filepath.Join(t.TempDir(), "flat.db")
	db, err := bolt.Open(path, 0o600, &bolt.Options{NoSync: true})
	if err != nil {
		t.Fatal(err)
	}
	r := rand.New(rand.NewPCG(1, 2))
	for range 40 {
		err := db.Update(func(tx *bolt.Tx) error {
			b, err := tx.CreateBucketIfNotExists(fmt.Appendf(nil, "b%d", r.IntN(3)))
			for range 40 {
				err = cmp.Or(err, b.Put(fmt.Appendf(nil, "k%07d", r.IntN(900)), make([]byte, r.IntN(200))))
			}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	db.Close()
	whole, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	size, found := os.Getpagesize(), 0
	var branches []int
	for at := 2 * size; at < len(whole); at += size {
		if binary.NativeEndian.Uint64(whole[at:]) == uint64(at/size) && binary.NativeEndian.Uint16(whole[at+8:]) == 1 {
			branches = append(branches, at)
		}
	}
	for _, at := range branches {
		for child := range int(binary.NativeEndian.Uint16(whole[at+10:])) {
			number := whole[at+16+16*child+8:][:8]
			kept := bytes.Clone(number)
			for _, to := range branches {
				binary.NativeEndian.PutUint64(number, uint64(to/size))
				f := readPages(t, whole)
				haste, all := len(f.Trees(true).Findings), len(f.Trees(false).Findings)
				if (haste > 0) != (all > 0) {
					t.Errorf("page %d leads to %d: %d findings in haste, %d of all", at/size, to/size, haste, all)
				}
				found += haste
			}
			copy(number, kept)
		}
	}
	if found == 0 {
		t.Error("no branch to bend")
	}
}

// FuzzFile: whatever the bytes of a file are, a walk ends without a panic and holds
// less than 256 MiB; and what it finds nothing in, bbolt reads without one.
func FuzzFile(f *testing.F) {
	_, path := wild(f, 1, 3) // small, for a fuzzer takes its time over every byte
	raw, err := os.ReadFile(path)
	if err != nil {
		f.Fatal(err)
	}
	raw = raw[:readPages(f, raw).Needs()]
	f.Add(raw, uint16(2*os.Getpagesize()+10), byte(1))
	f.Add(raw[:len(raw)/2], uint16(10), byte(255))
	f.Add([]byte("springs and screws"), uint16(0), byte(0))
	f.Add([]byte{}, uint16(0), byte(0))
	f.Fuzz(func(t *testing.T, raw []byte, at uint16, x byte) {
		raw = slices.Clone(raw)
		if int(at) < len(raw) {
			raw[at] ^= x
		}
		resum(raw)
		walkBounded(t, raw)
	})
}

// resum makes the sums of meta pages right, so that what they say is read.
func resum(raw []byte) {
	for _, at := range []int{16, os.Getpagesize() + 16} {
		if at+64 > len(raw) {
			return
		}
		h := fnv.New64a()
		h.Write(raw[at : at+56])
		binary.NativeEndian.PutUint64(raw[at+56:], h.Sum64())
	}
}

func walkBounded(t *testing.T, raw []byte) {
	t.Helper()
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	f := readPages(t, raw)
	r := f.Walk()
	_, _ = f.Trees(true), f.Trees(false)
	n := 0
	if err := f.Leaves(func(pages.Item) error { n++; return nil }); err != nil {
		t.Error(err)
	}
	runtime.ReadMemStats(&after)
	if took := after.TotalAlloc - before.TotalAlloc; took > 256<<20 {
		t.Errorf("%d bytes took %d bytes", len(raw), took)
	}
	if len(r.Findings) > 0 || r.Meta != nil {
		return
	}
	path := filepath.Join(t.TempDir(), "fuzz.db")
	if err := os.WriteFile(path, raw, 0o600); err != nil {
		t.Fatal(err)
	}
	db, err := bolt.Open(path, 0o600, &bolt.Options{ReadOnly: true})
	if err != nil {
		t.Fatalf("the walk found nothing, and bbolt says %v", err)
	}
	agree(t, db, r)
	db.Close()
}

// A tree that leads round in a circle, deeper than any, or to one page twice is told.
func TestCircles(t *testing.T) {
	path := made(t)
	whole, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	size, found := os.Getpagesize(), 0
	for at := 2 * size; at < len(whole); at += size {
		if whole[at+8] != 1 {
			continue
		}
		for child := range int(whole[at+10]) {
			raw := bytes.Clone(whole)
			binary.NativeEndian.PutUint64(raw[at+16+16*child+8:], uint64(at/size))
			f := readPages(t, raw)
			if len(f.Walk().Findings) == 0 {
				continue // a page that is free
			}
			found++
			if len(f.Trees(true).Findings) == 0 || len(f.Trees(false).Findings) == 0 {
				t.Errorf("page %d leads to itself, and the walk over branches says nothing", at/size)
			}
			if err := os.WriteFile(path, raw, 0o600); err != nil {
				t.Fatal(err)
			}
			if h, err := Examine(path); err != nil && !errors.Is(err, ErrDamaged) || err == nil && len(h.Problems) == 0 {
				t.Errorf("page %d leads to itself: %v %v", at/size, h.Problems, err)
			}
		}
	}
	if found == 0 {
		t.Error("no branch to bend")
	}
}

// Who is lost in a circle is told, who found out of it before the walk ended is not: what
// was booked since may have moved the pages under the walk.
func TestWalkBesideWhatIsOver(t *testing.T) {
	was := Astray
	defer func() { Astray = was }()
	told := make(chan bool, 1)
	Astray = func(error) { told <- true }
	stop := guarded(0, func() bool { return true })
	<-told
	stop()
	begun, ended, walks := make(chan bool), make(chan bool), 0
	stop = guarded(0, func() bool {
		if walks++; walks == 2 {
			begun <- true
			<-ended
			time.AfterFunc(10*time.Millisecond, func() { told <- false })
		}
		return true
	})
	<-begun
	stop()
	ended <- true
	if <-told {
		t.Error("a walk that ended behind its question is told")
	}
}

// A list of free pages that names what cannot be free is not booked by: a page that is
// in use would be written over, or the file grown without bound.
func TestFreeListIsReadBeforeBooking(t *testing.T) {
	path := made(t)
	raw, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	list := int(readPages(t, raw).Now.Freelist) * os.Getpagesize()
	for _, at := range []int{list + 16 + 5, list + 16 + 1, list + 12, list + 8} {
		torn := bytes.Clone(raw)
		torn[at] ^= 0x40
		if err := os.WriteFile(path, torn, 0o600); err != nil {
			t.Fatal(err)
		}
		if s, err := OpenToBook(path); !errors.Is(err, ErrDamaged) {
			t.Errorf("byte %d: %v", at-list, err)
			s.Close()
		}
		s, err := Open(path)
		if err != nil {
			t.Fatalf("byte %d: a question needs no list: %v", at-list, err)
		}
		s.Close()
	}
}

// FuzzStore: bytes of a whole store are changed at a place: check ends with what it found or
// says that it is none, and a store in which it finds nothing answers.
func FuzzStore(f *testing.F) {
	path := rich(f).Path()
	whole, err := os.ReadFile(path)
	if err != nil {
		f.Fatal(err)
	}
	size := os.Getpagesize()
	for _, at := range []int{16, size + 20, 2*size + 8, 3*size + 10, 5*size + 17, 9*size + 40, len(whole) - 100} {
		f.Add(uint32(at), []byte{1})
		f.Add(uint32(at), []byte{0xff, 0, 0xff, 0x80})
	}
	f.Add(uint32(26), []byte("0")) // a page size that is longer than the file
	f.Fuzz(func(t *testing.T, at uint32, x []byte) {
		raw := slices.Clone(whole)
		for i := range x {
			if n := int(at) + i; n < len(raw) {
				raw[n] ^= x[i]
			}
		}
		resum(raw)
		path := filepath.Join(t.TempDir(), "fuzz.db")
		if err := os.WriteFile(path, raw, 0o600); err != nil {
			t.Fatal(err)
		}
		h, err := Examine(path)
		if err != nil && !errors.Is(err, ErrDamaged) && !errors.Is(err, ErrNotStore) && !errors.Is(err, ErrNewer) {
			t.Errorf("%v", err)
		}
		if err != nil || len(h.Problems) > 0 {
			return
		}
		s, err := Open(path)
		if err != nil {
			t.Fatalf("check finds nothing, and opening says %v", err)
		}
		defer s.Close()
		if err := s.View(func(v *View) error { return v.EachEntry(func(Entry) error { return nil }) }); err != nil {
			t.Errorf("check finds nothing, and the book says %v", err)
		}
	})
}
