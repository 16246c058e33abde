//go:build unix

package store

import "golang.org/x/sys/unix"

// giveBack tells the system that pages of a file need not be mapped now. What the file
// holds stays, and is mapped again when it is read.
func giveBack(file []byte) { _ = unix.Madvise(file, unix.MADV_DONTNEED) }
