package ask

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/odds"
)

// A Subject is a camera that can be looked at and taken apart: a parts camera or
// a customer's.
type Subject struct {
	Ref     store.Ref // donor or job
	Cam     store.Camera
	History string
	State   string
	Owner   string
	seen    map[code.Code]store.Seen
}

// SubjectOf reads a donor or job as a camera on the bench.
func SubjectOf(view *store.View, ref store.Ref) (Subject, error) {
	v := read(view)
	s := Subject{Ref: ref, seen: map[code.Code]store.Seen{}}
	var all []store.Seen
	if ref.Kind == "job" {
		j := v.job(ref.Code)
		s.Cam, s.History, s.State, s.Owner = j.Camera(), j.History, j.State, j.Owner
		all = got(v, v.SeenOnJob, ref.Code)
	} else {
		d := v.donor(ref.Code)
		s.Cam, s.History, s.State, s.Owner = d.Camera(), d.History, d.State, d.Owner
		all = got(v, v.SeenOn, ref.Code)
	}
	for _, x := range all {
		s.seen[x.Part] = x
	}
	s.History = cmp.Or(s.History, "unknown")
	return s, v.err
}

// A Guide is the parts of a camera in the order of taking it apart.
type Guide struct {
	Model  code.Code   `json:"model"`
	Like   *store.Ref  `json:"-"` // the camera whose strip-down gave the order
	Booked uint64      `json:"-"` // the number of the last step that is booked
	Lines  []GuideLine `json:"guide"`
}

// A GuideLine is one part that should be in the camera.
type GuideLine struct {
	Part     code.Code `json:"part"`
	Name     string    `json:"name"`
	Left     string    `json:"left_hand,omitempty"` // in capitals, where a driver must turn the other way
	Seat     string    `json:"seat,omitempty"`
	PerBody  *int64    `json:"per_body,omitempty"`
	Where    string    `json:"where,omitempty"`
	Out      int64     `json:"out"` // that came off already
	Seen     string    `json:"seen,omitempty"`
	Missing  int64     `json:"missing"`        // of these cameras of the model and history
	Looked   int64     `json:"looked_at"`      // that were looked at for it
	Step     uint64    `json:"step,omitempty"` // of the earlier strip-down
	Hint     string    `json:"hint,omitempty"` // how it came off then
	Cautions []string  `json:"cautions,omitempty"`
	lacking  float64
	at       int // among the pieces of the earlier strip-down, from 1; 0 came off later or never
}

// StripGuide lists the parts of a camera in the order they came off in an
// earlier strip-down: of like where that names a camera, else of the last of the
// model. Parts that did not come off then, and all where there was none, follow
// by where they sit. Each caution stands once, with the first part that needs it.
func StripGuide(view *store.View, s Subject, like *store.Ref) (Guide, error) {
	v := read(view)
	g := partsOfCamera(v, s)
	if steps := got2(v, v.StepsOf, s.Ref.Kind, s.Ref.Code); len(steps) > 0 {
		g.Booked = steps[len(steps)-1].Nth
	}
	if like == nil {
		like = lastStripped(v, s)
	}
	if g.Like = like; like != nil {
		g.follow(v, *like)
	}
	slices.SortStableFunc(g.Lines, func(a, b GuideLine) int {
		return cmp.Or(cmp.Compare(uint(a.at-1), uint(b.at-1)), cmp.Compare(slices.Index(store.Seats, a.Seat), slices.Index(store.Seats, b.Seat)), cmp.Compare(a.Part, b.Part))
	})
	g.caution(v)
	return g, v.err
}

// Checklist lists the parts of a camera that are not looked at yet, those first
// that cameras of its model and history most often lack, by the planning figure of
// [Odds] without this camera. Parts that nobody looked for yet stand where the
// table of experience puts them: see unseenShare.
func Checklist(view *store.View, s Subject) (Guide, error) {
	v := read(view)
	g := partsOfCamera(v, s)
	g.Lines = slices.DeleteFunc(g.Lines, func(l GuideLine) bool { return l.Seen != "" })
	slices.SortStableFunc(g.Lines, func(a, b GuideLine) int {
		return cmp.Or(cmp.Compare(b.lacking, a.lacking), cmp.Compare(a.Part, b.Part))
	})
	return g, v.err
}

// partsOfCamera lists what goes as it is into the camera, or into the shutter and
// lens that it carries for certain, in order of codes.
func partsOfCamera(v *reader, s Subject) Guide {
	g := Guide{Model: s.Cam.Model, Lines: []GuideLine{}}
	m := v.model(s.Cam.Model)
	models := []code.Code{m.Code}
	for _, k := range carriedKinds(s.Cam) {
		if may := got2(v, v.Carried, m, k.kind); k.known != "" {
			models = append(models, k.known)
		} else if len(may) == 1 {
			models = append(models, may[0])
		}
	}
	have := map[code.Code]bool{}
	for _, model := range models {
		for _, part := range v.PartsInto(model) {
			if l, ok := guideLine(v, s, part, model); ok && !have[l.Part] {
				have[l.Part] = true
				g.Lines = append(g.Lines, l)
			}
		}
	}
	slices.SortFunc(g.Lines, func(a, b GuideLine) int { return cmp.Compare(a.Part, b.Part) })
	g.lacks(v, s)
	return g
}

