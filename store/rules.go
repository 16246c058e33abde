package store

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"tinful/store/code"
	"tinful/store/dim"
	"tinful/store/picture"
	"tinful/store/words"
)

// The rows of the table in kinds.go. A rule that is not here is no rule of a record.

var partKind = &kindOf[Part]{
	bucket: bPart, sheet: "Parts", rows: rowsPart, tidy: freeLength,
	key: func(p Part) []byte { return keyCode(p.Code) },
	names: func(p Part, name func(string, string, code.Code)) {
		name("Twin", bPart, p.Twin)
		name("Mirror", bPart, p.Mirror)
		name("Same as", bPart, p.Same)
		for _, c := range p.Holds {
			name("Holds", bPart, c)
		}
	},
	rules: []rule[Part]{
		{"Name", func(_ world, _ *Part, p Part) error {
			return unless(p.Name != "", "part %s has no name: say what it is called", p.Code)
		}},
		{"Twin", func(_ world, _ *Part, p Part) error {
			return unless(p.Twin != p.Code, "%s cannot be its own opposite hand", p.Code)
		}},
		{"Holds", roundHolds},
		{"Post mm", func(_ world, _ *Part, p Part) error {
			post, od := p.Dims[dim.Post], p.Dims[dim.OD]
			if post == 0 || od == 0 || post <= od {
				return nil
			}
			return refuse("%s cannot go over a post of %s mm: it is %s mm outside", p.Code, dim.Format(dim.Post, post), dim.Format(dim.OD, od))
		}},
		{"Length mm", func(_ world, _ *Part, p Part) error {
			n, ok := p.Dims[dim.Length]
			if !ok || p.Class != compression {
				return nil
			}
			return refuse("%s has a length of %s mm and a free length: a compression spring has its free length alone", p.Code, dim.Format(dim.Length, n))
		}},
		{"Keep", func(_ world, _ *Part, p Part) error { return drawerful(p.Code, orZero(p.Keep)) }},
		{"Weeks to find", func(_ world, _ *Part, p Part) error {
			return unless(p.Weeks <= mostWeeks, "nobody waits %d weeks for another %s: look at the number again", p.Weeks, p.Code)
		}},
		oneOf("Seat", Seats, func(p Part) string { return p.Seat }),
		oneOf("Runs", Sides, func(p Part) string { return p.Runs }),
		oneOf("Up", Sides, func(p Part) string { return p.Up }),
		{"Mirror", func(_ world, _ *Part, p Part) error {
			return unless(p.Mirror != p.Code, "%s cannot be its own mirror image", p.Code)
		}},
		{"Corner mm", func(_ world, _ *Part, p Part) error {
			side := min(p.Dims[dim.Width], p.Dims[dim.Length])
			return unless(side == 0 || 2*p.Corner <= side, "a corner of %s mm has no room: %s is %s mm across", dim.Format(dim.Width, p.Corner), p.Code, dim.Format(dim.Width, side))
		}},
		{"Holes", func(_ world, _ *Part, p Part) error { return onIt("hole", p.Code, p.Holes, p.Dims) }},
		{"Width mm", func(w world, was *Part, p Part) error {
			if was == nil || was.Dims[dim.Width] == p.Dims[dim.Width] && was.Dims[dim.Length] == p.Dims[dim.Length] {
				return nil
			}
			return w.flawed(p)
		}},
	},
}

