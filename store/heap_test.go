package store

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	bolt "go.etcd.io/bbolt"
)

// soon lets rows go to the disk after n bytes.
func soon(tb testing.TB, n int) {
	was := spillAt
	spillAt = n
	tb.Cleanup(func() { spillAt = was })
}

// Whatever lies on the disk and whatever in memory, a heap gives its rows in order of
// keys, and those of one key in the order in which they came.
func TestHeapInOrder(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	for _, at := range []int{1, 40, 1000, 30_000, 1 << 30} {
		soon(t, at)
		all := newHeaps(filepath.Join(t.TempDir(), "w.db"))
		type row struct{ k, x string }
		want := map[string][]row{}
		for i := range 3000 {
			bucket := []string{bPart, bWord, bDim}[random.IntN(3)]
			k := fmt.Sprint(random.IntN(1500))
			x := bytes.Repeat([]byte{byte(i), byte(i >> 8)}, random.IntN(40))
			if i == 2000 {
				x = bytes.Repeat([]byte{7}, 300_000) // more than a block, and than a buffer
			}
			all.add(bucket, []byte(k), x)
			want[bucket] = append(want[bucket], row{k, string(x)})
		}
		for bucket, rows := range want {
			slices.SortStableFunc(rows, func(a, b row) int { return bytes.Compare([]byte(a.k), []byte(b.k)) })
			for range 2 { // a heap can be gone through twice
				in := all.of(bucket).stream()
				for i, r := range rows {
					if k, x := in.next(); string(k) != r.k || string(x) != r.x {
						t.Fatalf("at %d, %s: row %d is %q with %d bytes, not %q with %d", at, bucket, i, k, len(x), r.k, len(r.x))
					}
				}
				if k, _ := in.next(); k != nil || in.err != nil {
					t.Fatalf("at %d, %s: %q comes behind the last, %v", at, bucket, k, in.err)
				}
			}
			if runs := len(all.of(bucket).runs); (runs == 0) != (at == 1<<30) {
				t.Errorf("at %d, %s: %d runs", at, bucket, runs)
			}
		}
		all.close()
	}
}

// What the disk does not take, or does not give back, is an error and no shorter list.
func TestHeapOfABadDisk(t *testing.T) {
	soon(t, 1)
	all := newHeaps(filepath.Join(t.TempDir(), "w.db"))
	all.add(bPart, []byte("P1"), []byte("x"))
	all.disk.file.Truncate(1)
	in := all.of(bPart).stream()
	if k, _ := in.next(); k != nil || in.err == nil {
		t.Errorf("%q is read of a file that was cut off, %v", k, in.err)
	}
	all.disk.file.Close()
	all.add(bPart, []byte("P2"), nil)
	in = all.of(bPart).stream()
	if k, _ := in.next(); k != nil || in.err == nil {
		t.Errorf("%q is read of a file that is closed, %v", k, in.err)
	}
}

// What does not fit into memory has no name where the system allows that: a program that
// is killed leaves nothing. Elsewhere it has one that is swept.
func TestScratchHasNoName(t *testing.T) {
	soon(t, 1)
	folder := t.TempDir()
	all := newHeaps(filepath.Join(folder, "w.db"))
	all.add(bPart, []byte("P1"), []byte("x"))
	files, err := os.ReadDir(folder)
	if err != nil || runtime.GOOS != "windows" && len(files) > 0 {
		t.Errorf("%v %v", files, err)
	}
	for _, f := range files {
		if _, left := leftover(f.Name()); !left {
			t.Errorf("%s is never swept", f.Name())
		}
	}
	all.close()
	if files, _ := os.ReadDir(folder); len(files) > 0 {
		t.Errorf("%s is left", files[0].Name())
	}
}

// Check says the same of a store, damaged or not, whatever lay on the disk meanwhile.
func TestCheckByWayOfTheDisk(t *testing.T) {
	s := rich(t)
	harms := map[string]func(tx *bolt.Tx) error{
		"none":      func(*bolt.Tx) error { return nil },
		"a balance": func(tx *bolt.Tx) error { return tx.Bucket([]byte(bState)).Delete([]byte("B1")) },
		"a bag":     func(tx *bolt.Tx) error { return tx.Bucket([]byte(bBag)).Delete([]byte("B1")) },
		"an index": func(tx *bolt.Tx) error {
			k, _ := tx.Bucket([]byte(bWord)).Cursor().First()
			return tx.Bucket([]byte(bWord)).Delete(k)
		},
		"a figure": func(tx *bolt.Tx) error {
			k, _ := tx.Bucket([]byte(bFigure)).Cursor().Last()
			return tx.Bucket([]byte(bFigure)).Delete(k)
		},
		"the book": func(tx *bolt.Tx) error {
			k, _ := tx.Bucket([]byte(bEntry)).Cursor().First()
			return tx.Bucket([]byte(bEntry)).Delete(k)
		},
		"an unknown": func(tx *bolt.Tx) error { return tx.Bucket([]byte(bState)).Put([]byte("B000"), []byte("x")) },
	}
	for name, harm := range harms {
		said := func() (out []string) {
			err := s.db.Update(func(tx *bolt.Tx) error {
				var h Health
				if err := harm(tx); err != nil {
					return err
				}
				h.records(tx)
				for _, r := range h.Remarks {
					h.Problems = append(h.Problems, r.Error())
				}
				out = append(h.Problems, fmt.Sprint(h.Records))
				return errBack
			})
			if err != errBack {
				t.Fatal(err)
			}
			return out
		}
		want := said()
		if (len(want) == 1) != (name == "none") {
			t.Errorf("%s: %q", name, want)
		}
		for _, n := range []int{1, 100, 5000} {
			soon(t, n)
			if diff := cmp.Diff(want, said()); diff != "" {
				t.Errorf("%s, after %d bytes: %s", name, n, diff)
			}
		}
	}
}
