package sheet

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"unicode/utf16"
	"unicode/utf8"

	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/japanese"
	"golang.org/x/text/encoding/unicode"

	"tinful/store/words"
)

// A textFile is a CSV file as UTF-8 text without its mark.
type textFile struct {
	in       *bufio.Reader
	file     *os.File
	from     io.ReadSeeker // the file, or text that was read whole
	saved    string        // how such a file is saved when its letters cannot be read
	comma    rune          // what parts its cells, by its first line
	said     bool          // the file says so itself
	path     string
	encoding string // that was said, empty: what is certain
	note     string // what was taken for certain about its letters, if anything was
}

func (t *textFile) Close() error { return t.file.Close() }

// openText opens a CSV file. Text is UTF-8, or UTF-16 by its mark, or Windows-1252
// where [certain1252] says so; what is none of these is left as it is, and every
// cell of it that is no UTF-8 is a problem of its own.
func openText(path, encoding string) (*textFile, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	t := &textFile{file: f, from: f, saved: "CSV UTF-8", path: path, encoding: encoding}
	if err := t.begin(path); err != nil {
		return nil, errors.Join(err, f.Close())
	}
	t.lineEnds()
	start, _ := t.in.Peek(1 << 14)
	t.comma = comma(start)
	t.said = t.saysComma(start)
	return t, nil
}

// lineEnds turns carriage returns into line feeds where they alone end lines, as in
// files of old systems: left as they are, all of such a file would be its headings.
func (t *textFile) lineEnds() {
	start, _ := t.in.Peek(1 << 14)
	if i := bytes.IndexByte(start, '\r'); i >= 0 && i < len(start)-1 && bytes.IndexByte(start, '\n') < 0 {
		t.in = bufio.NewReaderSize(returns{t.in}, 1<<16)
	}
}

// returns reads carriage returns as line feeds.
type returns struct{ in io.Reader }

func (r returns) Read(p []byte) (int, error) {
	n, err := r.in.Read(p)
	for i, c := range p[:n] {
		if c == '\r' {
			p[i] = '\n'
		}
	}
	return n, err
}

// saysComma takes a first line such as sep=; by its word, which is how some
// spreadsheets tell what parts the cells, and passes over it: what is left of it is an
// empty line, so that rows keep their numbers.
func (t *textFile) saysComma(start []byte) bool {
	line, _, _ := bytes.Cut(start, []byte("\n"))
	text := strings.Trim(strings.TrimRight(string(line), "\r"), `"`)
	if len(text) != len("sep=,") || !strings.EqualFold(text[:4], "sep=") || !strings.Contains(",;\t|", text[4:]) {
		return false
	}
	t.comma = rune(text[4])
	_, _ = t.in.Discard(len(line))
	return true
}

func (t *textFile) begin(path string) error {
	sound, err := soundUTF8(t.from)
	if bad, ok := errors.AsType[lineError](err); ok {
		return badInput("%s, line %d: %s", filepath.Base(path), bad.line, bad.text)
	}
	if err == nil {
		_, err = t.from.Seek(0, io.SeekStart)
	}
	if err != nil {
		return err
	}
	if t.encoding != "" {
		return t.decode()
	}
	t.in = bufio.NewReaderSize(t.from, 1<<16)
	switch start, _ := t.in.Peek(4096); {
	case bytes.HasPrefix(start, []byte("\xff\xfe")):
		return t.wide(path, binary.LittleEndian)
	case bytes.HasPrefix(start, []byte("\xfe\xff")):
		return t.wide(path, binary.BigEndian)
	case bytes.IndexByte(start, 0) >= 0:
		return badInput("%s is no text: save it as %s", path, t.saved)
	case bytes.HasPrefix(start, []byte("\xef\xbb\xbf")):
		_, _ = t.in.Discard(3)
	}
	if sound {
		return nil
	}
	raw, err := io.ReadAll(t.in)
	if err != nil {
		return err
	}
	if certain1252(raw) {
		t.note = filepath.Base(path) + " is no UTF-8 text; all its letters are those of Windows-1252 (ä, ö, ü, ß and the like), and it is read so"
		raw = from1252(raw)
	}
	t.in = bufio.NewReaderSize(bytes.NewReader(raw), 1<<16)
	return nil
}

// encodings are the letters that a file of text may be said to have, by the names of
// the WHATWG standard and of those who save such files.
var encodings = []struct {
	name string
	as   encoding.Encoding
}{
	{"utf-8", unicode.UTF8BOM},
	{"windows-1252", charmap.Windows1252}, {"windows-1250", charmap.Windows1250},
	{"iso-8859-15", charmap.ISO8859_15}, {"macintosh", charmap.Macintosh},
	{"ibm850", charmap.CodePage850}, {"ibm437", charmap.CodePage437},
	{"shift-jis", japanese.ShiftJIS}, {"euc-jp", japanese.EUCJP},
	{"utf-16le", unicode.UTF16(unicode.LittleEndian, unicode.UseBOM)},
	{"utf-16be", unicode.UTF16(unicode.BigEndian, unicode.UseBOM)},
}

