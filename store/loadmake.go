package store

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"sync"

	"tinful/store/code"
	"tinful/store/words"
)

// A list names places, parts cameras, models and jobs by words of its own: Tin 4,
// Lade 3 hinten, Spender 7. Each is the one of the store whose code reads like it or
// whose words it is, or one that is made where [Load.Make] allows it, with a code of
// its words.

// A Named is a text of a list that stands where a code belongs.
type Named struct{ Kind, Text string } // Kind: place, donor, job, model, shutter or lens

// Makes are the kinds of things that a list may make, as a person says them.
var Makes = []string{"places", "donors", "models", "jobs"}

// nameables are the kinds of things that a list may name: where they lie, their sheet,
// their word of [Makes], and the series of their codes.
var nameables = sync.OnceValue(func() map[string]nameable {
	return map[string]nameable{
		"place": {bPlace, "Places", "places", "place"}, "donor": {bDonor, "Donors", "donors", "donor"}, "job": {bJob, "Jobs", "jobs", "job"},
		"model": {bModel, "Models", "models", "model"}, "shutter": {bModel, "Models", "models", "model"}, "lens": {bModel, "Models", "models", "model"},
	}
})

type nameable struct{ bucket, sheet, makes, series string }

// references calls fn for every code in the load that names a thing which may be made.
func (l *Load) references(fn func(sheet string, i int, heading, kind string, c *code.Code)) {
	for i := range l.Bags.held() {
		b := &l.Bags.held()[i]
		fn("Bags", i, "Place", "place", &b.Place)
		if c := code.Code(b.Origin); c != "" && !slices.Contains(Origins, b.Origin) {
			fn("Bags", i, "Origin", "donor", &c)
			b.Origin = string(c)
		}
	}
	for i := range l.Donors.held() {
		d := &l.Donors.held()[i]
		fn("Donors", i, "Model", "model", &d.Model)
		fn("Donors", i, "Shutter", "shutter", &d.Shutter)
		fn("Donors", i, "Lens", "lens", &d.Lens)
		fn("Donors", i, "Place", "place", &d.Place)
	}
	for i := range l.Jobs.held() {
		j := &l.Jobs.held()[i]
		fn("Jobs", i, "Model", "model", &j.Model)
		fn("Jobs", i, "Shutter", "shutter", &j.Shutter)
		fn("Jobs", i, "Lens", "lens", &j.Lens)
		fn("Jobs", i, "Tray", "place", &j.Tray)
	}
	for i := range l.Seen.held() {
		s := &l.Seen.held()[i]
		fn("Seen", i, "Part", "part", &s.Part)
		fn("Seen", i, "Donor", "donor", &s.Donor)
	}
	for i := range l.Goes.held() {
		fn("Goes", i, "Model", "model", &l.Goes.held()[i].Model)
	}
	for i := range l.Wants {
		fn("Wants", i, "Model", "model", &l.Wants[i].Model)
		fn("Wants", i, "Job", "job", &l.Wants[i].Job)
	}
}

// A maker finds or makes what a list names.
type maker struct {
	p     *Plan
	known map[string]map[string]code.Code // by bucket: codes and words, folded
	taken map[string]map[code.Code]bool   // by bucket
	done  map[Named]code.Code
}

// makeNamed gives every name of the list its code, and makes what is not there.
func (p *Plan) makeNamed() error {
	if !p.load.Nameless {
		return nil
	}
	m := &maker{p: p, known: map[string]map[string]code.Code{}, taken: map[string]map[code.Code]bool{}, done: map[Named]code.Code{}}
	if err := m.look(); err != nil {
		return err
	}
	for i := range p.load.Places {
		m.own("place", &p.load.Places[i].Code, &p.load.Places[i].Where)
	}
	for i := range p.load.Models {
		m.own("model", &p.load.Models[i].Code, &p.load.Models[i].Name)
	}
	p.load.references(m.reference)
	return nil
}

// own gives a row whose code is a text of words its code, and keeps the words.
func (m *maker) own(kind string, c *code.Code, words *string) {
	if name, ok := m.p.load.Named[*c]; ok {
		*c = m.code(Named{kind, name.Text}, true)
		*words = or(*words, name.Text)
	}
}

