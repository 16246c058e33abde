package store

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"reflect"
	"slices"
	"strings"
	"sync"

	"tinful/store/code"

	"github.com/fxamacker/cbor/v2"
)

// recordFormat is the first byte of every record.
const recordFormat = 2

var encMode = sync.OnceValue(func() cbor.EncMode {
	m, err := cbor.CoreDetEncOptions().EncMode()
	if err != nil {
		panic(err) // the options are constants
	}
	return m
})

var decMode = sync.OnceValue(func() cbor.DecMode {
	m, err := cbor.DecOptions{DupMapKey: cbor.DupMapKeyEnforcedAPF, IndefLength: cbor.IndefLengthForbidden}.DecMode()
	if err != nil {
		panic(err) // the options are constants
	}
	return m
})

// A shelf is what is known of a bucket to read and write it: the sum that its name and
// a zero byte begin with, and whether it holds rows or records.
type shelf struct {
	begin uint32
	rows  bool
}

var shelves = sync.OnceValue(func() map[string]shelf {
	all := map[string]shelf{}
	for _, b := range buckets {
		rows := b == bMeta || slices.Contains(derived, b) && b != bState && b != bFigure
		all[b] = shelf{summed(0, prefix(b)), rows}
	}
	return all
})

// sum is the CRC-32C of a bucket's name, a zero byte, a key and what lies under it.
func (s shelf) sum(key, x []byte) uint32 {
	return summed(summed(s.begin, key), x)
}

// folded is the sum of a row: both halves of a CRC-32C laid over each other. It finds
// every single flipped bit of a row of up to 4 KiB: see TestFoldedSum.
func folded(sum uint32) uint16 { return uint16(sum>>16) ^ uint16(sum) }

// rowSum is how many bytes a row has for its sum.
const rowSum = 2

// sealRow returns what an index holds under a key: the value, then the folded sum.
func (s shelf) sealRow(key, x []byte) []byte {
	return binary.BigEndian.AppendUint16(slices.Clip(x), folded(s.sum(key, x)))
}

// openRow returns the value of a row that agrees with its sum.
func (s shelf) openRow(key, b []byte) ([]byte, bool) {
	n := len(b) - rowSum
	if n < 0 || folded(s.sum(key, b[:n])) != binary.BigEndian.Uint16(b[n:]) {
		return nil, false
	}
	return b[:n:n], true
}

// seal ends a frame with the CRC-32C of bucket, key and frame, big-endian.
func seal(bucket string, key, frame []byte) []byte {
	return binary.BigEndian.AppendUint32(frame, shelves()[bucket].sum(key, frame))
}

// beginFrame begins a frame: the format, and the number of the booking that writes it.
func beginFrame(booking uint64, room int) []byte {
	return binary.AppendUvarint(append(make([]byte, 0, room+1+binary.MaxVarintLen64+crc32.Size), recordFormat), booking)
}

// unseal returns what a frame holds, and the number of the booking that wrote it. It
// returns [ErrDamaged] where the frame does not agree with its sum.
func unseal(bucket string, key, b []byte) (booking uint64, body []byte, err error) {
	s, known := shelves()[bucket]
	if !known {
		return 0, nil, fmt.Errorf("%w: a record does not agree with its checksum", ErrDamaged)
	}
	return s.unseal(key, b)
}

func (s shelf) unseal(key, b []byte) (booking uint64, body []byte, err error) {
	n := len(b) - crc32.Size
	if n < 2 {
		return 0, nil, fmt.Errorf("%w: a record of %d bytes", ErrDamaged, len(b))
	}
	if s.sum(key, b[:n]) != binary.BigEndian.Uint32(b[n:]) {
		return 0, nil, fmt.Errorf("%w: a record does not agree with its checksum", ErrDamaged)
	}
	if b[0] != recordFormat {
		return 0, nil, fmt.Errorf("%w: record format %d", ErrNewer, b[0])
	}
	booking, w := binary.Uvarint(b[1:n])
	if w <= 0 {
		return 0, nil, fmt.Errorf("%w: a record does not say which booking wrote it", ErrDamaged)
	}
	return booking, b[1+w : n], nil
}

// encode returns a record: the format byte, the number of the booking that writes it,
// core deterministic CBOR (RFC 8949, 4.2.1), and the CRC-32C of bucket, key and all that.
func encode(bucket string, key []byte, booking uint64, rec any) ([]byte, error) {
	body, err := encMode().Marshal(rec)
	if err != nil {
		return nil, err
	}
	return seal(bucket, key, append(beginFrame(booking, len(body)), body...)), nil
}

