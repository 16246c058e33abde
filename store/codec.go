package store

import (
	"encoding/binary"
	"fmt"
	"hash/crc32"
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
	if len(b) < 6 {
		return fmt.Errorf("%w: a record of %d bytes", ErrDamaged, len(b))
	}
	n := len(b) - 4
	if crc32.Checksum(b[:n], castagnoli()) != binary.BigEndian.Uint32(b[n:]) {
		return fmt.Errorf("%w: a record does not agree with its checksum", ErrDamaged)
	}
	if b[0] != recordFormat {
		return fmt.Errorf("%w: record format %d", ErrNewer, b[0])
	}
	if err := decMode().Unmarshal(b[1:n], rec); err != nil {
		return fmt.Errorf("%w: %w", ErrDamaged, err)
	}
	return nil
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
	s.Donor, s.Part = code.Code(f[0]), code.Code(f[1])
}

func (o *Old) fromKey(k []byte) {
	o.Job, o.Nth = code.Code(k[:len(k)-9]), lastSeq(k)
}
func (s *Step) fromKey(k []byte) {
	f := fields(k[:len(k)-9])
	s.Kind, s.Camera, s.Nth = f[0], code.Code(f[1]), lastSeq(k)
}
func (c *Count) fromKey(k []byte) { c.Number = lastSeq(k) }

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
