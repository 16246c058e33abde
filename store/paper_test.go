package store

import (
	"errors"
	"testing"

	bolt "go.etcd.io/bbolt"
)

// A store that was made before there were papers, labels and notes has no buckets for
// them: they are empty, and come with the first that is kept.
func TestOlderStoreHasNoPapers(t *testing.T) {
	path := made(t)
	db, err := bolt.Open(path, 0o644, &bolt.Options{Timeout: lockWait})
	if err != nil {
		t.Fatal(err)
	}
	err = db.Update(func(tx *bolt.Tx) (err error) {
		for _, b := range []string{bPaper, bLabel, bNote, bShop, bMonth} {
			err = errors.Join(err, tx.DeleteBucket([]byte(b)))
		}
		return err
	})
	if err := errors.Join(err, db.Close()); err != nil {
		t.Fatal(err)
	}
	s, err := OpenToBook(path)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	err = s.View(func(v *View) error {
		_, err := v.Paper("drawer")
		papers, err2 := v.Papers()
		label, err3 := v.LastLabel(Ref{"bag", "B1"})
		notes, err4 := v.NotesOf("job", "101")
		shop, err5 := v.Shop()
		if !errors.Is(err, ErrNotFound) || len(papers)+len(notes) != 0 || label.Text != "" || shop.Name != "" {
			t.Errorf("%v, %v, %v, %v, %v", err, papers, label, notes, shop)
		}
		return errors.Join(err2, err3, err4, err5)
	})
	if err != nil {
		t.Fatal(err)
	}
	h := Head{Day: day0, Today: day0, By: "R", Command: "by hand"}
	res, err := s.Book(h, func(tx *Tx) error {
		return errors.Join(tx.Put(Paper{Name: "drawer", Sheet: "roll 25x13"}), tx.Labelled([]Label{{Kind: "bag", Code: "B1", Text: "click spring"}}),
			tx.Put(Shop{Name: "Quillmoor Bench"}))
	})
	if err != nil {
		t.Fatal(err)
	}
	s.View(func(v *View) error {
		p, err := v.Paper("drawer")
		l, err2 := v.LastLabel(Ref{"bag", "B1"})
		if err := errors.Join(err, err2); err != nil || p.Name != "drawer" || p.Sheet != "roll 25x13" || l.Code != "B1" || l.Day != day0 {
			t.Errorf("%+v, %+v, %v", p, l, err)
		}
		return nil
	})
	if _, err := s.Undo(h, res.Booking.Number); err != nil {
		t.Fatal(err)
	}
	s.View(func(v *View) error {
		if all, err := v.Papers(); len(all) > 0 || err != nil {
			t.Errorf("after undo there are papers: %v, %v", all, err)
		}
		return nil
	})
}
