package store

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"tinful/store/code"

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
		for _, b := range []string{bPaper, bLabel, bNote, bShop, bMonth, bPicture} {
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
		pictures, err6 := v.PicturesOf(Ref{"job", "101"})
		if !errors.Is(err, ErrNotFound) || len(papers)+len(notes)+len(pictures) != 0 || label.Text != "" || shop.Name != "" {
			t.Errorf("%v, %v, %v, %v, %v", err, papers, label, notes, shop)
		}
		return errors.Join(err2, err3, err4, err5, err6)
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

// Remarks on a thing are numbered and dated with their booking; those that have all of
// some words, by their beginnings, come the latest first.
func TestRemarks(t *testing.T) {
	s := newStore(t)
	for i, tt := range []struct {
		on   Ref
		text string
	}{{Ref{bBag, "B1"}, "Two springs with a fold at the eye"}, {Ref{bBag, "B1"}, "the fold is harmless"}, {Ref{bJob, "105"}, "the springs came out rusty"}} {
		h := head()
		h.Day, h.Today = day0+code.Day(i), day0+code.Day(i)
		_, err := s.Book(h, func(x *Tx) error {
			n, err := x.Remark(tt.on, tt.text)
			if want := []uint64{1, 2, 1}[i]; n.Nth != want || n.Day != h.Day || n.By != "R" {
				t.Errorf("%+v, want the remark %d of its thing", n, want)
			}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	for _, tt := range []struct{ words, want string }{
		{"spring", "job/105 bag/B1"}, {"SPRINGS fold", "bag/B1"}, {"fold", "bag/B1 bag/B1"}, {"old", ""}, {"the", "job/105 bag/B1 bag/B1"},
	} {
		if err := s.View(func(v *View) error {
			all, err := v.RemarksWith(strings.Fields(tt.words))
			var got []string
			for _, r := range all {
				got = append(got, r.Kind+"/"+string(r.Code))
			}
			if strings.Join(got, " ") != tt.want {
				t.Errorf("%s is in %v, want %s", tt.words, got, tt.want)
			}
			return err
		}); err != nil {
			t.Error(err)
		}
	}
}

// A line of the estimate is told by its text, however it is written.
func TestEstimateLines(t *testing.T) {
	job := Job{Code: "105"}
	for _, tt := range []struct {
		text string
		sum  code.Cents
		gone bool
		want string
		err  error
	}{
		{"clean the shutter", 6000, false, "clean the shutter 6000", nil},
		{"new spring", 1250, false, "clean the shutter 6000, new spring 1250", nil},
		{"Clean the Shutter", 5500, false, "Clean the Shutter 5500, new spring 1250", nil},
		{"bellows", 0, true, "Clean the Shutter 5500, new spring 1250", ErrNotFound},
		{"clean the shutter", 0, true, "new spring 1250", nil},
		{"", 0, false, "", nil},
	} {
		was, before := job.Lines, fmt.Sprint(job.Lines)
		err := job.Line(JobLine{Text: tt.text, Sum: &tt.sum}, tt.gone)
		var got []string
		for _, l := range job.Lines {
			got = append(got, fmt.Sprintf("%s %d", l.Text, int64(*l.Sum)))
		}
		if strings.Join(got, ", ") != tt.want || !errors.Is(err, tt.err) {
			t.Errorf("%q: %v, %v; want %q, %v", tt.text, got, err, tt.want, tt.err)
		}
		if fmt.Sprint(was) != before {
			t.Errorf("%q changed the lines of the job as it was", tt.text)
		}
	}
}

// What cells hold of a long text adds up to it, though reading a cell takes off the
// blanks around it: a line separator of three bytes is one.
func TestCellfuls(t *testing.T) {
	for at := cellful - 4; at < cellful+4; at++ {
		text := strings.Repeat("x", at) + "\u2028" + strings.Repeat("y", cellful)
		got := ""
		for piece := range cellfuls(text) {
			got += strings.TrimSpace(piece)
		}
		if got != text {
			t.Errorf("a separator at %d is lost", at)
		}
	}
}
