package page

import (
	"errors"
	"fmt"
	"io"
	"mime/multipart"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"tinful/commands/photo"
	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/picture"
	"tinful/store/words"
)

// Pictures are shown small, and large behind that: made anew as JPEG each time, so that no
// byte of a file that somebody sent reaches a browser.

// sides are how long the longer side of a picture is, by the word in its address.
var sides = map[string]int{"small": 320, "large": 2000}

// An album are the pictures of a thing, those of the latest day first, and the form that
// takes more of them.
type album struct {
	Visit  *visit
	To     string // where the form goes
	Of     string // what they are of
	Step   string // of its strip-down, empty for none
	Shown  []shown
	All    string // where all of them are, empty where they stand here
	Count  int
	Before string // where the earlier ones are
}

// A shown picture is one as it stands on a screen.
type shown struct {
	Small, Large  string // empty for one that cannot be shown
	Words         string
	Width, Height int
}

// mostShown is how many pictures stand on the screen of a thing; mostListed on one that
// has nothing else.
const (
	mostShown  = 6
	mostListed = 48
)

// album is the album of a thing. step is that of its strip-down, 0 for all.
func (v *visit) album(ref store.Ref, step uint64) *album {
	all := asked(v, ask.PicturesOf, ref)
	a := &album{Visit: v, To: cameraPath("photo", ref), Of: string(ref.Code)}
	if step != 0 {
		a.Step = strconv.FormatUint(step, 10)
		all = slices.DeleteFunc(all, func(p ask.Pictured) bool { return p.Step != step })
	}
	slices.Reverse(all)
	if a.Count = len(all); a.Count > mostShown && step == 0 {
		all, a.All = all[:mostShown], v.Link(cameraPath("pictures", ref))
	}
	a.Shown = tell.Each(all, shownOf)
	return a
}

func shownOf(p ask.Pictured) shown {
	s := shown{Words: strings.Join(tell.Filled(tell.PictureOf(p.Picture), p.Seat, p.Day.String(), p.By, ask.PictureWords(p.Picture)), ", ")}
	if p.Format == "" {
		s.Words += " (kept as it is, and not shown)"
		return s
	}
	ref := store.Ref{Kind: p.Kind, Code: p.Code}
	s.Small, s.Large = pictureAt("small", ref, p.Hash), pictureAt("large", ref, p.Hash)
	s.Width, s.Height = photo.Fit(int(p.Width), int(p.Height), sides["small"])
	if p.Turn >= 5 {
		s.Width, s.Height = s.Height, s.Width
	}
	return s
}

// pictureAt is the address of a picture of a thing: by its hash, or by its name as long as
// it is not booked.
func pictureAt(size string, ref store.Ref, name string) string {
	return (&url.URL{Path: "/picture/" + size + "/" + ref.Kind + "/" + string(ref.Code) + "/" + name}).EscapedPath()
}

// thingAt is the thing that pictures are of, as the address names it.
func (v *visit) thingAt(l *store.Lookup) store.Ref {
	return look(l, v.r.PathValue("kind")+":"+v.r.PathValue("code"), store.NoteOn...)
}

// servePicture serves what a picture of a thing shows. Nothing is read but files that the
// store names, and none that is not what it was.
func servePicture(v *visit) error {
	var p store.Picture
	side, name := sides[v.r.PathValue("size")], v.r.PathValue("hash")
	err := v.page.ask(func(view *store.View) error {
		return v.reads(view, func() {
			ref := v.thingAt(v.view)
			all := found(v, view.PicturesOf, ref)
			if i := slices.IndexFunc(all, func(p store.Picture) bool { return p.Hash == name }); i >= 0 {
				p = all[i]
			} else if !store.IsKeptName(name) {
				v.view.Keep(store.Absent("%s has no such picture", ref.Code))
			}
		})
	})
	if err == nil && side == 0 {
		err = store.Absent("a picture is shown small or large")
	}
	if err != nil {
		return err
	}
	var b []byte
	if p.Hash != "" {
		b, err = v.page.bench.Photo(p)
	} else {
		var kept store.Photo
		kept, err = v.page.bench.Kept(name)
		b, p.Turn = kept.Bytes, kept.Turn
	}
	if err != nil {
		return err
	}
	if b, err = photo.Small(p, b, side); err != nil {
		return err
	}
	h := v.w.Header()
	h.Set("Content-Type", "image/jpeg")
	h.Set("Content-Security-Policy", "default-src 'none'; sandbox")
	h.Set("Cache-Control", fmt.Sprintf("private, max-age=%d, immutable", int(keyLife.Seconds())))
	_, _ = v.w.Write(b) // whoever asked is gone
	return nil
}

