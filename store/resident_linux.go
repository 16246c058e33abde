package store

import (
	"syscall"

	bolt "go.etcd.io/bbolt"
)

// forget lets the system have the pages of a file back that were read: they are read
// again where they are needed. A file that grows is laid out anew in memory, so that
// nobody may write meanwhile.
func forget(tx *bolt.Tx) {
	_, _, _ = syscall.Syscall(syscall.SYS_MADVISE, tx.DB().Info().Data, uintptr(tx.Size()), syscall.MADV_DONTNEED)
}
