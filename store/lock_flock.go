//go:build darwin || dragonfly || freebsd || linux || netbsd || openbsd

package store

import (
	"os"
	"syscall"
)

// unlocked lets go of the lock that bbolt has on a file, lockedAgain takes it where nobody
// has it.
func unlocked(f *os.File) bool { return syscall.Flock(int(f.Fd()), syscall.LOCK_UN) == nil }

func lockedAgain(f *os.File) bool {
	return syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB) == nil
}
