package commands

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"io"
	"mime/multipart"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// A sentFile is a picture that goes with a form.
type sentFile struct {
	name string
	b    []byte
}

// sendFiles sends a form with pictures as a browser does.
func (p *pageWorld) sendFiles(path string, form url.Values, files ...sentFile) (int, string, string) {
	p.t.Helper()
	var body bytes.Buffer
	w := multipart.NewWriter(&body)
	for name, all := range form {
		for _, x := range all {
			if err := w.WriteField(name, x); err != nil {
				p.t.Fatal(err)
			}
		}
	}
	for _, f := range files {
		part, err := w.CreateFormFile("picture", f.name)
		if err == nil {
			_, err = part.Write(f.b)
		}
		if err != nil {
			p.t.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		p.t.Fatal(err)
	}
	r, err := http.NewRequest("POST", p.root+path, &body)
	if err != nil {
		p.t.Fatal(err)
	}
	r.Header.Set("Content-Type", w.FormDataContentType())
	r.Header.Set("Origin", p.root)
	res, err := p.client.Do(r)
	if err != nil {
		p.t.Fatal(err)
	}
	to := res.Header.Get("Location")
	status, text := answered(p.t, res)
	return status, text, to
}

// jpegOf is a picture of one colour, w x h, with a segment that says where it was taken.
func jpegOf(t *testing.T, w, h int, c color.Color) []byte {
	t.Helper()
	m := image.NewRGBA(image.Rect(0, 0, w, h))
	for i := range w * h {
		m.Set(i%w, i/w, c)
	}
	var out bytes.Buffer
	if err := jpeg.Encode(&out, m, nil); err != nil {
		t.Fatal(err)
	}
	where := "Exif\x00\x00" + secretPlace
	segment := append([]byte{0xff, 0xe1, 0, byte(len(where) + 2)}, where...)
	return append(append(bytes.Clone(out.Bytes()[:2]), segment...), out.Bytes()[2:]...)
}

const secretPlace = "47.1 N 8.2 E, the back door"

var imagePattern = regexp.MustCompile(`<img src="([^"]*)" alt="([^"]*)" width="([0-9]+)" height="([0-9]+)"`)

// Pictures are sent with a form, kept once without the place where they were taken, shown
// small and large as new JPEGs, and taken back as any booking.
func TestPagePictures(t *testing.T) {
	p := servePageOf(t)
	red, blue := jpegOf(t, 640, 480, color.RGBA{200, 0, 0, 255}), jpegOf(t, 300, 600, color.RGBA{0, 0, 200, 255})
	for _, thing := range []string{"part/P001", "bag/B283", "job/105", "donor/PC-03"} {
		before := p.bookings()
		_, screen := p.get("/" + thing)
		form := p.form(screen, "/photo/"+thing)
		form.Set("caption", `the <b>catch</b> & "tip"`)
		status, text, to := p.sendFiles("/photo/"+thing, form, sentFile{"a<script>.jpg", red}, sentFile{"--store=x.jpg", blue})
		if status != http.StatusSeeOther {
			t.Fatalf("%s: %d %s", thing, status, plainText(text))
		}
		if n := p.bookings() - before; n != 1 {
			t.Errorf("%s: %d bookings of one form", thing, n)
		}
		_, text = p.get(to)
		if strings.Contains(text, "<script>.jpg") || strings.Contains(text, "<b>catch") {
			t.Errorf("%s: the name of a file runs:\n%s", thing, text)
		}
		p.wants(plainText(text), `the <b>catch</b> & "tip"`, "2 pictures")
		all := imagePattern.FindAllStringSubmatch(text, -1)
		if len(all) != 2 || all[0][3]+"x"+all[0][4] != "160x320" || all[1][3]+"x"+all[1][4] != "320x240" {
			t.Fatalf("%s: its pictures are %q", thing, all)
		}
		for i, side := range map[string]int{all[1][1]: 320, strings.Replace(all[1][1], "/small/", "/large/", 1): 640} {
			r, err := p.client.Get(p.root + i)
			if err != nil {
				t.Fatal(err)
			}
			b, _ := io.ReadAll(r.Body)
			r.Body.Close()
			h := r.Header
			if h.Get("Content-Type") != "image/jpeg" || h.Get("X-Content-Type-Options") != "nosniff" || h.Get("Content-Security-Policy") != "default-src 'none'; sandbox" || !strings.Contains(h.Get("Cache-Control"), "private") {
				t.Errorf("%s: %d %v", i, r.StatusCode, h)
			}
			m, err := jpeg.Decode(bytes.NewReader(b))
			if err != nil || m.Bounds().Dx() != side {
				t.Errorf("%s: %v, not %d wide", i, err, side)
			} else if red, _, blue, _ := m.At(side/2, 9).RGBA(); red < 0x8000 || blue > 0x4000 {
				t.Errorf("%s is not red", i)
			}
		}
		// Sent once more, from the screen as it is now: nothing is booked.
		_, screen = p.get("/" + thing)
		status, text, _ = p.sendFiles("/photo/"+thing, p.form(screen, "/photo/"+thing), sentFile{"again.jpg", red})
		if status != http.StatusConflict || !strings.Contains(text, "kept already") {
			t.Errorf("%s: the same again is %d %s", thing, status, plainText(text))
		}
	}
	folder, err := filepath.Glob(filepath.Join(p.home, "*.photos", "*"))
	if err != nil || len(folder) != 2 {
		t.Fatalf("the files are %q, %v", folder, err)
	}
	for _, file := range folder {
		b, err := os.ReadFile(file)
		if err != nil || bytes.Contains(b, []byte("back door")) {
			t.Errorf("%s says where it was taken, or: %v", file, err)
		}
	}
	_, book := p.line("log")
	if !strings.Contains(book, "photo PC-03") {
		t.Errorf("the book: %s", book)
	}
	_, screen := p.get("/donor/PC-03")
	if status, text, _ := p.send("/undo", p.form(screen, "/undo")); status != http.StatusSeeOther {
		t.Fatalf("%d %s", status, plainText(text))
	}
	if _, screen = p.get("/donor/PC-03"); strings.Contains(screen, "<img") {
		t.Error("a picture that was taken back is shown")
	}
	// A file that is another one by now is not shown.
	if err := os.WriteFile(folder[0], []byte("<svg onload=alert(1)>"), 0o600); err != nil {
		t.Fatal(err)
	}
	shown := 0
	_, screen = p.get("/part/P001")
	for _, m := range imagePattern.FindAllStringSubmatch(screen, -1) {
		status, text := p.get(m[1])
		if shown += status; strings.Contains(text, "<svg") {
			t.Errorf("%s serves what is in the folder", m[1])
		}
	}
	if shown != http.StatusOK+http.StatusConflict {
		t.Errorf("one of two files was spoilt: %d", shown)
	}
}

// What is no picture, too large, too many or of no thing is refused, and no file of it is
// kept.
func TestPagePicturesRefused(t *testing.T) {
	p := servePageOf(t)
	good := jpegOf(t, 20, 20, color.Black)
	var bomb bytes.Buffer // 30 000 x 30 000 by its head
	if err := png.Encode(&bomb, image.NewPaletted(image.Rect(0, 0, 1, 1), color.Palette{color.White})); err != nil {
		t.Fatal(err)
	}
	big := bytes.Clone(bomb.Bytes())
	copy(big[16:], []byte{0, 0, 0x75, 0x30, 0, 0, 0x75, 0x30})
	binary.BigEndian.PutUint32(big[29:], crc32.ChecksumIEEE(big[12:29]))
	_, screen := p.get("/part/P001")
	form := p.form(screen, "/photo/part/P001")
	before := p.bookings()
	many := make([]sentFile, 13)
	for i := range many {
		many[i] = sentFile{"x.jpg", good}
	}
	for _, test := range []struct {
		name   string
		files  []sentFile
		with   [2]string
		status int
	}{
		{"an SVG", []sentFile{{"a.jpg", []byte(`<svg xmlns="http://www.w3.org/2000/svg" onload="alert(1)"/>`)}}, [2]string{}, 415},
		{"a page", []sentFile{{"a.png", []byte("<!doctype html><script>alert(1)</script>")}}, [2]string{}, 415},
		{"one cut off", []sentFile{{"a.jpg", good[:len(good)/2]}}, [2]string{}, 415},
		{"a good one beside one cut off", []sentFile{{"a.jpg", good}, {"b.jpg", good[:len(good)/2]}}, [2]string{}, 415},
		{"a bomb", []sentFile{{"a.png", big}}, [2]string{}, 413},
		{"too heavy", []sentFile{{"a.jpg", append(bytes.Clone(good), make([]byte, 31<<20)...)}}, [2]string{}, 413},
		{"too much at once", []sentFile{{"a.jpg", make([]byte, 65<<20)}}, [2]string{}, 413},
		{"too many", many, [2]string{}, 413},
		{"none", nil, [2]string{}, 400},
		{"a caption that is none", []sentFile{{"a.jpg", good}}, [2]string{"caption", "a\x00b"}, 400},
		{"a step of no camera", []sentFile{{"a.jpg", good}}, [2]string{"step", "3"}, 409},
		{"no word", []sentFile{{"a.jpg", good}}, [2]string{"once", "x.y"}, 403},
	} {
		f := without(form, "")
		if test.with[0] != "" {
			f.Set(test.with[0], test.with[1])
		}
		if status, text, _ := p.sendFiles("/photo/part/P001", f, test.files...); status != test.status {
			t.Errorf("%s: %d, not %d: %s", test.name, status, test.status, plainText(text))
		}
	}
	if status, _, _ := p.sendFiles("/photo/part/P999", form, sentFile{"a.jpg", good}); status != 403 {
		t.Errorf("a word for another thing: %d", status)
	}
	if status, _, _ := p.sendFiles("/fit", form, sentFile{"a.jpg", good}); status != 403 {
		t.Errorf("a form without pictures is read with them: %d", status)
	}
	for _, path := range []string{"/picture/small/part/P001/" + strings.Repeat("a", 64), "/picture/huge/part/P001/x", "/picture/small/part/..%2f..%2fw.db/x", "/picture/small/part/P001/..%2f..%2fw.db", "/picture/small/model/W1-A/x"} {
		if status, _ := p.get(path); status != http.StatusNotFound {
			t.Errorf("%s: %d", path, status)
		}
	}
	if n := p.bookings() - before; n != 0 {
		t.Errorf("%d bookings of what is refused", n)
	}
	if files, _ := filepath.Glob(filepath.Join(p.home, "*.photos", "*")); len(files) > 1 { // that with the caption, which is cleaned when it is booked
		t.Errorf("files are kept: %q", files)
	}
}

// A camera is taken apart with three pictures: kept beside the store as each step is, a
// choice that is asked loses none, and they are booked with the steps by page or line.
func TestPageStripsWithPictures(t *testing.T) {
	p := servePageOf(t)
	shot := func(i uint8) sentFile {
		return sentFile{"image.jpg", jpegOf(t, 64, 48, color.RGBA{i * 80, 90, 0, 255})}
	}
	const path = "/strip/donor/PC-11"
	for i := range uint8(2) {
		_, screen := p.get(path)
		form := p.form(screen, path)
		form.Set("n", "1")
		if status, text, _ := p.sendFiles(path, form, shot(i)); status != http.StatusSeeOther {
			t.Fatalf("%d %s", status, plainText(text))
		}
	}
	// "spring" is several parts: it is asked which, and the picture goes along.
	_, screen := p.get(path)
	form := without(p.form(screen, path), "part")
	form.Set("line", "off click spring")
	form.Set("choose", "chosen")
	status, text, to := p.sendFiles(path, form, shot(2))
	if status == http.StatusConflict {
		status, text, to = p.send(path, p.form(text, path))
	}
	if status != http.StatusSeeOther {
		t.Fatalf("%d %s", status, plainText(text))
	}
	_, text = p.get(to)
	names := regexp.MustCompile(`<img src="(/picture/small/donor/PC-11/picture-[0-9a-f]{10}\.jpg)"`).FindAllStringSubmatch(text, -1)
	if len(names) != 3 {
		t.Fatalf("%d pictures of three steps:\n%s", len(names), text)
	}
	for _, m := range names {
		if status, _ := p.get(m[1]); status != http.StatusOK {
			t.Errorf("%s: %d", m[1], status)
		}
	}
	if _, said := p.line("check"); strings.Contains(said, "no picture names") {
		t.Errorf("check does not know what is typed: %s", said)
	}
	away := t.TempDir()
	if code, said := p.line("backup", filepath.Join(away, "w.db")); code != exitOK {
		t.Error(said)
	}
	if files, _ := filepath.Glob(filepath.Join(away, "w.photos", "*.jpg")); len(files) != 3 {
		t.Errorf("the copy has %q", files)
	}
	p.wants(p.sends(path, "/stripped/donor/PC-11", "grade", "usable"), "3 steps of PC-11 booked")
	for step := 1; step <= 3; step++ {
		_, text := p.get("/back/donor/PC-11?step=" + strconv.Itoa(step))
		if all := imagePattern.FindAllStringSubmatch(text, -1); len(all) != 1 || strings.Contains(text, "not taken in") {
			t.Errorf("step %d has %d pictures:\n%s", step, len(all), plainText(text))
		}
	}
	_, said := p.line("photo", "PC-11", "--json")
	if n := strings.Count(said, `"step":`); n != 3 {
		t.Errorf("%d pictures of steps: %s", n, said)
	}
	// Undo gives back what was typed, and the line books it with its pictures.
	_, screen = p.get(path)
	if status, text, _ := p.send("/undo", p.form(screen, "/undo")); status != http.StatusSeeOther {
		t.Fatalf("%d %s", status, plainText(text))
	}
	if code, said := p.line("strip", "PC-11", "--done"); code != exitOK || strings.Count(said, "picture-") < 3 {
		t.Errorf("%d %s", code, said)
	}
	if _, said := p.line("check"); !strings.Contains(said, "ok") && strings.Contains(said, "missing") {
		t.Error(said)
	}
	// A name that is made up takes nothing in.
	_, screen = p.get("/strip/donor/PC-12")
	form = without(p.form(screen, "/strip/donor/PC-12"), "part")
	form.Set("kept", "../../w.db")
	if status, text, _ := p.send("/strip/donor/PC-12", form); status != http.StatusBadRequest {
		t.Errorf("%d %s", status, plainText(text))
	}
}

// A picture without a label gets a sentence; a visitor may have labels read, and book
// nothing with them. Which code leads where is for TestPageScans, and for a browser.
func TestPageReadsLabels(t *testing.T) {
	for _, flags := range [][]string{nil, {"--read-only"}} {
		p := servePageOf(t, flags...)
		_, screen := p.get("/bag/B283?on=105")
		form := p.form(screen, "/scan")
		for _, test := range []struct {
			files  []sentFile
			status int
			says   string
		}{
			{[]sentFile{{"a.jpg", jpegOf(t, 300, 300, color.White)}}, http.StatusUnprocessableEntity, "no square code is seen"},
			{[]sentFile{{"a.jpg", []byte("GIF89a")}}, http.StatusUnsupportedMediaType, "no picture that can be read"},
			{nil, http.StatusBadRequest, "no picture was chosen"},
			{[]sentFile{{"a.jpg", nil}, {"b.jpg", nil}}, http.StatusBadRequest, "one picture at a time"},
		} {
			status, text, _ := p.sendFiles("/scan", form, test.files...)
			if status != test.status || !strings.Contains(text, test.says) || !strings.Contains(text, "on 105") {
				t.Errorf("%v: %d, not %d %q:\n%s", flags, status, test.status, test.says, plainText(text))
			}
		}
		_, text := p.get("/labels?q=B201+J3+PART:P001&on=105")
		p.wants(text, `href="/bag/B201?on=105"`, `href="/job/105?on=105"`, `href="/part/P001?on=105"`)
		if status, text := p.get("/labels?q=B201+B999"); status != http.StatusNotFound {
			t.Errorf("%d %s", status, plainText(text))
		}
	}
}
