package commands

import (
	"os"
	"reflect"
	"sync"
	"unsafe"

	"tinful/commands/tell"
	"tinful/store"
)

// largeStore is the size of a store from which on a short answer is to have the room that
// code takes that is not run again, in bytes.
const largeStore = 64 << 20

// giveBackCode gives back what lies in the program between package tell and this one, some
// 2.5 MiB. A program is laid in order of what imports what: there are the libraries for
// workbooks, the page and pictures. Each made its tables as the program began, which maps
// the code around; a question runs none of it again. It costs a hundredth of a short answer.
var giveBackCode = sync.OnceFunc(func() {
	first, last := reflect.ValueOf(tell.Found).UnsafePointer(), reflect.ValueOf(printVersion).UnsafePointer()
	page := uintptr(os.Getpagesize())
	skip := -uintptr(first) % page // to the first page that begins there
	if from := uintptr(first) + skip; from < uintptr(last) {
		store.GiveBack(unsafe.Slice((*byte)(unsafe.Add(first, skip)), uintptr(last)-from))
	}
})
