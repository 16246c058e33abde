package sheet

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tinful/store"
)

// The bytes are those of the Unicode and Windows-1252 code charts: ü is C3 BC in UTF-8,
// FC in Windows-1252, FC 00 in UTF-16 with the lower byte first.
func TestDecodeText(t *testing.T) {
	for _, tt := range []struct{ name, raw, text, note, problem string }{
		{"UTF-8", "f\u00fcr\n", "f\u00fcr\n", "", ""},
		{"UTF-8 with its mark", "\xef\xbb\xbff\u00fcr", "f\u00fcr", "", ""},
		{"Windows-1252", "f\xfcr", "f\u00fcr", "read so", ""},
		{"UTF-16", "\xff\xfef\x00\xfc\x00r\x00", "f\u00fcr", "UTF-16", ""},
		{"empty", "", "", "", ""},
		{"neither", "one\nf\x9dr", "", "", "notes, line 2: its letters"},
		{"no text", "PK\x03\x04\x00", "", "", "notes is no text: save it as UTF-8 text"},
	} {
		text, note, err := DecodeText("notes", []byte(tt.raw))
		if text != tt.text || !strings.Contains(note, tt.note) || tt.note == "" && note != "" {
			t.Errorf("%s: %q, %q", tt.name, text, note)
		}
		if tt.problem == "" != (err == nil) || err != nil && (!errors.Is(err, store.ErrBadInput) || !strings.Contains(err.Error(), tt.problem)) {
			t.Errorf("%s: %v, want %q", tt.name, err, tt.problem)
		}
	}
}

func TestReadText(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "notes.txt")
	if err := os.WriteFile(file, []byte("f\xfcr"), 0o600); err != nil {
		t.Fatal(err)
	}
	if text, _, err := ReadText(file); text != "f\u00fcr" || err != nil {
		t.Errorf("%q, %v", text, err)
	}
	if _, _, err := ReadText(dir); !errors.Is(err, store.ErrBadInput) {
		t.Errorf("a folder: %v", err)
	}
	if _, _, err := ReadText(filepath.Join(dir, "none")); !errors.Is(err, store.ErrNotFound) {
		t.Errorf("no file: %v", err)
	}
}
