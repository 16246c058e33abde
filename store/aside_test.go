package store

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
	"testing"
	"time"

	"tinful/store/code"

	bolt "go.etcd.io/bbolt"
)

// Entries and records that are read in order are those that are read one by one.
func TestReadInOrder(t *testing.T) {
	s := newStore(t)
	for i := range 40 { // bookings of one entry and of many
		mustBook(t, s, func(x *Tx) error {
			for j := range 1 + i%7*9 {
				if _, err := x.PutIn(Bag{Code: code.Code(fmt.Sprintf("B%d-%d", i, j)), Part: "P1", Origin: "bought", Quantity: 1, Grade: "ready", Place: "K1"}); err != nil {
					return err
				}
			}
			return nil
		})
	}
	err := s.View(func(v *View) error {
		last := v.LastEntry()
		for step := uint64(1); step < last; step = step*3/2 + 1 {
			var seqs, met, came []uint64
			for n := step; n <= last; n += step {
				seqs = append(seqs, n)
				if n%2 == 0 {
					seqs = append(seqs, n) // one that is asked for twice
				}
			}
			if err := v.Moments(seqs, 0, func(n int, e Entry) {
				met = append(met, e.Seq)
				if e.What == In {
					came = append(came, e.Seq)
				}
				if want, err := v.MomentNo(e.Seq); err != nil || fmt.Sprint(e) != fmt.Sprint(want) || e.Seq != seqs[n] {
					t.Errorf("entry %d is %+v, alone %+v %v", e.Seq, e, want, err)
				}
			}); err != nil || !slices.Equal(met, seqs) {
				t.Errorf("of entries %d apart %v are met, want %v: %v", step, met, seqs, err)
			}
			met = nil
			if err := v.Moments(seqs, In, func(_ int, e Entry) { met = append(met, e.Seq) }); err != nil || !slices.Equal(met, came) {
				t.Errorf("of one word %v are met, want %v: %v", met, came, err)
			}
		}
		if err := v.Moments([]uint64{1, last, last + 1}, 0, func(int, Entry) {}); !errors.Is(err, ErrDamaged) {
			t.Errorf("an entry that is not there: %v, want damaged", err)
		}
		c, all := v.cursor(bBag), v.codes(bBag, nil)
		for step := 1; step < len(all); step += 3 {
			for i := 0; i < len(all); i += step {
				for _, key := range [][]byte{keyCode(all[i]), append(keyCode(all[i]), '!')} {
					want, x := v.cursor(bBag).seek(key)
					if k, y := c.onto(key); !bytes.Equal(k, want) || !bytes.Equal(x, y) {
						t.Fatalf("onto %s came to %s, want %s", key, k, want)
					}
				}
			}
		}
		return nil
	})
	if err != nil {
		t.Error(err)
	}
}

// What is asked aside sees the same store, and ends in its own error where it is damaged.
func TestAside(t *testing.T) {
	whole := rich(t)
	path := harmed(t, whole, func(tx *bolt.Tx) error {
		k := []byte("P1\x00B1")
		x := bytes.Clone(tx.Bucket([]byte(bBagByPart)).Get(k))
		x[1] ^= 8
		return tx.Bucket([]byte(bBagByPart)).Put(k, x)
	})
	spoilt, err := Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer spoilt.Close()
	for _, tt := range []struct {
		name string
		s    *Store
		want error
	}{{"one that books", whole, nil}, {"one that is spoilt", spoilt, ErrDamaged}} {
		err := tt.s.View(func(v *View) error {
			wait := v.Aside(func(aside *View) error {
				if aside.LastBooking() != v.LastBooking() {
					t.Errorf("%s: another store is seen aside", tt.name)
				}
				aside.BagsOf("P1")
				return nil
			})
			v.BagsOf("P2")
			return wait()
		})
		if !errors.Is(err, tt.want) {
			t.Errorf("%s: %v, want %v", tt.name, err, tt.want)
		}
	}
}

// A question that ends, even by damage, waits for what is asked aside: who is lost in a
// circle there would keep the store from being closed, and nobody would look.
func TestQuestionWaitsForWhatIsAskedAside(t *testing.T) {
	s, err := Open(harmed(t, rich(t), func(*bolt.Tx) error { return nil }))
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	for name, end := range map[string]func() error{
		"no error": func() error { return nil },
		"damage":   func() error { panic(damage{ErrDamaged}) },
	} {
		over := false
		err := s.View(func(v *View) error {
			v.Aside(func(v *View) error {
				v.Aside(func(*View) error {
					time.Sleep(20 * time.Millisecond)
					over = true
					return nil
				})
				return nil
			})
			return end()
		})
		if !over {
			t.Errorf("%s: the question ended first", name)
		}
		if (err != nil) != (name == "damage") {
			t.Errorf("%s: %v", name, err)
		}
	}
}