// decode reads a record into rec. It returns [ErrDamaged] when the bytes do not agree
// with their checksum, before anything is decoded.
func decode(bucket string, key, b []byte, rec any) error {
	_, body, err := unseal(bucket, key, b)
	if err != nil {
		return err
	}
	return decodeBody(key, body, rec)
}

// decodeBody reads a record from its CBOR and from what its key tells.
func decodeBody(key, body []byte, rec any) error {
	q, ok := rec.(quick)
	if !ok || !q.quick(body) {
		if ok {
			reflect.ValueOf(rec).Elem().SetZero() // it was read in part
		}
		if err := decMode().Unmarshal(body, rec); err != nil {
			return fmt.Errorf("%w: %w", ErrDamaged, err)
		}
	}
	if k, ok := rec.(keyed); ok && !k.fromKey(key) {
		return fmt.Errorf("%w: a record lies under a key that is none of its kind", ErrDamaged)
	}
	return nil
}

// sameRecord says whether two records hold the same, whichever bookings wrote them.
func sameRecord(bucket string, key, a, b []byte) bool {
	_, x, errA := unseal(bucket, key, a)
	_, y, errB := unseal(bucket, key, b)
	return errA == nil && errB == nil && bytes.Equal(x, y)
}

// A keyed record leaves out what its key tells. fromKey says whether the key is one of
// its kind.
type keyed interface{ fromKey(key []byte) bool }

func (b *Bag) fromKey(k []byte) bool   { b.Code = code.Code(k); return len(k) > 0 }
func (s *State) fromKey(k []byte) bool { s.Bag = code.Code(k); return len(k) > 0 }
func (g *Goes) fromKey(k []byte) bool {
	f := fields(k)
	if len(f) != 4 {
		return false
	}
	g.Part, g.Model = code.Code(f[0]), code.Code(f[1])
	return true
}
func (s *Seen) fromKey(k []byte) bool {
	f := fields(k)
	if len(f) != 2 {
		return false
	}
	s.Donor, s.Job = CameraSeen(f[0])
	s.Part = code.Code(f[1])
	return true
}

// CameraSeen tells the donor, or the job, that a key has for a camera.
func CameraSeen(field string) (donor, job code.Code) {
	if c, ok := strings.CutPrefix(field, seenOnJob); ok {
		return "", code.Code(c)
	}
	return code.Code(field), ""
}

func (o *Old) fromKey(k []byte) bool {
	job, nth, ok := numbered(k)
	o.Job, o.Nth = code.Code(job), nth
	return ok
}
func (s *Step) fromKey(k []byte) (ok bool) {
	s.Kind, s.Camera, s.Nth, ok = ofThing(k)
	return ok
}
func (c *Count) fromKey(k []byte) bool {
	if len(k) != 8 {
		return false
	}
	c.Number = lastSeq(k)
	return true
}
func (d *Draft) fromKey(k []byte) bool {
	f := fields(k)
	if len(f) != 2 {
		return false
	}
	d.Kind, d.Camera = f[0], code.Code(f[1])
	return true
}
func (p *Paper) fromKey(k []byte) bool { p.Name = string(k); return len(k) > 0 }
func (m *Month) fromKey(k []byte) bool { m.Name = string(k); return len(k) > 0 }
func (l *Label) fromKey(k []byte) bool {
	f := fields(k)
	if len(f) != 2 {
		return false
	}
	l.Kind, l.Code = f[0], code.Code(f[1])
	return true
}
func (n *Remark) fromKey(k []byte) (ok bool) {
	n.Kind, n.Code, n.Nth, ok = ofThing(k)
	return ok
}
func (p *Picture) fromKey(k []byte) (ok bool) {
	p.Kind, p.Code, p.Nth, ok = ofThing(k)
	return ok
}

// ofThing parts a key into kind and code of a thing and a number.
func ofThing(k []byte) (kind string, own code.Code, n uint64, ok bool) {
	thing, n, ok := numbered(k)
	f := fields(thing)
	if !ok || len(f) != 2 {
		return "", "", 0, false
	}
	return f[0], code.Code(f[1]), n, true
}

// numbered parts a key into what comes before a zero byte and a number at its end.
func numbered(k []byte) (before []byte, n uint64, ok bool) {
	at := len(k) - 9
	if at < 1 || k[at] != 0 {
		return nil, 0, false
	}
	return k[:at], lastSeq(k), true
}
