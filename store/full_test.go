package store

import (
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
)

// A disk on which a store has no room, of every size up to what one needs: nothing is
// left of it, and one sentence says why.
func TestFullDiskWhileAStoreIsMade(t *testing.T) {
	if runtime.GOOS != "linux" || os.Geteuid() != 0 {
		t.Skip("a small disk is mounted, which takes the rights of root")
	}
	made := false
	for _, kib := range []int{4, 16, 32, 64, 128, 192, 256, 1024} {
		disk := t.TempDir()
		if out, err := exec.Command("mount", "-t", "tmpfs", "-o", fmt.Sprintf("size=%dk", kib), "none", disk).CombinedOutput(); err != nil {
			t.Skipf("no disk can be mounted here: %s", out)
		}
		err := create(filepath.Join(disk, "w.db"))
		left, _ := filepath.Glob(filepath.Join(disk, "*"))
		if out, err := exec.Command("umount", disk).CombinedOutput(); err != nil {
			t.Errorf("%s", out)
		}
		switch {
		case err == nil:
			made = true
		case errors.Is(err, ErrDamaged) || !strings.Contains(err.Error(), "the disk is full") || strings.Contains(err.Error(), "\n") || len(left) > 0:
			t.Errorf("%d KiB: %v, left %v", kib, err, left)
		case made:
			t.Errorf("%d KiB: %v, though less did", kib, err)
		}
	}
	if !made {
		t.Error("no store could be made at all")
	}
}

// A disk on which a list has no room that does not fit into memory, nor the store that is
// made of it: nothing is left, and one sentence says why.
func TestFullDiskWhileAListIsTakenIn(t *testing.T) {
	if runtime.GOOS != "linux" || os.Geteuid() != 0 {
		t.Skip("a small disk is mounted, which takes the rights of root")
	}
	packedSoon(t, 1, 0)
	soon(t, 1000)
	made := false
	for _, kib := range []int{4, 16, 32, 64, 128, 192, 256, 1024} {
		disk := t.TempDir()
		if out, err := exec.Command("mount", "-t", "tmpfs", "-o", fmt.Sprintf("size=%dk", kib), "none", disk).CombinedOutput(); err != nil {
			t.Skipf("no disk can be mounted here: %s", out)
		}
		from, l := workbook(), &Load{Cell: workbook().Cell}
		path := filepath.Join(disk, "w.db")
		l.KeepBeside(path)
		l.Models, l.Places, l.Wants = from.Models, from.Places, from.Wants
		for i := range 500 {
			l.Moves.Add(Entry{Day: day0 - 20, What: Moved, Bag: "B2", To: string(l.Places[i%2].Code), By: "R"})
		}
		addAll(&l.Parts, &from.Parts)
		addAll(&l.Goes, &from.Goes)
		addAll(&l.Donors, &from.Donors)
		addAll(&l.Seen, &from.Seen)
		addAll(&l.Bags, &from.Bags)
		addAll(&l.Jobs, &from.Jobs)
		p, err := PlanLoad(nil, l, head())
		if err == nil && len(p.Problems) > 0 {
			t.Fatalf("%+v", p.Problems[0])
		}
		if err == nil {
			_, err = CreateFrom(path, p, nil, nil)
		}
		l.Close()
		left, _ := filepath.Glob(filepath.Join(disk, "*"))
		if out, err := exec.Command("umount", disk).CombinedOutput(); err != nil {
			t.Errorf("%s", out)
		}
		switch {
		case err == nil && len(left) == 1:
			made = true
		case errors.Is(err, ErrDamaged) || err == nil || !strings.Contains(err.Error(), "the disk is full") || strings.Contains(err.Error(), "\n") || len(left) > 0:
			t.Errorf("%d KiB: %v, left %v", kib, err, left)
		case made:
			t.Errorf("%d KiB: %v, though less did", kib, err)
		}
	}
	if !made {
		t.Error("no store could be made at all")
	}
}

func addAll[T any](to, from *List[T]) {
	for _, x := range from.All() {
		to.Add(x)
	}
}

// A disk that is too small to sort a list beside a store that is there: the store is as it
// was, nothing is left, and one sentence says why.
func TestFullDiskWhileRowsAreSorted(t *testing.T) {
	if runtime.GOOS != "linux" || os.Geteuid() != 0 {
		t.Skip("a small disk is mounted, which takes the rights of root")
	}
	s := emptyStore(t)
	takenInto(t, s, workbook())
	soon(t, 1000)
	disk := t.TempDir()
	if out, err := exec.Command("mount", "-t", "tmpfs", "-o", "size=16k", "none", disk).CombinedOutput(); err != nil {
		t.Skipf("no disk can be mounted here: %s", out)
	}
	l := workbook()
	l.KeepBeside(filepath.Join(disk, "w.db"))
	for i := range 2000 {
		l.Moves.Add(Entry{Day: day0 - 20, What: Moved, Bag: "B2", To: string(l.Places[i%2].Code), By: "R"})
	}
	err := s.View(func(v *View) error { _, err := PlanLoad(v, l, head()); return err })
	l.Close()
	left, _ := filepath.Glob(filepath.Join(disk, "*"))
	if out, err := exec.Command("umount", disk).CombinedOutput(); err != nil {
		t.Errorf("%s", out)
	}
	if err == nil || !strings.HasPrefix(err.Error(), "nothing was taken in: the disk is full") || strings.Contains(err.Error(), "\n") || len(left) > 0 {
		t.Errorf("%v, left %v", err, left)
	}
}
