//go:build unix

package store

import "golang.org/x/sys/unix"

// GiveBack tells the system that pages of a file, from one that begins b, need not be
// mapped now. What the file holds stays, and is mapped again when it is read.
func GiveBack(b []byte) { _ = unix.Madvise(b, unix.MADV_DONTNEED) }
