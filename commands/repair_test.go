package commands

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// flip turns one bit of what lies behind some bytes, on every page that has them.
func flip(t *testing.T, behind string) func([]byte) {
	return func(raw []byte) {
		n := 0
		for at := 0; ; n++ {
			i := bytes.Index(raw[at:], []byte(behind))
			if i < 0 {
				break
			}
			at += i + len(behind)
			raw[at+1] ^= 8
		}
		if n == 0 {
			t.Fatalf("%q is nowhere", behind)
		}
	}
}

// One bit in the list of a part's bags: whoever asks is told, and no number is shown. It
// is mended, which is said, and what is asked then is what it was.
func TestFlippedBitInAList(t *testing.T) {
	d := newDamaged(t)
	d.run(func([]byte) {}, "show", "p003")
	want := d.stdout.String()
	for _, line := range []string{"show p003", "fit p003 --job 105", "count due"} {
		code := d.run(flip(t, "P003\x00B202"), strings.Fields(line)...)
		if code != exitDamaged || d.stdout.Len() > 0 || !strings.Contains(d.stderr.String(), "the index bag_by_part") || !strings.Contains(d.stderr.String(), "; tinful check --repair puts it right where it can; tinful restore FILE") {
			t.Errorf("%s: %d %s%s", line, code, d.stdout, d.stderr)
		}
	}
	if code := d.again("check"); code != exitDamaged || !strings.Contains(d.stdout.String(), "the index bag_by_part holds something else for P003 B202") {
		t.Errorf("check: %d %s", code, d.stdout)
	}
	if code := d.again("check", "--repair"); code != exitOK || !strings.Contains(d.stdout.String(), "the index bag_by_part: 1 made anew, 0 taken out\nall is well\n") {
		t.Fatalf("%d %s%s", code, d.stdout, d.stderr)
	}
	if kept, _ := filepath.Glob(d.file + ".before-repair-*"); len(kept) != 1 || !strings.Contains(d.stdout.String(), "the store as it was is "+kept[0]+"\n") {
		t.Errorf("kept: %v", kept)
	}
	if code := d.again("check", "--repair"); code != exitOK || d.stdout.String() != "nothing is to be mended: all is well\n" {
		t.Errorf("again: %d %s", code, d.stdout)
	}
	if code := d.again("show", "p003"); code != exitOK || d.stdout.String() != want {
		t.Errorf("%d %s", code, d.stdout)
	}
	if code := d.again("check", "--repair", "--json"); code != exitOK || !strings.Contains(d.stdout.String(), `"did":[],"ok":true,"problems":[]`) {
		t.Errorf("%d %s", code, d.stdout)
	}
}

// A record that cannot be read is for no repair: it is named, and the store stays as it is.
func TestRepairOfARecord(t *testing.T) {
	d := newDamaged(t)
	code := d.run(flip(t, "tension spring"), "check", "--repair")
	if code != exitDamaged || !strings.Contains(d.stdout.String(), "model ORV-00: the store is damaged") || !strings.Contains(d.stderr.String(), "tinful salvage") {
		t.Errorf("%d %s%s", code, d.stdout, d.stderr)
	}
	if kept, _ := filepath.Glob(d.file + ".*"); len(kept) > 0 {
		t.Errorf("a copy of what is there: %v", kept)
	}
	sentences(t, d.world)
	size := os.Getpagesize()
	if code := d.run(func(raw []byte) { clear(raw[3*size : 5*size]) }, "check", "--repair"); code != exitDamaged || !strings.Contains(d.stderr.String(), "tinful salvage") {
		t.Errorf("pages: %d %s%s", code, d.stdout, d.stderr)
	}
}