// Encodings are the names of the letters that a file of text may be said to have.
func Encodings() []string {
	names := make([]string, len(encodings))
	for i, e := range encodings {
		names[i] = e.name
	}
	return names
}

// decode reads the file in the letters that were said.
func (t *textFile) decode() error {
	for _, e := range encodings {
		if e.name == t.encoding {
			t.in = bufio.NewReaderSize(e.as.NewDecoder().Reader(t.from), 1<<16)
			return nil
		}
	}
	return words.NotOneOf("encoding", Encodings(), t.encoding)
}

// DecodeText is text of notes or lists as UTF-8, read as that of a CSV file is; name
// is what the sentences call it. The note says what was taken for certain about its
// letters, if anything was. It returns an error that wraps [store.ErrBadInput] for
// what is no text, and names the line that cannot be read.
func DecodeText(name string, raw []byte) (text, note string, err error) {
	t := &textFile{from: bytes.NewReader(raw), saved: "UTF-8 text"}
	if err := t.begin(name); err != nil {
		return "", "", err
	}
	b, err := io.ReadAll(t.in)
	if err != nil {
		return "", "", err
	}
	for i, line := range bytes.Split(b, []byte("\n")) {
		if !utf8.Valid(line) {
			return "", "", badInput("%s, line %d: its letters are not those of UTF-8 text: save it as UTF-8 text", name, i+1)
		}
	}
	return string(b), t.note, nil
}

// ReadText reads a file of notes or lists, as [DecodeText] does. It returns an error
// that wraps [store.ErrNotFound] for a file that is not there, and
// [store.ErrBadInput] for a folder.
func ReadText(path string) (text, note string, err error) {
	info, err := stat(path)
	if err != nil {
		return "", "", err
	}
	if !info.Mode().IsRegular() {
		return "", "", noFile(path, info)
	}
	raw, err := os.ReadFile(path)
	if err != nil {
		return "", "", err
	}
	return DecodeText(path, raw)
}

// wide reads UTF-16 text behind its mark.
func (t *textFile) wide(path string, order binary.ByteOrder) error {
	raw, err := io.ReadAll(t.in)
	if err != nil {
		return err
	}
	if len(raw)%2 != 0 {
		return badInput("%s is UTF-16 text that was cut off: its last letter is half there", path)
	}
	units := make([]uint16, 0, len(raw)/2)
	for i := 2; i < len(raw); i += 2 {
		units = append(units, order.Uint16(raw[i:]))
	}
	text := utf16.Decode(units)
	if slices.Contains(text, utf8.RuneError) || slices.Contains(text, 0) {
		return badInput("%s is UTF-16 text by its first bytes, and damaged: save it as %s", path, t.saved)
	}
	t.note = filepath.Base(path) + " is UTF-16 text by its mark, and is read so"
	t.in = bufio.NewReaderSize(strings.NewReader(string(text)), 1<<16)
	return nil
}

// How long a line may be, and a cell of several: far more than a row of a sheet holds.
const (
	longestLine  = 8 << 20
	longestQuote = 16 << 20
)

// A lineError says in which line a text is no list.
type lineError struct {
	line int
	text string
}

func (e lineError) Error() string { return e.text }

// A lineBounds holds text against what a row can be, before any of it is kept.
type lineBounds struct {
	line, length, signs, quoted int
	open                        bool // a quote is
}

// see takes the next piece of the text.
func (b *lineBounds) see(text []byte) error {
	for len(text) > 0 {
		part, ends := text, false
		if i := bytes.IndexByte(text, '\n'); i >= 0 {
			part, ends = text[:i], true
		}
		b.length += len(part)
		b.signs += max(bytes.Count(part, []byte(",")), bytes.Count(part, []byte(";")), bytes.Count(part, []byte("\t")))
		if b.open = b.open != (bytes.Count(part, []byte(`"`))%2 == 1); b.open {
			b.quoted += len(part)
		} else {
			b.quoted = 0
		}
		switch {
		case b.signs >= maxCols && !b.open:
			return lineError{b.line, fmt.Sprintf("it has more than %d cells, which no list has", maxCols)}
		case b.length > longestLine:
			return lineError{b.line, "it is longer than any row of a list: is this a list?"}
		case b.quoted > longestQuote:
			return lineError{b.line, "a quote was begun before and is not ended"}
		}
		if !ends {
			break
		}
		text = text[len(part)+1:]
		b.line, b.length, b.signs = b.line+1, 0, 0
	}
	return nil
}

