package commands

import (
	"errors"
	"fmt"

	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/code"
)

func backup(c *call) error {
	file := c.Args()[0]
	if c.Bool("verify") {
		return verify(c, file)
	}
	path, err := c.StorePath()
	if err != nil {
		return err
	}
	c.env.opening()
	if file == fromLines {
		if _, n, err := store.PhotosLacking(path); err == nil && n > 0 {
			c.Notef("the pictures are not in it: %s in %s", tell.Many(n, "file"), store.PhotoFolder(path))
		}
		held, err := store.BackupTo(path, c.env.Stdout)
		if err == nil {
			c.Notef("standard output got a copy of %s, %s; where it lies is not known, so that it is none that backups and today count", path, tell.Many(int(held.Bookings), "booking"))
		}
		return whatHelps(err)
	}
	w, err := store.Backup(path, file, store.Writing{Day: code.DayOf(c.env.Now()), Replace: c.Bool("replace"), Anyway: c.Bool("anyway")})
	if err != nil {
		return whatHelps(err)
	}
	if w.Damaged {
		c.Warnf("%s is as damaged as the store is, and no copy to rely on", w.File)
	} else if w.SameDisk {
		c.Notef("%s lies on the disk of the store: what befalls one befalls both", file)
	}
	if w.Lacks > 0 {
		c.Warnf("%s, in the copy as in the store: tinful check names them", tell.PhotosLack(w.Lacks))
	}
	return c.Answer(tell.Known(map[string]any{"pictures": w.Pictures, "lacks": w.Lacks, "file": file, "written": w.File, "store": path, "bytes": w.Bytes, "bookings": w.Bookings, "same_disk": w.SameDisk, "damaged": w.Damaged}), func() {
		if !w.Damaged {
			c.Printf("%s is a copy of %s, read again: %s%s\n", file, path, tell.Many(int(w.Bookings), "booking"), tell.AndPictures(w.Pictures-w.Lacks))
		}
	})
}

// verify reads a copy whole and says what it holds.
func verify(c *call, file string) error {
	h, err := store.Examine(file)
	if errors.Is(err, store.ErrNoStore) {
		return store.Absent("there is no file %s", file)
	}
	if err != nil {
		return err
	}
	held, err := store.ContentsOf(file)
	if err != nil {
		return err
	}
	photos, err := photosOf(file, &h)
	if err != nil {
		return err
	}
	ok := len(h.Problems) == 0
	err = c.Answer(tell.Known(map[string]any{"pictures": photos.Named, "file": file, "ok": ok, "bookings": held.Bookings, "last": day(held), "bytes": held.Bytes, "records": h.Records, "problems": append([]string{}, h.Problems...)}), func() {
		for _, p := range h.Problems {
			c.Println(p)
		}
		if ok {
			c.Printf("%s is whole: %s%s, the last of %s\n", file, tell.Many(int(held.Bookings), "booking"), tell.AndPictures(photos.Named), held.Day)
		}
	})
	if err == nil && !ok {
		c.Notef("%s is damaged: %s", file, tell.Many(len(h.Problems), "problem"))
		err = silentError(exitDamaged)
	}
	return err
}

// day is that of the last booking, nothing where there is none.
func day(held store.Contents) string {
	if held.Bookings == 0 {
		return ""
	}
	return held.Day.String()
}

func restore(c *call) error {
	path, err := c.StorePath()
	if err != nil {
		return err
	}
	file, today := c.Args()[0], code.DayOf(c.env.Now())
	r, err := store.ReplacementBy(file, path)
	if err != nil {
		return err
	}
	if r.There && !c.Bool("replace") {
		if err := agreed(c, file, path, r); err != nil {
			return err
		}
	}
	kept, err := store.Restore(file, path, r.There, today.String())
	if err != nil {
		return whatHelps(err)
	}
	lacks, named, err := store.PhotosLacking(path)
	if err != nil {
		return err
	}
	if len(lacks) > 0 {
		c.Warnf("%s: no file of it lies either beside %s or here; tinful check names them", tell.PhotosLack(len(lacks)), file)
	}
	answer := map[string]any{"pictures": named, "lacks": len(lacks), "file": file, "store": path, "kept": kept, "bookings": r.Bookings, "lost": r.LostBookings(), "lost_by_day": tell.Days(r.Lost)}
	return c.Answer(tell.Known(answer), func() {
		c.Printf("%s is as in %s\n", path, file)
		if kept != "" {
			c.Printf("the store that was there is %s: %s\n", kept, tell.ReplacedWords(r))
		}
	})
}

// agreed asks on a terminal whether a store is to give way to a copy, once it is said
// what that does; elsewhere it wants --replace.
func agreed(c *call, file, path string, r store.Replacement) error {
	if !c.env.Terminal || c.JSON() {
		return refusef("a store is at %s, and %s; --replace keeps it under another name and puts the copy there", path, tell.ReplacedWords(r))
	}
	k, err := c.key(fmt.Sprintf("a store is at %s, and %s: (p)ut %s in its place and keep the store under another name, Enter to leave it", path, tell.ReplacedWords(r), file), "p\r")
	if err == nil && k != 'p' {
		err = refusef("%s stays as it is", path)
	}
	return err
}