var bagKind = &kindOf[Bag]{
	bucket: bBag, sheet: "Bags", rows: rowsBag,
	key:   func(b Bag) []byte { return keyCode(b.Code) },
	fresh: func(b *Bag) { b.Owner, b.Unit = or(b.Owner, Own), or(b.Unit, "pc") },
	today: func(b *Bag, _ code.Day) { b.Origin, b.Grade = or(b.Origin, "unknown"), or(b.Grade, "unknown") },
	names: func(b Bag, name func(string, string, code.Code)) {
		name("Part", bPart, b.Part)
		name("Place", bPlace, b.Place)
		name("Cut from", bBag, b.Cut)
	},
	rules: []rule[Bag]{
		{"Origin", func(w world, _ *Bag, b Bag) error {
			if b.Origin == "" || slices.Contains(Origins, b.Origin) || w.has(bDonor, code.Code(b.Origin)) {
				return nil
			}
			return Absent("there is no donor %s%s; the other origins are %s", b.Origin, w.nowhere(), strings.Join(Origins, ", "))
		}},
		{"Goes with", func(_ world, _ *Bag, b Bag) error {
			if b.GoesWith != "" && b.GoesWith == string(b.Code) {
				return refuse("%s cannot go with itself", b.Code)
			}
			return nil
		}},
		{"Cut from", func(_ world, _ *Bag, b Bag) error {
			return unless(b.Cut == "" || b.Cut != b.Code, "%s cannot be cut from itself", b.Code)
		}},
		{"Quantity", func(w world, _ *Bag, b Bag) error {
			if b.Quantity != 0 || b.Split != "" || w.stirred(b.Code) {
				return nil
			}
			return refuse("nobody said how many are in %s: write the number, or about how many", b.Code)
		}},
		{"Quantity", func(_ world, _ *Bag, b Bag) error { return drawerful(b.Code, b.Quantity) }},
		{"Minutes", func(_ world, _ *Bag, b Bag) error {
			return unless(b.Minutes <= mostMinutes, "nobody works %d minutes on %s: look at the number again", b.Minutes, b.Code)
		}},
		oneOf("Unit", Units, func(b Bag) string { return b.Unit }),
		oneOf("Grade", Grades, func(b Bag) string { return b.Grade }),
		oneOf("Looks", Looks, func(b Bag) string { return b.Looks }),
		oneOf("Runs", Sides, func(b Bag) string { return b.Runs }),
		oneOf("Whole", WholeWords, func(b Bag) string { return b.Whole }),
		{"Stretch", func(_ world, _ *Bag, b Bag) error {
			if now, err := ParseStretch(b.Stretch); err != nil || now != b.Stretch {
				return Misread("%v", noStretch(b.Stretch))
			}
			return nil
		}},
		{"Flaws", func(w world, _ *Bag, b Bag) error {
			if len(b.Flaws) == 0 {
				return nil
			}
			return flawsOn(b, w.size(b.Part))
		}},
	},
}

var modelKind = &kindOf[Model]{
	bucket: bModel, sheet: "Models", rows: rowsModel,
	key:   func(m Model) []byte { return keyCode(m.Code) },
	today: func(m *Model, _ code.Day) { m.Kind = or(m.Kind, "camera") },
	names: func(m Model, name func(string, string, code.Code)) {
		for _, c := range m.Carries {
			name("Carries", bModel, c)
		}
	},
	rules: []rule[Model]{
		oneOf("Kind", Kinds, func(m Model) string { return m.Kind }),
		{"Carries", func(w world, _ *Model, m Model) error {
			own := or(m.Kind, "camera")
			for _, c := range m.Carries {
				if k := w.modelKind(c); own != "camera" || k == "camera" || c == m.Code {
					return refuse("%s %s cannot carry %s %s: a camera carries shutters and lenses", own, m.Code, or(k, "camera"), c)
				}
			}
			return nil
		}},
		{"Kind", func(w world, was *Model, m Model) error {
			if was == nil || was.Kind == m.Kind || m.Kind == "" {
				return nil
			}
			who := w.misnamed(m.Code, m.Kind)
			return unless(who == "", "%s cannot become a %s: %s", m.Code, m.Kind, who)
		}},
	},
}

var goesKind = &kindOf[Goes]{
	bucket: bGoes, sheet: "Goes", key: keyGoes,
	rows: func(g Goes) []Row {
		return []Row{{bGoesByModel, keyGoesByModel(g), []byte(strings.Join(g.Degrees, ";"))}}
	},
	names: func(g Goes, name func(string, string, code.Code)) {
		name("Part", bPart, g.Part)
		name("Model", bModel, g.Model)
	},
	rules: []rule[Goes]{
		{"Per body", func(_ world, _ *Goes, g Goes) error { return drawerful(g.Part, orZero(g.PerBody)) }},
		{"Degree", func(_ world, _ *Goes, g Goes) error {
			if len(g.Degrees) == 0 {
				return refuse("of %s in %s no degree is said: %s", g.Part, g.Model, strings.Join(Degrees, ", "))
			}
			return nil
		}},
		{"Degree", func(_ world, _ *Goes, g Goes) error {
			for _, d := range g.Degrees {
				if _, err := words.OneOf("degree", Degrees, d); err != nil {
					return Misread("%v", err)
				}
				if (d == "direct" || d == "no" || d == "opposite-hand") && len(g.Degrees) > 1 {
					return refuse("%s stands alone: it cannot be %s as well", d, strings.Join(without(g.Degrees, d), ", "))
				}
			}
			return nil
		}},
		{"Operation", func(_ world, _ *Goes, g Goes) error {
			switch rework := slices.Contains(g.Degrees, "rework"); {
			case rework && g.Operation == "":
				return refuse("rework names its operation: what is to be done to %s for %s?", g.Part, g.Model)
			case !rework && g.Operation != "":
				return refuse("an operation goes with rework, and %s in %s is said to be %s", g.Part, g.Model, strings.Join(g.Degrees, ", "))
			}
			return nil
		}},
		{"To no", func(_ world, _ *Goes, g Goes) error {
			if c, ok := code.CompareNumbers(g.From, g.To); ok && c > 0 {
				return refuse("no number lies from %s to %s: the lower stands first", g.From, g.To)
			}
			return nil
		}},
		oneOf("Evidence", Evidences, func(g Goes) string { return g.Evidence }),
	},
}

