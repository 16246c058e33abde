package sheet

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strconv"
	"unicode/utf8"
)

// A markup goes through XML text from its first byte to its last: opening and
// closing tags, and the text between them. It refuses what is not well formed,
// document types and the entities they would declare, and any encoding but
// UTF-8. It keeps one tag or one run of text in memory at a time.
type markup struct {
	in   io.Reader
	buf  []byte
	at   int // what is gone through already
	end  int // what is read
	done bool
	err  error

	open   []byte // names of the tags that are open, one after the other
	marks  []int  // where each begins
	rooted bool   // a first tag has been seen
	empty  bool   // the tag at hand closes itself

	local []byte // name of the tag at hand, without its prefix
	attrs []attribute
	text  []byte // of the text at hand
	spare []byte // holds texts and values that were escaped

	struck int // letters of the rich text read last that are struck through
}

// An attribute of a tag: its name without a prefix, and whether it had one.
type attribute struct {
	name, value []byte
	prefixed    bool
}

// A token is what markup comes upon.
type token uint8

const (
	tagOpens token = iota
	tagCloses
	someText
	theEnd
)

// longestTag bounds a tag with its attributes, deepest how far tags nest. A workbook has
// tens of thousands of styles at most (65 490 fit), and as many shared texts as cells.
const (
	longestText = 4 << 20 // bytes, which is far beyond what a cell can hold
	longestTag  = 1 << 20
	deepest     = 100
	mostStyles  = 100_000
	mostTexts   = 4_000_000
	mostSheets  = 1000
)

// bounded refuses a list that goes on beyond what any workbook has of its kind.
func bounded(n, most int, what string) error {
	if n > most {
		return malformed("it has more than %d %s", most, what)
	}
	return nil
}

func newMarkup(in io.Reader) *markup { return &markup{in: in, buf: make([]byte, 1<<16)} }

var errMalformed = errors.New("its text is malformed")

func malformed(format string, args ...any) error {
	return fmt.Errorf("%w: %s", errMalformed, fmt.Sprintf(format, args...))
}

// fill reads more. It reports whether there was more.
func (m *markup) fill() bool {
	if m.done {
		return false
	}
	if m.at > 0 {
		m.end = copy(m.buf, m.buf[m.at:m.end])
		m.at = 0
	}
	if m.end == len(m.buf) {
		m.buf = append(m.buf, make([]byte, len(m.buf))...)
	}
	for range 100 {
		n, err := m.in.Read(m.buf[m.end:])
		m.end += n
		if err != nil {
			m.done = true
			if !errors.Is(err, io.EOF) {
				m.err = err
				return false
			}
		}
		if n > 0 || m.done {
			return n > 0
		}
	}
	m.done, m.err = true, io.ErrNoProgress
	return false
}

// has reports whether s comes next.
func (m *markup) has(s string) bool {
	for m.end-m.at < len(s) {
		if !m.fill() {
			return false
		}
	}
	return string(m.buf[m.at:m.at+len(s)]) == s
}

// toTag returns how many bytes stand before the next <, or up to the end.
func (m *markup) toTag() int {
	for from := 0; ; {
		if i := bytes.IndexByte(m.buf[m.at+from:m.end], '<'); i >= 0 {
			return from + i
		}
		from = m.end - m.at
		if from > longestText || !m.fill() {
			return m.end - m.at
		}
	}
}

// upTo returns how many bytes stand before the next s, -1 where there is none within
// what a text may hold.
func (m *markup) upTo(s string, from int) int {
	for {
		if i := bytes.Index(m.buf[m.at+from:m.end], []byte(s)); i >= 0 {
			return from + i
		}
		if from = max(from, m.end-m.at-len(s)+1); from > longestText || !m.fill() {
			return -1
		}
	}
}

// next comes upon the next tag or text. What it returned before is gone then. From an
// error on it is at the end.
func (m *markup) next() token {
	if m.err == nil {
		t, err := m.step()
		if m.keep(err); m.err == nil {
			return t
		}
	}
	return theEnd
}

// keep keeps an error unless there is one.
func (m *markup) keep(err error) {
	if m.err == nil {
		m.err = err
	}
}

