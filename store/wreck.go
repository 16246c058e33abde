package store

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"slices"
	"strings"

	"tinful/store/code"
	"tinful/store/pages"
)

// A wreck is what is found on the pages of a damaged file, tree or no tree: every record
// and row that agrees with its sum. On a page that the list says is free only lies what is
// not so any more, so that nothing is taken from there. What is many lies on the disk, in
// order of keys.
type wreck struct {
	found    *heaps // chunks by key, balances by bag, rows of indexes, and what stands in the heaps below
	bookings map[uint64]Booking
	meta     map[string][]byte
	last     uint64       // booking of which anything is found
	doubt    bool         // nothing tells a page that is in use from one that is not
	lost     []string     // but records of the catalogue
	loose    []pages.Item // rows of the page that is read, whose bucket is not known
}

// What is found, by names of records, beside what has the name of its bucket.
const (
	foundRecords = "records" // of the catalogue
	foundFormers = "formers" // the bytes of a record before a booking, behind its number
	foundNames   = "names"   // what indexes name
	foundMissed  = "missed"  // what is lost of a record, as a text
)

// A found is a record with the booking that wrote it; without a frame there is none.
type found struct {
	booking uint64
	frame   []byte
}

// recordName tells a record from all others of the catalogue.
func recordName(bucket string, key []byte) string { return string(join(bucket, string(key))) }

func splitName(name string) (bucket string, key []byte) {
	bucket, rest, _ := strings.Cut(name, "\x00")
	return bucket, []byte(rest)
}

// called is a record as people are told of it.
func called(bucket string, key []byte) string {
	name := printable(key)
	switch bucket {
	case bOld, bStep, bNote, bPicture:
		if before, n, ok := numbered(key); ok {
			name = fmt.Sprint(printable(before), " ", n)
		}
	case bCount, bEntry, bBooking:
		name = fmt.Sprint(lastSeq(key))
	case bWant:
		if len(key) > 6 {
			name = code.Day(int32(binary.BigEndian.Uint32(key)^1<<31)).String() + " " + printable(key[4:len(key)-2])
		}
	}
	return strings.TrimRight(bucket+" "+name, " ")
}

func (w *wreck) lose(format string, args ...any) {
	w.lost = append(w.lost, fmt.Sprintf(format, args...))
}

// miss says what is lost of a record, behind its name.
func (w *wreck) miss(name, format string, args ...any) {
	w.found.add(foundMissed, []byte(name), fmt.Appendf(nil, format, args...))
}

// losses is all that is lost, records first: of each what was said last.
func (w *wreck) losses() (out []string, err error) {
	j := braided(w.found.of(foundMissed))
	for name := j.next(); name != nil; name = j.next() {
		text := ""
		for x := range j.under(0) {
			text = or(string(x), text)
		}
		out = append(out, called(splitName(string(name)))+text)
	}
	return append(out, w.lost...), j.err()
}

// telling are the indexes that tell of records that are lost.
var telling = []string{bCode, bGoesByModel, bSeenByPart, bWantByPart, bName, bBagByPart}

// search reads all pages. What does not fit into memory of rows goes beside to.
func search(f *pages.File, to string) (*wreck, error) {
	w := &wreck{bookings: map[uint64]Booking{}, meta: map[string][]byte{}, found: newHeaps(to)}
	torn := f.Walk().Torn
	w.doubt = torn && (f.Now == nil || f.FreeFlaw() != nil)
	older := 0
	err := f.Leaves(func(i pages.Item) error {
		if i.State == pages.Freed || i.State == pages.Stray && (!torn || f.Now != nil && i.Page >= f.Now.End) {
			return nil
		}
		if _, err := body2(i.Value); err == nil {
			older++
		}
		return w.take(i)
	})
	w.guess()
	if err == nil && w.found.of(foundRecords).n+w.found.of(bEntry).n+len(w.bookings) == 0 {
		err = fmt.Errorf("%w: no page of it has a record that can be told", ErrDamaged)
		if older > 0 {
			err = fmt.Errorf("%w: its records are of an older version and do not tell where they belong: only a copy helps", ErrDamaged)
		}
	}
	return w, err
}

// take keeps one item, if it agrees with its sum.
func (w *wreck) take(i pages.Item) error {
	bucket := i.Bucket
	if len(w.loose) > 0 && w.loose[0].Page != i.Page {
		w.guess()
	}
	if !agreesIn(bucket, i.Key, i.Value) {
		bucket = whose(i.Key, i.Value)
	}
	s, known := shelves()[bucket]
	switch {
	case !known && i.Bucket == bMeta && string(i.Key) == "schema":
	case !known:
		if slices.Contains(catalogue, i.Bucket) {
			w.miss(recordName(i.Bucket, i.Key), ": its bytes are not what was written")
		}
	case !s.rows:
		w.record(bucket, i.Key, i.Value)
	case bucket == i.Bucket:
		w.row(bucket, i.Key, i.Value)
	default: // a sum of two bytes alone tells too little
		i.Key, i.Value = bytes.Clone(i.Key), bytes.Clone(i.Value)
		w.loose = append(w.loose, i)
	}
	return nil
}