var donorKind = &kindOf[Donor]{
	bucket: bDonor, sheet: "Donors", rows: rowsDonor,
	key:   func(d Donor) []byte { return keyCode(d.Code) },
	fresh: func(d *Donor) { d.Owner = or(d.Owner, Own) },
	today: func(d *Donor, day code.Day) {
		d.History, d.State = or(d.History, "unknown"), or(d.State, "whole")
		if d.Booked == 0 {
			d.Booked = day
		}
	},
	names: func(d Donor, name func(string, string, code.Code)) {
		name("Model", bModel, d.Model)
		name("Shutter", bModel, d.Shutter)
		name("Lens", bModel, d.Lens)
		name("Place", bPlace, d.Place)
	},
	rules: []rule[Donor]{
		hasModel(func(d Donor) (code.Code, code.Code) { return d.Code, d.Model }),
		carried("shutter", func(d Donor) (code.Code, code.Code) { return d.Model, d.Shutter }),
		carried("lens", func(d Donor) (code.Code, code.Code) { return d.Model, d.Lens }),
		{"Bought", func(_ world, _ *Donor, d Donor) error {
			return unless(d.Booked == 0 || d.Bought <= d.Booked, "%s cannot be bought on %s and booked on %s, before that", d.Code, d.Bought, d.Booked)
		}},
		oneOf("History", Histories, func(d Donor) string { return d.History }),
		oneOf("State", DonorStates, func(d Donor) string { return d.State }),
	},
}

var jobKind = &kindOf[Job]{
	bucket: bJob, sheet: "Jobs",
	rows: rowsJob,
	key:  func(j Job) []byte { return keyCode(j.Code) },
	today: func(j *Job, day code.Day) {
		if j.State = or(j.State, JobStates[0]); j.Opened == 0 {
			j.Opened = day
		}
	},
	names: func(j Job, name func(string, string, code.Code)) {
		name("Model", bModel, j.Model)
		name("Shutter", bModel, j.Shutter)
		name("Lens", bModel, j.Lens)
		name("Tray", bPlace, j.Tray)
	},
	rules: []rule[Job]{
		hasModel(func(j Job) (code.Code, code.Code) { return j.Code, j.Model }),
		carried("shutter", func(j Job) (code.Code, code.Code) { return j.Model, j.Shutter }),
		carried("lens", func(j Job) (code.Code, code.Code) { return j.Model, j.Lens }),
		{"Tray", func(w world, _ *Job, j Job) error {
			if j.Tray == "" || j.Closed != 0 || !w.IsTray(j.Tray) {
				return nil
			}
			others := without(w.openIn(j.Tray), j.Code)
			return unless(len(others) == 0, "tray %s has job %s: a tray holds one camera", j.Tray, several(others))
		}},
		{"Closed", func(_ world, _ *Job, j Job) error {
			return unless(j.Closed == 0 || j.Opened <= j.Closed, "job %s cannot be closed on %s: it was opened on %s", j.Code, j.Closed, j.Opened)
		}},
		oneOf("State", JobStates, func(j Job) string { return j.State }),
		oneOf("Agreed", []string{"yes", "no"}, func(j Job) string { return j.Agreed }),
	},
}

var placeKind = &kindOf[Place]{
	bucket: bPlace, sheet: "Places",
	rows: func(p Place) []Row { return rowsCode("place", p.Code) },
	key:  func(p Place) []byte { return keyCode(p.Code) },
	rules: []rule[Place]{
		{"For", func(w world, was *Place, p Place) error {
			if was == nil || IsTray(*was) || !IsTray(p) {
				return nil
			}
			in := w.openIn(p.Code)
			return unless(len(in) < 2, "%s cannot become a tray: jobs %s are in it, and a tray holds one camera", p.Code, several(in))
		}},
	},
}