// bad notes that the text is malformed.
func (m *markup) bad(format string, args ...any) { m.keep(malformed(format, args...)) }

func (m *markup) step() (token, error) {
	m.spare = m.spare[:0]
	if m.empty {
		m.empty = false
		m.pop()
		return tagCloses, nil
	}
	for {
		if m.at == m.end && !m.fill() {
			if len(m.marks) > 0 || !m.rooted {
				return theEnd, malformed("it breaks off")
			}
			return theEnd, nil
		}
		if m.buf[m.at] != '<' {
			if found, err := m.chars(); found || err != nil {
				return someText, err
			}
			continue
		}
		if m.end-m.at < 2 && !m.fill() {
			return theEnd, malformed("it breaks off")
		}
		switch m.buf[m.at+1] {
		case '/':
			return tagCloses, m.closing()
		case '?':
			if err := m.instruction(); err != nil {
				return theEnd, err
			}
		case '!':
			if found, err := m.declared(); found || err != nil {
				return someText, err
			}
		default:
			return tagOpens, m.opening()
		}
	}
}

// declared passes over a comment or takes the text of <![CDATA[ ]]>.
func (m *markup) declared() (bool, error) {
	switch {
	case m.has("<!--"):
		return false, m.comment()
	case m.has("<![CDATA["):
		return m.cdata()
	}
	return false, malformed("it declares a document type, which no workbook needs")
}

// comment passes over a comment.
func (m *markup) comment() error {
	const begin, end = "<!--", "-->"
	n := m.upTo(end, len(begin))
	if n < 0 {
		return malformed("a comment is not ended, or longer than any text")
	}
	text := m.buf[m.at+len(begin) : m.at+n]
	m.at += n + len(end)
	if bytes.Contains(text, []byte("--")) || bytes.HasSuffix(text, []byte("-")) {
		return malformed("-- stands in a comment")
	}
	return valid(text)
}

// instruction passes over a processing instruction. That at the head of the text
// may name no version but 1.0 and no encoding but UTF-8.
func (m *markup) instruction() error {
	n := m.upTo("?>", 2)
	if n < 0 {
		return malformed("<? is not ended, or longer than any text")
	}
	text := m.buf[m.at+2 : m.at+n]
	m.at += n + 2
	k := nameIn(text)
	if k == 0 {
		return malformed("an instruction has no name")
	}
	if string(text[:k]) == "xml" {
		if v := saidOf(text, "version"); v != "" && v != "1.0" {
			return malformed("it is in version %.20q of XML", v)
		}
		if enc := saidOf(text, "encoding"); enc != "" && enc != "utf-8" && enc != "us-ascii" {
			return malformed("it is in %.40q and not in UTF-8", enc)
		}
	}
	return valid(text)
}

// saidOf is what an instruction says of a word, in small letters.
func saidOf(text []byte, word string) string {
	_, rest, _ := bytes.Cut(bytes.ToLower(text), []byte(word))
	rest = bytes.TrimLeft(rest, " \t\r\n=")
	if len(rest) == 0 || rest[0] != '"' && rest[0] != '\'' {
		return ""
	}
	said, _, _ := bytes.Cut(rest[1:], rest[:1])
	return string(said)
}

// chars takes the text up to the next tag. Blanks around the outermost tag are
// no text.
func (m *markup) chars() (bool, error) {
	n := m.toTag()
	if n > longestText {
		return false, malformed("a text is longer than any that a cell can hold")
	}
	raw := m.buf[m.at : m.at+n]
	m.at += n
	if len(m.marks) == 0 {
		if !m.rooted {
			raw = bytes.TrimPrefix(raw, []byte("\xef\xbb\xbf"))
		}
		if len(bytes.Trim(raw, " \t\r\n")) > 0 {
			return false, malformed("text stands outside of all tags")
		}
		return false, nil
	}
	if bytes.IndexByte(raw, ']') >= 0 && bytes.Contains(raw, []byte("]]>")) {
		return false, malformed("]]> ends nothing")
	}
	var err error
	m.text, err = m.plain(raw, false)
	return true, err
}

