package commands

import (
	"fmt"

	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
)

func check(c *call) error {
	if c.Bool("repair") {
		return repair(c)
	}
	path, err := c.StorePath()
	if err != nil {
		return err
	}
	c.env.opening()
	h, err := store.Examine(path)
	if err != nil {
		return whatHelps(err)
	}
	photos, err := photosOf(path, &h)
	if err != nil {
		return err
	}
	ok := len(h.Problems) == 0
	remarks := []string{}
	if ok { // what is damaged is told first, and alone
		if remarks, err = remarksOf(c); err != nil {
			return err
		}
		for _, b := range h.Remarks {
			remarks = append(remarks, b.Error()+mend(b))
		}
		remarks = append(remarks, tell.UnnamedPhotos(photos)...)
	}
	if c.JSON() {
		problems := append([]string{}, h.Problems...)
		if err := c.PrintJSON(map[string]any{"ok": ok, "records": h.Records, "pictures": photos.Named, "problems": problems, "remarks": remarks}); err != nil {
			return err
		}
	} else {
		for _, p := range h.Problems {
			c.Println(p)
		}
		printRemarks(c, remarks)
		c.Printf("%d records%s, %s\n", h.Records, tell.AndPictures(photos.Named), map[bool]string{true: "all is well", false: fmt.Sprintf("%d problems", len(h.Problems))}[ok])
	}
	if !ok && len(photos.Problems) < len(h.Problems) {
		c.Notef("%s", afterCheck)
	}
	if len(photos.Problems) > 0 {
		c.Notef("a picture that is lost or spoilt lies beside a copy of the store, where one has it: put its file into %s", photos.Folder)
	}
	if !ok {
		return silentError(exitDamaged)
	}
	return nil
}

// photosOf reads the pictures of the store at path, or of a copy, and adds what is wrong
// with them to what is wrong with it. Those of a store that cannot be read are not known.
func photosOf(path string, h *store.Health) (store.Photos, error) {
	photos, err := store.PhotosOf(path)
	if err != nil && len(h.Problems) > 0 {
		return photos, nil
	}
	h.Problems = append(h.Problems, photos.Problems...)
	return photos, whatHelps(err)
}

// afterCheck is what helps where check found something.
const afterCheck = "tinful check --repair makes anew what follows from records, " + afterRepair

// remarksOf are the facts of the workshop that are worth a look.
func remarksOf(c *call) ([]string, error) {
	// There may be many, and what they are made of should not come to several times of them.
	defer store.Collect(50, 0)()
	out := []string{}
	err := c.view(func(v *store.View) error {
		far, err := v.FarDays(code.DayOf(c.env.Now()))
		for _, f := range far {
			out = append(out, farDay(f))
		}
		if err != nil {
			return err
		}
		out = append(out, copyRemarks(c, v)...)
		list, err := ask.Remarks(v, c.dayNow(v))
		out = append(out, store.Texts(list)...)
		return err
	})
	return out, err
}

// farDay says which bookings hold a day out of line, and what takes them back.
func farDay(f store.FarDay) string {
	text := fmt.Sprintf("booking %d is dated %s, %d days ahead, and what is booked now gets that day; where it is wrong: tinful undo %d", f.First, f.Day, f.Ahead, f.First)
	if f.First != f.Last {
		text = fmt.Sprintf("bookings %d to %d are dated %s, %d days ahead, and what is booked now gets that day; where it is wrong: tinful undo %d and so on down to %d",
			f.First, f.Last, f.Day, f.Ahead, f.Last, f.First)
	}
	return text
}

func printRemarks(c *call, list []string) {
	if len(list) == 0 {
		return
	}
	c.Println("worth a look, though nothing is damaged:")
	for i, text := range list {
		if i == mostRemarks && !c.Bool("all") {
			c.Printf("  and %d more: --all prints them\n", len(list)-i)
			break
		}
		c.Println(tell.Indented(text, c.Wide, 2, 2))
	}
}

// mostRemarks is how many remarks are printed without --all.
const mostRemarks = 20

// mend says what is typed to put a record right that breaks a rule.
func mend(b *store.Breach) string {
	own, flag := b.Key[0], " --"+flagFor(b.Heading)+" ..."
	switch b.Kind {
	case "part", "bag", "model", "place", "donor", "job":
		if command := bookOnly[flagFor(b.Heading)]; b.Kind == "bag" && command != "" {
			return fmt.Sprintf("; mend: tinful %s %s ...", command, own)
		}
		return fmt.Sprintf("; mend: tinful edit %s:%s%s", b.Kind, own, flag)
	case "goes":
		if b.Heading == "To no" { // the numbers tell the statement from others: it is taken back, and said again
			flag = " --from-no ... --to-no ..."
		}
		return fmt.Sprintf("; mend: tinful goes %s %s%s", own, b.Key[1], flag)
	}
	return ""
}
