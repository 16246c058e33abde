package commands

import (
	"bytes"
	"encoding/binary"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tinful/store"
)

// A damaged world is the demo workshop in a file whose bytes are spoiled.
type damaged struct {
	*world
	t    *testing.T
	raw  []byte
	file string
}

func newDamaged(t *testing.T) *damaged {
	raw, home := demoStore(t), t.TempDir()
	return &damaged{newWorld(t, home), t, raw, filepath.Join(home, "w.db")}
}

// run spoils a copy of the store, runs a line on it and returns its exit code.
func (d *damaged) run(spoil func([]byte), words ...string) int {
	d.t.Helper()
	raw := bytes.Clone(d.raw)
	spoil(raw)
	if err := os.WriteFile(d.file, raw, 0o600); err != nil {
		d.t.Fatal(err)
	}
	return d.again(words...)
}

func (d *damaged) again(words ...string) int {
	d.stdout.Reset()
	d.stderr.Reset()
	return Run(append([]string{"tinful"}, words...), d.env)
}

// One of the two first pages may be damaged: the store is opened by the other, which
// is said, booked in, and mended.
func TestOneOfTwoFirstPages(t *testing.T) {
	d := newDamaged(t)
	size := os.Getpagesize()
	if code := d.run(func([]byte) {}, "find", "cheese"); code != exitOK || d.stderr.Len() > 0 {
		t.Fatal(code, d.stderr)
	}
	want := d.stdout.String()
	for name, spoil := range map[string]func([]byte){
		"the first, empty":   func(raw []byte) { clear(raw[:size]) },
		"the first, its sum": func(raw []byte) { raw[16+57] ^= 4 },
		"the first, a bit":   func(raw []byte) { raw[16] ^= 1 },
		"the second, empty":  func(raw []byte) { clear(raw[size : 2*size]) },
		"the second, a bit":  func(raw []byte) { raw[size+16+40] ^= 1 },
		"the head of one":    func(raw []byte) { raw[8] ^= 1 },
	} {
		t.Run(name, func(t *testing.T) {
			if code := d.run(spoil, "find", "cheese"); code != exitOK || d.stdout.String() != want {
				t.Fatalf("%d %s%s", code, d.stdout, d.stderr)
			}
			if read := name != "the head of one"; strings.Contains(d.stderr.String(), "two first pages") != read || strings.Count(d.stderr.String(), "\n") > 1 {
				t.Errorf("stderr: %q", d.stderr)
			}
			if code := d.again("check"); code != exitDamaged || !strings.Contains(d.stdout.String(), "one of the two first, is damaged") {
				t.Errorf("check: %d %s", code, d.stdout)
			}
			if which, err := store.MendMeta(d.file); err != nil || which == "" {
				t.Errorf("%q %v", which, err)
			}
			if code := d.again("check"); code != exitOK {
				t.Errorf("mended: %d %s", code, d.stdout)
			}
			if code := d.run(spoil, "fit", "b283", "1", "--job", "105"); code != exitOK {
				t.Fatalf("a booking: %d %s", code, d.stderr)
			}
			if _, err := store.MendMeta(d.file); err != nil {
				t.Error(err)
			}
			if code := d.again("check"); code != exitOK {
				t.Errorf("booked: %d %s", code, d.stdout)
			}
		})
	}
	if code := d.run(func(raw []byte) { clear(raw[:2*size]) }, "find", "cheese"); code != exitDamaged {
		t.Errorf("both: %d", code)
	}
}

// Every byte of the head of every page of the demo, zeroed, or a bit of it flipped:
// check says so and exits 7, with a sentence a line and no trace. Where it does not,
// the page is one that is free.
func TestEveryHeadOfThePages(t *testing.T) {
	d := newDamaged(t)
	size, tried, silent := os.Getpagesize(), 0, 0
	for at := range len(d.raw) {
		if at%size >= 16 {
			continue
		}
		if tried++; os.Getenv("TINFUL_SOAK") == "" && tried%29 != 0 {
			continue
		}
		for _, x := range []byte{d.raw[at], 1 << (at % 8)} {
			if x == 0 {
				continue
			}
			switch code := d.run(func(raw []byte) { raw[at] ^= x }, "check"); code {
			case exitDamaged:
				sentences(t, d.world)
			case exitOK:
				silent++
			default:
				t.Errorf("page %d, byte %d: exit code %d: %s", at/size, at%size, code, d.stderr)
			}
		}
	}
	if free := freePages(d.raw); silent > free*32 {
		t.Errorf("%d times nothing was said, and only %d pages are free", silent, free)
	}
}

// freePages is how many pages bbolt says are free, by its layout.
func freePages(raw []byte) int {
	list := binary.NativeEndian.Uint64(raw[16+32:]) // what the first meta page says
	return int(binary.NativeEndian.Uint16(raw[int(list)*os.Getpagesize()+10:])) + 1
}

// sentences holds that what was said is a sentence a line, and no trace.
func sentences(t *testing.T, w *world) {
	t.Helper()
	for l := range strings.Lines(w.stdout.String() + w.stderr.String()) {
		if strings.Contains(l, "goroutine") || strings.Contains(l, ".go:") || len(l) > 300 {
			t.Errorf("no sentence: %q", l)
		}
	}
}
