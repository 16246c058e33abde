package tell

import (
	"cmp"
	"fmt"
	"strings"

	"tinful/store"
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
	var numbers []uint64
	for _, x := range out.Steps {
		numbers = append(numbers, x.Nth)
	}
	line := string(ref.Code)
	if len(numbers) > 0 {
		line += "  step " + ranges(numbers)
	}
	if out.State != out.Was {
		line += fmt.Sprintf("   %s -> %s", cmp.Or(out.Was, "state unknown"), out.State)
	}
	s.Println(line)
	if err := stripFound(s, out); err != nil {
		return err
	}
	if dry {
		s.Printf("%s would be put away; nothing is booked\n", Many(putAway(out), "lot")+" of pieces")
		return nil
	}
	return Booked(s, res)
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

// stripFound prints what was seen and what it proves.
func stripFound(s *Screen, out store.Stripped) error {
	by := map[string][]string{}
	for _, x := range out.Seen {
		by[x.Seen] = append(by[x.Seen], string(x.Part))
	}
	t := s.WideTable()
	for _, word := range store.SeenWords {
		if len(by[word]) > 0 {
			t.Row("seen "+word, strings.Join(by[word], ", "))
		}
	}
	for _, g := range out.Goes {
		t.Row("stated", fmt.Sprintf("%s goes into %s: %s, %s per body, %s", g.Part, g.Model, strings.Join(g.Degrees, ", "), fmt.Sprint(*g.PerBody), g.Evidence))
	}
	return t.Print(s.Out)
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
