package commands

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// The pictures of the README are what the program draws of the demo workshop. With
// -update they are drawn anew: look at them.
func TestPicturesOfTheReadme(t *testing.T) {
	folder, home := filepath.Join("..", "testdata", "paper"), t.TempDir()
	if err := os.WriteFile(filepath.Join(home, "w.db"), demoStore(t), 0o600); err != nil {
		t.Fatal(err)
	}
	readme, err := os.ReadFile(filepath.Join("..", "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	for _, typed := range [][]string{
		{"label", "b228", "b203", "b215", "b281", "--edges", "--paper", "146x80 2x2 70x37 from 2,2 gaps 2,2", "-o", "labels.svg"},
		{"edit", "shop", "--name", "Quillmoor Bench", "--address", "4 Mill Lane, Quillmoor", "--terms", "kept six months after notice"},
		{"fit", "b281", "b284", "--job", "105"},
		{"old", "p8", "broken", "--job", "105", "--envelope", "7"},
		{"want", "p39", "--job", "105"},
		{"paper", "105", "--done", "--paper", "A5", "-o", "owner.svg"},
	} {
		name := typed[len(typed)-1]
		picture := strings.HasSuffix(name, ".svg")
		if picture {
			typed[len(typed)-1] = filepath.Join(home, name)
		}
		w := newWorld(t, home)
		if code := Run(append([]string{"tinful"}, typed...), w.env); code != exitOK {
			t.Fatalf("%s: %s", typed, w.stderr)
		}
		if !picture {
			continue
		}
		got, err := os.ReadFile(filepath.Join(home, name))
		if err != nil {
			t.Fatal(err)
		}
		kept := filepath.Join(folder, name)
		if f := flag.Lookup("update"); f != nil && f.Value.String() == "true" {
			if err := os.WriteFile(kept, got, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(kept)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(got, want) {
			t.Errorf("%s is not what %s draws today: -update, and look at it", kept, typed[0])
		}
		if !bytes.Contains(readme, []byte(`src="testdata/paper/`+name+`"`)) {
			t.Errorf("the README does not show %s", name)
		}
	}
}