// soundUTF8 goes through a file and says whether all of it is UTF-8. The error is a
// [lineError] where a line is none of a list.
func soundUTF8(in io.Reader) (bool, error) {
	buf, sound := make([]byte, 1<<16), true
	lines := lineBounds{line: 1}
	for kept := 0; ; {
		n, err := in.Read(buf[kept:])
		text := buf[:kept+n]
		if err := lines.see(buf[kept : kept+n]); err != nil {
			return false, err
		}
		if errors.Is(err, io.EOF) {
			return sound && utf8.Valid(text), nil
		}
		if err != nil {
			return false, err
		}
		// the last letter may go on in the next piece
		whole := len(text)
		for back := 1; back <= min(utf8.UTFMax-1, len(text)); back++ {
			if c := text[len(text)-back]; utf8.RuneStart(c) {
				if !utf8.FullRune(text[len(text)-back:]) {
					whole -= back
				}
				break
			}
		}
		sound = sound && utf8.Valid(text[:whole])
		kept = copy(buf, text[whole:])
	}
}

// What Windows-1252 text of a workshop holds beyond ASCII. The letters stand at
// these places in ISO 8859-1 and Windows-1250 as well; signs never stand between
// two letters, where other code pages have letters of their own.
const (
	letters1252 = "ÄÖÜäöüßéç"
	signs1252   = "€„“”–°±²³µ·×½¼¾«»£§\u00a0Øø"
)

// rune1252 is what a byte stands for, 0 for signs that are not among those.
func rune1252(b byte) rune {
	switch b {
	case 0x80:
		return '€'
	case 0x84:
		return '„'
	case 0x93:
		return '“'
	case 0x94:
		return '”'
	case 0x96:
		return '–'
	}
	if b < utf8.RuneSelf || b >= 0xa0 {
		return rune(b)
	}
	return 0
}

// certain1252 says whether text that is no UTF-8 is Windows-1252 beyond doubt: it
// holds no letters but those of letters1252, never three of them in a row, and
// signs only where no other code page has a letter.
func certain1252(text []byte) bool {
	letter := func(i int) bool {
		return i >= 0 && i < len(text) && (text[i]|0x20 >= 'a' && text[i]|0x20 <= 'z' || strings.ContainsRune(letters1252, rune1252(text[i])))
	}
	run := 0
	for i, b := range text {
		if b < utf8.RuneSelf {
			run = 0
			continue
		}
		r := rune1252(b)
		switch {
		case strings.ContainsRune(letters1252, r):
			if run++; run > 2 {
				return false
			}
			continue
		case r == 0 || !strings.ContainsRune(signs1252, r):
			return false
		case letter(i-1) && letter(i+1):
			return false
		case (r == 'Ø' || r == 'ø') && i > 0 && text[i-1] >= '0' && text[i-1] <= '9': // the degree sign of an older code page
			return false
		}
		run = 0
	}
	return true
}

func from1252(text []byte) []byte {
	out := make([]byte, 0, len(text)+len(text)/8)
	for _, b := range text {
		out = utf8.AppendRune(out, rune1252(b))
	}
	return out
}

// parting is what parts the cells of a list whose first line may be a title: the
// sign that stands equally often in most lines, which decimal commas do not.
func parting(start []byte) rune {
	signs := []rune{'\t', ';', ','}
	lines := countSigns(start, signs)
	best, most := ',', 0
	for k, sign := range signs {
		same := map[int]int{}
		for _, n := range lines {
			if n[k] > 0 {
				same[n[k]]++
			}
		}
		for _, n := range same {
			if n > most {
				best, most = sign, n
			}
		}
	}
	return best
}

// openList opens a list as [openText] does. Its first line may be a title, so its first
// lines together tell what parts its cells, unless it says so itself.
func openList(path, encoding string) (*textFile, error) {
	t, err := openText(path, encoding)
	if err == nil && !t.said {
		start, _ := t.in.Peek(1 << 14)
		t.comma = parting(start)
	}
	return t, err
}

// countSigns counts, for the first lines of a text, how often each sign stands
// outside quotes.
func countSigns(start []byte, signs []rune) [][3]int {
	var lines [][3]int
	var n [3]int
	quoted, empty, last := false, true, '\n'
	for _, c := range string(start) {
		before := last
		last = c
		switch {
		case c == '"' && (quoted || before == '\n' || before == '"' || slices.Contains(signs, before)):
			quoted = !quoted
		case c == '\n' && !quoted:
			if !empty {
				lines = append(lines, n)
			}
			if len(lines) == 40 {
				return lines
			}
			n, empty = [3]int{}, true
			continue
		case !quoted:
			if k := slices.Index(signs, c); k >= 0 {
				n[k]++
			}
		}
		empty = empty && (c == '\r' || c == ' ')
	}
	if !empty {
		lines = append(lines, n)
	}
	return lines
}