// showPictures are all pictures of a thing, the latest first.
func showPictures(v *visit) {
	ref := v.thingAt(v.view)
	all := asked(v, ask.PicturesOf, ref)
	slices.Reverse(all)
	a := &album{Visit: v, To: cameraPath("photo", ref), Of: string(ref.Code), Count: len(all)}
	from, _ := strconv.Atoi(v.given("from"))
	from = min(max(from, 0), len(all))
	to := min(from+mostListed, len(all))
	if to < len(all) {
		a.Before = v.Link(v.r.URL.Path, "from", strconv.Itoa(to))
	}
	a.Shown = tell.Each(all[from:to], shownOf)
	v.screen, v.Title, v.Body = "pictures", "pictures of "+ask.Title(v.view.View, ref), struct {
		To    string
		Album *album
	}{v.Thing(ref.Kind, ref.Code), a}
}

// Bounds of a form with pictures: each of them has those of a picture that is kept.
const (
	mostSent     = 64 << 20
	mostPictures = 12
)

var (
	errHeavy   = fmt.Errorf("the pictures have more than %d MB: send fewer at once", mostSent>>20)
	errMany    = fmt.Errorf("more than %d pictures: send fewer at once", mostPictures)
	errNoPhoto = errors.New("no picture was chosen")
	errKept    = errors.New(tell.NoPictureKept)
)

// sent are the pictures of a form, as they are to be kept.
func (v *visit) sent() (out []store.Photo, err error) {
	if v.r.MultipartForm == nil {
		return nil, nil
	}
	files := v.r.MultipartForm.File["picture"]
	if len(files) > mostPictures {
		return nil, errMany
	}
	for _, f := range files {
		b, err := bytesOf(f)
		if err != nil {
			return nil, err
		}
		p, _, err := photo.Read(b, words.Shown(f.Filename), false)
		if err != nil {
			return nil, err
		}
		out = append(out, p)
	}
	return out, nil
}

func bytesOf(f *multipart.FileHeader) ([]byte, error) {
	in, err := f.Open()
	if err != nil {
		return nil, err
	}
	defer in.Close()
	return io.ReadAll(io.LimitReader(in, picture.MaxBytes+1))
}

// keepFiles keeps the files of the pictures that were sent, before anything is booked and
// while nobody waits.
func keepFiles(v *visit) error {
	err := v.page.ask(func(view *store.View) error {
		return v.reads(view, func() {
			ref := v.thingAt(v.view)
			if step := v.step(); v.view.Err == nil && step != 0 {
				v.view.Err = view.HasStep(ref, step)
			}
		})
	})
	if err != nil {
		return err
	}
	if v.photos, err = v.sent(); err == nil && len(v.photos) == 0 {
		err = errNoPhoto
	}
	return errors.Join(err, v.keep())
}

// keep writes the files of the pictures that were sent.
func (v *visit) keep() error {
	for _, p := range v.photos {
		if err := v.page.bench.KeepPhoto(p); err != nil {
			return err
		}
	}
	return nil
}

// step is the step of a strip-down that a form names, 0 for none.
func (v *visit) step() uint64 {
	n, _ := strconv.ParseUint(v.given("step"), 10, 32)
	return n
}

// bookPhotos books the pictures that were sent.
func bookPhotos(v *visit) (string, error) {
	typed := []string{"photo", v.r.PathValue("code")}
	var shots []store.Shot
	for _, p := range v.photos {
		shots = append(shots, store.Shot{Photo: p, Step: v.step(), Caption: v.given("caption")})
		typed = append(typed, fileWord(p.Name))
	}
	var kept []store.Picture
	res, err := v.book(typed, func(l *store.Lookup, t *store.Tx) {
		if ref := v.thingAt(l); l.Err == nil {
			var made int
			if kept, made, l.Err = t.Photographs(ref, shots); made == 0 {
				l.Keep(errKept)
			}
		}
	})
	if err != nil {
		return "", err
	}
	v.page.said.keep(res, tell.PicturesKept(kept)...)
	return v.after(v.given("back"), res), nil
}

// fileWord is the name of a file as a word of a line that is no flag.
func fileWord(name string) string {
	if strings.HasPrefix(name, "-") {
		return "./" + name
	}
	return name
}

// withPictures tells whether a request is a form with pictures in it.
func withPictures(r *http.Request) bool {
	return strings.HasPrefix(r.Header.Get("Content-Type"), "multipart/form-data") &&
		slices.ContainsFunc([]string{"/photo/", "/strip/", scanPath}, func(p string) bool { return strings.HasPrefix(r.URL.Path, p) })
}
