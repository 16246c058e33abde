package store

import (
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"strings"
	"sync"

	"tinful/store/code"

	"github.com/fxamacker/cbor/v2"
)

// recordFormat is the first byte of every record.
const recordFormat = 1

// castagnoli is the polynomial of CRC-32C (RFC 3720, appendix B.4).
var castagnoli = sync.OnceValue(func() *crc32.Table { return crc32.MakeTable(crc32.Castagnoli) })

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

// encode returns a record: the format byte, core deterministic CBOR
// (RFC 8949, 4.2.1) and a CRC-32C of both, big-endian.
func encode(rec any) ([]byte, error) {
	body, err := encMode().Marshal(rec)
	if err != nil {
		return nil, err
	}
	b := make([]byte, 0, len(body)+5)
	b = append(append(b, recordFormat), body...)
	return binary.BigEndian.AppendUint32(b, crc32.Checksum(b, castagnoli())), nil
}

// decode reads a record into rec. It returns [ErrDamaged] when the bytes do
// not agree with their checksum, before anything is decoded.
func decode(b []byte, rec any) error {
	body, err := checked(b)
	if err != nil {
		return err
	}
	if err := decMode().Unmarshal(body, rec); err != nil {
		return fmt.Errorf("%w: %w", ErrDamaged, err)
	}
	return nil
}

// checked returns the CBOR of a record that agrees with its checksum.
func checked(b []byte) ([]byte, error) {
	if len(b) < 6 {
		return nil, fmt.Errorf("%w: a record of %d bytes", ErrDamaged, len(b))
	}
	n := len(b) - 4
	if crc32.Checksum(b[:n], castagnoli()) != binary.BigEndian.Uint32(b[n:]) {
		return nil, fmt.Errorf("%w: a record does not agree with its checksum", ErrDamaged)
	}
	if b[0] != recordFormat {
		return nil, fmt.Errorf("%w: record format %d", ErrNewer, b[0])
	}
	return b[1:n], nil
}

// hasKey says whether a record has a key, without decoding it: thirty times as
// quick. Where it meets anything but numbers and text it says no, and the caller
// decodes.
func hasKey(b []byte, key uint64) (bool, error) {
	x, err := checked(b)
	if err != nil {
		return false, err
	}
	kind, pairs, x := itemHead(x)
	if kind != 5 { // a map: RFC 8949, 3.1
		return false, nil
	}
	for ; pairs > 0 && len(x) > 0; pairs-- {
		var n uint64
		if kind, n, x = itemHead(x); kind != 0 || n >= key {
			return kind == 0 && n == key, nil // keys are sorted
		}
		kind, n, x = itemHead(x)
		switch {
		case kind > 3:
			return false, nil
		case kind >= 2: // bytes and text
			x = x[min(n, uint64(len(x))):]
		}
	}
	return false, nil
}

// itemHead reads the head of a data item: its major type and argument. The type is 7
// where there is none that it knows.
func itemHead(x []byte) (kind byte, n uint64, rest []byte) {
	if len(x) == 0 {
		return 7, 0, nil
	}
	kind, n = x[0]>>5, uint64(x[0]&31)
	if n < 24 {
		return kind, n, x[1:]
	}
	size := 1 << (n - 24)
	if n > 27 || len(x) <= size {
		return 7, 0, nil
	}
	n = 0
	for _, c := range x[1 : 1+size] {
		n = n<<8 | uint64(c)
	}
	return kind, n, x[1+size:]
}

// A keyed record leaves out what its key tells.
type keyed interface{ fromKey(key []byte) }

func (b *Bag) fromKey(k []byte)   { b.Code = code.Code(k) }
func (s *State) fromKey(k []byte) { s.Bag = code.Code(k) }
func (g *Goes) fromKey(k []byte) {
	f := fields(k)
	g.Part, g.Model = code.Code(f[0]), code.Code(f[1])
}
func (s *Seen) fromKey(k []byte) {
	f := fields(k)
	s.Donor, s.Job = cameraSeen(f[0])
	s.Part = code.Code(f[1])
}

// cameraSeen tells the donor, or the job, that a key has for a camera.
func cameraSeen(field string) (donor, job code.Code) {
	if c, ok := strings.CutPrefix(field, seenOnJob); ok {
		return "", code.Code(c)
	}
	return code.Code(field), ""
}

func (o *Old) fromKey(k []byte) {
	o.Job, o.Nth = code.Code(k[:len(k)-9]), lastSeq(k)
}
func (s *Step) fromKey(k []byte) {
	f := fields(k[:len(k)-9])
	s.Kind, s.Camera, s.Nth = f[0], code.Code(f[1]), lastSeq(k)
}
func (c *Count) fromKey(k []byte) { c.Number = lastSeq(k) }
func (d *Draft) fromKey(k []byte) {
	f := fields(k)
	d.Kind, d.Camera = f[0], code.Code(f[1])
}
func (p *Paper) fromKey(k []byte) { p.Name = string(k) }
func (l *Label) fromKey(k []byte) {
	f := fields(k)
	l.Kind, l.Code = f[0], code.Code(f[1])
}
func (n *Remark) fromKey(k []byte) {
	f := fields(k[:len(k)-9])
	n.Kind, n.Code, n.Nth = f[0], code.Code(f[1]), lastSeq(k)
}

// decodeAt reads the record that lies under a key.
func decodeAt(key, b []byte, rec any) error {
	if err := decode(b, rec); err != nil {
		return err
	}
	if k, ok := rec.(keyed); ok {
		k.fromKey(key)
	}
	return nil
}
