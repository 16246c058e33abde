package store

import (
	"slices"

	"tinful/store/code"
	"tinful/store/dim"
	"tinful/store/words"
)

// The store as it stands is the world that rules ask: see kinds.go.

func (v *View) has(bucket string, c code.Code) bool { return v.at(bucket, keyCode(c)) != nil }

func (v *View) modelKind(c code.Code) string {
	m, _ := v.Model(c)
	return m.Kind
}

func (v *View) contains(part code.Code) []code.Code {
	p, _ := byCode[Part](v, bPart, part)
	return p.Holds
}

func (v *View) size(part code.Code) map[dim.Field]int64 {
	p, _ := byCode[Part](v, bPart, part)
	return sizeOf(p)
}

// sizeOf are the measures of a part that is covering.
func sizeOf(p Part) map[dim.Field]int64 {
	if !words.Under(p.Class, Covering) {
		return nil
	}
	return p.Dims
}

// IsTray reports whether a place is there and is a tray of jobs, as [IsTray] tells.
func (v *View) IsTray(place code.Code) bool {
	p, err := v.Place(place)
	return err == nil && IsTray(p)
}

func (v *View) openIn(place code.Code) (out []code.Code) {
	v.scan(bJobByTray, prefix(place), func(job, open []byte) error {
		if open[0] == jobOpen {
			out = append(out, code.Code(job))
		}
		return nil
	})
	return out
}

func (v *View) stirred(bag code.Code) bool {
	st, err := v.State(bag)
	return err == nil && len(st.Book) > 1
}

func (v *View) came(e Entry) code.Day {
	st, err := v.State(e.Bag)
	if err != nil || e.Day >= st.LastDay {
		return e.Day
	}
	if st.Past != nil {
		return st.Past.Born
	}
	all, err := v.EntriesOf(e.Bag)
	if err != nil {
		return e.Day
	}
	return bornOf(e.Bag, all).Day
}

// bornOf is the entry by which a bag came: its latest booking in, else the split that
// made it. It is the zero Entry where the book has neither.
func bornOf(bag code.Code, all []Entry) (born Entry) {
	for _, e := range all {
		if e.First && e.Quantity >= 0 && e.Seq >= born.Seq {
			born = e
		}
	}
	for _, e := range all {
		if e.What == Split && e.Undoes == 0 && code.Code(e.To) == bag && (born.Seq == 0 || !born.First && e.Seq < born.Seq) {
			born = e
		}
	}
	return born
}

func (v *View) misnamed(model code.Code, kind string) (who string) {
	note := func(text string) {
		if who == "" {
			who = text
		}
	}
	for _, c := range v.CarriedBy(model) {
		if kind == "camera" {
			note("camera " + string(c) + " carries it")
		}
	}
	as := func(what string, own, shutter, lens code.Code) {
		switch {
		case shutter == model && kind != "shutter":
			note(what + " " + string(own) + " names it as its shutter")
		case lens == model && kind != "lens":
			note(what + " " + string(own) + " names it as its lens")
		}
	}
	v.EachDonor(func(d Donor) error { as("donor", d.Code, d.Shutter, d.Lens); return nil })
	v.EachJob(func(j Job) error { as("job", j.Code, j.Shutter, j.Lens); return nil })
	return who
}

func (v *View) flawed(p Part) error { return flawedBut(v, p, nil) }

// flawedBut looks through the bags of a part but for those that others answer for.
func flawedBut(v *View, p Part, but *code.Index) error {
	for _, c := range v.BagsOf(p.Code) {
		b, err := v.Bag(c)
		if err != nil || but.Has(c) {
			continue
		}
		if err := flawsOn(b, sizeOf(p)); err != nil {
			return err
		}
	}
	return nil
}

func (v *View) nowhere() string { return " here" }

// IsTray tells a tray, which holds one camera, from a shelf that holds many: its For
// says so.
func IsTray(p Place) bool {
	w := words.Tokens(p.For)
	i := slices.Index(w, "open")
	return slices.Contains(w, "tray") || i >= 0 && i+1 < len(w) && w[i+1] == "job"
}
