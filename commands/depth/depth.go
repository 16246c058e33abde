// Package depth gives the goroutine that the program runs on the stack that an answer needs,
// at once. A stack that grows by and by is copied four times, the last time with some forty
// calls on it, and to find the words of each that point into it costs 0.2 ms: two or three
// hundredths of a short answer, and half a megabyte of tables that are looked at for it.
//
// It imports nothing, so that it is ready before the packages that go deep when they are.
package depth

func init() { reach(0) }

// enough is more than any common answer was seen to use, in bytes.
const enough = 40 << 10

// reach has room for enough bytes and touches none of them: a call that lacks room on its
// stack gets it before it begins.
//
//go:noinline
func reach(n int) byte {
	if n == 0 {
		return 0
	}
	var room [enough]byte
	return fill(&room, n)
}

//go:noinline
func fill(room *[enough]byte, n int) byte {
	room[n%enough] = 1
	return room[n/2%enough]
}
