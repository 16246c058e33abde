package page_test

import (
	"fmt"
	"os"
	"regexp"
	"strconv"
	"sync"
	"testing"
)

var memoryPattern = regexp.MustCompile(`VmHWM:\s*(\d+) kB`)

// The program never had 100 MiB in memory while it answered ten thousand requests, by the
// system's word; the short form asks a thousand.
func TestPageMemory(t *testing.T) {
	const most, askers = 100, 8
	n := 1000
	if os.Getenv("TINFUL_SOAK") != "" {
		n = 10_000
	}
	b := serve(t)
	status := fmt.Sprintf("/proc/%d/status", b.process.Pid)
	if _, err := os.Stat(status); err != nil {
		t.Skip("this system does not say in /proc how much memory a program has")
	}
	var all sync.WaitGroup
	for i := range askers {
		c := b.caller()
		all.Go(func() {
			for j := range n / askers {
				path := everyScreen[(i+j)%len(everyScreen)].path
				if _, err := c.get(path); err != nil {
					t.Errorf("%s: %v", path, err)
					return
				}
			}
		})
	}
	all.Wait()
	text, err := os.ReadFile(status)
	if err != nil {
		t.Fatal(err)
	}
	m := memoryPattern.FindSubmatch(text)
	if m == nil {
		t.Fatalf("the system says %s", text)
	}
	kb, err := strconv.Atoi(string(m[1]))
	if err != nil || kb>>10 >= most {
		t.Errorf("at most %d MiB were in memory: %v", kb>>10, err)
	}
	t.Logf("at most %d MiB after %d requests", kb>>10, n)
}
