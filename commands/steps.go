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
func showSteps(c *call, v *store.View, ref store.Ref) error {
	if ref.Kind != "donor" && ref.Kind != "job" {
		return line.Usagef("--steps are those of a parts camera or of a job: %s is a %s", ref.Code, ref.Kind)
	}
	s, err := ask.SubjectOf(v, ref)
	if err != nil {
		return err
	}
	steps, err := v.StepsOf(ref.Kind, ref.Code)
	if err != nil {
		return err
	}
	slices.Reverse(steps)
	cautions, err := ask.StepCautions(v, steps)
	if err != nil {
		return err
	}
	if c.JSON() {
		list := []map[string]any{}
		for i, x := range steps {
			a := stepAnswer(x)
			if len(cautions[i]) > 0 {
				a["cautions"] = cautions[i]
			}
			list = append(list, a)
		}
		return c.PrintJSON(map[string]any{ref.Kind: tell.Known(map[string]any{ref.Kind: ref.Code, "model": s.Cam.Model, "steps": list})})
	}
	if len(steps) == 0 {
		c.Printf("%s  %s: no step of a strip-down is kept\n", ref.Code, s.Cam.Model)
		return nil
	}
	c.Printf("%s  %s: the way back together\n", ref.Code, s.Cam.Model)
	shelf := newShelf(v)
	for i, x := range steps {
		printStep(c, shelf, x, cautions[i])
	}
	return nil
}

// printStep prints one step of the way back: what lies lowest first.
func printStep(c *call, s *shelf, x store.Step, cautions []string) {
	head := fmt.Sprintf("%d  %s", x.Nth, strings.ToUpper(x.Seat))
	c.Printf("\n%s\n", c.Bold(head))
	fact := func(word, text string) {
		if text == "" {
			return
		}
		lines := tell.Wrap(text, c.Columns()-14)
		c.Printf("    %-10s%s\n", word, strings.Join(lines, "\n"+strings.Repeat(" ", 14)))
	}
	for _, text := range cautions {
		fact("CAUTION", text)
	}
	fact("stand", x.Set)
	for _, l := range slices.Backward(x.Under) {
		fact("first", layerName(s, l))
	}
	for _, o := range slices.Backward(x.Off) {
		fact("put back", offWords(s, o))
		if o.Hand == "left" {
			fact("", "LEFT-HAND"+handWords(s.v, o))
		}
	}
	for _, l := range slices.Backward(x.Over) {
		fact("then", layerName(s, l))
	}
	fact("facing", x.Facing)
	fact("wind up", ask.TensionWords(x))
	fact("seal", x.Sealed)
	fact("tool", x.Tools)
	for _, w := range x.Wrong {
		if text := w.Text; text != "" {
			fact("WRONG", text)
		} else {
			fact("WRONG", fmt.Sprintf("%s %s: %s", w.Part, s.name(w.Part), w.Seen))
		}
	}
	fact("lies in", x.Went)
	fact("picture", strings.Join(x.Pictures, ", "))
	fact("note", x.Note)
	fact("stopped", strings.Join(tell.Filled(x.Stop, dayOf(x)), ", "))
}

// dayOf is the day of a step that was the last of its day.
func dayOf(x store.Step) string {
	if x.Stop == "" {
		return ""
	}
	return x.Day.String()
}

// handWords say which way a left-hand screw goes in; a left-hand spring is only
// said to be one.
func handWords(v *store.View, o store.Off) string {
	p, err := v.Part(o.Part)
	if err == nil && !strings.HasPrefix(p.Class, "SCR") && !strings.HasPrefix(p.Class, "NUT") && !strings.HasPrefix(p.Class, "KNB") {
		return ""
	}
	return ": tightens anticlockwise, loosens clockwise"
}

func layerName(s *shelf, l store.Layer) string {
	text := ask.LayerWords(l)
	if l.Part != "" {
		text = strings.Replace(text, string(l.Part), string(l.Part)+" "+s.part(l.Part).Name, 1)
	}
	return text
}

func offWords(s *shelf, o store.Off) string {
	name := o.Piece
	if o.Part != "" {
		name = string(o.Part) + " " + s.part(o.Part).Name
	}
	text := store.Amount(o.Quantity, o.Unit, false) + " x " + name
	if o.Hole != "" {
		text += ", hole " + o.Hole
	}
	if o.Bag != "" {
		text += fmt.Sprintf(" (%s in %s)", o.Bag, o.Place)
	}
	return text
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
	return tell.Known(map[string]any{ref.Kind: ref.Code, "steps": steps, "known": append([]uint64{}, out.Known...), "seen": tell.SeenAnswers(out.Seen), "goes": goes,
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
