package store

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"tinful/store/code"
	"tinful/store/words"
)

// A list that gives its parts and bags no codes is read with codes that stand for
// none, and they get theirs here: that of the record they are, or else the next of
// their series. Nothing of the list is remembered for that, so what tells a record
// is what it says of itself:
//
//   - a part its name, class and measures, else those among more measures, where
//     only one part of the store has them and no other row is that part;
//   - a bag its part, origin, place, grade, number and quantity as booked in, the
//     n-th of equals each; else the only one that is left with all of these but the
//     quantity. That row is refused for its quantity, or is a count of that bag;
//     where several are left it is refused.

// nameless begins the codes that stand for none. Nobody writes such a code.
const nameless = "-./-."

// Nameless is the n-th code of a Load that stands for none yet: [PlanLoad] gives the
// part or bag its own.
func Nameless(n int) code.Code { return code.Code(fmt.Sprintf("%s%d", nameless, n)) }

// IsNameless says whether a code stands for none yet.
func IsNameless(c code.Code) bool { return strings.HasPrefix(string(c), nameless) }

// A Made is a code that was made up for a row.
type Made struct {
	Sheet string    `json:"sheet"`
	Row   string    `json:"row"` // a cell of it, as the person counts
	Code  code.Code `json:"code"`
	Name  string    `json:"name,omitempty"` // of a part
}

// A namer gives codes to the rows of a workbook that have none.
type namer struct {
	p       *Plan
	record  map[code.Code]code.Code // the code of a row's part
	lead    map[code.Code]code.Code // the part itself, where the former is a second name
	claimed map[code.Code]bool      // codes that a row is already
}

// name gives every nameless part and bag of the workbook its code.
func (p *Plan) name() error {
	n := &namer{p: p, record: map[code.Code]code.Code{}, lead: map[code.Code]code.Code{}, claimed: map[code.Code]bool{}}
	for _, x := range p.load.Parts.held() {
		n.claimed[x.Code] = true
	}
	for _, b := range p.load.Bags.held() {
		n.claimed[b.Code] = true
	}
	for _, step := range []func() error{n.cameras, n.parts, n.bags} {
		if err := step(); err != nil {
			return err
		}
	}
	return nil
}

func (n *namer) parts() error {
	parts := n.p.load.Parts.held()
	for _, same := range []func(row, here *Part) bool{equalParts, hasAll} {
		for i := range parts {
			r := &parts[i]
			if !IsNameless(r.Code) || n.record[r.Code] != "" {
				continue
			}
			if err := n.knownPart(i, same); err != nil {
				return err
			}
			if class := r.Class; n.record[r.Code] == "" && slices.Contains(n.p.load.Guessed, i) {
				r.Class = ""
				if err := n.knownPart(i, same); err != nil {
					return err
				}
				if n.record[r.Code] == "" {
					r.Class = class
				}
			}
		}
	}
	series := n.series("part")
	for i := range parts {
		r := &parts[i]
		own, known := n.record[r.Code]
		if !IsNameless(r.Code) {
			continue
		}
		if !known {
			c, err := series()
			if err != nil {
				return err
			}
			own, n.record[r.Code], n.lead[r.Code] = c, c, c
			n.made("Parts", i, c, r.Name)
		}
		r.Code = own
	}
	return nil
}

// knownPart looks for the one part of the store that row i is. Several are a
// problem.
func (n *namer) knownPart(i int, same func(row, here *Part) bool) error {
	v, r := n.p.view, &n.p.load.Parts.held()[i]
	if v == nil || r.Name == "" {
		return nil
	}
	leads := map[code.Code]code.Code{}
	for _, c := range v.PartsNamed(words.Fold(r.Name)) {
		here, err := byCode[Part](v, bPart, c)
		if err != nil {
			return err
		}
		if words.Fold(here.Name) != words.Fold(r.Name) || n.claimed[c] || !same(r, &here) {
			continue
		}
		lead := here.Same
		if lead == "" {
			lead = c
		}
		leads[lead] = c
	}
	switch all := slices.Sorted(maps.Keys(leads)); len(all) {
	case 0:
	case 1:
		n.record[r.Code], n.lead[r.Code] = leads[all[0]], all[0]
		n.claimed[leads[all[0]]] = true
	default:
		n.record[r.Code], n.lead[r.Code] = leads[all[0]], all[0]
		n.p.problem("Parts", i, "Name", "%s are both this part by name, class and measures: give the row its code, in a column read as part", several(all))
	}
	return nil
}

func several(all []code.Code) string {
	var list []string
	for _, c := range all {
		list = append(list, string(c))
	}
	return strings.Join(list, " and ")
}

