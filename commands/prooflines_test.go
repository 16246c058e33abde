package commands_test

import (
	"bytes"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"strings"
	"testing"
)

// A disk that gets full while bookings are made, at any size: each is answered and there,
// or refused in one sentence and not there.
func TestFullDiskWhileBooking(t *testing.T) {
	if runtime.GOOS != "linux" || os.Geteuid() != 0 {
		t.Skip("a small disk is mounted, which takes the rights of root")
	}
	b := newBench(t)
	whole := b.bytes(t)
	for round := range rounds(4, 60) {
		disk := t.TempDir()
		if out, err := exec.Command("mount", "-t", "tmpfs", "-o", fmt.Sprintf("size=%dk", len(whole)/1024+4+rand.IntN(64)), "none", disk).CombinedOutput(); err != nil {
			t.Skipf("no disk can be mounted here: %s", out)
		}
		b.store = filepath.Join(disk, "w.db")
		if err := os.WriteFile(b.store, whole, 0o600); err != nil {
			t.Fatal(err)
		}
		came, about := b.fill(t)
		if out, err := exec.Command("umount", disk).CombinedOutput(); err != nil {
			t.Errorf("%s", out)
		}
		injured(t, "a full disk", came, "round ", round, ": ", about)
	}
}

// fill books until the disk is full, and says what came of it.
func (b bench) fill(t *testing.T) (int, string) {
	t.Helper()
	done, refused := 0, 0
	for i := 0; refused < 3 && i < 40; i++ {
		r := b.run(t, "", "fit", "X66", "1", "--job", "105", "--quiet")
		switch {
		case r.died:
			return trace, r.err
		case r.hangs:
			return hang, ""
		case r.code == 0:
			done++
		case strings.Count(r.err, "\n") != 1 || !strings.Contains(r.err, "full"):
			return wrong, fmt.Sprint(r.code, r.err)
		default:
			refused++
		}
	}
	if r := b.run(t, "", "check"); r.code != 0 {
		return wrong, r.out + r.err
	}
	switch left := plenty - b.onHand(t, "X66"); {
	case left < done:
		return lost, fmt.Sprintf("%d were answered, %d are there", done, left)
	case left > done:
		return wrong, fmt.Sprintf("%d were answered, %d are there", done, left)
	case refused > 0:
		return said, ""
	}
	return survived, ""
}

// Clocks that are wrong: a booking is refused and nothing is changed, or it stands and can
// be taken back by the clock that is right.
func TestWrongClocks(t *testing.T) {
	b := newBench(t)
	b.must(t, "fit", "b203", "--job", "106")
	whole := b.bytes(t)
	before, _ := b.answers(t)
	for _, clock := range []string{"2039-01-05T10:00:00Z", "9999-12-31T23:59:59Z", "2032-12-31T00:00:00Z", "2031-09-01T23:59:59-12:00", "2031-08-31T00:00:00+14:00", "1970-01-01T00:00:00Z",
		"1601-01-01T00:00:00Z", "0001-01-01T00:00:00Z", "2031-02-30T00:00:00Z", "10000-01-01T00:00:00Z", "-1", "now", "2032-02-29T23:59:60Z"} {
		for _, l := range []string{"fit b283 1 --job 105", "count enter b283=7", "undo", "note 105 rang", "put 5 P066 from bought --place R5 --grade new"} {
			b.lay(t, whole)
			off := b
			off.clock = clock
			r := off.run(t, "", strings.Fields(l)...)
			injured(t, "a wrong clock", b.clocked(t, r, before), clock, ", ", l, ": ", r.err, r.out)
		}
	}
}

func (b bench) clocked(t *testing.T, r ran, before string) int {
	t.Helper()
	now, _ := b.answers(t)
	checked := b.run(t, "", "check", "--quiet")
	switch {
	case r.died:
		return trace
	case r.hangs:
		return hang
	case r.code != 0 && now == before && strings.HasPrefix(r.err, "tinful: ") && checked.code == 0:
		return said
	case r.code == 0 && checked.code == 0 && b.run(t, "", "undo", "--at", "2031-09-01").code == 0: // far from that clock, the right one is to be said
		return survived
	}
	return wrong
}

// Workbooks of which bytes are spoiled: refused with no store made, or taken in as they
// were. Lists have no sums: of them the store that is made agrees with itself.
func TestSpoiltWorkbooks(t *testing.T) {
	b := newBench(t)
	b.store = filepath.Join(t.TempDir(), "new", "w.db")
	books, err := filepath.Glob(filepath.Join("..", "testdata", "workbooks", "*.xlsx"))
	if err != nil || len(books) == 0 {
		t.Fatal(books, err)
	}
	for i, book := range append(books, filepath.Join("..", "testdata", "demo", "places.csv")) {
		file, err := os.ReadFile(book)
		if err != nil {
			t.Fatal(err)
		}
		taken := filepath.Join(b.dir, filepath.Base(book))
		came, right, about := b.taken(t, taken, file)
		if came != survived {
			t.Fatalf("%s, whole: %s", book, about)
		}
		r := rand.New(rand.NewPCG(uint64(i), 5))
		for range rounds(6, 100) {
			bad := bytes.Clone(file)
			for range 1 + r.IntN(3) {
				bad[r.IntN(len(bad))] ^= 1 << r.IntN(8)
			}
			if r.IntN(8) == 0 {
				bad = bad[:r.IntN(len(bad))]
			}
			came, now, about := b.taken(t, taken, bad)
			if came == survived && now != right && filepath.Ext(book) == ".xlsx" {
				came, about = wrong, difference(right, now)
			}
			injured(t, "a spoilt workbook or list", came, filepath.Base(book), ": ", about)
		}
	}
}

// taken takes a file into a new store, and says what came of it and what lies there.
func (b bench) taken(t *testing.T, path string, file []byte) (int, string, string) {
	t.Helper()
	folder := filepath.Dir(b.store) // with its copies: a store that is missing beside them is not made anew
	if err := errors.Join(os.RemoveAll(folder), os.Mkdir(folder, 0o700), os.WriteFile(path, file, 0o666)); err != nil {
		t.Fatal(err)
	}
	r := b.run(t, "", "import", path)
	_, missing := os.Stat(b.store)
	switch {
	case r.died:
		return trace, "", r.err
	case r.hangs:
		return hang, "", ""
	case r.code != 0 && missing != nil && r.out+r.err != "":
		return said, "", ""
	case r.code != 0:
		return wrong, "", "a store is left: " + r.err
	}
	came, about := b.judge(t, "")
	if came == wrong { // there is nothing it must answer
		came = survived
	}
	got, _ := b.answers(t)
	return came, stampLine.ReplaceAllString(got, ""), about
}

// stampLine is of which store an export is: that depends on the file that it was made of,
// byte for byte.
var stampLine = regexp.MustCompile(`(?m)^[0-9a-f]{16},1,\r$`)