func (m *markup) cdata() (bool, error) {
	const begin, end = "<![CDATA[", "]]>"
	n := m.upTo(end, len(begin))
	if n < 0 || len(m.marks) == 0 {
		return false, malformed("%s is not ended, longer than any text, or outside of all tags", begin)
	}
	m.text = m.buf[m.at+len(begin) : m.at+n]
	m.at += n + len(end)
	err := valid(m.text)
	if bytes.IndexByte(m.text, '\r') >= 0 {
		m.text = bytes.ReplaceAll(bytes.ReplaceAll(m.text, []byte("\r\n"), []byte("\n")), []byte("\r"), []byte("\n"))
	}
	return true, err
}

// What a byte of text may be: an ordinary letter, a part of one beyond ASCII, one
// that is resolved, or one that XML does not allow.
const (
	ordinary = iota
	beyond
	blankSign
	special
	forbidden
)

// kindOfByte says which of these a byte is.
func kindOfByte(c byte) uint8 {
	switch {
	case c >= utf8.RuneSelf:
		return beyond
	case c == '\t' || c == '\n':
		return blankSign
	case c == '&' || c == '\r':
		return special
	case c < ' ':
		return forbidden
	}
	return ordinary
}

// kindsIn returns the highest kind of the bytes of s, and whether some are beyond
// ASCII.
func kindsIn(s []byte) (highest uint8, wide bool) {
	for _, c := range s {
		if c >= '\'' && c < utf8.RuneSelf || c == ' ' {
			continue
		}
		k := kindOfByte(c)
		wide = wide || k == beyond
		highest = max(highest, k)
	}
	return highest, wide
}

// valid refuses what is no UTF-8 and characters that XML does not allow.
func valid(s []byte) error {
	_, err := looked(s)
	return err
}

// looked is valid, and returns the highest kind of byte.
func looked(s []byte) (uint8, error) {
	kind, wide := kindsIn(s)
	if kind == forbidden {
		i := bytes.IndexFunc(s, func(r rune) bool { return r < ' ' && r != '\t' && r != '\n' && r != '\r' })
		return kind, malformed("it holds the character U+%04X", s[max(i, 0)])
	}
	if wide && (!utf8.Valid(s) || bytes.Contains(s, []byte("\xef\xbf\xbe")) || bytes.Contains(s, []byte("\xef\xbf\xbf"))) {
		return kind, malformed("it is no UTF-8 text")
	}
	return kind, nil
}

// plain resolves what is escaped in s, in place where nothing is.
func (m *markup) plain(s []byte, value bool) ([]byte, error) {
	kind, err := looked(s)
	if err != nil {
		return nil, err
	}
	if kind < blankSign || kind == blankSign && !value {
		return s, nil
	}
	from := len(m.spare)
	for i := 0; i < len(s); i++ {
		switch c := s[i]; {
		case c == '\r' && i+1 < len(s) && s[i+1] == '\n':
		case c == '\r' && !value:
			m.spare = append(m.spare, '\n')
		case value && (c == '\t' || c == '\n' || c == '\r'):
			m.spare = append(m.spare, ' ')
		case c == '&':
			n := bytes.IndexByte(s[i:], ';')
			if n < 0 {
				return nil, malformed("an & begins nothing")
			}
			r, ok := entity(string(s[i+1 : i+n]))
			if !ok {
				return nil, malformed("&%.20s; is not known", s[i+1:i+n])
			}
			m.spare = utf8.AppendRune(m.spare, r)
			i += n
		default:
			m.spare = append(m.spare, c)
		}
	}
	return m.spare[from:len(m.spare):len(m.spare)], nil
}

// entity is the character that stands between & and ;.
func entity(name string) (rune, bool) {
	switch name {
	case "amp":
		return '&', true
	case "lt":
		return '<', true
	case "gt":
		return '>', true
	case "quot":
		return '"', true
	case "apos":
		return '\'', true
	}
	if len(name) < 2 || name[0] != '#' {
		return 0, false
	}
	digits, base := name[1:], 10
	if digits[0] == 'x' {
		digits, base = digits[1:], 16
	}
	n, err := strconv.ParseUint(digits, base, 32)
	r := rune(n)
	if err != nil || n > utf8.MaxRune || !utf8.ValidRune(r) || valid(utf8.AppendRune(nil, r)) != nil {
		return 0, false
	}
	return r, true
}