var seenKind = &kindOf[Seen]{
	bucket: bSeen, sheet: "Seen", key: keySeen,
	rows: func(s Seen) []Row { return []Row{{bSeenByPart, keySeenByPart(s), []byte(s.Seen)}} },
	names: func(s Seen, name func(string, string, code.Code)) {
		name("Donor", bDonor, s.Donor)
		name("Job", bJob, s.Job)
		name("Part", bPart, s.Part)
	},
	rules: []rule[Seen]{oneOf("Seen", SeenWords, func(s Seen) string { return s.Seen })},
}

var wantKind = &kindOf[Want]{
	bucket: bWant, sheet: "Wants", key: keyWant, rows: rowsWant,
	names: func(w Want, name func(string, string, code.Code)) {
		name("Part", bPart, w.Part)
		name("Model", bModel, w.Model)
		name("Job", bJob, w.Job)
	},
}

var oldKind = &kindOf[Old]{
	bucket: bOld, key: keyOld, rows: rowsOld,
	names: func(o Old, name func(string, string, code.Code)) {
		name("", bJob, o.Job)
		name("", bPart, o.Part)
	},
	rules: []rule[Old]{
		{"", func(_ world, _ *Old, o Old) error {
			switch {
			case o.Part == "" && o.Piece == "":
				return refuse("which piece? name its part, or what it is in words")
			case o.Why == "":
				return refuse("why did it come out? say so in words")
			case o.Fate == "envelope" && o.Where == "":
				return Misread("which envelope does it lie in?")
			}
			return positive(o.Quantity)
		}},
		oneOf("Fate", Fates, func(o Old) string { return o.Fate }),
	},
}

var stepKind = &kindOf[Step]{
	bucket: bStep, key: keyStep,
	names: func(s Step, name func(string, string, code.Code)) { name("", s.Kind, s.Camera) },
	rules: []rule[Step]{oneOf("Seat", Seats, func(s Step) string { return s.Seat })},
}

// draftKind is what was typed and is not booked. One that undo gives back stands before
// what was typed since.
var draftKind = &kindOf[Draft]{
	bucket: bDraft, key: keyDraft,
	names: func(d Draft, name func(string, string, code.Code)) { name("", d.Kind, d.Camera) },
	tidy: func(d, since *Draft) string {
		if since != nil {
			d.Lines = append(slices.Clone(d.Lines), since.Lines...)
		}
		return ""
	},
}
var countKind = &kindOf[Count]{
	bucket: bCount, key: keyCount,
	names: func(c Count, name func(string, string, code.Code)) {
		for _, p := range c.Places {
			name("", bPlace, p)
		}
		for _, l := range c.Loose {
			name("", bPart, l.Part)
		}
	},
}

var paperKind = &kindOf[Paper]{
	bucket: bPaper, key: func(p Paper) []byte { return []byte(p.Name) },
	rules: []rule[Paper]{
		{"", func(_ world, _ *Paper, p Paper) error {
			if p.Name == "" || strings.ContainsAny(p.Name, " =\x00") {
				return Misread("a paper is kept by one word: drawer, roll")
			}
			return nil
		}},
		{"", func(_ world, _ *Paper, p Paper) error {
			return unless(p.Sheet != "", "paper %s has no measures: write them behind its name", p.Name)
		}},
	},
}

// labelKind names nothing: a label outlives what it was printed for.
var labelKind = &kindOf[Label]{bucket: bLabel, key: keyLabel}

// NoteOn are the kinds of things that remarks and pictures are kept of.
var NoteOn = []string{bPart, bBag, bDonor, bJob, bPlace}

var noteKind = &kindOf[Remark]{
	bucket: bNote, key: keyNote,
	names: func(n Remark, name func(string, string, code.Code)) {
		if slices.Contains(NoteOn, n.Kind) {
			name("", n.Kind, n.Code)
		}
	},
	rules: []rule[Remark]{
		{"", func(_ world, _ *Remark, n Remark) error {
			return unless(n.Text != "", "a note on %s says nothing: write it in words", n.Code)
		}},
	},
}

