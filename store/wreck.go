package store

import (
	"bytes"
	"cmp"
	"encoding/binary"
	"fmt"
	"maps"
	"slices"
	"strings"

	"tinful/store/code"
	"tinful/store/pages"
)

// A wreck is what is found on the pages of a damaged file, tree or no tree: every record
// and row that agrees with its sum. On a page that the list says is free only lies what is
// not so any more, so that nothing is taken from there.
type wreck struct {
	recs     map[string]found // of the catalogue, by bucket and key
	formers  map[string][]byte
	chunks   map[string][]byte
	bookings map[uint64]Booking
	states   map[code.Code]State
	meta     map[string][]byte
	rows     *heaps            // of the indexes in [telling]
	last     uint64            // booking of which anything is found
	doubt    bool              // nothing tells a page that is in use from one that is not
	lost     []string          // but records of the catalogue
	missed   map[string]string // what is lost of a record, by bucket and key
	loose    []pages.Item      // rows of the page that is read, whose bucket is not known
}

// A found is a record with the booking that wrote it.
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
	w.missed[name] = fmt.Sprintf(format, args...)
}

// losses is all that is lost, records first.
func (w *wreck) losses() (out []string) {
	for _, name := range slices.Sorted(maps.Keys(w.missed)) {
		out = append(out, called(splitName(name))+w.missed[name])
	}
	return append(out, w.lost...)
}

// telling are the indexes that tell of records that are lost.
var telling = []string{bCode, bGoesByModel, bSeenByPart, bWantByPart, bName, bBagByPart}

// search reads all pages. What does not fit into memory of rows goes beside to.
func search(f *pages.File, to string) (*wreck, error) {
	w := &wreck{recs: map[string]found{}, formers: map[string][]byte{}, chunks: map[string][]byte{}, bookings: map[uint64]Booking{},
		states: map[code.Code]State{}, missed: map[string]string{}, meta: map[string][]byte{}, rows: newHeaps(to)}
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
	if err == nil && len(w.recs)+len(w.chunks)+len(w.bookings) == 0 {
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
		w.record(bucket, bytes.Clone(i.Key), bytes.Clone(i.Value))
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
		var st State
		if decodeBody(key, body, &st) == nil {
			w.states[st.Bag] = st
		}
		return
	case bFigure:
		return
	case bBooking:
		var b Booking
		if decodeBody(key, body, &b) == nil && b.Number == booking {
			w.bookings[booking] = b
		}
	case bEntry:
		w.chunks[string(key)] = frame
	case bFormer:
		if _, _, err := openFormer(key, frame); err == nil {
			w.formers[string(key)] = frame
		}
	default:
		name := recordName(bucket, key)
		if had, ok := w.recs[name]; !ok || had.booking < booking || had.booking == booking && len(had.frame) < len(frame) {
			w.recs[name] = found{booking, frame}
		}
	}
	w.last = max(w.last, booking)
}

func (w *wreck) row(bucket string, key, x []byte) {
	value, ok := shelves()[bucket].openRow(key, x)
	switch {
	case !ok:
	case bucket == bMeta:
		w.meta[string(key)] = bytes.Clone(value)
	case slices.Contains(telling, bucket):
		w.rows.add(bucket, key, value)
	}
}

