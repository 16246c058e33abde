package thread

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

func parsed(t *testing.T, cell string) Thread {
	t.Helper()
	th, err := Parse(cell)
	if err != nil {
		t.Fatal(err)
	}
	return th
}

// A published table is a file of testdata/limits: its source in lines that begin with
// #, the last of which says the unit; a line of columns such as screw:2A:major:max~0.0001,
// one number of a class with what it may be off by, or both with - between where neither
// max nor min is named; then a row for each size, _ for a blank and - for what is not
// printed.
func TestPublishedLimits(t *testing.T) {
	files, err := filepath.Glob("testdata/limits/*.txt")
	if err != nil || len(files) < 15 {
		t.Fatal(files, err)
	}
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		unit := float64(nmPerMM)
		var columns []string
		cells := 0
		for line := range strings.Lines(string(text)) {
			f := strings.Fields(line)
			switch {
			case f[0] == "#":
				if f[1] == "unit" && f[2] == "in" {
					unit = nmPerInch
				}
			case columns == nil:
				columns = f
			default:
				cells += len(f) - 1
				for i, cell := range f[1:] {
					heldCell(t, file, parsed(t, strings.ReplaceAll(f[0], "_", " ")), columns[i+1], cell, unit)
				}
			}
		}
		if cells < 4 {
			t.Errorf("%s has %d cells", file, cells)
		}
	}
}

// heldCell holds one cell of a published table against the program.
func heldCell(t *testing.T, file string, th Thread, column, cell string, unit float64) {
	t.Helper()
	if cell == "-" {
		return
	}
	what, within, _ := strings.Cut(column, "~")
	off, err := strconv.ParseFloat(within, 64)
	if err != nil {
		t.Fatal(err)
	}
	part := strings.Split(what, ":")
	band, ok := limitsOf(th, part[0], part[1], part[2])
	if !ok {
		t.Errorf("%s: %s has no %s", file, th, column)
		return
	}
	low, high, both := strings.Cut(cell, "-")
	for _, c := range []struct {
		text string
		got  int64
		here bool
	}{{low, band.Min, both || part[3] == "min"}, {high, band.Max, both}, {low, band.Max, !both && part[3] == "max"}} {
		want, err := strconv.ParseFloat(c.text, 64)
		if c.here && (err != nil || math.Abs(float64(c.got)-want*unit) > off*unit+1) {
			t.Errorf("%s: %s %s is %.5f, published %s (%v)", file, th, what, float64(c.got)/unit, c.text, err)
		}
	}
}

// limitsOf is one diameter of one class; a class that begins with ISO is a source.
func limitsOf(th Thread, side, class, diameter string) (Band, bool) {
	list := th.Screws()
	if side == "hole" {
		list = th.Holes()
	}
	for _, l := range list {
		if l.Class == class || strings.ReplaceAll(l.Source, " ", "_") == class {
			return map[string]Band{"major": l.Major, "effective": l.Effective, "minor": l.Minor}[diameter], true
		}
	}
	return Band{}, false
}

// Nothing is published of Loewenherz, of BA from 17 on, of mounts that are called
// Whitworth and of the hole of the objective thread: no other form stands in.
func TestNothingPublished(t *testing.T) {
	for _, cell := range []string{"loewenherz 1.7x0.35", "BA 17", "BA 25", "whitworth 39x0.976923", "unknown 39x1.058333", "metric 25x0.1"} {
		th := parsed(t, cell)
		if th.Screws() != nil || th.Holes() != nil || !strings.HasPrefix(th.Measures(), "no limits are published of it; ") {
			t.Errorf("%s: %v %v, %s", cell, th.Screws(), th.Holes(), th.Measures())
		}
	}
	// Published: 0.7952 to 0.7982 in.
	if got, want := parsed(t, "whitworth 0.8-36").Measures(), "a new screw measures 20.198 to 20.274 mm (limits of the objective thread); of its hole no limits are published"; got != want {
		t.Errorf("objective: %s", got)
	}
}

