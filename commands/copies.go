package commands

import (
	"fmt"
	"path/filepath"
	"slices"
	"sync"

	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/code"
)

// A day's copy is made after the answer of its first booking, in the same process: at
// once behind a command of its own, at the end of lines from a pipe, and beside the next
// prompt of a bench line. Whoever waits to book goes first.

// A copier makes the copies of a bench line or of lines from a pipe.
type copier struct {
	beside bool // while lines are typed
	all    sync.WaitGroup
	mu     sync.Mutex
	busy   map[string]bool // stores that are being copied
	due    map[string]*call
	said   []func(*call) // what there is to say of those that are done
}

// copyDue makes the day's copy of the store of a line that booked, or leaves it to the
// copier of the lines.
func (c *call) copyDue() {
	path, err := c.StorePath()
	switch {
	case err != nil || !c.due:
	case c.env.copies == nil:
		dayCopy(c, path)(c)
	default:
		c.env.copies.take(c, path)
	}
}

func (k *copier) take(c *call, path string) {
	k.mu.Lock()
	defer k.mu.Unlock()
	if !k.beside {
		k.due[path] = c
		return
	}
	if k.busy[path] {
		return
	}
	k.busy[path] = true
	k.all.Go(func() {
		say := dayCopy(c, path)
		k.mu.Lock()
		defer k.mu.Unlock()
		delete(k.busy, path)
		k.said = append(k.said, say)
	})
}

// say tells of copies that were made or could not be.
func (k *copier) say(c *call) {
	k.mu.Lock()
	defer k.mu.Unlock()
	for _, say := range k.said {
		say(c)
	}
	k.said = nil
}

// end makes what is still due and waits for what is not done.
func (k *copier) end(c *call) {
	for path, due := range k.due {
		k.said = append(k.said, dayCopy(due, path))
	}
	k.all.Wait()
	k.say(c)
}

func newCopier(beside bool) *copier {
	return &copier{beside: beside, busy: map[string]bool{}, due: map[string]*call{}}
}

// dayCopy makes the day's copy, and returns what says how it went.
func dayCopy(c *call, path string) func(*call) {
	kept, err := store.CopyDay(path, code.DayOf(c.env.Now()))
	return func(c *call) { sayKept(c, kept, err) }
}

// sayKept tells what came of a copy, where that is more than a copy.
func sayKept(c *call, k store.Kept, err error) {
	if err != nil {
		c.Warnf("no copy of the store was made today: %v", err)
	}
	if len(k.Gone) > 0 {
		c.Notef("the copies of the store are too much together: %s went, the oldest", tell.Commas(tell.Each(k.Gone, func(g store.Copy) string { return filepath.Base(g.File) })))
	}
}

// copyWarning is what is wrong with the copies of the store, empty for nothing: a demo,
// and a store in which nothing was booked but the list it was made of, need none.
func copyWarning(c *call, v *store.View) string {
	path, err := c.StorePath()
	if err != nil || v.Setting("demo") != "" || v.LastBooking() < 2 {
		return ""
	}
	return tell.CopyWarning(store.SafetyOf(path), code.DayOf(c.env.Now()))
}

// copyBefore makes a copy of a store that is held before something is done to it.
func copyBefore(c *call, s *store.Store, v *store.View, why string) error {
	kept, err := s.CopyBefore(v, why, code.DayOf(c.env.Now()))
	if err == nil {
		sayKept(c, kept, nil)
	}
	return err
}

// copyRemarks are what check says of the copies: what is wrong with them, and whether
// the last is whole.
func copyRemarks(c *call, v *store.View) []string {
	var out []string
	if text := copyWarning(c, v); text != "" {
		out = append(out, text)
	}
	path, err := c.StorePath()
	if err != nil {
		return out
	}
	if last := store.SafetyOf(path); last.Known {
		switch held, err := store.ContentsOf(last.File); {
		case err != nil:
		case held.Flaw != "":
			out = append(out, fmt.Sprintf("the last copy of the store is damaged, %s: %s", last.File, held.Flaw))
		case held.Bookings > v.LastBooking() && !restoredSince(path, last.Day):
			out = append(out, fmt.Sprintf("the last copy holds booking %d, and this store ends with %d: what was booked later is not in it; tinful restore %s shows what would change",
				held.Bookings, v.LastBooking(), last.File))
		}
	}
	return out
}

// restoredSince reports whether an older copy was put back on that day or later, which
// leaves the copies ahead of the store.
func restoredSince(path string, day code.Day) bool {
	return slices.ContainsFunc(store.CopiesOf(path), func(c store.Copy) bool { return c.Why == "restore" && c.Day >= day })
}

// lastCopy is when the store was copied last, as today says it and as JSON has it.
func lastCopy(c *call, demo bool) (text string, answer map[string]any, err error) {
	path, err := c.StorePath()
	known, today := store.SafetyOf(path), code.DayOf(c.env.Now())
	return tell.LastCopy(known, today, demo), tell.LastCopyAnswer(known, today), err
}
