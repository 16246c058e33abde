package tell

import (
	"cmp"
	"fmt"
	"strings"

	"tinful/store"
	"tinful/store/ask"
)

// Stripped says what a strip-down booked, or would book.
func Stripped(s *Screen, res store.Result, ref store.Ref, out store.Stripped, dry bool) error {
	if len(out.Known) > 0 {
		s.Notef("booked already: step %s", ranges(out.Known))
	}
	if !dry && res.Booking.Number == 0 {
		s.Printf("%s: nothing is new\n", ref.Code)
		return nil
	}
	s.Println(StrippedHead(ref, out))
	t := s.WideTable()
	for _, row := range StrippedRows(out) {
		t.Row(row[:]...)
	}
	if err := t.Print(s.Out); err != nil {
		return err
	}
	if dry {
		s.Printf("%s would be put away; nothing is booked\n", Many(putAway(out), "lot")+" of pieces")
		return nil
	}
	return Booked(s, res)
}

// StrippedHead says which steps were booked, and what became of the camera.
func StrippedHead(ref store.Ref, out store.Stripped) string {
	line := string(ref.Code)
	if numbers := Each(out.Steps, func(x store.Step) uint64 { return x.Nth }); len(numbers) > 0 {
		line += "  step " + ranges(numbers)
	}
	if out.State != out.Was {
		line += fmt.Sprintf("   %s -> %s", cmp.Or(out.Was, "state unknown"), out.State)
	}
	return line
}

// putAway counts what came off and goes into bags.
func putAway(out store.Stripped) (n int) {
	for _, s := range out.Steps {
		for _, o := range s.Off {
			if o.Bag != "" {
				n++
			}
		}
	}
	return n
}

// StrippedRows are what was seen and what it proves.
func StrippedRows(out store.Stripped) (rows [][2]string) {
	by := map[string][]string{}
	for _, x := range out.Seen {
		by[x.Seen] = append(by[x.Seen], string(x.Part))
	}
	for _, word := range store.SeenWords {
		if len(by[word]) > 0 {
			rows = append(rows, [2]string{"seen " + word, strings.Join(by[word], ", ")})
		}
	}
	for _, g := range out.Goes {
		rows = append(rows, [2]string{"stated", fmt.Sprintf("%s goes into %s: %s, %s per body, %s", g.Part, g.Model, strings.Join(g.Degrees, ", "), fmt.Sprint(*g.PerBody), g.Evidence)})
	}
	for _, p := range out.Pictures {
		rows = append(rows, [2]string{"picture", fmt.Sprintf("%s, of step %d", ask.PictureWords(p), p.Step)})
	}
	return rows
}

// ranges prints numbers as 1 to 4, 7.
func ranges(list []uint64) string {
	var out []string
	for i := 0; i < len(list); {
		j := i
		for j+1 < len(list) && list[j+1] == list[j]+1 {
			j++
		}
		if j == i {
			out = append(out, fmt.Sprint(list[i]))
		} else {
			out = append(out, fmt.Sprintf("%d to %d", list[i], list[j]))
		}
		i = j + 1
	}
	return strings.Join(out, ", ")
}

// Guide prints the parts of a camera in the order of taking it apart.
func Guide(s *Screen, sub ask.Subject, g ask.Guide) {
	s.Println(GuideTitle(sub, g))
	for _, l := range g.Lines {
		s.Cautions(l.Cautions)
		s.GuideLine("  ", l)
	}
	if len(g.Lines) == 0 {
		s.Println("no part is said to go into this model")
	}
}

// GuideAnswer is Guide as JSON.
func GuideAnswer(sub ask.Subject, g ask.Guide) map[string]any {
	answer := map[string]any{sub.Ref.Kind: sub.Ref.Code, "model": g.Model, "guide": g.Lines}
	if g.Like != nil {
		answer["like"] = g.Like.Code
	}
	return answer
}

// GuideTitle says which camera is taken apart, and after which.
func GuideTitle(sub ask.Subject, g ask.Guide) string {
	text := fmt.Sprintf("%s  %s", sub.Ref.Code, strings.Join(Filled(string(g.Model), sub.History, sub.State), ", "))
	if g.Like != nil {
		text += ": in the order of " + string(g.Like.Code)
	}
	return text
}

// Cautions prints what to beware of, a line each.
func (s *Screen) Cautions(list []string) {
	for _, text := range list {
		s.Println(s.Warning(Indented("CAUTION: "+text, s.Columns(), 2, 2)))
	}
}

// GuideLine prints a part that should come off: P036 cover screw, top, 2 of 4 out.
func (s *Screen) GuideLine(head string, l ask.GuideLine) {
	bits := []string{string(l.Part) + " " + l.Name, l.Left, l.Seat}
	switch {
	case l.PerBody != nil && l.Out > 0:
		bits = append(bits, fmt.Sprintf("%d of %d out", l.Out, *l.PerBody))
	case l.Out > 0:
		bits = append(bits, fmt.Sprintf("%d out", l.Out))
	case l.PerBody != nil && l.Seen != "missing":
		bits = append(bits, fmt.Sprintf("%d here", *l.PerBody))
	}
	if l.Seen != "" {
		bits = append(bits, "seen "+l.Seen)
	}
	text := strings.Join(Filled(strings.Join(Filled(bits...), ", "), l.Hint), "; ")
	s.Println(head + Hang(text, s.Columns()-len(head), len(head)+2))
}