// each calls fn for the rows of an index that were found, in order of keys, and lets go
// of them.
func (w *wreck) each(index string, fn func(k, x []byte)) {
	in := w.rows.of(index).stream()
	for k, x := in.next(); k != nil; k, x = in.next() {
		fn(k, x)
	}
	w.rows.err = cmp.Or(w.rows.err, in.err)
	w.rows.drop(index)
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

// history goes through the former bytes: what a booking took away stays away, what is
// older than the last that wrote it is told, and what is not there stands as it was
// before. It returns the records of which the former bytes do not tell all.
func (w *wreck) history() (broken map[string]bool) {
	broken = map[string]bool{}
	last, did, was := map[string]uint64{}, map[string]byte{}, map[string][]byte{}
	for _, k := range slices.Sorted(maps.Keys(w.formers)) {
		n, bucket, key := splitFormer([]byte(k))
		d, before, _ := openFormer([]byte(k), w.formers[k])
		name := recordName(bucket, key)
		if before != nil {
			by, _, err := unseal(bucket, key, before)
			if err != nil || by != max(last[name], 1) && bucket != bDraft {
				broken[name] = true
			}
		}
		last[name], did[name], was[name] = n, d, before
	}
	for name, n := range last {
		rec, there := w.recs[name]
		bucket, key := splitName(name)
		switch {
		case bucket == bDraft:
			if there && rec.booking < n && did[name] == formerTaken {
				delete(w.recs, name)
			}
		case there && did[name] == formerTaken:
			if rec.booking < n {
				delete(w.recs, name)
			} else {
				broken[name] = true
			}
		case did[name] == formerTaken:
		case !there && was[name] != nil && !broken[name]:
			by, _, _ := unseal(bucket, key, was[name])
			w.recs[name], broken[name] = found{by, was[name]}, true
			w.miss(name, " as booking %d left it: it stands as it was before", n)
		case !there:
			broken[name] = true
			w.miss(name, ", written by booking %d", n)
		case rec.booking != n:
			broken[name] = true
			if rec.booking < n {
				w.miss(name, " as booking %d left it: it stands as booking %d did", n, rec.booking)
			}
		}
	}
	for name, rec := range w.recs {
		if bucket, _ := splitName(name); bucket != bDraft && last[name] == 0 && rec.booking != 1 {
			broken[name] = true
		}
	}
	for name := range broken {
		if rec := w.recs[name]; rec.booking != 0 && rec.booking >= last[name] {
			w.miss(name, ": what it was before, if it was")
		}
	}
	return broken
}

// named tells of what indexes name and what is not there.
func (w *wreck) named() {
	for _, index := range []string{bCode, bGoesByModel, bSeenByPart, bWantByPart} {
		w.each(index, func(k, _ []byte) {
			bucket, key := rowFor(index, k)
			name := recordName(bucket, key)
			if _, there := w.recs[name]; bucket != "" && !there && w.missed[name] == "" {
				w.miss(name, "")
			}
		})
	}
}

// entries are all entries that were found, by number; their bytes go.
func (w *wreck) entries() (out []Entry, err error) {
	n := 0
	for k, x := range w.chunks {
		err = cmp.Or(err, unpacked([]byte(k), x, func(_, _ uint64, _ []byte) error { n++; return nil }))
	}
	out = make([]Entry, 0, n)
	for k, x := range w.chunks {
		err = cmp.Or(err, unchunk([]byte(k), x, 0, func(e Entry) error { out = append(out, e); return nil }))
	}
	w.chunks = nil
	slices.SortFunc(out, func(a, b Entry) int { return cmp.Compare(a.Seq, b.Seq) })
	return slices.CompactFunc(out, func(a, b Entry) bool { return a.Seq == b.Seq }), err
}

// fillBookings makes a booking of every number up to the last, those that are lost by
// what their entries tell.
func (w *wreck) fillBookings(entries []Entry) {
	of := map[uint64][]Entry{}
	for _, e := range entries {
		if _, ok := w.bookings[e.Booking]; !ok {
			of[e.Booking] = append(of[e.Booking], e)
		}
		w.last = max(w.last, e.Booking)
	}
	var day code.Day
	var lost []uint64
	for n := uint64(1); n <= w.last; n++ {
		b, ok := w.bookings[n]
		if ok {
			day = b.Day
			continue
		}
		b = Booking{Number: n, Day: day, Command: "lost"}
		for _, e := range of[n] {
			b.By, b.Day = e.By, max(b.Day, e.Day)
			if e.Undoes != 0 {
				b.Kind, b.Undoes = "undo", e.Undoes
			}
		}
		if n > 1 && b.Undoes >= n {
			b.Undoes = 0
		}
		w.bookings[n] = b
		lost = append(lost, n)
	}
	for _, r := range runs(lost) {
		w.lose("%s: who booked, when and by which command", r.of("booking"))
	}
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