// nameIn returns how many bytes of s are a name, of ASCII as those of workbooks
// are, with at most one colon, within.
func nameIn(s []byte) int {
	n, colon := 0, false
	for n < len(s) {
		c := s[n]
		letter := c|0x20 >= 'a' && c|0x20 <= 'z' || c == '_' || c == ':' && n > 0 && !colon
		if !letter && (n == 0 || (c < '0' || c > '9') && c != '-' && c != '.') {
			break
		}
		colon = colon || c == ':'
		n++
	}
	if n > 0 && s[n-1] == ':' {
		return 0
	}
	return n
}

// tagEnd returns where the tag at hand ends: at the next > outside of quotes.
func (m *markup) tagEnd() (int, error) {
	quote := byte(0)
	for i := 1; ; {
		for _, c := range m.buf[m.at+i : m.end] {
			switch {
			case quote != 0:
				if c == quote {
					quote = 0
				}
			case c > '>':
			case c == '"' || c == '\'':
				quote = c
			case c == '>':
				return i, nil
			case c == '<':
				return 0, malformed("< stands in a tag")
			}
			i++
		}
		if i > longestTag {
			return 0, malformed("a tag is longer than any of a workbook")
		}
		if !m.fill() {
			return 0, malformed("a tag is not ended")
		}
	}
}

// blanks returns how many blanks s begins with.
func blanks(s []byte) int {
	for i, c := range s {
		if c != ' ' && c != '\t' && c != '\n' && c != '\r' {
			return i
		}
	}
	return len(s)
}

// closing reads a tag that closes the innermost one.
func (m *markup) closing() error {
	if k := len(m.marks) - 1; k >= 0 {
		open := m.open[m.marks[k]:]
		if end := m.at + 2 + len(open); end < m.end && m.buf[end] == '>' && bytes.Equal(m.buf[m.at+2:end], open) {
			m.at = end + 1
			m.pop()
			return nil
		}
	}
	n, err := m.tagEnd()
	if err != nil {
		return err
	}
	name := m.buf[m.at+2 : m.at+n]
	if c := len(name) - 1; c >= 0 && name[c] <= ' ' {
		name = bytes.TrimRight(name, " \t\r\n")
	}
	m.at += n + 1
	if len(m.marks) == 0 {
		return malformed("</%.40s> closes nothing", name)
	}
	if open := m.open[m.marks[len(m.marks)-1]:]; !bytes.Equal(open, name) {
		return malformed("</%.40s> closes <%.40s>", name, open)
	}
	m.pop()
	return nil
}

// pop closes the innermost tag.
func (m *markup) pop() {
	from := m.marks[len(m.marks)-1]
	m.local, _ = cutPrefix(m.open[from:])
	m.open, m.marks = m.open[:from], m.marks[:len(m.marks)-1]
}

func cutPrefix(name []byte) (local []byte, prefixed bool) {
	if i := bytes.IndexByte(name, ':'); i >= 0 {
		return name[i+1:], true
	}
	return name, false
}

// opening reads a tag that opens.
func (m *markup) opening() error {
	if name, ok := m.simple(); ok {
		return m.opened(name)
	}
	n, err := m.tagEnd()
	if err != nil {
		return err
	}
	tag := m.buf[m.at+1 : m.at+n]
	m.at += n + 1
	if m.empty = len(tag) > 0 && tag[len(tag)-1] == '/'; m.empty {
		tag = tag[:len(tag)-1]
	}
	k := nameIn(tag)
	if k == 0 {
		return malformed("a tag has no name")
	}
	if err := m.opened(tag[:k]); err != nil {
		return err
	}
	return m.attributes(tag[k:])
}

