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
