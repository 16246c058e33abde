package store

import (
	"sync/atomic"
	"time"

	"tinful/store/pages"
)

// A tree whose branches lead round in a circle keeps whoever reads it for ever, or until
// the stack has no room, which no program can recover from. Nearly every question is
// answered before anybody looks; while one that takes longer is at work, the branches are
// walked beside it.

// guardAfter is when branches are walked in haste, which takes a few milliseconds. A stack
// that grows without end has some 150 MiB by then. The head of every page is read when a
// question is still at work after guardLong.
const (
	guardAfter = 150 * time.Millisecond
	guardLong  = 400 * time.Millisecond
)

// Astray is called while a question is lost in a store that is damaged. It ends the
// program; nil where nobody looks.
var Astray func(error)

// guard has the branches walked when what begins now takes long. Stop ends it.
func (s *Store) guard() (stop func()) {
	if Astray == nil || s.memo.sound(false) {
		return func() {}
	}
	hasty := guarded(guardAfter, func() bool { return len(s.circles(true)) > 0 })
	whole := guarded(guardLong, func() bool {
		bent := len(s.circles(false)) > 0
		s.memo.sound(!bent)
		return bent
	})
	return func() {
		hasty()
		whole()
	}
}

// guarded asks after a while whether the tree is one to be lost in, and once more, for a
// booking that is just written. What is found when stop was called counts for nothing:
// bookings that followed wrote over pages while they were walked.
func guarded(after time.Duration, bent func() bool) (stop func()) {
	var over atomic.Bool
	t := time.AfterFunc(after, func() {
		if bent() && !over.Load() && bent() && !over.Load() {
			Astray(&FlawError{Text: "its pages lead round in a circle"})
		}
	})
	return func() { over.Store(true); t.Stop() }
}

func (s *Store) circles(haste bool) (found []pages.Finding) {
	_ = withPages(s.path, func(f *pages.File) error { found = f.Trees(haste).Findings; return nil })
	return found
}
