package store

import (
	"bytes"
	"cmp"
	"compress/gzip"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"maps"
	"os"
	"path/filepath"
	"testing"

	"pgregory.net/rapid"

	"tinful/store/code"

	bolt "go.etcd.io/bbolt"
)

// version2 unpacks a store that the last program of version 2 wrote.
func version2(t *testing.T) string {
	t.Helper()
	f, err := os.Open("testdata/version2.db.gz")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	z, err := gzip.NewReader(f)
	if err != nil {
		t.Fatal(err)
	}
	b, err := io.ReadAll(z)
	path := filepath.Join(t.TempDir(), "workshop.db")
	if err := cmp.Or(err, os.WriteFile(path, b, 0o600)); err != nil {
		t.Fatal(err)
	}
	return path
}

// What the store of version 2 holds, and which booking wrote it, is what its program
// said of it: import sh (1); add place K2 (2); add part P009 (3), taken back (4); put 3
// p001 to k2 as B203 (5); edit p002 --name "click lever" (6); arrived, job 101 (7); fit
// b201 (8); fit b203 2 (9), taken back (10); add part P010 "gone again" (11); edit p010
// (12), taken back (13); add place K3 (14), taken back (15).
func TestMigrateFromTwo(t *testing.T) {
	s, err := OpenToBook(version2(t))
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if h, err := s.Check(); err != nil || len(h.Problems) > 0 {
		t.Fatalf("check: %v %v", h.Problems, err)
	}
	err = s.View(func(v *View) error {
		for _, w := range []struct {
			bucket, key string
			booking     uint64 // 0: not there
		}{
			{bPart, "P001", 1}, {bPart, "P002", 6}, {bPart, "P009", 0}, {bPart, "P010", 13}, {bPlace, "K1", 1}, {bPlace, "K2", 2}, {bPlace, "K3", 0},
			{bModel, "W1-A", 1}, {bBag, "B201", 1}, {bBag, "B202", 1}, {bBag, "B203", 5}, {bJob, "101", 7},
		} {
			x := v.at(w.bucket, []byte(w.key))
			if x == nil && w.booking == 0 {
				continue
			}
			if by, _, err := unseal(w.bucket, []byte(w.key), x); err != nil || by != w.booking {
				t.Errorf("%s %s was written by booking %d (%v), want %d", w.bucket, w.key, by, err, w.booking)
			}
		}
		p, err := v.Part("P010")
		if err != nil || p.Name != "gone again" {
			t.Errorf("P010 is called %q (%v)", p.Name, err)
		}
		for bag, want := range map[code.Code]int64{"B201": 4, "B202": 1, "B203": 3} {
			if st, err := v.State(bag); err != nil || st.OnHand() != want {
				t.Errorf("%s holds %d (%v), want %d", bag, st.OnHand(), err, want)
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := s.Undo(head(), 6); err != nil { // by the former bytes
		t.Error(err)
	}
	if p := partOf(t, s, "P002"); p.Name != "click" {
		t.Errorf("P002 is called %q after undo, want click", p.Name)
	}
}

func partOf(t *testing.T, s *Store, c code.Code) (p Part) {
	t.Helper()
	if err := s.View(func(v *View) (err error) { p, err = v.Part(c); return err }); err != nil {
		t.Fatal(err)
	}
	return p
}

// A store of version 2 in which a bit flipped is not brought up, and stays as it was.
func TestMigrationStopsAtDamage(t *testing.T) {
	path := version2(t)
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	b = bytes.ReplaceAll(b, []byte("click lever"), []byte("clicc lever")) // on pages that are not used any more as well
	if err := os.WriteFile(path, b, 0o600); err != nil {
		t.Fatal(err)
	}
	for _, open := range []func(string) (*Store, error){Open, OpenToBook} {
		if s, err := open(path); !errors.Is(err, ErrDamaged) {
			t.Errorf("%v", err)
			s.Close()
		}
	}
	db, err := bolt.Open(path, 0o600, &bolt.Options{Timeout: lockWait})
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	db.View(func(tx *bolt.Tx) error {
		if v := binary.BigEndian.Uint64(tx.Bucket([]byte(bMeta)).Get([]byte("schema"))); v != 2 {
			t.Errorf("it says version %d", v)
		}
		return nil
	})
}

// Any bookings, laid down as version 2 had them and brought up, are what they were:
// records, bookings and former bytes to the byte, and check finds the rest.
func TestAnyMigration(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		s := newStoreUnchecked(t)
		rt.Cleanup(func() { s.Close() })
		mustBook(t, s, func(t *Tx) error {
			return putAll(t, Model{Code: "M1"}, Part{Code: "P1", Name: "spring"}, Job{Code: "105", Model: "M1"})
		})
		anyCatalogue(rt, s)
		want := frozen(t, s)
		from := uint64(rapid.IntRange(1, 2).Draw(rt, "version"))
		if err := s.db.Update(func(tx *bolt.Tx) error { return lower(tx, from) }); err != nil {
			rt.Fatal(err)
		}
		path := s.path
		if err := s.Close(); err != nil {
			rt.Fatal(err)
		}
		var err error
		if s, err = OpenToBook(path); err != nil {
			rt.Fatal(err)
		}
		if h, err := s.Check(); err != nil || len(h.Problems) > 0 {
			rt.Fatalf("check: %v %v", h.Problems, err)
		}
		if got := frozen(t, s); !maps.Equal(got, want) {
			for k, x := range want {
				if got[k] != x {
					rt.Errorf("%q was %x, is %x", k, x, got[k])
				}
			}
			rt.Fatalf("%d keys, were %d", len(got), len(want))
		}
	})
}

// anyCatalogue writes, changes and takes away parts and bags at random, and undoes.
func anyCatalogue(rt *rapid.T, s *Store) {
	for range rapid.IntRange(1, 15).Draw(rt, "bookings") {
		c := code.Code(fmt.Sprint("X", rapid.IntRange(1, 3).Draw(rt, "code")))
		op, n := rapid.IntRange(0, 4).Draw(rt, "op"), rapid.Int64Range(1, 5).Draw(rt, "n")
		_, err := s.Book(head(), func(t *Tx) error {
			switch op {
			case 0:
				return t.Put(Part{Code: c, Name: fmt.Sprint("lever ", n)})
			case 1:
				_, err := t.PutIn(Bag{Code: "B" + c, Part: "P1", Origin: "bought", Quantity: n})
				return err
			case 2: // a record that comes and goes at once, and others
				return cmp.Or(t.Put(Place{Code: c}), remove[Place](t, bPlace, keyCode(c)), t.Put(Place{Code: "Y" + c, Where: fmt.Sprint(n)}))
			case 3:
				return cmp.Or(remove[Place](t, bPlace, keyCode("Y"+c)), t.Put(Place{Code: "Z" + c}))
			}
			return t.Fit(Take{Bag: "B" + c, N: 1, Job: "105"})
		})
		if op == 4 && rapid.Bool().Draw(rt, "undo") {
			_, err = s.Undo(head(), uint64(rapid.IntRange(1, 15).Draw(rt, "booking")))
		}
		if err != nil && !errors.Is(err, ErrRefused) && !errors.Is(err, ErrNotFound) {
			rt.Fatal(err)
		}
	}
}

// frozen is every record that is no derived one, with its bytes.
func frozen(t *testing.T, s *Store) map[string]string {
	t.Helper()
	out := map[string]string{}
	err := s.View(func(v *View) error {
		for _, b := range append([]string{bEntry, bBooking, bFormer}, catalogue...) {
			v.scan(b, nil, func(k, x []byte) error { out[b+" "+string(k)] = string(x); return nil })
		}
		return v.bucket(bMeta).ForEach(func(k, x []byte) error { out["meta "+string(k)] = string(x); return nil })
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// lower lays a store down as an older version had it, by what doc.go said then: format
// byte 1, CBOR, CRC-32C of both; an entry with its booking under the key 2; former bytes
// 01 and the record, or 00; settings without sums. Version 1 lacked six buckets.
func lower(tx *bolt.Tx, to uint64) error {
	old := func(body []byte) []byte {
		b := append([]byte{1}, body...)
		return binary.BigEndian.AppendUint32(b, summed(0, b))
	}
	v := &View{tx: tx}
	all := newHeaps("")
	var err error
	for _, b := range append([]string{bBooking}, catalogue...) {
		v.scan(b, nil, func(k, x []byte) error {
			_, body, uerr := unseal(b, k, x)
			err = cmp.Or(err, uerr)
			all.add(b, k, old(body))
			return nil
		})
	}
	v.scan(bFormer, nil, func(k, x []byte) error {
		_, was, ferr := openFormer(k, x)
		err = cmp.Or(err, ferr)
		if was == nil {
			all.add(bFormer, k, []byte{0})
			return nil
		}
		_, bucket, key := splitFormer(k)
		_, body, uerr := unseal(bucket, key, was)
		err = cmp.Or(err, uerr)
		all.add(bFormer, k, append([]byte{1}, old(body)...))
		return nil
	})
	v.scan(bEntry, nil, func(k, x []byte) error {
		var chunk []byte
		err = cmp.Or(err, unpacked(k, x, func(booking, seq uint64, x []byte) error {
			e := struct {
				Booking uint64 `cbor:"2,keyasint"`
				Entry
			}{Booking: booking}
			if err := unentry(seq, x, &e.Entry); err != nil {
				return err
			}
			b, err := encMode().Marshal(e)
			chunk = append(binary.AppendUvarint(chunk, uint64(len(b))), b...)
			return err
		}))
		all.add(bEntry, k, old(chunk))
		return nil
	})
	v.bucket(bMeta).ForEach(func(k, x []byte) error {
		if string(k) != "schema" {
			x = x[:len(x)-rowSum]
		}
		all.add(bMeta, k, x)
		return nil
	})
	for b, h := range all.all {
		err = cmp.Or(err, refill(tx, b, h))
	}
	for _, b := range []string{bJobByTray, bOldOpen, bOwner} {
		err = cmp.Or(err, tx.DeleteBucket([]byte(b)))
	}
	for _, b := range []string{bOld, bStep, bCount, bReading, bWorth, bDonorByLot} {
		if to == 1 {
			err = cmp.Or(err, tx.DeleteBucket([]byte(b)))
		}
	}
	return cmp.Or(err, tx.Bucket([]byte(bMeta)).Put([]byte("schema"), keySeq(to)))
}
