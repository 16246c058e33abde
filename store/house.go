package store

import (
	"bytes"
	"encoding/binary"
	"errors"
	"slices"

	"tinful/store/code"
)

// How a job stands in the index by tray.
const (
	jobGone  = iota // its camera is not in the house
	jobOpen         // it is not closed
	jobReady        // it is closed, and its camera not fetched
)

// stands is how a job stands in the index by tray.
func stands(j Job) byte {
	switch {
	case j.Closed == 0:
		return jobOpen
	case j.InHouse():
		return jobReady
	}
	return jobGone
}

// EachOpenJob calls fn for every job that is not closed, in order of codes.
func (v *View) EachOpenJob(fn func(Job) error) error {
	return v.eachJob(func(stands byte) bool { return stands == jobOpen }, fn)
}

// EachInHouse calls fn for every job whose camera is in the house, in order of codes.
func (v *View) EachInHouse(fn func(Job) error) error {
	return v.eachJob(func(stands byte) bool { return stands != jobGone }, fn)
}

func (v *View) eachJob(which func(stands byte) bool, fn func(Job) error) error {
	var all []code.Code
	v.scan(bJobByTray, nil, func(k, x []byte) error {
		if _, c, _ := bytes.Cut(k, []byte{0}); which(x[0]) {
			all = append(all, code.Code(c))
		}
		return nil
	})
	slices.Sort(all)
	for _, c := range all {
		j, err := v.Job(c)
		if err != nil {
			return namedLost(err, "job", c)
		}
		if err := fn(j); err != nil {
			return err
		}
	}
	return nil
}

// namedLost is the error of what an index names: where it is not found, it is damage.
func namedLost(err error, kind string, c any) error {
	if errors.Is(err, ErrNotFound) {
		return lacking(kind, c)
	}
	return err
}

// JobOfTray is the job of every tray that has had one: of several the first that is
// open, else the last.
func (v *View) JobOfTray() map[code.Code]code.Code {
	of, open := map[code.Code]code.Code{}, map[code.Code]bool{}
	v.scan(bJobByTray, nil, func(k, x []byte) error {
		t, c, _ := bytes.Cut(k, []byte{0})
		if tray := code.Code(t); tray != "" && !open[tray] {
			of[tray], open[tray] = code.Code(c), x[0] == jobOpen
		}
		return nil
	})
	return of
}

// EachOldOpen calls fn for every old piece that is to be handed back or made good, in
// order of jobs.
func (v *View) EachOldOpen(fn func(Old) error) error {
	return v.scan(bOldOpen, nil, func(k, _ []byte) error {
		o, err := get[Old](v, bOld, k, "of a job")
		if err != nil {
			return namedLost(err, "an old piece of job", printable(k[:max(0, len(k)-9)]))
		}
		return fn(o)
	})
}

// EachOwned calls fn for everything that belongs to somebody else than the workshop, by
// owner: kind is donor, or bag for bags that hold something.
func (v *View) EachOwned(fn func(owner, kind string, c code.Code) error) error {
	return v.scan(bOwner, nil, func(k, _ []byte) error {
		f := fields(k)
		return fn(f[0], f[1], code.Code(f[2]))
	})
}

// GaveAny says whether anything was ever booked in from an origin.
func (v *View) GaveAny(origin string) bool {
	c, pre := v.cursor(bBagByOrigin), prefix(origin)
	for k, x := c.seek(pre); k != nil && bytes.HasPrefix(k, pre); k, x = c.next() {
		if day, _ := binary.Varint(x); day != 0 {
			return true
		}
	}
	return false
}

// CameFrom is the last day on which something was booked in from an origin, 0 for never.
func (v *View) CameFrom(origin string) (last code.Day) {
	v.scan(bBagByOrigin, prefix(origin), func(_, x []byte) error {
		day, _ := binary.Varint(x)
		last = max(last, code.Day(day))
		return nil
	})
	return last
}
