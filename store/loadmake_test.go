package store

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"tinful/store/code"
)

// A list says words where codes belong: what the store has is found by its code and by
// its words, what may be made is made with a code of its words, what may not is named
// with its cell, and a model of a camera is kept in its note.
func TestNamedThings(t *testing.T) {
	s := emptyStore(t)
	takenInto(t, s, workbook())
	mustBook(t, s, func(x *Tx) error {
		return putAll(x, Place{Code: "TIN-4", Where: "flat tin"}, Model{Code: "W1-B", Kind: "camera", Maker: "Wendel", Name: "Wendelin I", Aliases: []string{"the small one"}})
	})
	bag := func(place code.Code) Bag {
		return Bag{Code: Nameless(9), Part: "P003", Origin: "bought", Quantity: 1, Grade: "new", Place: place}
	}
	for _, tt := range []struct {
		name  string
		kind  string // of the words
		words string
		rec   func(c code.Code) any // with the words' code in it
		make  string
		got   string // code that stands there in the end
		made  string // sheet, code and name of what is new
		says  string // refused or said
	}{
		{"a place by its code, loosely", "place", "tin 4", func(c code.Code) any { return bag(c) }, "", "TIN-4", "", ""},
		{"a place by its words", "place", "Flat Tin", func(c code.Code) any { return bag(c) }, "", "TIN-4", "", ""},
		{"a place that is not there", "place", "Lade 3 hinten", func(c code.Code) any { return bag(c) }, "", "", "", "Bags Place there is no place of this name"},
		{"a place that is made", "place", "Lade 3 hinten", func(c code.Code) any { return bag(c) }, "places", "LADE-3-HINTEN", "Places LADE-3-HINTEN Lade 3 hinten", ""},
		{"of words that make no code", "place", "?!", func(c code.Code) any { return bag(c) }, "places", "D1", "Places D1 ?!", ""},
		{"a parts camera that is made", "donor", "Spender 7", func(c code.Code) any { b := bag("K1"); b.Origin = string(c); return b }, "donors", "SPENDER-7", "Donors SPENDER-7 Spender 7", ""},
		{"a model by its maker and name", "model", "wendel wendelin i", func(c code.Code) any { return Donor{Code: "PC-2", Model: c, Owner: Own} }, "", "W1-B", "", ""},
		{"a model by another name", "model", "The Small One", func(c code.Code) any { return Job{Code: "110", Model: c} }, "", "W1-B", "", ""},
		{"no model: kept in the note", "model", "Zeta 9", func(c code.Code) any { return Donor{Code: "PC-2", Model: c, Owner: Own, Note: "dented"} }, "", "UNKNOWN", "", "Donors!Model: \"Zeta 9\" is no model here, and is kept in the note"},
		{"no model of a job: kept in the note", "model", "Zeta 9", func(c code.Code) any { return Job{Code: "110", Model: c} }, "", "UNKNOWN", "", "Jobs!Model: \"Zeta 9\" is no model here, and is kept in the note"},
		{"a shutter that is made", "shutter", "Zeta 9", func(c code.Code) any { return Donor{Code: "PC-2", Model: "A-1", Shutter: c, Owner: Own} }, "models", "ZETA-9", "Models ZETA-9 Zeta 9", ""},
		{"a model of a statement", "model", "Zeta 9", func(c code.Code) any { return Goes{Part: "P003", Model: c, Degrees: []string{"direct"}} }, "", "", "", "Goes Model there is no model of this name"},
		{"a place's own row", "place", "box of lids", func(c code.Code) any { return Place{Code: c} }, "", "BOX-OF-LIDS", "Places BOX-OF-LIDS box of lids", ""},
		{"a model's own row", "model", "Wendelin II", func(c code.Code) any { return Model{Code: c, Kind: "camera"} }, "", "WENDELIN-II", "Models WENDELIN-II Wendelin II", ""},
		{"a part by its name", "part", "Screw", func(c code.Code) any { return Seen{Donor: "PC-1", Part: c, Seen: "present", Date: day0} }, "", "P003", "", ""},
		{"a part by its code", "part", "p003", func(c code.Code) any { return Seen{Donor: "PC-1", Part: c, Seen: "present", Date: day0} }, "", "P003", "", ""},
		{"a name of two parts", "part", "lever spring", func(c code.Code) any { return Seen{Donor: "PC-1", Part: c, Seen: "present", Date: day0} }, "", "", "", `Seen Part "lever spring" may be P001 or P002: head the column with a code`},
		{"a part that is none", "part", "zebra", func(c code.Code) any { return Seen{Donor: "PC-1", Part: c, Seen: "present", Date: day0} }, "", "", "", `Seen Part there is no part "zebra"`},
	} {
		t.Run(tt.name, func(t *testing.T) {
			c := Nameless(1)
			l := loadOf(tt.rec(c))
			l.Nameless, l.Named = true, map[code.Code]Named{c: {tt.kind, tt.words}}
			l.Make = strings.Fields(tt.make)
			if err := s.View(func(v *View) error {
				p, err := PlanLoad(v, l, head())
				if err != nil {
					return err
				}
				var made []string
				for _, m := range p.Made {
					if m.Sheet != "Bags" && m.Code != OfNoModel {
						made = append(made, fmt.Sprintf("%s %s %s", m.Sheet, m.Code, m.Name))
					}
				}
				says := p.Said
				for _, x := range p.Problems {
					says = append(says, x.Sheet+" "+x.Cell+" "+x.Problem)
				}
				text := strings.Join(says, "\n")
				if got := strings.Join(made, ", "); got != tt.made || (text == "") != (tt.says == "") || !strings.HasPrefix(text, tt.says) {
					t.Errorf("made %q, says %q; want %q and %q", got, text, tt.made, tt.says)
				}
				if tt.got != "" && standing(l, tt.kind) != code.Code(tt.got) {
					t.Errorf("%s stands there, want %s", standing(l, tt.kind), tt.got)
				}
				if strings.Contains(tt.says, "kept in the note") && !slices.Contains([]string{"dented / Zeta 9", "Zeta 9"}, noteOf(l)) {
					t.Errorf("the note is %q", noteOf(l))
				}
				if strings.Contains(tt.says, "of this name") && !slices.Contains(p.Missing[tt.kind+"s"], tt.words) {
					t.Errorf("%q is not among the missing %v", tt.words, p.Missing)
				}
				return nil
			}); err != nil {
				t.Fatal(err)
			}
		})
	}
}

// standing is the code of a kind in the first record of a load that may name one.
func standing(l *Load, kind string) code.Code {
	switch {
	case kind == "donor":
		return code.Code(l.Bags.At(0).Origin)
	case kind == "part":
		return l.Seen.At(0).Part
	case l.Bags.Len() > 0:
		return l.Bags.At(0).Place
	case kind == "shutter":
		return l.Donors.At(0).Shutter
	case l.Donors.Len() > 0:
		return l.Donors.At(0).Model
	case l.Jobs.Len() > 0:
		return l.Jobs.At(0).Model
	case len(l.Places) > 0:
		return l.Places[0].Code
	}
	return l.Models[0].Code
}

func noteOf(l *Load) string {
	if l.Donors.Len() > 0 {
		return l.Donors.At(0).Note
	}
	return l.Jobs.At(0).Note
}
