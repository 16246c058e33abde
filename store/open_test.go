package store

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"tinful/store/code"

	bolt "go.etcd.io/bbolt"
)

// made makes a store with a little in it, closed, and returns its file.
func made(t *testing.T) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "bench.db")
	if err := create(path); err != nil {
		t.Fatal(err)
	}
	s, err := OpenToBook(path)
	if err != nil {
		t.Fatal(err)
	}
	mustBook(t, s, func(t *Tx) error {
		for i := range 200 {
			if err := t.Put(Place{Code: "K" + codeOf(i), Where: strings.Repeat("drawer ", 20)}); err != nil {
				return err
			}
		}
		return nil
	})
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	return path
}

func TestNotAStore(t *testing.T) {
	dir := t.TempDir()
	write := func(name, text string) string {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		return path
	}
	tests := []struct {
		name, path string
		want       error
		says       string
	}{
		{"zero bytes", write("zero.db", ""), ErrDamaged, "empty"},
		{"a text file", write("text.db", strings.Repeat("springs and screws\n", 1000)), ErrDamaged, "not a store"},
		{"a few bytes", write("few.db", "tin"), ErrDamaged, "not a store"},
		{"a folder", dir, ErrNotStore, "is a folder, and a store is a file"},
		{"nothing", filepath.Join(dir, "none.db"), ErrNoStore, "none.db"},
		{"a missing folder", filepath.Join(dir, "no", "such", "none.db"), ErrNoStore, "none.db"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			for _, open := range []func(string) (*Store, error){Open, OpenToBook} {
				_, err := open(tt.path)
				if !errors.Is(err, tt.want) || !strings.Contains(err.Error(), tt.says) {
					t.Errorf("%v, want %v that says %q", err, tt.want, tt.says)
				}
			}
		})
	}
	if left, _ := os.ReadDir(dir); len(left) != 3 {
		t.Errorf("%d files, want the 3 there were: nothing is created", len(left))
	}
}

// A file that was cut off would kill the process inside bbolt.
func TestCutFile(t *testing.T) {
	whole, err := os.ReadFile(made(t))
	if err != nil {
		t.Fatal(err)
	}
	for _, part := range []int{100, 4096, 5000, 8192, 12288, len(whole) / 2, len(whole) - 4096, len(whole) - 1} {
		path := filepath.Join(t.TempDir(), "cut.db")
		if err := os.WriteFile(path, whole[:part], 0o644); err != nil {
			t.Fatal(err)
		}
		for _, open := range []func(string) (*Store, error){Open, OpenToBook} {
			s, err := open(path)
			if err == nil { // what was cut off may be pages that nothing uses
				if h, err := s.Check(); err != nil || len(h.Problems) > 0 {
					t.Errorf("%d bytes: opened, and check says %v %v", part, h.Problems, err)
				}
				s.Close()
				continue
			}
			if !errors.Is(err, ErrDamaged) {
				t.Errorf("%d bytes: %v, want damaged", part, err)
			}
		}
	}
}

func TestFlippedBitIsFound(t *testing.T) {
	path := made(t)
	whole, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	at := bytes.Index(whole, []byte("drawer drawer"))
	if at < 0 {
		t.Fatal("no record to damage")
	}
	whole[at] ^= 4
	if err := os.WriteFile(path, whole, 0o644); err != nil {
		t.Fatal(err)
	}
	s, err := Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	h, err := s.Check()
	if err != nil || len(h.Problems) == 0 || !strings.Contains(h.Problems[0], "checksum") {
		t.Errorf("check says %v %v", h.Problems, err)
	}
}

