package spring

import (
	_ "embed"
	"encoding/csv"
	"math/big"
	"slices"
	"strings"
	"sync"
)

// Wire gauges. Music wire (American, AMW): makers' tables of music wire, sizes
// 24 to 37 also in Machinery's Handbook 31, table 14. SWG: the Imperial Standard
// Wire Gauge as denominated in 1884, as far as it was read. BWG: the few sizes
// printed beside it. Metric: preferred sizes of spring wire, Norton, Machine
// Design, table of preferred diameters.
//
//go:embed gauges.csv
var gaugesCSV string

// The tables of wire sizes.
const (
	Music  = "music"
	SWG    = "swg"
	BWG    = "bwg"
	Metric = "metric"
)

// GaugeTables returns the tables in the order people are shown them. The slice
// is the caller's.
func GaugeTables() []string { return []string{Music, SWG, BWG, Metric} }

// A Gauge is one size of one table.
type Gauge struct {
	Table  string
	Number string // "5", "2/0"; of the metric steps the diameter itself, "0.20"
	Wire   int64  // micrometres
	Inch   string // as printed, "0.0140"; empty for a metric step
}

// TableName returns what people call a table: "music wire", "SWG".
func TableName(table string) string {
	switch table {
	case Music:
		return "music wire"
	case Metric:
		return "metric steps"
	}
	return strings.ToUpper(table)
}

// TableOf returns the table of a word such as music, AMW, piano, SWG, imperial,
// BWG, Stubs or metric, in any case, or false.
func TableOf(word string) (string, bool) {
	switch plain(word) {
	case "music", "musicwire", "amw", "mwg", "piano", "pianowire":
		return Music, true
	case "swg", "imperial", "standard", "british":
		return SWG, true
	case "bwg", "birmingham", "stubs":
		return BWG, true
	case "metric":
		return Metric, true
	}
	return "", false
}

var gauges = sync.OnceValue(func() map[string][]Gauge {
	m := map[string][]Gauge{}
	for _, r := range table(gaugesCSV) {
		g := Gauge{Table: r[0], Number: r[1], Inch: r[2]}
		if g.Inch != "" {
			g.Wire = scaled(g.Inch, 25_400)
		} else {
			g.Wire = scaled(r[3], 1000)
		}
		m[g.Table] = append(m[g.Table], g)
	}
	for _, list := range m {
		slices.SortFunc(list, func(a, b Gauge) int { return int(a.Wire - b.Wire) })
	}
	return m
})

// table reads an embedded table without its heading.
func table(text string) [][]string {
	rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil {
		panic("embedded table of springs: " + err.Error())
	}
	return rows[1:]
}

// scaled returns a decimal number times by, rounded, halves up; nothing is 0.
func scaled(text string, by int64) int64 {
	if text == "" {
		return 0
	}
	v, ok := new(big.Rat).SetString(text)
	if !ok {
		panic("embedded table of springs: " + text)
	}
	v.Mul(v, big.NewRat(2*by, 1)).Add(v, big.NewRat(1, 1))
	n := new(big.Int).Quo(v.Num(), v.Denom()).Int64() // twice the number, and one
	return n / 2
}

// Gauges returns the sizes of a table, thinnest first. The slice is the
// caller's.
func Gauges(table string) []Gauge { return slices.Clone(gauges()[table]) }

// GaugeNo returns the size a number has in a table, or false. Noughts may be
// written 00 for 2/0.
func GaugeNo(table, number string) (Gauge, bool) {
	if n := len(number); n > 1 && strings.Trim(number, "0") == "" {
		number = string(rune('0'+n)) + "/0"
	}
	for _, g := range gauges()[table] {
		if g.Number == number {
			return g, true
		}
	}
	return Gauge{}, false
}

// NearestGauges returns the size of a table that is a diameter to the
// micrometre, alone, or else the next thinner and the next thicker one, the
// nearer first. It returns nothing for a table it does not know.
func NearestGauges(table string, wire int64) []Gauge {
	list := gauges()[table]
	i := slices.IndexFunc(list, func(g Gauge) bool { return g.Wire >= wire })
	switch {
	case len(list) == 0:
		return nil
	case i < 0:
		return list[len(list)-1:]
	case i == 0 || list[i].Wire == wire:
		return list[i : i+1]
	case list[i].Wire-wire < wire-list[i-1].Wire:
		return []Gauge{list[i], list[i-1]}
	}
	return []Gauge{list[i-1], list[i]}
}
