package commands

import (
	"fmt"
	"slices"
	"strings"

	"tinful/commands/line"
	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/ask"
)

// showSteps prints the way back together: the steps of a strip-down from the last
// to the first, to be read at arm's length.
func showSteps(l *lookup, ref store.Ref) {
	if ref.Kind != "donor" && ref.Kind != "job" {
		l.Err = line.Usagef("--steps are those of a parts camera or of a job: %s is a %s", ref.Code, ref.Kind)
		return
	}
	s := asked(l, ask.SubjectOf, ref)
	steps, err := l.StepsOf(ref.Kind, ref.Code)
	l.Keep(err)
	slices.Reverse(steps)
	cautions, kept := asked(l, ask.StepCautions, steps), got(l, l.PicturesOf, ref)
	if l.Err != nil {
		return
	}
	if l.JSON() {
		list := []map[string]any{}
		for i, x := range steps {
			a := stepAnswer(x)
			if shown := picturesOfStep(kept, x.Nth); len(shown) > 0 {
				a["kept"] = tell.Each(shown, func(p store.Picture) map[string]any { return tell.PictureAnswer(ask.Pictured{Picture: p}) })
			}
			if len(cautions[i]) > 0 {
				a["cautions"] = cautions[i]
			}
			list = append(list, a)
		}
		l.Err = l.PrintJSON(map[string]any{ref.Kind: tell.Known(map[string]any{ref.Kind: ref.Code, "model": s.Cam.Model, "steps": list})})
		return
	}
	if len(steps) == 0 {
		l.Printf("%s  %s: no step of a strip-down is kept\n", ref.Code, s.Cam.Model)
		return
	}
	l.Printf("%s  %s: the way back together\n", ref.Code, s.Cam.Model)
	for i, x := range steps {
		printStep(l.call, l.View, x, cautions[i])
	}
	if len(kept) > 0 {
		l.Printf("\ntinful photo %s says where the pictures lie\n", ref.Code)
	}
}

// picturesOfStep are those of some pictures that show a step.
func picturesOfStep(all []store.Picture, nth uint64) (out []store.Picture) {
	for _, p := range all {
		if p.Step == nth {
			out = append(out, p)
		}
	}
	return out
}

// printStep prints one step of the way back.
func printStep(c *call, v *store.View, x store.Step, cautions []string) {
	head := fmt.Sprintf("%d  %s", x.Nth, strings.ToUpper(x.Seat))
	c.Printf("\n%s\n", c.Bold(head))
	for _, f := range ask.BackWords(v, x, cautions) {
		lines := tell.Wrap(f.Text, c.Columns()-14)
		c.Printf("    %-10s%s\n", f.Name, strings.Join(lines, "\n"+strings.Repeat(" ", 14)))
	}
}

func stepAnswer(x store.Step) map[string]any {
	a := tell.Known(map[string]any{"step": x.Nth, "seat": x.Seat, "day": x.Day, "by": x.By, "facing": x.Facing, "teeth": x.Teeth, "sealed": x.Sealed, "tool": x.Tools,
		"went": x.Went, "pictures": x.Pictures, "state": x.Set, "stop": x.Stop, "note": x.Note})
	if x.Turns != nil {
		a["turns"] = float64(*x.Turns) / 1000
	}
	off, wrong := []map[string]any{}, []map[string]any{}
	for _, o := range x.Off {
		off = append(off, tell.Known(map[string]any{"part": o.Part, "piece": o.Piece, "quantity": o.Quantity, "unit": o.Unit, "hole": o.Hole, "hand": o.Hand,
			"grade": o.Grade, "bag": o.Bag, "place": o.Place}))
	}
	for _, w := range x.Wrong {
		wrong = append(wrong, tell.Known(map[string]any{"part": w.Part, "seen": w.Seen, "text": w.Text}))
	}
	a["off"] = off
	for word, list := range map[string][]store.Layer{"under": x.Under, "over": x.Over} {
		if len(list) > 0 {
			a[word] = layerAnswers(list)
		}
	}
	if len(wrong) > 0 {
		a["wrong"] = wrong
	}
	return a
}

// stripAnswer is what a strip-down booked, or would book.
func stripAnswer(ref store.Ref, out store.Stripped, dry bool) map[string]any {
	steps, goes := []map[string]any{}, []map[string]any{}
	for _, s := range out.Steps {
		steps = append(steps, stepAnswer(s))
	}
	for _, g := range out.Goes {
		goes = append(goes, tell.Known(map[string]any{"part": g.Part, "model": g.Model, "degree": strings.Join(g.Degrees, ";"), "per_body": g.PerBody,
			"evidence": g.Evidence, "note": g.Note}))
	}
	kept := tell.Each(out.Pictures, func(p store.Picture) map[string]any { return tell.PictureAnswer(ask.Pictured{Picture: p}) })
	return tell.Known(map[string]any{ref.Kind: ref.Code, "kept": kept, "steps": steps, "known": append([]uint64{}, out.Known...), "seen": tell.SeenAnswers(out.Seen), "goes": goes,
		"state": out.State, "notes": out.Marked, "applied": !dry})
}

func layerAnswers(list []store.Layer) []map[string]any {
	out := []map[string]any{}
	for _, l := range list {
		a := tell.Known(map[string]any{"part": l.Part, "piece": l.Piece})
		if l.Thick != nil {
			a["thick"] = float64(*l.Thick) / 1000
		}
		out = append(out, a)
	}
	return out
}