func guideLine(v *reader, s Subject, part, model code.Code) (GuideLine, bool) {
	said := got2(v, v.GoesOn, part, model)
	i := slices.IndexFunc(said, func(g store.Goes) bool {
		return g.Belongs() && (model != s.Cam.Model || store.InRange(s.Cam.BodyNo, g.From, g.To))
	})
	if i < 0 {
		return GuideLine{}, false
	}
	p := v.part(part)
	return GuideLine{Part: p.Code, Name: p.Name, Left: store.LeftHand(p), Seat: p.Seat, PerBody: said[i].PerBody, Where: said[i].Where, Seen: s.seen[p.Code].Seen, Out: outOf(v, s.Ref, p.Code)}, true
}

// outOf counts the pieces of a part that came off a camera.
func outOf(v *reader, ref store.Ref, part code.Code) (n int64) {
	if ref.Kind == "donor" {
		return takenFrom(v, func(origin string) bool { return origin == string(ref.Code) }, part)[string(ref.Code)]
	}
	for _, s := range got2(v, v.StepsOf, ref.Kind, ref.Code) {
		for _, o := range s.Off {
			if o.Part == part {
				n += o.Quantity
			}
		}
	}
	return n
}

// gone tells whether nothing of a part is left to come off.
func (l GuideLine) gone() bool {
	per := int64(1)
	if l.PerBody != nil {
		per = *l.PerBody
	}
	return l.Seen == "missing" || l.Out >= per
}

// Left are the parts that should be in the camera and have not come off: nothing that
// is typed speaks of them either.
func (g Guide) Left(typed store.Jotted) []GuideLine {
	off := map[code.Code]int64{}
	for _, s := range typed.Steps {
		for _, o := range s.Off {
			off[o.Part] += o.Quantity
		}
	}
	spoken := map[code.Code]bool{}
	for _, s := range typed.Seen {
		spoken[s.Part] = off[s.Part] == 0
	}
	var out []GuideLine
	for _, l := range g.Lines {
		if l.Out += off[l.Part]; !spoken[l.Part] && !l.gone() {
			out = append(out, l)
		}
	}
	return out
}

// Holds tells whether a part is said to go into the camera.
func (g Guide) Holds(part code.Code) bool {
	return slices.ContainsFunc(g.Lines, func(l GuideLine) bool { return l.Part == part })
}

// StepWords is a step in a line: wind: 1 P034 wind ratchet centre screw, LEFT-HAND,
// loosens clockwise; under it P042 0.30.
func StepWords(s store.Step, parts map[code.Code]store.Part) string {
	var out []string
	for _, o := range s.Off {
		name := o.Piece
		if o.Part != "" {
			name = string(o.Part) + " " + parts[o.Part].Called()
		}
		grade := o.Grade
		if grade == "unknown" {
			grade = ""
		}
		out = append(out, filled(store.Amount(o.Quantity, o.Unit, false)+" "+name, hint(s, o, false, store.LeftHand(parts[o.Part]) != ""), grade, prefixed("to ", string(o.Place))))
	}
	out = append(out, hint(s, store.Off{}, true, true))
	for _, w := range s.Wrong {
		out = append(out, cmp.Or(w.Text, strings.TrimSpace(w.Seen+" "+string(w.Part))))
	}
	out = append(out, prefixed("sealed ", s.Sealed), prefixed("went ", s.Went), prefixed("state ", s.Set), prefixed("note ", s.Note), prefixed("picture ", strings.Join(s.Pictures, " ")))
	return s.Seat + ": " + strings.Join(texts(out...), "; ")
}

// unseenShare is the share of cameras that may lack a part nobody looked for yet,
// by the words of the table of experience, hardly ever to expect it; a part that
// the table has not is missing sometimes. Ours: it only puts lines in order.
var unseenShare = [...]float64{0.05, 0.15, 0.3, 0.5}

// lacks counts how often cameras of the model and history lack each part.
func (g *Guide) lacks(v *reader, s Subject) {
	o := newLooking(v)
	o.skip = s.Ref
	for i := range g.Lines {
		l := &g.Lines[i]
		c := o.counts(l.Part, group{s.Cam.Model, s.History})
		plan := odds.Planned(c)
		l.Missing, l.Looked, l.lacking = c.Own.Missing, c.Own.Looked, plan.Mean()
		if plan.Basis != odds.Guess {
			continue
		}
		l.lacking = unseenShare[1]
		if e := expect(v.part(l.Part), s.History); e != nil {
			l.lacking = unseenShare[e.Level]
		}
	}
}

