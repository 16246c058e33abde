package sheet

import (
	"os"
	"path/filepath"
	"testing"
)

// Files that cannot all take their places leave the folder as it was.
func TestPlaceFilesGoBack(t *testing.T) {
	dir := t.TempDir()
	tmp := filepath.Join(dir, "tmp")
	if err := os.Mkdir(tmp, 0o777); err != nil {
		t.Fatal(err)
	}
	for file, text := range map[string]string{"tmp/a.csv": "new", "tmp/b.csv": "new", "b.csv": "old", "c.csv": "old"} {
		if err := os.WriteFile(filepath.Join(dir, file), []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	if err := placeFiles(tmp, dir, []string{"a.csv", "b.csv", "c.csv"}); err == nil {
		t.Fatal("there is no new c.csv, and the files took their places")
	}
	if _, err := os.Stat(filepath.Join(dir, "a.csv")); err == nil {
		t.Error("a.csv was not there before")
	}
	for _, file := range []string{"b.csv", "c.csv"} {
		if text, err := os.ReadFile(filepath.Join(dir, file)); string(text) != "old" {
			t.Errorf("%s holds %q, %v", file, text, err)
		}
	}
}