// Check can fail: every derived bucket is damaged once, and the difference is
// named.
func TestCheckFindsDifferences(t *testing.T) {
	for _, bucket := range derived {
		t.Run(bucket, func(t *testing.T) {
			s := newStoreUnchecked(t)
			err := s.db.Update(func(tx *bolt.Tx) error {
				k := []byte("ZZ\x00ZZ\x00\x01\x01\x01\x01\x01\x01\x01\x01")
				return tx.Bucket([]byte(bucket)).Put(k, shelves()[bucket].sealRow(k, nil))
			})
			if err != nil {
				t.Fatal(err)
			}
			h, err := s.Check()
			if err != nil || len(h.Problems) == 0 {
				t.Errorf("a row that nothing stands behind is not named (%v)", err)
			}
		})
	}
}

func newStoreUnchecked(t *testing.T) *Store {
	path := made(t)
	s, err := OpenToBook(path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return s
}

func TestReadOnlyFolder(t *testing.T) {
	if runtime.GOOS == "windows" || os.Geteuid() == 0 {
		t.Skip("the one who runs this may write everywhere")
	}
	path := made(t)
	if err := os.Chmod(path, 0o444); err != nil {
		t.Fatal(err)
	}
	s, err := Open(path)
	if err != nil {
		t.Fatalf("questions are allowed: %v", err)
	}
	s.Close()
	if _, err := OpenToBook(path); !errors.Is(err, os.ErrPermission) || !strings.Contains(err.Error(), "may not be written") {
		t.Errorf("%v, want a refusal to write", err)
	}
	if err := os.Chmod(path, 0); err != nil {
		t.Fatal(err)
	}
	if _, err := Open(path); !errors.Is(err, os.ErrPermission) || !strings.Contains(err.Error(), "may not be read") {
		t.Errorf("%v, want that it may not be read", err)
	}
}

// helper is run as a process of its own by the tests below.
func TestHelperProcess(t *testing.T) {
	switch os.Getenv("STORE_TEST_HELPER") {
	case "hold":
		s, err := OpenToBook(os.Getenv("STORE_TEST_PATH"))
		if err != nil {
			t.Fatal(err)
		}
		os.Stdout.WriteString("held\n")
		time.Sleep(20 * time.Second)
		s.Close()
	case "fill":
		fill(t, os.Getenv("STORE_TEST_PATH"))
	}
}

func helper(t *testing.T, what, path string, before ...string) *exec.Cmd {
	t.Helper()
	args := append(before, os.Args[0], "-test.run=^TestHelperProcess$")
	cmd := exec.Command(args[0], args[1:]...)
	cmd.Env = append(os.Environ(), "STORE_TEST_HELPER="+what, "STORE_TEST_PATH="+path)
	return cmd
}

func TestSecondProcess(t *testing.T) {
	path := made(t)
	cmd := helper(t, "hold", path)
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	defer func() { cmd.Process.Kill(); cmd.Wait() }()
	if _, err := out.Read(make([]byte, 5)); err != nil {
		t.Fatal(err)
	}
	for _, open := range []func(string) (*Store, error){Open, OpenToBook} {
		_, err := open(path)
		if !errors.Is(err, ErrBusy) || !strings.Contains(err.Error(), "another tinful is working on this store") || strings.Contains(err.Error(), "timeout") {
			t.Errorf("%v", err)
		}
	}
}

// fill books until the disk is full.
func fill(t *testing.T, path string) {
	s, err := OpenToBook(path)
	if err != nil {
		t.Fatal(err)
	}
	for i := range 10000 {
		_, err := s.Book(head(), func(t *Tx) error {
			return t.Put(Place{Code: "X" + codeOf(i), Where: strings.Repeat("x", 20000)})
		})
		if err != nil {
			os.Stdout.WriteString("full: " + err.Error() + "\n")
			return // as a process that dies: no Close
		}
	}
}

// A full disk is shown by a limit on the size of files.
func TestFullDisk(t *testing.T) {
	sh, err := exec.LookPath("bash")
	if err != nil || runtime.GOOS == "windows" {
		t.Skip("no shell that limits the size of files")
	}
	path := made(t)
	cmd := helper(t, "fill", path, sh, "-c", `trap '' XFSZ; ulimit -f 2048; exec "$@"`, "sh")
	out, err := cmd.CombinedOutput()
	if err != nil || !strings.Contains(string(out), "full: ") {
		t.Fatalf("%s %v", out, err)
	}
	s, err := Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if h, err := s.Check(); err != nil || len(h.Problems) > 0 {
		t.Errorf("after a full disk: %v %v", h.Problems, err)
	}
}

func codeOf(i int) code.Code {
	return code.Code(strings.ToUpper(string(rune('A'+i/676%26)) + string(rune('A'+i/26%26)) + string(rune('A'+i%26))))
}

// A version that there is no way from, before and behind.
func TestNoWayFromAVersion(t *testing.T) {
	for version, want := range map[uint64]error{schemaVersion + 1: ErrNewer, 0: ErrDamaged} {
		path := made(t)
		db, err := bolt.Open(path, 0o600, &bolt.Options{Timeout: lockWait})
		if err != nil {
			t.Fatal(err)
		}
		err = db.Update(func(tx *bolt.Tx) error { return tx.Bucket([]byte(bMeta)).Put([]byte("schema"), keySeq(version)) })
		if err := errors.Join(err, db.Close()); err != nil {
			t.Fatal(err)
		}
		if _, err := Open(path); !errors.Is(err, want) || !strings.Contains(err.Error(), fmt.Sprint("version ", version)) {
			t.Errorf("version %d: %v", version, err)
		}
	}
}

func TestCreateRefusesWhatIsThere(t *testing.T) {
	path := made(t)
	if err := create(path); !errors.Is(err, ErrRefused) {
		t.Errorf("%v", err)
	}
	left, _ := filepath.Glob(path + "*")
	if len(left) != 1 {
		t.Errorf("left behind: %v", left)
	}
}

// A bit that is flipped in a page, and not in a record, may lead out of the file, which
// the system answers with a fault. A question and a booking say that the store is
// damaged.
func TestPagesThatLeadNowhere(t *testing.T) {
	whole, err := os.ReadFile(made(t))
	if err != nil {
		t.Fatal(err)
	}
	dir, page := t.TempDir(), os.Getpagesize()
	damaged := map[string]int{}
	ways := map[string]func(path string) error{
		"asked": func(path string) error {
			s, err := Open(path)
			if err != nil {
				return err
			}
			defer s.Close()
			return s.View(func(v *View) error { return v.EachPlace(func(Place) error { return nil }) })
		},
		"booked": func(path string) error {
			s, err := OpenToBook(path)
			if err != nil {
				return err
			}
			defer s.Close()
			_, err = s.Book(Head{By: "R"}, func(t *Tx) error { return t.Put(Place{Code: "Z9"}) })
			return err
		},
	}
	for at := 2 * page; at < len(whole); at += page { // two pages say where the others are
		for _, off := range []int{9, 10, 18, 22, 23, 27} { // kind, count, and where the first elements lead
			torn := bytes.Clone(whole)
			torn[at+off] ^= 0x40
			for way, open := range ways {
				if way == "booked" && off != 9 {
					continue // each waits for the disk
				}
				path := filepath.Join(dir, fmt.Sprintf("%s%d.%d.db", way, at/page, off))
				if err := os.WriteFile(path, torn, 0o644); err != nil {
					t.Fatal(err)
				}
				err := open(path)
				if err != nil && !errors.Is(err, ErrDamaged) && !errors.Is(err, ErrNoStore) && !errors.Is(err, ErrNewer) {
					t.Errorf("page %d, byte %d, %s: %v", at/page, off, way, err)
				}
				if err != nil && strings.Contains(err.Error(), "lead nowhere") {
					damaged[way]++
				}
			}
		}
	}
	if len(damaged) < len(ways) {
		t.Error("no page led nowhere: flip other bits")
	}
}