// look notes what the store and the load have.
func (m *maker) look() error {
	note := func(bucket string, c code.Code, texts ...string) {
		if m.known[bucket] == nil {
			m.known[bucket], m.taken[bucket] = map[string]code.Code{}, map[code.Code]bool{}
		}
		if !IsNameless(c) {
			m.taken[bucket][c] = true
			m.known[bucket][code.Loose(string(c))] = c
		}
		for _, t := range texts {
			if k := words.Fold(t); k != "" && m.known[bucket][k] == "" && !IsNameless(c) {
				m.known[bucket][k] = c
			}
		}
	}
	place := func(x Place) error { note(bPlace, x.Code, x.Where); return nil }
	donor := func(x Donor) error { note(bDonor, x.Code, x.Note); return nil }
	job := func(x Job) error { note(bJob, x.Code, x.Note); return nil }
	model := func(x Model) error {
		note(bModel, x.Code, append([]string{x.Name, x.Maker + " " + x.Name}, x.Aliases...)...)
		return nil
	}
	if v := m.p.view; v != nil {
		for _, err := range []error{v.EachPlace(place), v.EachDonor(donor), v.EachJob(job), v.EachModel(model)} {
			if err != nil {
				return err
			}
		}
	}
	l := m.p.load
	for _, x := range l.Places {
		_ = place(x)
	}
	for _, x := range l.Donors.All() {
		_ = donor(x)
	}
	for _, x := range l.Jobs.All() {
		_ = job(x)
	}
	for _, x := range l.Models {
		_ = model(x)
	}
	return nil
}

// reference finds or makes what a cell names, and notes what may not be made.
func (m *maker) reference(sheet string, i int, heading, kind string, c *code.Code) {
	bucket := nameables()[kind].bucket
	name, words := m.p.load.Named[*c]
	if *c == "" || !words && m.taken[bucket][*c] {
		return
	}
	if !words {
		name.Text = string(*c)
	}
	n := Named{kind, name.Text}
	if kind == "part" {
		if words {
			m.part(sheet, i, heading, name.Text, c)
		}
		return
	}
	if words {
		if own := m.found(n); own != "" {
			*c = own
			return
		}
	}
	switch {
	case slices.Contains(m.p.load.Make, nameables()[kind].makes):
		*c = m.code(n, false)
		return
	case (sheet == "Donors" || sheet == "Jobs") && kind != "place":
		m.toNote(sheet, i, heading, name.Text)
		*c = ""
		return
	}
	m.p.missing(kind, name.Text)
	if words {
		at, cell, _ := m.p.load.Cell(sheet, i, heading)
		m.p.Problems = append(m.p.Problems, Problem{Sheet: at, Cell: cell, Value: name.Text, Problem: fmt.Sprintf("there is no %s of this name%s", kind, m.p.nowhere())})
		m.p.tally(sheet).Refused++
		*c = ""
	}
}

// part gives a cell that names a part in words its code.
func (m *maker) part(sheet string, i int, heading, text string, c *code.Code) {
	var all []code.Code
	for _, p := range m.p.load.Parts.held() {
		if words.Fold(p.Name) == words.Fold(text) || p.Code == code.Code(strings.ToUpper(text)) {
			all = append(all, p.Code)
		}
	}
	if v := m.p.view; v != nil {
		for _, c := range append(v.PartsNamed(words.Fold(text)), code.Code(strings.ToUpper(text))) {
			if p, err := v.Part(c); err == nil && (words.Fold(p.Name) == words.Fold(text) || p.Code == code.Code(strings.ToUpper(text))) {
				all = append(all, c)
			}
		}
	}
	slices.Sort(all)
	*c = ""
	switch all = slices.Compact(all); len(all) {
	case 1:
		*c = all[0]
		return
	case 0:
		m.p.problem(sheet, i, heading, "there is no part %q%s", text, m.p.nowhere())
	default:
		m.p.problem(sheet, i, heading, "%q may be %s: head the column with a code", text, words.Or(all))
	}
}

// toNote keeps the words for a model that is not here in the note of the camera.
func (m *maker) toNote(sheet string, i int, heading, text string) {
	var note *string
	if sheet == "Donors" {
		note = &m.p.load.Donors.held()[i].Note
	} else {
		note = &m.p.load.Jobs.held()[i].Note
	}
	if !strings.Contains(*note, text) {
		*note = strings.TrimSpace(strings.Join([]string{*note, text}, " / "))
		*note = strings.TrimPrefix(*note, "/ ")
	}
	name, cell, _ := m.p.load.Cell(sheet, i, heading)
	m.p.missing("model", text)
	m.p.Said = append(m.p.Said, fmt.Sprintf("%s!%s: %q is no model here, and is kept in the note", name, cell, text))
}

// missing notes what is named, not there and not made.
func (p *Plan) missing(kind, text string) {
	if p.Missing == nil {
		p.Missing = map[string][]string{}
	}
	if word := nameables()[kind].makes; !slices.ContainsFunc(p.Missing[word], func(s string) bool { return code.Loose(s) == code.Loose(text) }) {
		p.Missing[word] = append(p.Missing[word], text)
	}
}

// found is the code of what a text names, empty for nothing.
func (m *maker) found(n Named) code.Code {
	if c, ok := m.done[n]; ok {
		return c
	}
	known := m.known[nameables()[n.Kind].bucket]
	return cmp.Or(known[code.Loose(n.Text)], known[words.Fold(n.Text)])
}

