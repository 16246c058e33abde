package ask

import (
	"fmt"
	"path"
	"slices"
	"strings"

	"tinful/store"
	"tinful/store/code"
)

// BackWords are what is to be done to put back what came off in a step, and what to mind,
// in the order it is done: what lies lowest first. What has no name goes on with the
// line above it.
func BackWords(v *store.View, x store.Step, cautions []string) (out []Fact) {
	say := func(name, text string) {
		if text != "" {
			out = append(out, Fact{name, text})
		}
	}
	for _, text := range cautions {
		say("CAUTION", text)
	}
	say("stand", x.Set)
	for _, l := range slices.Backward(x.Under) {
		say("first", layerCalled(v, l))
	}
	for _, o := range slices.Backward(x.Off) {
		say("put back", offCalled(v, o))
		if o.Hand == "left" {
			say("", "LEFT-HAND"+handTurns(v, o))
		}
	}
	for _, l := range slices.Backward(x.Over) {
		say("then", layerCalled(v, l))
	}
	say("facing", x.Facing)
	say("wind up", TensionWords(x))
	say("seal", x.Sealed)
	say("tool", x.Tools)
	for _, w := range x.Wrong {
		if w.Text != "" {
			say("WRONG", w.Text)
		} else {
			say("WRONG", fmt.Sprintf("%s %s: %s", w.Part, calledAs(v, w.Part), w.Seen))
		}
	}
	say("lies in", x.Went)
	kept, err := v.PicturesOf(store.Ref{Kind: x.Kind, Code: x.Camera})
	kept = slices.DeleteFunc(kept, func(p store.Picture) bool { return err != nil || p.Step != x.Nth })
	for _, p := range kept {
		say("picture", PictureWords(p))
	}
	names := slices.DeleteFunc(slices.Clone(x.Pictures), func(name string) bool {
		return slices.ContainsFunc(kept, func(p store.Picture) bool { return p.Name == path.Base(strings.ReplaceAll(name, "\\", "/")) })
	})
	if len(names) > 0 {
		say("picture", strings.Join(names, ", ")+" (not taken in)")
	}
	say("note", x.Note)
	if x.Stop != "" {
		say("stopped", x.Stop+", "+x.Day.String())
	}
	return out
}

// handTurns say which way a left-hand screw goes in; a left-hand spring is only said to
// be one.
func handTurns(v *store.View, o store.Off) string {
	p, err := v.Part(o.Part)
	if err == nil && !strings.HasPrefix(p.Class, "SCR") && !strings.HasPrefix(p.Class, "NUT") && !strings.HasPrefix(p.Class, "KNB") {
		return ""
	}
	return ": tightens anticlockwise, loosens clockwise"
}

// partNamed is the name of a part as its record has it, its code where it is not there.
func partNamed(v *store.View, part code.Code) string {
	if p, err := v.Part(part); err == nil {
		return p.Name
	}
	return string(part)
}

// calledAs is what people call a part.
func calledAs(v *store.View, part code.Code) string {
	if p, err := v.Part(part); err == nil {
		return p.Called()
	}
	return string(part)
}

func layerCalled(v *store.View, l store.Layer) string {
	text := LayerWords(l)
	if l.Part != "" {
		text = strings.Replace(text, string(l.Part), string(l.Part)+" "+partNamed(v, l.Part), 1)
	}
	return text
}

func offCalled(v *store.View, o store.Off) string {
	name := o.Piece
	if o.Part != "" {
		name = string(o.Part) + " " + partNamed(v, o.Part)
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
