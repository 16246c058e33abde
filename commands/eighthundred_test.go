package commands_test

import (
	"encoding/csv"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
)

// A sheetFile is a CSV file of the demo, its rows by heading.
func sheetFile(t *testing.T, name string) []map[string]string {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "testdata", "demo", name+".csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out []map[string]string
	for _, row := range rows[1:] {
		m := map[string]string{}
		for i, h := range rows[0] {
			m[strings.TrimPrefix(h, "\ufeff")] = row[i]
		}
		out = append(out, m)
	}
	return out
}

// A demoBook is what the CSV files of the demo state, read by this test alone.
type demoBook struct {
	part    map[string]map[string]string
	carries map[string][]string
	degrees map[[2]string][]string // part and model: the degrees of all its rows
}

func readDemoBook(t *testing.T) demoBook {
	b := demoBook{map[string]map[string]string{}, map[string][]string{}, map[[2]string][]string{}}
	for _, p := range sheetFile(t, "parts") {
		b.part[p["Part"]] = p
	}
	for _, m := range sheetFile(t, "models") {
		if m["Kind"] == "camera" {
			b.carries[m["Model"]] = nil
			for c := range strings.SplitSeq(m["Carries"], ";") {
				b.carries[m["Model"]] = append(b.carries[m["Model"]], strings.TrimSpace(c))
			}
		}
	}
	for _, g := range sheetFile(t, "goes") {
		key := [2]string{g["Part"], g["Model"]}
		b.degrees[key] = append(b.degrees[key], strings.FieldsFunc(g["Degree"], func(r rune) bool { return r == ';' || r == ' ' })...)
	}
	return b
}

// stated are the degrees of a part in a camera: of the camera's own rows, else of
// the shutters and lenses that it carries or may carry.
func (b demoBook) stated(part, camera string) []string {
	if own := b.degrees[[2]string{part, camera}]; len(own) > 0 {
		return own
	}
	var out []string
	for _, c := range b.carries[camera] {
		out = append(out, b.degrees[[2]string{part, c}]...)
	}
	return out
}

// Every part of the demo is asked for every camera. No way is called direct without
// a statement for that part and that camera, none is of another seat or of the wrong
// hand, and none must never go in. What is right is worked out from the CSV files by
// the code above, not by the program.
func TestEightHundredQuestions(t *testing.T) {
	b := readDemoBook(t)
	s := demoStore(t)
	asked, called := 0, 0
	err := s.View(func(v *store.View) error {
		for part := range b.part {
			for camera := range b.carries {
				n, err := ask.Need(v, ask.Request{Part: code.Code(part), Camera: store.Camera{Model: code.Code(camera)}})
				if err != nil {
					return err
				}
				asked++
				for _, w := range n.Ways {
					if strings.Contains(w.Degree, "direct") {
						called++
					}
					if wrong := b.wrong(part, camera, w); wrong != "" {
						t.Errorf("%s into %s, way %d (%s %s%s %s): %s", part, camera, w.Rank, w.Way, w.Bag, w.Donor, w.Part, wrong)
					}
				}
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if asked != len(b.part)*len(b.carries) || asked < 800 || called < 500 {
		t.Errorf("%d questions, %d ways called direct: too few to say anything", asked, called)
	}
}

// wrong says what is wrong with a way to get a part into a camera.
func (b demoBook) wrong(part, camera string, w ask.Way) string {
	goes := part // what goes into the camera: out of a unit and out of wire it is the part itself
	if w.Way == "bag" || w.Way == "sibling" || w.Way == "near" {
		goes = string(w.Part)
	}
	said := b.stated(goes, camera)
	asked, taken := b.part[part], b.part[goes]
	switch {
	case slices.Contains(strings.Split(w.Degree, ";"), "direct") && !slices.Contains(said, "direct"):
		return fmt.Sprintf("called direct, and %s is stated to be %v there", goes, said)
	case w.Way == "near" && w.Degree != "unproven":
		return "near and not unproven"
	case asked["Seat"] != taken["Seat"]:
		return fmt.Sprintf("it sits in %s, not %s", taken["Seat"], asked["Seat"])
	case asked["Class"] != taken["Class"]:
		return "it is of another class"
	case len(said) > 0 && !slices.ContainsFunc(said, func(d string) bool { return d != "no" && d != "opposite-hand" }):
		return fmt.Sprintf("it never goes in: %v", said)
	case asked["Hand"] != taken["Hand"] && w.Way != "sibling":
		return fmt.Sprintf("it is %s-hand, not %s-hand", taken["Hand"], asked["Hand"])
	case asked["Hand"] != taken["Hand"] && !slices.Contains(b.stated(part, camera), "opposite-hand") && len(b.stated(part, camera)) > 0:
		return "the hand asked for is the one that goes in"
	}
	if twin := taken["Twin"]; twin != "" && len(said) == 0 && len(b.stated(twin, camera)) > 0 {
		return "its opposite-hand twin is the one that goes in"
	}
	return ""
}

// demoStore is the demo workshop in a store of its own, open to be read.
func demoStore(t *testing.T) *store.Store {
	t.Helper()
	path := newTypist(t).env.Getenv("TINFUL_STORE")
	s, err := store.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	})
	return s
}
