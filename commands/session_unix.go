//go:build unix

package commands

import (
	"fmt"

	"golang.org/x/sys/unix"
)

// session names the session of the terminal that the program runs in: POSIX.1-2024,
// getsid.
func session() string {
	sid, err := unix.Getsid(0)
	if err != nil {
		return "no session"
	}
	return fmt.Sprintf("session %d", sid)
}
