package commands

import (
	"bytes"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// rowsOf are the rows of every sheet that a store is exported as.
func rowsOf(t *testing.T, d *damaged, file string) map[string]int {
	t.Helper()
	folder := filepath.Join(t.TempDir(), "sheets")
	if code := d.again("--store", file, "export", folder); code != exitOK {
		t.Fatalf("export: %d %s", code, d.stderr)
	}
	out := map[string]int{}
	all, _ := filepath.Glob(filepath.Join(folder, "*.csv"))
	for _, name := range all {
		b, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		for row := range strings.Lines(string(b)) {
			out[filepath.Base(name)+" "+row]++
		}
	}
	return out
}

// Each page of the demo zeroed in turn, as it came from its sheets, in one booking: the
// store that is made of the others agrees with itself, is exported without those rows of
// the sheets that lay there, and with no other change where nothing is lost.
func TestSalvageOfTheDemo(t *testing.T) {
	d := newDamaged(t)
	d.run(func([]byte) {}, "check")
	whole := rowsOf(t, d, d.file)
	size, saved := os.Getpagesize(), filepath.Join(t.TempDir(), "saved.db")
	pages, complete, partly := 0, 0, 0
	for at := 0; at < len(d.raw); at += size {
		if d.raw[at+8] == 0 {
			continue // nothing was ever written there
		}
		pages++
		os.Remove(saved)
		raw := func(raw []byte) { clear(raw[at : at+size]) }
		if code := d.run(raw, "salvage", d.file, saved, "--all"); code != exitOK {
			t.Errorf("page %d: %d %s", at/size, code, d.stderr)
			continue
		}
		sentences(t, d.world)
		said := d.stdout.String()
		if code := d.again("--store", saved, "check"); code != exitOK {
			t.Errorf("page %d: check: %d %s", at/size, code, d.stdout)
		}
		rows := rowsOf(t, d, saved)
		if strings.Contains(said, "\nnothing is lost\n") {
			complete++
			if !maps.Equal(rows, whole) {
				t.Errorf("page %d: nothing is said to be lost, and the sheets differ", at/size)
			}
			continue
		}
		partly++
		differ := 0
		for row := range whole {
			if rows[row] == 0 {
				differ++
			}
		}
		if most := size / 16; differ > most { // no row takes less
			t.Errorf("page %d: %d rows of %d are not there: %s", at/size, differ, len(whole), said)
		}
	}
	t.Logf("%d pages: %d times all was there, %d times all but what lay on the page", pages, complete, partly)
	if complete == 0 || partly == 0 {
		t.Error("no page without records, or none with")
	}
}

// Salvage says what it made and what is lost, and touches nothing that is there.
func TestSalvageSays(t *testing.T) {
	d := newDamaged(t)
	saved := filepath.Join(filepath.Dir(d.file), "saved.db")
	if code := d.run(func([]byte) {}, "salvage", d.file, saved); code != exitOK || !strings.HasSuffix(d.stdout.String(), "\nnothing is lost\n") {
		t.Fatalf("%d %s%s", code, d.stdout, d.stderr)
	}
	if code := d.again("salvage", d.file, saved); code != exitRefused || !strings.Contains(d.stderr.String(), "is there already") {
		t.Errorf("over one that is there: %d %s", code, d.stderr)
	}
	os.Remove(saved)
	if code := d.run(flip(t, "tension spring"), "salvage", d.file, saved, "--json"); code != exitOK || !strings.Contains(d.stdout.String(), `"lost":["model ORV-00: its code is kept, for others name it"]`) {
		t.Errorf("%d %s%s", code, d.stdout, d.stderr)
	}
	if code := d.again("--store", saved, "undo", "1"); code != exitRefused || !strings.Contains(d.stderr.String(), "before the store was salvaged") {
		t.Errorf("undo: %d %s", code, d.stderr)
	}
	if code := d.again("--store", saved, "put", "1", "p1", "from", "bought"); code != exitOK {
		t.Errorf("put: %d %s", code, d.stderr)
	}
	if code := d.again("--store", saved, "undo"); code != exitOK {
		t.Errorf("undo: %d %s", code, d.stderr)
	}
	text := filepath.Join(filepath.Dir(d.file), "list.txt")
	if err := os.WriteFile(text, bytes.Repeat([]byte("springs and screws\n"), 999), 0o600); err != nil {
		t.Fatal(err)
	}
	if code := d.again("salvage", text, saved+"2"); code != exitDamaged {
		t.Errorf("a text: %d %s", code, d.stderr)
	}
	left, _ := filepath.Glob(saved + "*")
	if want := []string{saved}; fmt.Sprint(left) != fmt.Sprint(want) || !slices.Equal(left, want) {
		t.Errorf("left behind: %v", left)
	}
}
