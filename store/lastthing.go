package store

import (
	"bytes"
	"slices"
	"strings"

	"tinful/store/code"
)

// LastThing is what the last booking of a person was about that stands: a step of a
// strip-down with its camera, else a job, a parts camera, a bag, a part or a place.
// Imports, and what speaks of none of them, are passed over. It returns an [ErrRefused]
// where the booking was about several, an [ErrNotFound] where there is none.
func (v *View) LastThing(by string) (r Ref, step uint64, err error) {
	found := false
	berr := v.Bookings(func(b Booking) bool {
		if b.By != by || b.Undone != 0 || b.Kind != "" {
			return true
		}
		var all []Ref
		if all, step, err = v.about(b); err != nil || len(all) == 0 {
			return err == nil
		}
		if r, found = all[0], true; len(all) > 1 {
			var codes []code.Code
			for _, x := range all {
				codes = append(codes, x.Code)
			}
			err = refuse("booking %d (%s) was about %s: say which", b.Number, b.Command, several(codes))
		}
		return false
	})
	if err == nil {
		err = berr
	}
	if err == nil && !found {
		err = Absent("nothing is booked by %s that a picture could be of: name the thing", by)
	}
	return r, step, err
}

// about lists what a booking was about, of the kinds of things the first that it touched.
func (v *View) about(b Booking) (out []Ref, step uint64, err error) {
	touched := map[string][]code.Code{}
	touch := func(kind string, c code.Code) {
		if c != "" && !slices.Contains(touched[kind], c) {
			touched[kind] = append(touched[kind], c)
		}
	}
	var stepped Ref
	err = v.scan(bFormer, keySeq(b.Number), func(rest, _ []byte) error {
		bucket, key, _ := bytes.Cut(rest, []byte{0})
		switch bucket := string(bucket); bucket {
		case bPart, bBag, bDonor, bJob, bPlace:
			touch(bucket, code.Code(key))
		case bNote, bPicture, bStep:
			kind, own, nth, ok := ofThing(key)
			if !ok {
				break
			}
			touch(kind, own)
			if bucket == bPicture {
				nth = 0
				if p, err := get[Picture](v, bPicture, bytes.Clone(key), ""); err == nil {
					nth = p.Step
				}
			}
			if bucket != bNote && nth != 0 {
				stepped, step = Ref{kind, own}, nth
			}
		case bOld:
			job, _, _ := bytes.Cut(key, []byte{0})
			touch(bJob, code.Code(job))
		case bSeen:
			camera, _, _ := strings.Cut(string(key), "\x00")
			donor, job := CameraSeen(camera)
			touch(bDonor, donor)
			touch(bJob, job)
		}
		return nil
	})
	if err != nil || step != 0 {
		return []Ref{stepped}, step, err
	}
	entries, err := v.EntriesIn(b)
	for _, e := range entries {
		touch(bJob, e.Job)
		touch(bBag, e.Bag)
	}
	for _, kind := range []string{bJob, bDonor, bBag, bPart, bPlace} {
		for _, c := range touched[kind] {
			out = append(out, Ref{kind, c})
		}
		if len(out) > 0 {
			break
		}
	}
	return out, 0, err
}
