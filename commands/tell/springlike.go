package tell

import (
	"fmt"
	"strings"

	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
	"tinful/store/dim"
	"tinful/store/spring"
	"tinful/store/words"
)

// A LikeAnswer is what behaves like a part.
type LikeAnswer struct {
	Part code.Code `json:"part"`
	Name string    `json:"name"`
	ask.Alikes
}

// SpringsLike prints the parts that behave like one of a class.
func SpringsLike(s *Screen, a LikeAnswer, class string) {
	head := fmt.Sprintf("like %s %s, rate within %s %%", a.Part, a.Name, short(a.Within))
	if a.Post != nil {
		head += fmt.Sprintf(", over a post of %s", short(*a.Post))
	} else if class == spring.Torsion {
		head += ", its post is not recorded"
	}
	s.Println(s.Wrapped(head))
	for i, l := range a.Like {
		s.Println(Hang(fmt.Sprintf(":%d %s %s  %s (%+.0f to %+.0f), %d free", i+1, l.Part,
			strings.Join(Filled(l.Name, words.ClassName(l.Class), l.Hand), ", "), percentWords(l.Percent), l.Low, l.High, l.Free), s.Columns(), 6))
		under(s, store.Texts(l.Difference), ", ")
	}
	if len(a.Like) == 0 {
		s.Println("no other part behaves alike")
	}
	s.Lines("traps", store.Texts(a.Traps), true)
	s.Lines("not reckoned, a measure is missing", a.Lacking, false)
}

// under prints texts in one paragraph below a line of a list.
func under(s *Screen, texts []string, between string) {
	if len(texts) > 0 {
		s.Println("     " + strings.Join(Wrap(strings.Join(texts, between), s.Columns()-5), "\n     "))
	}
}

// A MadeAnswer is of which wire a part can be made.
type MadeAnswer struct {
	Part code.Code `json:"part"`
	Name string    `json:"name"`
	ask.Makes
}

// SpringMade prints the wires that a part can be made of.
func SpringMade(s *Screen, a MadeAnswer, dims map[dim.Field]int64) {
	s.Println(s.Wrapped(fmt.Sprintf("%s %s, of wire %s and %s coils, can be made of", a.Part, a.Name, dim.Format(dim.Wire, dims[dim.Wire]), dim.Format(dim.Coils, dims[dim.Coils]))))
	for _, l := range a.Lines {
		s.Println("  " + Hang(l.Text, s.Columns()-2, 4))
		under(s, store.Texts(l.Why), "; ")
	}
	if len(a.Lines) == 0 {
		s.Println("  no wire here comes near")
	}
	s.Lines("note", a.Notes, false)
	Care(s, a.Cautions)
}
