package sheet

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/iotest"
)

// tokensOf goes through a text: each tag with its attributes, each run of text.
func tokensOf(in io.Reader) (out []string, err error) {
	m := newMarkup(in)
	for {
		switch t := m.next(); {
		case t == theEnd:
			return out, m.err
		case t == tagOpens:
			s := "<" + string(m.local)
			for _, a := range m.attrs {
				s += fmt.Sprintf(" %s=%q", a.name, a.value)
			}
			out = append(out, s)
		case t == tagCloses:
			out = append(out, "</"+string(m.local))
		default:
			out = addText(out, m.text)
		}
	}
}

// addText adds a run of text to tokens, one with that before.
func addText(out []string, text []byte) []string {
	if k := len(out) - 1; k >= 0 && strings.HasPrefix(out[k], "=") {
		out[k] += string(text)
	} else if len(text) > 0 {
		out = append(out, "="+string(text))
	}
	return out
}

// byEncodingXML is tokensOf by the standard library.
func byEncodingXML(t *testing.T, text []byte) (out []string) {
	t.Helper()
	dec := xml.NewDecoder(bytes.NewReader(text))
	depth := 0
	for {
		tok, err := dec.RawToken()
		if errors.Is(err, io.EOF) {
			return out
		}
		if err != nil {
			t.Fatal(err)
		}
		switch tok := tok.(type) {
		case xml.StartElement:
			s := "<" + tok.Name.Local
			for _, a := range tok.Attr {
				s += fmt.Sprintf(" %s=%q", a.Name.Local, a.Value)
			}
			out = append(out, s)
			depth++
		case xml.EndElement:
			out = append(out, "</"+tok.Name.Local)
			depth--
		case xml.CharData:
			if depth > 0 {
				out = addText(out, tok)
			}
		}
	}
}

// Every member of the workbooks of other programs is the same to encoding/xml, and
// whether it comes at once or byte by byte.
func TestMarkupAgrees(t *testing.T) {
	files, err := filepath.Glob("../testdata/workbooks/*.xlsx")
	if err != nil || len(files) == 0 {
		t.Fatal(files, err)
	}
	for _, file := range files {
		z, err := zip.OpenReader(file)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range z.File {
			if !isExt(f.Name, ".xml", ".rels") {
				continue
			}
			in, err := f.Open()
			if err != nil {
				t.Fatal(err)
			}
			text, err := io.ReadAll(in)
			if err := errors.Join(err, in.Close()); err != nil {
				t.Fatal(err)
			}
			got, err := tokensOf(bytes.NewReader(text))
			if err != nil {
				t.Errorf("%s, %s: %v", file, f.Name, err)
			}
			if want := byEncodingXML(t, text); !slices.Equal(got, want) {
				t.Errorf("%s, %s: %d tokens, want %d", file, f.Name, len(got), len(want))
			}
			if again, err := tokensOf(iotest.OneByteReader(bytes.NewReader(text))); err != nil || !slices.Equal(got, again) {
				t.Errorf("%s, %s: byte by byte %d tokens, want %d: %v", file, f.Name, len(again), len(got), err)
			}
		}
		z.Close()
	}
}

// blankLines makes blanks of line ends in values, as XML 1.0, 3.3.3 has it and
// encoding/xml has not.
func blankLines(s string) string {
	if strings.HasPrefix(s, "<") {
		return strings.NewReplacer(`\n`, " ", `\t`, " ", `\r`, " ").Replace(s)
	}
	return s
}

// A text that something happened to is the same, or malformed, at once and byte by
// byte; and what is taken as well formed encoding/xml takes, too.
func TestMalformedMarkupAgrees(t *testing.T) {
	sound := `<?xml version="1.0" encoding="UTF-8"?>` + "\r\n" + `<w:a xmlns:w="y" b='1 &lt;' c = "2"><!-- x --><d e="f" g="h"/>text &amp; <![CDATA[<i>]]>` + "\r\n" + `ä<j k="l&#10;"></j ></w:a>` + "\n"
	taken := 0
	for i := range 20_000 {
		r := rand.New(rand.NewPCG(uint64(i), 2))
		text := []byte(sound)
		switch i % 3 {
		case 0:
			flip(r, text)
		case 1:
			at := r.IntN(len(text))
			text = slices.Delete(text, at, min(len(text), at+1+r.IntN(4)))
		case 2:
			at, from := r.IntN(len(text)), r.IntN(len(text))
			text = slices.Insert(text, at, bytes.Clone(text[from:min(len(text), from+1+r.IntN(4))])...)
		}
		got, err := tokensOf(bytes.NewReader(text))
		again, err2 := tokensOf(iotest.OneByteReader(bytes.NewReader(text)))
		if (err == nil) != (err2 == nil) || !slices.Equal(got, again) {
			t.Fatalf("%q: at once %q %v, byte by byte %q %v", text, got, err, again, err2)
		}
		if err == nil {
			taken++
			if want := byEncodingXML(t, text); !slices.EqualFunc(want, got, func(a, b string) bool { return blankLines(a) == blankLines(b) }) {
				t.Fatalf("%q: %q, want %q", text, got, want)
			}
		}
	}
	if taken < 1000 || taken > 19_000 {
		t.Errorf("%d of 20000 texts were taken: the changes are too alike", taken)
	}
}