// lastStripped is the camera of the model that was taken apart last, nil for
// none; a donor before a job of the same day.
func lastStripped(v *reader, s Subject) (best *store.Ref) {
	var day code.Day
	try := func(ref store.Ref) {
		steps := got2(v, v.StepsOf, ref.Kind, ref.Code)
		if len(steps) == 0 || ref == s.Ref {
			return
		}
		if d := steps[len(steps)-1].Day; best == nil || d > day {
			best, day = &ref, d
		}
	}
	for _, c := range v.DonorsOf(s.Cam.Model) {
		try(store.Ref{Kind: "donor", Code: c})
	}
	for j := range each(v, v.EachJob) {
		if j.Model == s.Cam.Model {
			try(store.Ref{Kind: "job", Code: j.Code})
		}
	}
	return best
}

// follow gives the lines the steps of an earlier strip-down, and how each part
// came off then.
func (g *Guide) follow(v *reader, like store.Ref) {
	steps := got2(v, v.StepsOf, like.Kind, like.Code)
	if len(steps) == 0 && like.Kind == "donor" {
		g.followBags(v, like)
	}
	at := 0
	for _, s := range steps {
		for j, o := range s.Off {
			at++
			i := slices.IndexFunc(g.Lines, func(l GuideLine) bool { return l.Part == o.Part })
			if i >= 0 && g.Lines[i].Step == 0 {
				g.Lines[i].Step, g.Lines[i].Hint, g.Lines[i].at = s.Nth, hint(s, o, j == len(s.Off)-1, g.Lines[i].Left != ""), at
			}
		}
	}
}

// followBags gives the lines the order in which the pieces of a donor were booked
// in: all that is known of a strip-down of which no steps were kept.
func (g *Guide) followBags(v *reader, like store.Ref) {
	first := map[code.Code]uint64{} // entry, by part
	for _, c := range v.BagsFrom(string(like.Code)) {
		b, entries := v.bag(c), got(v, v.EntriesOf, c)
		if len(entries) == 0 || b.Part == "" {
			continue
		}
		if n, ok := first[b.Part]; !ok || entries[0].Seq < n {
			first[b.Part] = entries[0].Seq
		}
	}
	for i := range g.Lines {
		g.Lines[i].at = int(first[g.Lines[i].Part])
	}
}

// hint says how a piece came off, and with the last of its step how the step went; that
// it is left-hand only where its line does not say so already.
func hint(s store.Step, o store.Off, last, said bool) string {
	var out []string
	if o.Hand == "left" && !said {
		out = append(out, "LEFT-HAND")
	}
	out = append(out, prefixed("hole ", o.Hole))
	if last {
		for _, l := range s.Under {
			out = append(out, "under it "+LayerWords(l))
		}
		for _, l := range s.Over {
			out = append(out, "over it "+LayerWords(l))
		}
		out = append(out, s.Facing, TensionWords(s), prefixed("with ", s.Tools))
	}
	return strings.Join(texts(out...), "; ")
}

// LayerWords is a layer in words: P041 0.20.
func LayerWords(l store.Layer) string {
	text := cmp.Or(string(l.Part), l.Piece)
	switch {
	case l.Thick == nil:
		return text
	case *l.Thick%10 == 0:
		return fmt.Sprintf("%s %.2f", text, float64(*l.Thick)/1000)
	}
	return fmt.Sprintf("%s %.3f", text, float64(*l.Thick)/1000)
}

// TensionWords is how far a spring was let down: 1.5 turns.
func TensionWords(s store.Step) string {
	var out []string
	if s.Turns != nil {
		text := strings.TrimSuffix(strings.TrimRight(fmt.Sprintf("%d.%03d", *s.Turns/1000, *s.Turns%1000), "0"), ".") + " turns"
		if *s.Turns == 1000 {
			text = "1 turn"
		}
		out = append(out, text)
	}
	switch {
	case s.Teeth != nil && *s.Teeth == 1:
		out = append(out, "1 tooth")
	case s.Teeth != nil:
		out = append(out, fmt.Sprintf("%d teeth", *s.Teeth))
	}
	return strings.Join(out, " and ")
}

// OnlyNew are the cautions that were not said yet; they are said now.
func OnlyNew(said map[string]bool, list []string) []string {
	var out []string
	for _, c := range list {
		if !said[c] {
			said[c] = true
			out = append(out, c)
		}
	}
	return out
}

// StepCautions are the cautions of each step of a strip-down, in the order the
// steps are given: each stands once, with the first step that needs it.
func StepCautions(v *store.View, steps []store.Step) ([][]string, error) {
	said := map[string]bool{}
	out := make([][]string, len(steps))
	for i, s := range steps {
		for _, o := range s.Off {
			if p, err := v.Part(o.Part); err == nil { // none recorded, or one that was taken back
				out[i] = append(out[i], OnlyNew(said, Cautions(p, store.Model{}))...)
			}
		}
	}
	return out, nil
}

// caution gives every caution to the first part that needs it, of those that are still
// there before all others.
func (g *Guide) caution(v *reader) {
	said := map[string]bool{}
	for _, gone := range []bool{false, true} {
		for i, l := range g.Lines {
			if l.gone() == gone {
				g.Lines[i].Cautions = OnlyNew(said, Cautions(v.part(l.Part), store.Model{}))
			}
		}
	}
}
