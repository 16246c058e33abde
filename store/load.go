package store

import (
	"tinful/store/code"
)

// The sheets of a workbook, in the order they are read and written.
var Sheets = []string{"Models", "Places", "Parts", "Goes", "Donors", "Seen", "Bags", "Jobs", "Moves", "Wants"}

// A Load is what a workbook holds, read cell by cell. A field without a value
// leaves the field of an existing record alone.
type Load struct {
	Models []Model
	Places []Place
	Parts  []Part
	Goes   []Goes
	Donors []Donor
	Seen   []Seen
	Bags   []Bag
	Jobs   []Job
	Moves  []Entry // Day, What, Bag, Quantity, About, Job, To, Why, Amount and By are set
	Wants  []Want
	File   string // the base name of what was read
	Hash   string // its SHA-256, in hex

	// Cell names the cell of a record for a person: the sheet as the person
	// calls it ("Parts" or "parts.csv"), the cell ("C17") and what it holds.
	// i counts the records of the sheet from 0.
	Cell func(sheet string, i int, heading string) (name, cell, value string)
}

// A Problem is one cell that cannot be taken in: what it holds, what is wrong
// and what would be right.
type Problem struct {
	Sheet   string `json:"sheet"`
	Cell    string `json:"cell"`
	Value   string `json:"value"`
	Problem string `json:"problem"`
}

// A Tally counts the rows of one sheet by what taking them in would do.
type Tally struct {
	New     int `json:"new"`
	Changed int `json:"changed"`
	Same    int `json:"same"`
	Refused int `json:"refused"`
}

// A Plan is what taking a workbook in would do, sheet by sheet.
type Plan struct {
	Sheets   map[string]*Tally
	Problems []Problem
	// New and changed records, to be written.
	put   []any
	moves []Entry
	bags  []Bag
}

func (p *Plan) tally(sheet string) *Tally {
	t := p.Sheets[sheet]
	if t == nil {
		t = &Tally{}
		p.Sheets[sheet] = t
	}
	return t
}

var _ code.Code