// Every size of the lists that a standard gives limits of has a screw that ends at
// its full size, and a hole at its basic minor diameter or above it.
func TestEverySizeHasLimits(t *testing.T) {
	with := 0
	for _, s := range Sizes() {
		screw, ok := s.screw()
		hole, _ := s.hole()
		if !ok || s.Size == objective {
			continue
		}
		with++
		if screw.Major.Max < s.Major || screw.Major.Max > s.Major || hole.Minor.Min < s.minor()-10*tenThou/2 || hole.Minor.Max >= s.Major || screw.Effective.Max > hole.Effective.Min+tenThou {
			t.Errorf("%s: %+v %+v", s, screw, hole)
		}
	}
	if with < 240 {
		t.Errorf("%d sizes have limits", with)
	}
}

// The tables keep within 5 per cent of the formulas of ISO 965-1, and within a
// micrometre of the deviation: 180 P^(2/3) - 3.15/sqrt P, 433 P - 190 P^1.22
// (230 P^0.7 from 0.9 mm on), 15 + 11 P; effective 90 P^0.4 d^0.1 and 1.32 of that.
func TestGradesFollowTheFormulas(t *testing.T) {
	close := func(got, want int64) bool { return math.Abs(float64(got)/float64(want)-1) <= 0.055 }
	for _, g := range grades {
		f := formulaGrade(g.pitch * 1000)
		if !close(g.major, f.major) || !close(g.minor, f.minor) || distance(g.es, f.es) > 1 {
			t.Errorf("pitch %d: %+v, formula %+v", g.pitch, g, f)
		}
		for in, e := range g.effective {
			if screw, nut := formulaEffective(g.pitch*1000, in); e[0] > 0 && (!close(e[0], screw) || !close(e[1], nut)) {
				t.Errorf("pitch %d, range %d: %v, formula %d and %d", g.pitch, in, e, screw, nut)
			}
		}
	}
}

// The generator of BA, P = 0.9^n and D = 6 P^1.2 to two figures, gives the
// published rows of 0 to 16 BA as long as P is not rounded first.
func TestBAGenerator(t *testing.T) {
	two := func(x float64) float64 {
		s, _ := strconv.ParseFloat(strconv.FormatFloat(x, 'e', 1, 64), 64)
		return s
	}
	for n := range 17 {
		p := math.Pow(0.9, float64(n))
		th := parsed(t, fmt.Sprintf("BA %d", n))
		if d := two(6 * math.Pow(p, 1.2)); micro(th.Major) != int64(math.Round(d*1000)) || micro(th.Pitch) != int64(math.Round(two(p)*1000)) {
			t.Errorf("BA %d: %s x %s, generator %v x %v", n, Micro(th.Major), Micro(th.Pitch), d, two(p))
		}
	}
}

// Every row of the table that has threads per inch has their pitch.
func TestPitchFromTPI(t *testing.T) {
	rows, err := csv.NewReader(strings.NewReader(threadsCSV)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for _, row := range rows[1:] {
		tpi, err := strconv.ParseInt(row[4], 10, 64)
		if err != nil || row[0] == "BA (BS 93)" || strings.HasPrefix(row[0], "UNM") {
			continue // there the count is rounded, not the pitch
		}
		n++
		want, _ := parts(row[3])
		if distance(Pitch(tpi), want) > 10 {
			t.Errorf("%s: %d per inch are %d nm, published %s", row[1], tpi, Pitch(tpi), row[3])
		}
	}
	if n < 30 {
		t.Errorf("%d rows", n)
	}
}

// ISO 4042: M2 6g bears 4.75 and M3 6g 5 micrometres, worked by hand; none is
// published for BA.
func TestMostCoat(t *testing.T) {
	if m2, m3 := parsed(t, "M2").MostCoat(), parsed(t, "M3").MostCoat(); m2 != 4_750 || m3 != 5_000 || parsed(t, "BA 10").MostCoat() != 0 {
		t.Errorf("most plating %d and %d", m2, m3)
	}
}
