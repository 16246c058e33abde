package tell

// Facts are what is known of a thing: the name of each and its text.
type Facts [][2]string

// Add adds a fact, unless nothing is known of it.
func (f *Facts) Add(name, text string) {
	if text != "" {
		*f = append(*f, [2]string{name, text})
	}
}

// Facts prints what is known of a thing.
func (s *Screen) Facts(facts Facts) {
	t := s.WideTable()
	for _, f := range facts {
		t.Fact(f[0], f[1])
	}
	s.Show(t)
}