// pictureKind: what lies in the folder of pictures is for [PhotosOf] to say.
var pictureKind = &kindOf[Picture]{
	bucket: bPicture, key: keyPicture,
	names: func(p Picture, name func(string, string, code.Code)) {
		if slices.Contains(NoteOn, p.Kind) {
			name("", p.Kind, p.Code)
		}
	},
	rules: []rule[Picture]{
		{"File", func(_ world, _ *Picture, p Picture) error {
			return unless(isHash(p.Hash), "the picture %d of %s names no file", p.Nth, p.Code)
		}},
		{"Step", func(_ world, _ *Picture, p Picture) error {
			return unless(p.Step == 0 || p.Kind == bDonor || p.Kind == bJob, "a %s has no steps: %s is no camera that was taken apart", p.Kind, p.Code)
		}},
		oneOf("Format", picture.Formats, func(p Picture) string { return p.Format }),
	},
}

var shopKind = &kindOf[Shop]{
	bucket: bShop, key: func(Shop) []byte { return []byte(bShop) },
	rules: []rule[Shop]{
		{"", func(_ world, _ *Shop, s Shop) error {
			return unless(s.Name != "", "the workshop has no name: say what it is called")
		}},
	},
}

// entryKind are the lines of the book. What they do to a bag is for fold to say.
var entryKind = &kindOf[Entry]{
	bucket: bEntry, sheet: "Moves", key: func(e Entry) []byte { return keySeq(e.Seq) },
	names: func(e Entry, name func(string, string, code.Code)) {
		name("Job", bJob, e.Job)
		name("Model", bModel, e.Model)
		if e.What == Moved {
			name("To", bPlace, code.Code(e.To))
		}
	},
	rules: []rule[Entry]{
		{"Job", func(_ world, _ *Entry, e Entry) error {
			needs := e.What == Fitted || e.What == Held || e.What == Unheld
			if needs && e.Job == "" {
				return refuse("%s needs a job", e.What)
			}
			return nil
		}},
		{"To", func(_ world, _ *Entry, e Entry) error {
			back := e.Undoes != 0 || strings.HasPrefix(e.Why, "undo ") // may go back to no place or grade
			switch {
			case e.To != "":
			case e.What == Moved && !back:
				return refuse("moved needs the place it went to")
			case e.What == Graded && !back:
				return refuse("graded needs one of %s", strings.Join(Grades, ", "))
			case e.What == Split || e.What == Joined:
				return refuse("%s needs the other bag", e.What)
			case e.What == Cut && e.Why == "":
				return refuse("cut needs the bags that arose, or why there are none")
			}
			return nil
		}},
		{"Model", func(_ world, _ *Entry, e Entry) error {
			return unless(e.Model == "" || e.What == Cut, "%s is %s, and only what is cut is for a model", e.Bag, e.What)
		}},
		{"Amount", func(_ world, _ *Entry, e Entry) error {
			if e.Amount == 0 || e.What == Sold || e.What == Scrapped || e.What == Lost {
				return nil
			}
			return refuse("%s is %s, and money stands with what was sold", e.Bag, e.What)
		}},
		{"Due", func(_ world, _ *Entry, e Entry) error {
			switch {
			case e.Due != 0 && e.What != Lent:
				return refuse("%s is %s, and only what is lent is due back", e.Bag, e.What)
			case e.Due != 0 && e.Due < e.Day:
				return refuse("%s cannot be due back on %s: it is lent on %s", e.Bag, e.Due, e.Day)
			}
			return nil
		}},
		{"Quantity", func(_ world, _ *Entry, e Entry) error { return drawerful(e.Bag, max(e.Quantity, -e.Quantity)) }},
		{"Date", func(w world, _ *Entry, e Entry) error {
			if e.First || e.Undoes != 0 {
				return nil
			}
			if came := w.came(e); e.Day < came {
				return notYet(e.Day, e.Bag, came)
			}
			return nil
		}},
	},
}

// Origins are the words a bag's origin may be beside a donor's code.
var Origins = []string{"bought", "made", "unknown", "several"}

// compression is the class of compression springs.
const compression = "SPR-CMP"

// mostHeld is more pieces, or millimetres, than one drawer holds: a million of the
// smallest screws fill a bucket. Ours.
const mostHeld = 1_000_000

func unless(holds bool, format string, args ...any) error {
	if holds {
		return nil
	}
	return refuse(format, args...)
}

func without[T comparable](list []T, x T) []T {
	return slices.DeleteFunc(slices.Clone(list), func(y T) bool { return y == x })
}

