package tell

import (
	"io"
	"unicode/utf8"
	"unsafe"

	"tinful/store/words"
)

// A shownWriter writes an answer as [words.ShownLines] of it.
type shownWriter struct {
	out  io.Writer
	rest []byte // the beginning of a letter whose end was not written yet
}

func (w *shownWriter) Write(b []byte) (int, error) {
	n := len(b)
	if len(w.rest) > 0 {
		b, w.rest = append(w.rest, b...), nil
	}
	whole := len(b)
	for i := max(0, len(b)-utf8.UTFMax+1); i < len(b); i++ {
		if !utf8.FullRune(b[i:]) {
			whole = i
			break
		}
	}
	w.rest = append(w.rest, b[whole:]...)
	text := unsafe.String(unsafe.SliceData(b), whole) // nobody keeps it
	shown := words.ShownLines(text)
	if shown != text {
		b, whole = []byte(shown), len(shown)
	}
	_, err := w.out.Write(b[:whole])
	return n, err
}