func (w *wreck) record(bucket string, key, frame []byte) {
	booking, body, _ := unseal(bucket, key, frame)
	switch bucket {
	case bState:
		w.found.add(bState, key, body)
		return
	case bFigure:
		return
	case bBooking:
		var b Booking
		if decodeBody(key, body, &b) == nil && b.Number == booking {
			w.bookings[booking] = b
		}
	case bEntry:
		w.found.add(bEntry, key, frame)
	case bFormer:
		if _, _, err := openFormer(key, frame); err == nil {
			n, bucket, key := splitFormer(key)
			w.found.add(foundFormers, []byte(recordName(bucket, key)), append(keySeq(n), frame...))
		}
	default:
		w.found.add(foundRecords, []byte(recordName(bucket, key)), frame)
	}
	w.last = max(w.last, booking)
}

func (w *wreck) row(bucket string, key, x []byte) {
	value, ok := shelves()[bucket].openRow(key, x)
	switch {
	case !ok:
	case bucket == bMeta:
		w.meta[string(key)] = bytes.Clone(value)
	case bucket == bName || bucket == bBagByPart:
		w.found.add(bucket, key, value)
	case slices.Contains(telling, bucket):
		if of, key := rowFor(bucket, key); of != "" {
			w.found.add(foundNames, []byte(recordName(of, key)), nil)
		}
	}
}

// each calls fn for the rows of an index that were found, in order of keys, and lets go
// of them.
func (w *wreck) each(index string, fn func(k, x []byte)) error {
	in := w.found.of(index).stream()
	for k, x := in.next(); k != nil; k, x = in.next() {
		fn(k, x)
	}
	w.found.drop(index)
	return in.err
}

// guess takes the rows of a page whose bucket is not known for those of the one bucket
// under which all agree with their sums.
func (w *wreck) guess() {
	all := w.loose
	w.loose = nil
	for _, b := range buckets {
		if len(all) > 1 && shelves()[b].rows && !slices.ContainsFunc(all, func(i pages.Item) bool { return !agreesIn(b, i.Key, i.Value) }) {
			for _, i := range all {
				w.row(b, i.Key, i.Value)
			}
			return
		}
	}
}

// setting is what meta holds under names that begin so.
func (w *wreck) settings() (out []Row) {
	for k, x := range w.meta {
		if strings.HasPrefix(k, "set/") || strings.HasPrefix(k, "series/") {
			out = append(out, Row{bMeta, []byte(k), x})
		}
	}
	if len(w.meta) == 0 {
		w.lose("the settings of the store: its currency, and the numbers of codes that were made up and taken back")
	}
	return out
}

// A former is what a booking did to a record: its key and bytes in the file.
type former struct{ key, x []byte }

// latest is the record that the latest booking left of those with one name, of two the
// longer.
func latest(bucket string, key []byte, frames func(func([]byte) bool)) (rec found) {
	for x := range frames {
		n, _, _ := unseal(bucket, key, x)
		if rec.frame == nil || rec.booking < n || rec.booking == n && len(rec.frame) < len(x) {
			rec = found{n, bytes.Clone(x)}
		}
	}
	return rec
}

// history holds a record against its former bytes, in order of bookings: what a booking
// took away stays away, what is older than the last that wrote it is told, and what is not
// there stands as it was before. Broken says that the former bytes do not tell all.
func (w *wreck) history(name string, rec found, formers []former) (_ found, broken bool) {
	bucket, key := splitName(name)
	var last uint64
	var did byte
	var was []byte
	for _, f := range formers {
		n, _, _ := splitFormer(f.key)
		if did, was, _ = openFormer(f.key, f.x); was != nil {
			by, _, err := unseal(bucket, key, was)
			broken = broken || err != nil || by != max(last, 1) && bucket != bDraft
		}
		last = n
	}
	there := rec.frame != nil
	switch {
	case last == 0:
		broken = there && bucket != bDraft && rec.booking != 1
	case bucket == bDraft:
		if there && rec.booking < last && did == formerTaken {
			rec = found{}
		}
	case there && did == formerTaken:
		if rec.booking < last {
			rec = found{}
		} else {
			broken = true
		}
	case did == formerTaken:
	case !there && was != nil && !broken:
		rec.booking, _, _ = unseal(bucket, key, was)
		rec.frame, broken = was, true
		w.miss(name, " as booking %d left it: it stands as it was before", last)
	case !there:
		broken = true
		w.miss(name, ", written by booking %d", last)
	case rec.booking != last:
		broken = true
		if rec.booking < last {
			w.miss(name, " as booking %d left it: it stands as booking %d did", last, rec.booking)
		}
	}
	if broken && rec.booking != 0 && rec.booking >= last {
		w.miss(name, ": what it was before, if it was")
	}
	return rec, broken
}

// A run is numbers one after the other.
type run struct{ from, to uint64 }

// of is a run of things as people read it.
func (r run) of(what string) string {
	if r.from == r.to {
		return fmt.Sprint(what, " ", r.from)
	}
	return fmt.Sprintf("%s %d to %d", strings.Replace(what+"s", "ys", "ies", 1), r.from, r.to)
}

// runs are numbers, which stand in order, as runs.
func runs(numbers []uint64) (out []run) {
	for _, n := range numbers {
		if i := len(out) - 1; i >= 0 && out[i].to+1 == n {
			out[i].to = n
		} else {
			out = append(out, run{n, n})
		}
	}
	return out
}