// oneOf is the rule that a field holds one word of a list, or nothing.
func oneOf[T any](heading string, list []string, at func(T) string) rule[T] {
	return rule[T]{heading, func(_ world, _ *T, x T) error {
		if s := at(x); s != "" && !slices.Contains(list, s) {
			return Misread("%v", words.NotOneOf(strings.ToLower(heading), list, s))
		}
		return nil
	}}
}

// hasModel is the rule that a camera, or a shutter or lens by itself, is of a model.
func hasModel[T any](at func(T) (own, model code.Code)) rule[T] {
	return rule[T]{"Model", func(_ world, _ *T, x T) error {
		own, model := at(x)
		return unless(model != "", "%s has no model: which camera, or shutter or lens by itself, is it?", own)
	}}
}

// carried is the rule that what stands for a shutter or lens is one, and is in a
// camera.
func carried[T any](kind string, at func(T) (model, c code.Code)) rule[T] {
	return rule[T]{strings.ToUpper(kind[:1]) + kind[1:], func(w world, _ *T, x T) error {
		model, c := at(x)
		if c == "" {
			return nil
		}
		if err := isKind(w, c, kind); err != nil {
			return err
		}
		k := w.modelKind(model)
		return unless(k == "" || k == "camera", "%s is a %s by itself and carries no %s", model, k, kind)
	}}
}

// flawsOn refuses flaws that lie outside a bag's own size, else that of its part.
func flawsOn(b Bag, part map[dim.Field]int64) error {
	size := cloned(part)
	maps.Copy(size, b.Dims)
	return onIt("flaw", b.Code, b.Flaws, size)
}

func notYet(day code.Day, bag code.Code, came code.Day) error {
	return refuse("on %s %s was not here yet: it came on %s", day, bag, came)
}

func isKind(w world, c code.Code, kind string) error {
	k := w.modelKind(c)
	if k == "" || k == kind {
		return nil
	}
	return refuse("%s is a %s, not a %s", c, k, kind)
}

// IsKind refuses a model that is of another kind than camera, shutter or lens.
func (v *View) IsKind(model code.Code, kind string) error { return isKind(v, model, kind) }

// mostWeeks is how long finding another part may take at most: 100 years. Ours.
const mostWeeks = 5200

// mostMinutes is how long making the pieces of a bag may take at most: a year. Ours.
const mostMinutes = 365 * 24 * 60

// orZero is a number that may not be known, 0 for none.
func orZero(n *int64) int64 {
	if n == nil {
		return 0
	}
	return *n
}

// drawerful refuses a number of pieces of a bag or part that no drawer holds.
func drawerful(bag code.Code, n int64) error {
	switch {
	case n < 0:
		return positive(n)
	case n > mostHeld:
		return refuse("no drawer holds %d of %s: look at the number again", n, bag)
	}
	return nil
}

// roundHolds refuses a part that contains itself, or around a corner what contains
// it.
func roundHolds(w world, _ *Part, p Part) error {
	seen := map[code.Code]bool{}
	var holds func(c code.Code) bool
	holds = func(c code.Code) bool {
		if seen[c] {
			return false
		}
		seen[c] = true
		inside := w.contains(c)
		return slices.Contains(inside, p.Code) || slices.ContainsFunc(inside, holds)
	}
	for _, c := range p.Holds {
		switch {
		case c == p.Code:
			return refuse("%s cannot contain itself", p.Code)
		case holds(c):
			return refuse("%s cannot contain %s, which contains it", p.Code, c)
		}
	}
	return nil
}

// freeLength reads the length of a compression spring as its free length: it has no
// other. A length that was just said stands before a free length from before.
func freeLength(p, was *Part) string {
	n, ok := p.Dims[dim.Length]
	if !ok || p.Class != compression {
		return ""
	}
	free, had := p.Dims[dim.FreeLength]
	if had && free != n && (was == nil || was.Dims[dim.FreeLength] != free || was.Dims[dim.Length] == n) {
		return "" // both were said: a rule refuses it
	}
	p.Dims, p.Readings = maps.Clone(p.Dims), maps.Clone(p.Readings)
	delete(p.Dims, dim.Length)
	p.Dims[dim.FreeLength] = n
	if r, ok := p.Readings[dim.Length]; ok {
		delete(p.Readings, dim.Length)
		p.Readings[dim.FreeLength] = r
	}
	return fmt.Sprintf("length %s of %s is read as its free length: a compression spring has no other", dim.Format(dim.Length, n), p.Code)
}
