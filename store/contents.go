package store

import (
	"cmp"
	"encoding/binary"
	"fmt"

	"tinful/store/code"
	"tinful/store/pages"
)

// Contents are what a file holds, as its pages tell.
type Contents struct {
	Flaw     string // what is wrong with it, empty for nothing
	Version  uint64
	Bookings uint64
	Day      code.Day // of the last booking, of the last entry in an older store
	Demo     bool
	Bytes    int64
}

// ContentsOf reads every page and sum of a file that nobody writes. It opens nothing
// and changes nothing, so that an older one stays what it is.
func ContentsOf(path string) (Contents, error) {
	var c Contents
	err := withPages(path, func(f *pages.File) error {
		bad, meta := "", map[string]uint64{}
		var key, last []byte // of the last booking
		r, err := f.Items(func(i pages.Item) error {
			if bad == "" && !agrees(i) {
				bad = fmt.Sprintf("a record of %s on page %d does not agree with its sum", i.Bucket, i.Page)
			}
			switch {
			case i.Bucket == bBooking:
				key, last = append(key[:0], i.Key...), append(last[:0], i.Value...)
			case i.Bucket == bMeta && string(i.Key) == "set/demo":
				c.Demo = true
			case i.Bucket == bMeta && len(i.Value) >= 8:
				meta[string(i.Key)] = binary.BigEndian.Uint64(i.Value)
			}
			return nil
		})
		c.Version, c.Bookings, c.Day, c.Bytes = meta["schema"], meta["booking"], code.Day(int32(meta["day"])), f.Size()
		var b Booking
		switch {
		case c.Version != schemaVersion:
			bad = "" // other sums, and bookings that are read in another way
		case bad == "" && decode(bBooking, key, last, &b) == nil:
			c.Day = b.Day
		}
		c.Flaw = cmp.Or(pagesFlaw(r), bad, c.miscounted(r))
		return err
	})
	return c, err
}

// agrees says that an item agrees with its sum. What the version of the store is says
// which sums the others have.
func agrees(i pages.Item) bool {
	return i.Bucket == bMeta && string(i.Key) == "schema" || agreesIn(i.Bucket, i.Key, i.Value)
}

func pagesFlaw(r pages.Report) string {
	switch {
	case len(r.Findings) > 0:
		return damagedPages + r.Findings[0].Text
	case r.Meta != nil:
		return damagedPages + r.Meta.Text
	}
	return ""
}

// miscounted compares the bookings that are there with the counter of them.
func (c Contents) miscounted(r pages.Report) string {
	switch n, known := r.Keys[bBooking]; {
	case c.Version == 0 || !known:
		return "it is not a store of tinful"
	case uint64(n) != c.Bookings:
		return fmt.Sprintf("%d bookings are in it, and its counter says %d", n, c.Bookings)
	}
	return ""
}
