package store

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"syscall"
	"time"

	"tinful/store/picture"
)

// A Photo is what a picture shows, as it is to be kept: clean, or as it is where Format
// is empty.
type Photo struct {
	picture.Clean
	Name   string // of the file it comes from, without its folder
	Unsure bool   // nobody can be sure that it shows something: it could not be decoded
}

// Hash is the SHA-256 of its bytes, in hex.
func (p Photo) Hash() string {
	sum := sha256.Sum256(p.Bytes)
	return hex.EncodeToString(sum[:])
}

func (p Photo) file() string { return fileOf(p.Hash(), p.Format) }

// File is the name of the file that holds what a picture shows, in the folder of pictures.
func (p Picture) File() string { return fileOf(p.Hash, p.Format) }

func fileOf(hash, format string) string {
	if format == "" {
		return hash
	}
	return hash + "." + format
}

func isHash(s string) bool {
	b, err := hex.DecodeString(s)
	return err == nil && len(b) == sha256.Size && strings.ToLower(s) == s
}

const photoEnding = ".photos"

// PhotoFolder is where the pictures of the store at path lie: beside it. A link to a store
// leads to the folder of the file itself.
func PhotoFolder(path string) string {
	if real, err := filepath.EvalSymlinks(path); err == nil {
		path = real
	}
	return filepath.Join(filepath.Dir(path), nameOf(path)+photoEnding)
}

// photoFolders are the folders in which a picture of the store, or of a copy of it, may
// lie: its own, those beside it, and of a copy among others those beside its store.
// Names are made of what a picture holds, so that any of them will do.
func photoFolders(path string) []string {
	own := PhotoFolder(path)
	out := []string{own}
	in := []string{filepath.Dir(own)}
	if filepath.Base(in[0]) == "backups" {
		in = append(in, filepath.Dir(in[0]))
	}
	for _, folder := range in {
		list, _ := os.ReadDir(folder) // where there is none, there are no pictures
		for _, f := range list {
			if name := filepath.Join(folder, f.Name()); f.IsDir() && strings.HasSuffix(name, photoEnding) && name != own {
				out = append(out, name)
			}
		}
	}
	return out
}

// PhotoFile is the file that holds what a picture of the store at path shows. It returns an
// [ErrNotFound] where it lies nowhere.
func PhotoFile(path string, p Picture) (string, error) {
	return photoFile(photoFolders(path), p.File())
}

// ReadPhoto is what a picture of the store at path shows. It returns an [ErrNotFound] where
// its file lies nowhere, and an [ErrRefused] where it is not what it was.
func ReadPhoto(path string, p Picture) ([]byte, error) {
	file, err := PhotoFile(path, p)
	if err != nil {
		return nil, err
	}
	b, sound, err := readPhoto(file)
	if err == nil && !sound {
		err = refuse("%s is not what it was: its file does not agree with its name", p.called())
	}
	return b, err
}

func photoFile(folders []string, name string) (string, error) {
	for _, folder := range folders {
		file := filepath.Join(folder, name)
		if info, err := os.Lstat(file); err == nil && info.Mode().IsRegular() {
			return file, nil
		}
	}
	return "", Absent("the picture %s is missing in %s", name, folders[0])
}

// readPhoto is what a file holds, and whether it is what its name says.
func readPhoto(file string) (b []byte, sound bool, err error) {
	f, err := os.Open(file)
	if err != nil {
		return nil, false, err
	}
	defer f.Close()
	b, err = io.ReadAll(io.LimitReader(f, picture.MaxBytes+1))
	hash, _, _ := strings.Cut(filepath.Base(file), ".")
	return b, err == nil && (Photo{Clean: picture.Clean{Bytes: b}}).Hash() == hash, err
}

// keptName is the name of a photo whose file is kept and that is not booked yet: how its
// hash begins, and how it is upright.
var keptName = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`^picture-([0-9a-f]{10})(?:-([2-8]))?\.([a-z]+)$`) })

// KeptName is what strip notes call a photo whose file is kept and that is booked with them.
func (p Photo) KeptName() string {
	turn := ""
	if p.Turn > 1 {
		turn = fmt.Sprintf("-%d", p.Turn)
	}
	return fmt.Sprintf("picture-%s%s.%s", p.Hash()[:10], turn, p.Format)
}

