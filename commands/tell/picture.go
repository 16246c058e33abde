package tell

import (
	"fmt"
	"path/filepath"
	"strings"

	"tinful/store"
	"tinful/store/ask"
)

// PictureOf is what a picture shows, in short: its thing and step.
func PictureOf(p store.Picture) string {
	text := string(p.Code)
	if p.Step != 0 {
		text += fmt.Sprintf(" step %d", p.Step)
	}
	return text
}

// PicturesKept says which pictures are kept, each in a line.
func PicturesKept(list []store.Picture) []string {
	return Each(list, func(p store.Picture) string { return fmt.Sprintf("%s: %s", PictureOf(p), ask.PictureWords(p)) })
}

// NoPictureKept says that the pictures were there.
const NoPictureKept = "kept already: nothing is booked"

// PictureLines are pictures of one thing, each in a line.
func PictureLines(list []store.Picture) (lines []string) {
	for _, p := range list {
		step := ""
		if p.Step != 0 {
			step = fmt.Sprintf(" step %d", p.Step)
		}
		lines = append(lines, fmt.Sprintf("%s %s%s: %s", p.Day, p.By, step, ask.PictureWords(p)))
	}
	return lines
}

// Pictures prints pictures, each with its thing and the file that it lies in.
func Pictures(s *Screen, list []ask.Pictured, folder string) {
	for i, p := range list {
		head := fmt.Sprintf(":%d  %s", i+1, strings.Join(Filled(PictureOf(p.Picture), p.Seat, p.Day.String(), p.By, ask.PictureWords(p.Picture)), "  "))
		s.Println(Hang(head, s.Columns(), 4))
		s.Println("    " + p.File())
	}
	s.Println(Hang("in "+filepath.Clean(folder), s.Columns(), 2))
}

// PictureAnswer is a picture as JSON: width and height are those of the file, which is
// upright as turn says (1 to 8, as Exif has it).
func PictureAnswer(p ask.Pictured) map[string]any {
	a := map[string]any{"kind": p.Kind, "code": p.Code, "picture": p.Nth, "file": p.File(), "format": p.Format, "day": p.Day, "by": p.By, "caption": p.Caption,
		"name": p.Name, "title": p.Title, "seat": p.Seat, "shows": p.Shows, "turn": max(1, p.Turn)}
	for name, n := range map[string]int64{"width": p.Width, "height": p.Height, "step": int64(p.Step)} {
		if n != 0 {
			a[name] = n
		}
	}
	return Known(a)
}

// UnnamedPhotos tells of files that no picture names, as a remark.
func UnnamedPhotos(p store.Photos) []string {
	n := len(p.Unnamed)
	if n == 0 {
		return nil
	}
	return []string{fmt.Sprintf("%s in %s no picture names any more (%s): kept, for a copy of the store may name them", Many(n, "file"), p.Folder, Commas(p.Unnamed[:min(n, 3)]))}
}

// AndPictures is how many pictures are kept beside what is counted before, empty for none.
func AndPictures(n int) string {
	if n == 0 {
		return ""
	}
	return " and " + Many(n, "picture")
}

// PhotosLack tells of pictures of which there is no file.
func PhotosLack(n int) string {
	return Many(n, "picture") + " of it " + map[bool]string{true: "is", false: "are"}[n == 1] + " missing"
}
