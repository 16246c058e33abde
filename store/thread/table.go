package thread

import (
	_ "embed"
	"encoding/csv"
	"strconv"
	"strings"
	"sync"
)

// The published sizes: ISO 68-1 and 262, ASME B1.1 and B1.10M, BS 84, BS 93,
// ISO 1501, the old German sizes of 1892 and those that older DIN and JIS
// standards kept; diameters and pitches in millimetres.
//
//go:embed threads.csv
var threadsCSV string

type diameter struct {
	form  string
	major int64
}

type sizes struct {
	ba     map[int]Thread
	coarse map[diameter]int64 // the pitch of a size named by its diameter alone
	all    []Thread
	lists  map[Thread]listing // by the right-hand thread
}

// A listing is what the lists say of a size; its zero value is a size in no list.
type listing struct {
	series   []string // where it is from and what it is for, as people read it
	in       bool
	selected bool // UNC and UNF, whose limits are those of the diameter's own length
	s        bool // ISO 1501
}

// Sizes returns the published sizes that a cell can name, in the order of the
// table, without repeats. The slice is the caller's.
func Sizes() []Thread { return append([]Thread(nil), tables().all...) }

// Series returns where a published size is from and what it is used for, and
// nothing for a size that no table has: "older size (DIN/SI/JIS)",
// "camera mount (M42x1 mount)".
func Series(t Thread) string { return strings.Join(t.listing().series, "; ") }

func (t Thread) listing() listing {
	t.Left = false
	return tables().lists[t]
}

// The table is read on first use: no command that has no thread pays for it.
var tables = sync.OnceValue(func() sizes {
	s := sizes{ba: map[int]Thread{}, coarse: map[diameter]int64{}, lists: map[Thread]listing{}}
	rows, err := csv.NewReader(strings.NewReader(threadsCSV)).ReadAll()
	if err != nil {
		panic("embedded table of threads: " + err.Error())
	}
	for _, row := range rows[1:] {
		if t, ok := s.add(row); ok {
			s.list(t, row[0], row[1])
		}
	}
	return s
})

// list notes the series and name of a row of a thread.
func (s *sizes) list(t Thread, series, name string) {
	l := s.lists[t]
	if !l.in {
		l.in = true
		s.all = append(s.all, t)
	}
	if w := seriesWords(series, name); w != "" {
		l.series = append(l.series, w)
	}
	l.selected = l.selected || strings.HasPrefix(series, "UNC") || strings.HasPrefix(series, "UNF")
	l.s = l.s || strings.HasPrefix(series, "ISO 1501")
	s.lists[t] = l
}

// add enters one row and returns its thread, or false for a row that no cell
// can name.
func (s *sizes) add(row []string) (Thread, bool) {
	series, name := row[0], row[1]
	major, ok := parts(row[2])
	pitch, ok2 := parts(row[3])
	if !ok || !ok2 {
		return Thread{}, false
	}
	switch {
	case strings.HasPrefix(series, "BA"):
		return s.addBA(name, major, pitch)
	case series == "Loewenherz":
		s.coarse[diameter{Loewenherz, major}] = pitch
		return must(pair(Loewenherz, major, pitch))
	case series == "ISO metric coarse", series == "pre-ISO metric (DIN/SI/JIS)":
		s.coarse[diameter{Metric, major}] = pitch
		return must(pair(Metric, major, pitch))
	case strings.HasPrefix(series, "UNM"):
		s.coarse[diameter{Unified, major}] = pitch
		return must(pair(Unified, major, pitch))
	case strings.HasPrefix(series, "ISO 1501"):
		s.coarse[diameter{Metric, major}] = pitch
		return must(pair(Metric, major, pitch))
	case strings.HasPrefix(name, "M"), name == "39 mm x 1 mm mount (metric)":
		return must(pair(Metric, major, pitch))
	case name == "39 mm x 26 tpi mount (Whitworth)":
		return must(pair(Whitworth, major, pitch))
	case strings.HasPrefix(name, "RMS"):
		return must(parseInch(Whitworth, "0.8", "36")) // objective
	case strings.HasPrefix(name, "C-mount"):
		return must(parseInch(Unified, "1", "32"))
	case strings.HasPrefix(name, "D-mount"):
		return must(parseInch(Unified, "5/8", "32"))
	case row[5] == "" && !strings.HasPrefix(name, "conical"):
		return must(pair(Unknown, major, pitch))
	}
	return addInch(series, name)
}

// seriesWords is a series as people read it, with the name of a size that is
// made for one use; nothing where the form says it all.
func seriesWords(series, name string) string {
	switch series {
	case "camera mount", "filter", "shutter", "microscope", "lens flange":
		return series + " (" + name + ")"
	case "optics metric":
		return "lens and mount threads"
	case "Loewenherz", "BA (BS 93)":
		return ""
	}
	if rest, ok := strings.CutPrefix(series, "pre-ISO"); ok {
		return strings.TrimSpace("older size" + strings.Replace(rest, " metric", "", 1))
	}
	return series
}

func (s *sizes) addBA(name string, major, pitch int64) (Thread, bool) {
	number := strings.TrimSuffix(name, " BA")
	n, err := strconv.Atoi(number)
	t := Thread{Form: BA, Major: major, Pitch: pitch, Size: number}
	if err == nil {
		s.ba[n] = t
	}
	return t, err == nil
}

// addInch reads rows such as 1-64 UNC and 1/4-20 BSW.
func addInch(series, name string) (Thread, bool) {
	size, word, _ := strings.Cut(name, " ")
	form, ok := ParseForm(word)
	d, tpi, ok2 := strings.Cut(size, "-")
	if !ok || !ok2 || !strings.HasPrefix(series, word) {
		return Thread{}, false
	}
	return must(parseInch(form, d, tpi))
}

func must(t Thread, err error) (Thread, bool) { return t, err == nil }
