package commands

import (
	"fmt"
	"os"
	"unsafe"

	"golang.org/x/sys/windows"
)

// session names the console that the program runs in by its first process, else by
// the process that started this one.
func session() string {
	var list [64]uint32
	proc := windows.NewLazySystemDLL("kernel32.dll").NewProc("GetConsoleProcessList")
	if proc.Find() == nil {
		n, _, _ := proc.Call(uintptr(unsafe.Pointer(&list[0])), uintptr(len(list)))
		if n > 0 && int(n) <= len(list) {
			return fmt.Sprintf("console %d", list[n-1])
		}
	}
	return fmt.Sprintf("started by %d", os.Getppid())
}