// code is the code of what a text names; what is not there is made, unless a row of
// its own makes it.
func (m *maker) code(n Named, own bool) code.Code {
	if c := m.found(n); c != "" {
		return c
	}
	bucket := nameables()[n.Kind].bucket
	if m.taken[bucket] == nil {
		m.taken[bucket] = map[code.Code]bool{}
	}
	c, err := code.Parse(n.Text)
	if err != nil {
		c = m.codeOf(n)
	}
	m.taken[bucket][c], m.done[n] = true, c
	l := m.p.load
	text := n.Text
	if err == nil {
		text = ""
	}
	if !own {
		switch n.Kind {
		case "place":
			l.Places = append(l.Places, Place{Code: c, Where: text})
		case "donor":
			l.Donors.Add(Donor{Code: c, Note: text})
		case "job":
			l.Jobs.Add(Job{Code: c, Note: text})
		case "model":
			l.Models = append(l.Models, Model{Code: c, Name: text, Kind: "camera"})
		default:
			l.Models = append(l.Models, Model{Code: c, Name: text, Kind: n.Kind})
		}
	}
	m.p.Made = append(m.p.Made, Made{Sheet: nameables()[n.Kind].sheet, Code: c, Name: text})
	return c
}

// codeOf is a free code made of words, TIN-4 of Tin 4, or else the next of its series.
func (m *maker) codeOf(n Named) code.Code {
	bucket := nameables()[n.Kind].bucket
	text := strings.ReplaceAll(words.Fold(n.Text), " ", "-")
	for try := 1; try < 100; try++ {
		name := text
		if try > 1 {
			name = fmt.Sprintf("%s-%d", text, try)
		}
		if c, err := code.Parse(name); err == nil && !m.taken[bucket][c] {
			return c
		} else if err != nil {
			break
		}
	}
	_, prefix, width, first := series(nameables()[n.Kind].series)
	if m.p.view != nil {
		if c, err := m.p.view.NextCode(nameables()[n.Kind].series); err == nil {
			_, first, width, _ = code.Split(c)
		}
	}
	for m.taken[bucket][code.Make(prefix, first, width)] {
		first++
	}
	return code.Make(prefix, first, width)
}

// cameras gives donors and jobs without a code that of the one they are, which says
// all that the row says, the n-th of equals each, or else the next of the series.
func (n *namer) cameras() error {
	l := n.p.load
	var donors []Donor
	var jobs []Job
	if v := n.p.view; v != nil {
		err := v.EachDonor(func(d Donor) error { donors = append(donors, d); return nil })
		if err = cmp.Or(err, v.EachJob(func(j Job) error { jobs = append(jobs, j); return nil })); err != nil {
			return err
		}
	}
	err := cmp.Or(
		known(n.p, "Donors", "donor", l.Donors.held(), donors, func(d *Donor) *code.Code { return &d.Code }),
		known(n.p, "Jobs", "job", l.Jobs.held(), jobs, func(j *Job) *code.Code { return &j.Code }))
	for i := range l.Donors.held() {
		d := &l.Donors.held()[i]
		n.p.untold(bDonor, d.Code, &d.Model)
	}
	for i := range l.Jobs.held() {
		j := &l.Jobs.held()[i]
		n.p.untold(bJob, j.Code, &j.Model)
	}
	return err
}

// OfNoModel is the model of cameras that a list brought and of which nobody told the
// model.
const OfNoModel code.Code = "UNKNOWN"

// untold gives a new camera without a model that one, which is made for the first.
func (p *Plan) untold(bucket string, own code.Code, model *code.Code) {
	if *model != "" || p.view != nil && p.view.has(bucket, own) {
		return
	}
	*model = OfNoModel
	there := slices.ContainsFunc(p.load.Models, func(m Model) bool { return m.Code == OfNoModel })
	if !there && (p.view == nil || !p.view.has(bModel, OfNoModel)) {
		p.load.Models = append(p.load.Models, Model{Code: OfNoModel, Name: "?", Kind: "camera", Note: "of cameras whose model is not told yet"})
		p.Made = append(p.Made, Made{Sheet: "Models", Code: OfNoModel, Name: "?"})
	}
}

// known gives rows without a code that of the record they are.
func known[T any](p *Plan, sheet, kind string, rows, here []T, at func(*T) *code.Code) error {
	n := &namer{p: p, claimed: map[code.Code]bool{}}
	for i := range rows {
		n.claimed[*at(&rows[i])] = true
	}
	series := n.series(kind)
	for i := range rows {
		c := at(&rows[i])
		if !IsNameless(*c) {
			continue
		}
		*c = ""
		for k := range here {
			if _, changed := merge(here[k], rows[i]); !changed && !n.claimed[*at(&here[k])] {
				*c = *at(&here[k])
				break
			}
		}
		if *c == "" {
			next, err := series()
			if err != nil {
				return err
			}
			*c = next
			n.made(sheet, i, next, "")
		}
		n.claimed[*c] = true
	}
	return nil
}
