package store

import (
	"bytes"
	"fmt"
	"os"
	"runtime"
	"strings"
	"testing"

	"tinful/store/code"

	bolt "go.etcd.io/bbolt"
)

// TestGivesBack reads a store while little of it may be mapped: what is read is the same,
// and no more of the file than that is memory of the process.
func TestGivesBack(t *testing.T) {
	s := newStore(t)
	mustBook(t, s, func(x *Tx) error {
		for i := range 4000 {
			if err := x.Put(Part{Code: code.Code(fmt.Sprintf("P%05d", i)), Name: strings.Repeat("spring ", 20)}); err != nil {
				return err
			}
		}
		return nil
	})
	all := func(v *View) (read []byte) {
		for _, bucket := range []string{bPart, bWord, bCode, bName, bPart} {
			v.scan(bucket, nil, func(k, x []byte) error {
				read = append(append(read, k...), x...)
				if v.mapped != nil && len(v.mapped.list) > v.mapped.most {
					t.Fatalf("%d pieces are mapped, %d may be", len(v.mapped.list), v.mapped.most)
				}
				return nil
			})
		}
		return read
	}
	const most = 4 * mapTogether
	err := s.db.View(func(tx *bolt.Tx) error {
		want := all(&View{tx: tx})
		held := residentOf(t, s.path)
		for _, later := range []int{most, 2 * most} { // all at once, and in halves first
			v := &View{tx: tx, mapped: newMapped(tx, most, later)}
			if got := all(v); !bytes.Equal(got, want) {
				t.Errorf("%d bytes are read where little is mapped, of %d", len(got), len(want))
			}
			if v.mapped.given == 0 {
				t.Errorf("nothing was given back of %d bytes", tx.Size())
			}
			if now := residentOf(t, s.path); runtime.GOOS == "linux" && now >= held {
				t.Errorf("%d KiB of the store are mapped, and were %d before", now, held)
			}
		}
		if newMapped(tx, 1<<40, 1<<40) != nil {
			t.Error("of a store that may all be mapped pieces are counted")
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

// residentOf is how many KiB of a file are memory of this process, 0 where Linux does not
// tell.
func residentOf(t *testing.T, path string) (kib int) {
	maps, err := os.ReadFile("/proc/self/smaps")
	if err != nil {
		return 0
	}
	within := false
	for line := range strings.Lines(string(maps)) {
		if strings.Contains(line, "-") && strings.Contains(line, " r") {
			within = strings.HasSuffix(strings.TrimSpace(line), path)
		}
		var n int
		if _, err := fmt.Sscanf(line, "Rss: %d kB", &n); within && err == nil {
			kib += n
		}
	}
	return kib
}
