package store

import (
	"errors"
	"fmt"
	"io"
	"os"
	"regexp"
	"slices"
	"strings"
	"sync"

	"tinful/store/picture"
)

// Pictures of a workbook: a row a picture, and its file in a folder beside.

// A PictureRow is a picture, and the file that holds what it shows.
type PictureRow struct {
	Picture
	File   string // its name in the folder of pictures beside the workbook
	AsItIs bool   // it is to be kept though it is no picture that can be read
	Path   string // where the file lies; empty where it is not at hand
}

var shortEnding = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`\.[A-Za-z0-9]{1,8}$`) })

// PictureRows calls fn for pictures with the names of their files: those that show the
// same share the file of the first.
func PictureRows(each func(func(Picture) error) error) func(func(PictureRow) error) error {
	return func(fn func(PictureRow) error) error {
		files := map[string]string{}
		return each(func(p Picture) error {
			shows := fmt.Sprintf("%s %d", p.File(), p.Turn) // a file stands upright
			file, ok := files[shows]
			if !ok {
				ending := shortEnding().FindString(p.Name)
				if p.Format != "" {
					ending = "." + p.Format
				}
				file = fmt.Sprintf("%s-%s-%d%s", p.Kind, strings.ReplaceAll(string(p.Code), "/", "_"), p.Nth, strings.ToLower(ending))
				files[shows] = file
			}
			return fn(PictureRow{Picture: p, File: file, AsItIs: p.Unsure || p.Format == ""})
		})
	}
}

// pictureName is a name that [PictureRows] gives.
var pictureName = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`^(part|bag|donor|job|place)-[A-Z0-9._-]+-[0-9]+(\.[a-z0-9]{1,8})?$`)
})

// IsPictureName tells a name that a file of an export may have.
func IsPictureName(name string) bool { return pictureName().MatchString(name) }

// planPictures plans the rows of pictures. A file is looked at by the rules of a picture
// that is taken in at the bench; of a picture that is here the file may be missing.
func (p *Plan) planPictures() error {
	had, last := map[Ref][]Picture{}, map[Ref]uint64{}
	var pictures []Picture
	var rows []int
	var lacks []string
	for i, r := range p.load.Pictures {
		var ok bool
		if r.Kind, ok = p.kindOf("Pictures", i, "Thing", r.Kind, r.Code, NoteOn...); !ok {
			continue
		}
		of := Ref{r.Kind, r.Code}
		if _, met := had[of]; !met {
			had[of] = nil
			if p.view != nil {
				all, err := p.view.PicturesOf(of)
				if err != nil {
					return err
				}
				had[of] = all
				if len(all) > 0 {
					last[of] = all[len(all)-1].Nth
				}
			}
		}
		if ok, err := p.planShown(i, &r, had[of]); err != nil {
			return err
		} else if !ok {
			if r.Path == "" && r.Hash == "" {
				p.tally("Pictures").Refused++
				name, cell, _ := p.cell("Pictures", i, "File")
				lacks = append(lacks, fmt.Sprintf("%s!%s %s", name, cell, r.File))
			}
			continue
		}
		if r.Nth == 0 {
			at := slices.IndexFunc(had[of], func(x Picture) bool { return x.Hash == r.Hash && x.Step == r.Step })
			if r.Nth = last[of] + 1; at >= 0 {
				r.Nth = had[of][at].Nth
			} else {
				r.Name, r.By = or(r.Name, r.File), or(r.By, p.head.By)
				if r.Day == 0 {
					r.Day = p.head.Day
				}
			}
		}
		last[of] = max(last[of], r.Nth)
		pictures, rows = append(pictures, r.Picture), append(rows, i)
	}
	if len(lacks) > 0 {
		p.Said = append(p.Said, fmt.Sprintf("%s without their files beside the list: left out: %s", countOf(len(lacks), "picture"), firstOf(lacks)))
	}
	return planOwn(p, pictureKind, "Pictures", pictures, func(i int) int { return rows[i] }, func(was, now Picture) string {
		if was.Hash == now.Hash {
			return ""
		}
		return fmt.Sprintf("picture %d of %s %s is another here: without a number it is added", was.Nth, was.Kind, was.Code)
	})
}

// planShown fills in what the file of a row shows. It is false where the row cannot be
// taken in.
func (p *Plan) planShown(i int, r *PictureRow, had []Picture) (bool, error) {
	if r.Path == "" {
		at := slices.IndexFunc(had, func(x Picture) bool {
			return x.Nth == r.Nth && (r.Name == "" || r.Name == x.Name) && (r.Day == 0 || r.Day == x.Day)
		})
		if at < 0 {
			return false, nil
		}
		r.Hash, r.Format = had[at].Hash, had[at].Format
	} else {
		shot, err := p.load.Look(r.Path, r.AsItIs)
		switch {
		case errors.Is(err, picture.ErrUnread) || errors.Is(err, picture.ErrLarge):
			p.advised(NoPicture, "Pictures", i, "File", "%v", err)
			return false, nil
		case errors.Is(err, picture.ErrHeavy):
			p.problem("Pictures", i, "File", "%v", err)
			return false, nil
		case err != nil:
			return false, err
		}
		r.Hash, r.Format, r.Unsure, r.Turn, r.Width, r.Height = shot.Hash(), shot.Format, shot.Unsure, shot.Turn, int64(shot.Width), int64(shot.Height)
		p.photos = append(p.photos, *r)
	}
	if r.Step == 0 {
		return true, nil
	}
	for _, s := range p.load.Steps {
		if s.Camera == r.Code && s.Nth == r.Step && (s.Kind == "" || s.Kind == r.Kind) {
			return true, nil
		}
	}
	var err error = Absent("%s has no step %d", r.Code, r.Step)
	if p.view != nil {
		err = p.view.HasStep(Ref{r.Kind, r.Code}, r.Step)
	}
	if errors.Is(err, ErrNotFound) && (r.Kind == bDonor || r.Kind == bJob) {
		p.problem("Pictures", i, "Step", "%v", err)
		return false, nil
	}
	return !errors.Is(err, ErrDamaged), ignoreAbsent(err)
}

func ignoreAbsent(err error) error {
	if errors.Is(err, ErrNotFound) {
		return nil
	}
	return err
}

// NoPicture is the kind of a problem of a file that is no picture that can be read.
const NoPicture ReasonKind = "no-picture"

func countOf(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// firstOf names the first of some cells.
func firstOf(all []string) string {
	const few = 3
	if len(all) <= few {
		return strings.Join(all, ", ")
	}
	return fmt.Sprintf("%s and %d more", strings.Join(all[:few], ", "), len(all)-few)
}

// keepPhotos keeps the files of the pictures of a workbook for the store at path, before
// what they show is booked. What was looked at is what is kept, or nothing is.
func (p *Plan) keepPhotos(path string) error {
	for _, r := range p.photos {
		b, err := bytesOf(r.Path)
		if err != nil {
			return err
		}
		shot := Photo{Clean: picture.Clean{Bytes: b}}
		if r.Format != "" {
			if shot.Clean, err = picture.Strip(b); err != nil && shot.Bytes == nil {
				return err
			}
		}
		if shot.Hash() != r.Hash {
			return refuse("%s was changed while it was taken in", r.Path)
		}
		if err := KeepPhoto(path, shot); err != nil {
			return err
		}
	}
	return nil
}

func bytesOf(path string) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(io.LimitReader(f, picture.MaxBytes+1))
}
