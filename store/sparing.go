package store

import (
	"runtime"
	"runtime/debug"
	"time"
	"unsafe"

	bolt "go.etcd.io/bbolt"
)

const (
	sparingGC    = 50 // garbage for each hundred bytes that are in use
	sparingBelow = 32 << 20
	sparingEvery = 20 * time.Millisecond
)

// Collect lets garbage be collected when there is so much of it for each hundred bytes in
// use, -1 for never, and whenever the program takes limit bytes, until the function it
// returns is called. 0 leaves either as it is.
func Collect(percent int, limit int64) (end func()) {
	if percent != 0 {
		percent = debug.SetGCPercent(percent)
	}
	if limit != 0 {
		limit = debug.SetMemoryLimit(limit)
	}
	return func() {
		if percent != 0 {
			debug.SetGCPercent(percent)
		}
		if limit != 0 {
			debug.SetMemoryLimit(limit)
		}
	}
}

// collecting lets garbage be collected early until the function it returns is called.
func collecting() (end func()) {
	before := Collect(sparingGC, 0)
	return func() {
		before()
		runtime.GC() // or what comes next may take a multiple of what was in use here
	}
}

// sparing keeps down what a reading transaction takes that goes through a whole file,
// until the function it returns is called: garbage is collected early, and of the file
// no more stays in memory than was just read. A small file is left as it is.
func sparing(tx *bolt.Tx) (end func()) {
	if tx.Writable() || tx.Size() < sparingBelow {
		return func() {}
	}
	file, collected := fileIn(tx), collecting()
	ended, done := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(done)
		for tick := time.NewTicker(sparingEvery); ; {
			select {
			case <-ended:
				tick.Stop()
				return
			case <-tick.C:
				GiveBack(file)
			}
		}
	}()
	return func() {
		close(ended)
		<-done // before the file leaves memory
		collected()
	}
}

// fileIn is the file of a transaction as it lies in memory, until the transaction ends or
// lets the file grow; nil where that cannot be told.
func fileIn(tx *bolt.Tx) []byte {
	k, _ := tx.Cursor().First()
	first, size := unsafe.Pointer(unsafe.SliceData(k)), uintptr(tx.Size())
	at := uintptr(first) - tx.DB().Info().Data
	if k == nil || at >= size {
		return nil
	}
	return unsafe.Slice((*byte)(unsafe.Add(first, -int(at))), size)
}
