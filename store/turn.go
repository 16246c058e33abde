package store

import (
	"os"
	"time"
)

// Readers share the store's lock, so that questions which follow each other without end
// would keep a booking out for ever. Whoever has waited to book for a moment says so by an
// empty file beside the store, and new questions hold back while it is fresh.
const (
	turnAfter = 20 * time.Millisecond  // a lock that is kept longer is asked for by the file
	turnLeft  = 500 * time.Millisecond // the longest that a question holds back
	turnFile  = ".waits"
)

// Awaited says whether somebody waits to book in the store at path.
func Awaited(path string) bool {
	info, err := os.Stat(path + turnFile)
	return err == nil && time.Since(info.ModTime()).Abs() < lockWait // of one that was killed it stays
}

// askForTurn says that somebody waits to book. Where it cannot be said, luck decides.
func askForTurn(path string) {
	if Awaited(path) {
		return
	}
	_ = os.Remove(path + turnFile)
	if f, err := os.OpenFile(path+turnFile, os.O_CREATE|os.O_EXCL|os.O_WRONLY, ownFile); err == nil {
		_ = f.Close()
	}
}

// leaveTurn waits while others wait to book.
func leaveTurn(path string) {
	for begun := time.Now(); Awaited(path) && time.Since(begun) < turnLeft; {
		time.Sleep(lockLook)
	}
}