// IsKeptName tells whether a name is one that [Photo.KeptName] gives.
func IsKeptName(name string) bool { return keptName().MatchString(name) }

// KeptPhoto is the photo of a [Photo.KeptName] that lies beside the store at path. It
// returns an [ErrNotFound] where there is none.
func KeptPhoto(path, name string) (Photo, error) { return keptPhoto(photoFolders(path), name) }

func keptPhoto(folders []string, name string) (p Photo, err error) {
	m := keptName().FindStringSubmatch(name)
	if m == nil {
		return p, Absent("%s is no picture that is kept", name)
	}
	for _, folder := range folders {
		files, err := filepath.Glob(filepath.Join(globbed.Replace(folder), m[1]+"*."+m[3]))
		if err != nil || len(files) != 1 {
			continue
		}
		b, sound, err := readPhoto(files[0])
		if err != nil || !sound {
			continue
		}
		if p.Clean, err = picture.Strip(b); err != nil {
			return p, err
		}
		p.Bytes, p.Name = b, name
		if p.Turn = 0; m[2] != "" {
			p.Turn = m[2][0] - '0'
		}
		return p, nil
	}
	return p, Absent("the picture %s is missing in %s", name, folders[0])
}

// globbed is a path of which no byte means anything to Glob.
var globbed = strings.NewReplacer(`*`, `\*`, `?`, `\?`, `[`, `\[`, `\`, `\\`)

// KeepPhoto writes what a picture shows into the folder of pictures of the store at path.
// It is there whole or not at all, on the disk, and belongs to the owner of the store alone.
// One that is there already stays.
func KeepPhoto(path string, p Photo) error {
	return keepPhoto(PhotoFolder(path), p.file(), p.Bytes)
}

func keepPhoto(folder, name string, b []byte) error {
	err := writePhoto(folder, name, b)
	if errors.Is(err, syscall.ENOSPC) {
		err = fmt.Errorf("the disk of %s is full: the picture is not kept", folder)
	}
	return err
}

func writePhoto(folder, name string, b []byte) error {
	file := filepath.Join(folder, name)
	if info, err := os.Lstat(file); err == nil && info.Mode().IsRegular() && info.Size() == int64(len(b)) {
		if have, err := os.ReadFile(file); err == nil && bytes.Equal(have, b) {
			return nil
		}
	}
	if _, err := os.Stat(folder); errors.Is(err, fs.ErrNotExist) {
		if err := os.MkdirAll(folder, ownFolder); err != nil {
			return err
		}
		if err := syncFolder(filepath.Dir(folder)); err != nil {
			return err
		}
	}
	f, err := beside(file)
	if err != nil {
		return err
	}
	defer os.Remove(f.Name())
	_, err = f.Write(b)
	if err = errors.Join(err, f.Sync(), f.Close()); err != nil {
		return err
	}
	sweepPhotos(folder, f.Name())
	if err := os.Rename(f.Name(), file); err != nil {
		return err
	}
	return syncFolder(folder)
}

// photoLeftover says whether a file is a picture under a temporary name.
func photoLeftover(name string) bool {
	meant, is := leftover(name)
	sum, kind, more := strings.Cut(meant, ".")
	return is && len(sum) == 64 && strings.Trim(sum, "0123456789abcdef") == "" && (!more || kind != "" && strings.Trim(kind, "abcdefghijklmnopqrstuvwxyz") == "")
}

// sweepPhotos takes away what killed programs left in the folder of pictures, once it is a
// day older than a file that was just made.
func sweepPhotos(folder, fresh string) {
	now, err := os.Stat(fresh)
	if err != nil {
		return
	}
	list, _ := os.ReadDir(folder)
	for _, f := range list {
		info, err := f.Info()
		if err == nil && photoLeftover(f.Name()) && now.ModTime().Sub(info.ModTime()) > 24*time.Hour {
			_ = os.Remove(filepath.Join(folder, f.Name()))
		}
	}
}

// Photos are the files of the pictures of a store.
type Photos struct {
	Folder   string
	Named    int      // pictures that the store names, each file once
	Problems []string // files that are missing, or are not what they were
	Unnamed  []string // files that no picture of the store names, by their names
}

// PhotosOf reads every file that the pictures of the store at path name. It changes nothing.
func PhotosOf(path string) (out Photos, err error) {
	folders := photoFolders(path)
	named, err := photosNamed(path, folders)
	if err != nil {
		return out, err
	}
	out.Folder, out.Named = PhotoFolder(path), len(named)
	known := map[string]bool{}
	for _, p := range named {
		known[p.File()] = true
		file, err := photoFile(folders, p.File())
		if err != nil {
			out.Problems = append(out.Problems, fmt.Sprintf("%s is missing: %s is not in %s", p.called(), p.File(), out.Folder))
			continue
		}
		if _, sound, err := readPhoto(file); err != nil {
			out.Problems = append(out.Problems, fmt.Sprintf("%s cannot be read: %v", p.called(), err))
		} else if !sound {
			out.Problems = append(out.Problems, fmt.Sprintf("%s is not what it was: %s does not agree with its name", p.called(), file))
		}
	}
	list, _ := os.ReadDir(out.Folder) // where there is none, nothing is in it
	for _, f := range list {
		if !known[f.Name()] && !photoLeftover(f.Name()) {
			out.Unnamed = append(out.Unnamed, f.Name())
		}
	}
	return out, nil
}

// called is a picture as people are told of it.
func (p Picture) called() string {
	text := fmt.Sprintf("picture %d of %s", p.Nth, p.Code)
	if p.Name != "" {
		text += " (" + p.Name + ")"
	}
	return text
}

// photosNamed are the pictures of a store, of each file the first. What is typed and not
// booked yet tells only how the names of its files begin: they are looked for in folders.
func photosNamed(path string, folders []string) (out []Picture, err error) {
	s, err := openUnchanged(path)
	if err != nil {
		return nil, err
	}
	seen := map[string]bool{}
	add := func(p Picture) error {
		if !seen[p.File()] {
			seen[p.File()] = true
			out = append(out, p)
		}
		return nil
	}
	err = s.View(func(v *View) error {
		return errors.Join(v.EachPicture(add), each(v, bDraft, func(d Draft) error {
			for _, name := range d.pictures() {
				if p, err := keptPhoto(folders, name); err == nil { // one that is lost is named when it is booked
					_ = add(Picture{Kind: d.Kind, Code: d.Camera, Hash: p.Hash(), Format: p.Format, Name: name})
				}
			}
			return nil
		}))
	})
	return out, errors.Join(err, s.Close())
}

// PhotosLacking are the pictures whose files are missing, without reading those that are
// there.
func PhotosLacking(path string) (lacks []Picture, named int, err error) {
	folders := photoFolders(path)
	all, err := photosNamed(path, folders)
	if err != nil {
		return nil, 0, err
	}
	for _, p := range all {
		if _, err := photoFile(folders, p.File()); err != nil {
			lacks = append(lacks, p)
		}
	}
	return lacks, len(all), nil
}

// A photoCopy is what came of copying the files of pictures.
type photoCopy struct {
	Named int
	Lacks []Picture // those that are missing or spoilt where they lay, and so in the copy
}

// copyPhotos copies the files that the store in the file named by store names, from the
// folders from to the folder to. One that is there already is not copied again.
func copyPhotos(store string, from []string, to string) (out photoCopy, err error) {
	all, err := photosNamed(store, append(slices.Clone(from), to))
	if err != nil {
		return out, err
	}
	out.Named = len(all)
	out.Lacks, err = copyThese(all, from, to)
	return out, err
}

// copyThese copies the files of some pictures, and returns those of which there is none to
// copy.
func copyThese(all []Picture, from []string, to string) (lacks []Picture, err error) {
	for _, p := range all {
		lack, err := copyPhoto(p.File(), from, to)
		if err != nil {
			return lacks, err
		}
		if lack {
			lacks = append(lacks, p)
		}
	}
	return lacks, nil
}

func copyPhoto(name string, from []string, to string) (lacks bool, err error) {
	source, err := photoFile(from, name)
	if err != nil {
		_, err := photoFile([]string{to}, name) // from another time
		return err != nil, nil
	}
	have, err := os.Lstat(filepath.Join(to, name))
	was, werr := os.Lstat(source)
	if err == nil && werr == nil && have.Mode().IsRegular() && have.Size() == was.Size() {
		return false, nil
	}
	b, sound, err := readPhoto(source)
	if err != nil || !sound {
		return true, nil // it is for check to say what is wrong with it
	}
	return false, keepPhoto(to, name, b)
}

// EachPicture calls fn for every picture.
func (v *View) EachPicture(fn func(Picture) error) error { return each(v, bPicture, fn) }

// EachPictureRow calls fn for every picture with the name of its file in an export.
func (v *View) EachPictureRow(fn func(PictureRow) error) error { return PictureRows(v.EachPicture)(fn) }

// PicturesOf lists the pictures of a thing, the first first.
func (v *View) PicturesOf(r Ref) ([]Picture, error) {
	return list[Picture](v, bPicture, prefix(r.Kind, string(r.Code)))
}

// A Shot is a picture as it is to be booked.
type Shot struct {
	Photo
	Step    uint64 // of the strip-down of a donor or job, 0 for none
	Caption string
}

// Photograph keeps a picture of a thing: its file first, then the record, dated with the
// booking. One that the thing has already, of the same step, is returned as it is; a new
// caption is written to it. made says that something was booked.
func (t *Tx) Photograph(r Ref, s Shot) (p Picture, made bool, err error) {
	if s.Caption, err = CleanText(s.Caption); err != nil {
		return p, false, err
	}
	if s.Name, err = CleanText(s.Name); err != nil {
		s.Name = "" // a name that cannot be told is none
	}
	all, err := t.PicturesOf(r)
	if err == nil && s.Step != 0 {
		err = t.HasStep(r, s.Step)
	}
	if err != nil {
		return p, false, err
	}
	hash := s.Hash()
	if i := slices.IndexFunc(all, func(o Picture) bool { return o.Hash == hash && o.Step == s.Step }); i >= 0 {
		p = all[i]
		if s.Caption == "" || s.Caption == p.Caption {
			return p, false, KeepPhoto(t.tx.DB().Path(), s.Photo) // it may have been lost
		}
		p.Caption = s.Caption
	} else {
		p = Picture{Kind: r.Kind, Code: r.Code, Nth: 1, Hash: hash, Format: s.Format, Turn: s.Turn, Width: int64(s.Width), Height: int64(s.Height),
			Step: s.Step, Caption: s.Caption, Name: s.Name, Day: t.Day(), By: t.head.By, Unsure: s.Unsure}
		if len(all) > 0 {
			p.Nth = all[len(all)-1].Nth + 1
		}
	}
	if err := KeepPhoto(t.tx.DB().Path(), s.Photo); err != nil {
		return p, false, err
	}
	return p, true, t.Put(p)
}

// Photographs keeps pictures of a thing, and says how many of them were booked.
func (t *Tx) Photographs(r Ref, shots []Shot) (kept []Picture, made int, err error) {
	for _, s := range shots {
		p, is, err := t.Photograph(r, s)
		if err != nil {
			return nil, 0, err
		}
		if kept = append(kept, p); is {
			made++
		}
	}
	return kept, made, nil
}

// HasStep refuses a step that the strip-down of a camera does not have, with an
// [ErrNotFound].
func (v *View) HasStep(r Ref, nth uint64) error {
	if r.Kind != bDonor && r.Kind != bJob {
		return nil // a rule of the record says so
	}
	all, err := v.StepsOf(r.Kind, r.Code)
	switch {
	case err != nil || slices.ContainsFunc(all, func(s Step) bool { return s.Nth == nth }):
		return err
	case len(all) == 0:
		return Absent("%s has no step %d: no step of its strip-down is kept", r.Code, nth)
	}
	return Absent("%s has no step %d: its steps end with %d", r.Code, nth, all[len(all)-1].Nth)
}

// unpictured refuses to take a step away of which there is a picture.
func (t *Tx) unpictured(key []byte) error {
	kind, camera, nth, ok := ofThing(key)
	if !ok {
		return nil
	}
	all, err := t.PicturesOf(Ref{kind, camera})
	if i := slices.IndexFunc(all, func(p Picture) bool { return p.Step == nth }); err == nil && i >= 0 {
		err = refuse("step %d of %s cannot be taken away: a picture of %s shows it", nth, camera, all[i].Day)
	}
	return err
}