func equalParts(row, here *Part) bool {
	return row.Class == here.Class && maps.Equal(row.Dims, here.Dims) && maps.Equal(row.Marks, here.Marks)
}

// hasAll says that a part has all that a row says of its class and measures.
func hasAll(row, here *Part) bool {
	return (row.Class == "" || row.Class == here.Class) && within(row.Dims, here.Dims) && within(row.Marks, here.Marks)
}

func within[K, V comparable](some, all map[K]V) bool {
	for k, x := range some {
		if y, ok := all[k]; !ok || y != x {
			return false
		}
	}
	return true
}

// series makes the codes of a kind that are free, one after the other.
func (n *namer) series(kind string) func() (code.Code, error) {
	_, prefix, width, number := series(kind)
	begun := n.p.view == nil
	return func() (code.Code, error) {
		if !begun {
			c, err := n.p.view.NextCode(kind)
			if err != nil {
				return "", err
			}
			_, number, width, _ = code.Split(c)
			begun = true
		}
		for n.claimed[code.Make(prefix, number, width)] {
			number++
		}
		number++
		return code.Make(prefix, number-1, width), nil
	}
}

func (n *namer) made(sheet string, i int, c code.Code, name string) {
	_, cell, _ := n.p.load.Cell(sheet, i, "")
	n.p.Made = append(n.p.Made, Made{sheet, cell, c, name})
}

func (n *namer) bags() error {
	bags := n.p.load.Bags.held()
	for i := range bags {
		if IsNameless(bags[i].Code) && n.p.load.Counted == nil && n.p.load.Unsaid.N > 0 && !n.p.load.Empty[i] {
			n.p.say(i, &bags[i]) // by its quantity it is known again
		}
		if lead := n.lead[bags[i].Part]; lead != "" {
			bags[i].Part = lead
		}
	}
	own := map[int]code.Code{}
	passes := []func(row, here *Bag) bool{equalBags, alikeBags}
	if n.p.load.Counted != nil {
		passes = passes[1:] // what was counted tells no bag from another
	}
	for k, same := range passes {
		for i := range bags {
			if !IsNameless(bags[i].Code) || own[i] != "" || n.p.view == nil {
				continue
			}
			found, err := n.knownBags(&bags[i], same)
			if err != nil {
				return err
			}
			if len(found) == 0 {
				continue
			}
			own[i], n.claimed[found[0]] = found[0], true
			if k == len(passes)-1 && len(found) > 1 {
				n.p.problem("Bags", i, "Quantity", "%s may be meant, which are told apart by nothing here: give the row its code, in a column read as bag", several(found))
			}
		}
	}
	series := n.series("bag")
	for i := range bags {
		if !IsNameless(bags[i].Code) {
			continue
		}
		if own[i] == "" {
			c, err := series()
			if err != nil {
				return err
			}
			own[i] = c
			n.made("Bags", i, c, "")
		}
		n.rename(&bags[i], own[i])
	}
	return nil
}

func (n *namer) rename(b *Bag, own code.Code) {
	if q, ok := n.p.load.Counted[b.Code]; ok {
		delete(n.p.load.Counted, b.Code)
		n.p.load.Counted[own] = q
	}
	b.Code = own
}

// knownBags lists the bags of the store that a row may be and no other row is, first
// the one that agrees in most besides.
func (n *namer) knownBags(r *Bag, same func(row, here *Bag) bool) (found []code.Code, err error) {
	agree := -1
	for _, c := range n.p.view.BagsOf(r.Part) {
		here, err := n.p.view.Bag(c)
		if errors.Is(err, ErrNotFound) {
			continue
		}
		if err != nil {
			return nil, err
		}
		if n.claimed[c] || here.Split != "" || !same(r, &here) {
			continue
		}
		if k := agreement(r, &here); k > agree {
			found, agree = append([]code.Code{c}, found...), k
		} else {
			found = append(found, c)
		}
	}
	return found, nil
}

func alikeBags(row, here *Bag) bool {
	return row.Origin == here.Origin && row.Place == here.Place && row.Grade == here.Grade && row.Number == here.Number &&
		or(row.Unit, "pc") == here.Unit && or(row.Owner, Own) == here.Owner
}

func equalBags(row, here *Bag) bool {
	return alikeBags(row, here) && row.Quantity == here.Quantity && row.About == here.About
}

func agreement(row, here *Bag) (n int) {
	for _, same := range []bool{row.Booked == here.Booked, row.Note == here.Note, row.GoesWith == here.GoesWith, row.Looks == here.Looks,
		row.Cost == nil && here.Cost == nil || row.Cost != nil && here.Cost != nil && *row.Cost == *here.Cost} {
		if same {
			n++
		}
	}
	return n
}