// opened notes the name of a tag that opens.
func (m *markup) opened(name []byte) error {
	switch {
	case len(m.marks) == 0 && m.rooted:
		return malformed("a second text follows the first")
	case len(m.marks) >= deepest:
		return malformed("tags nest too deeply")
	}
	m.rooted = true
	m.marks = append(m.marks, len(m.open))
	m.open = append(m.open, name...)
	m.local, _ = cutPrefix(name)
	return nil
}

// simple reads a tag as nearly all are: names of small letters, values of plain
// ASCII in double quotes, one blank before each. It goes no further where one is
// otherwise, and the long way, which knows all tags, begins anew.
func (m *markup) simple() (name []byte, ok bool) {
	b := m.buf[m.at+1 : m.end]
	i := letters(b)
	if name = b[:i]; i == 0 {
		return nil, false
	}
	m.attrs = m.attrs[:0]
	for i < len(b) && b[i] == ' ' {
		i++
		n := letters(b[i:])
		if n == 0 || i+n+2 >= len(b) || b[i+n] != '=' || b[i+n+1] != '"' {
			return nil, false
		}
		a := attribute{name: b[i : i+n]}
		i += n + 2
		from := i
		for i < len(b) && b[i] >= ' ' && b[i] < utf8.RuneSelf && b[i] != '"' && b[i] != '&' && b[i] != '<' {
			i++
		}
		if i >= len(b) || b[i] != '"' || m.said(a.name) {
			return nil, false
		}
		a.value = b[from:i]
		m.attrs = append(m.attrs, a)
		i++
	}
	if m.empty = i < len(b) && b[i] == '/'; m.empty {
		i++
	}
	if i >= len(b) || b[i] != '>' {
		m.empty = false
		return nil, false
	}
	m.at += i + 2
	return name, true
}

// said reports whether the tag at hand has an attribute already.
func (m *markup) said(name []byte) bool {
	for i := range m.attrs {
		if !m.attrs[i].prefixed && bytes.Equal(m.attrs[i].name, name) {
			return true
		}
	}
	return false
}

// letters returns how many letters of ASCII s begins with.
func letters(s []byte) int {
	for i, c := range s {
		if c|0x20 < 'a' || c|0x20 > 'z' {
			return i
		}
	}
	return len(s)
}

// attributes reads what follows the name of a tag.
func (m *markup) attributes(s []byte) error {
	m.attrs = m.attrs[:0]
	for {
		t := s[blanks(s):]
		if len(t) == 0 {
			return nil
		}
		k := nameIn(t)
		if len(t) == len(s) || k == 0 {
			return malformed("a tag holds %.40q", t)
		}
		name := t[:k]
		t = t[k:]
		t = t[blanks(t):]
		if len(t) == 0 || t[0] != '=' {
			return malformed("%.40s has no value", name)
		}
		t = t[1:]
		t = t[blanks(t):]
		if len(t) < 2 || t[0] != '"' && t[0] != '\'' {
			return malformed("the value of %.40s has no quotes", name)
		}
		end := bytes.IndexByte(t[1:], t[0])
		if end < 0 || bytes.IndexByte(t[1:1+end], '<') >= 0 {
			return malformed("the value of %.40s is not ended", name)
		}
		a := attribute{}
		var err error
		if a.value, err = m.plain(t[1:1+end], true); err != nil {
			return err
		}
		a.name, a.prefixed = cutPrefix(name)
		if !a.prefixed && m.said(a.name) {
			return malformed("%.40s stands in a tag twice", name)
		}
		m.attrs = append(m.attrs, a)
		s = t[2+end:]
	}
}

// attr returns the value of an attribute of the tag at hand.
func (m *markup) attr(name string) (string, bool) {
	for _, a := range m.attrs {
		if !a.prefixed && string(a.name) == name {
			return string(a.value), true
		}
	}
	return "", false
}

// yes says that an attribute of the tag at hand is there and true.
func (m *markup) yes(name string) bool {
	v, _ := m.attr(name)
	return v == "1" || v == "true"
}

// rest passes over what is left of the tag at hand, whose opening was just seen.
func (m *markup) rest() {
	for depth := 1; depth > 0; {
		switch m.next() {
		case tagOpens:
			depth++
		case tagCloses:
			depth--
		case theEnd:
			return
		}
	}
}
