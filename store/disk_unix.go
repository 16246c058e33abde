//go:build unix

package store

import (
	"os"
	"syscall"
)

// sameDisk says that two files or folders lie on one disk, as far as the system tells.
func sameDisk(a, b string) bool {
	x, y := deviceOf(a), deviceOf(b)
	return x != nil && y != nil && x.Dev == y.Dev
}

func deviceOf(path string) *syscall.Stat_t {
	info, err := os.Stat(path)
	if err != nil {
		return nil
	}
	st, _ := info.Sys().(*syscall.Stat_t)
	return st
}
