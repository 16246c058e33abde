package ask

// Called is the name of a part as lines show it, [store.Part.Called], where JSON has the hand
// in a field of its own.

func (l LowLine) Called() string     { return filled(l.Name, l.Left) }
func (l LastOne) Called() string     { return filled(l.Name, l.Left) }
func (c CommonPart) Called() string  { return filled(c.Name, c.Left) }
func (r OddsRow) Called() string     { return filled(r.Name, r.Left) }
func (l GuideLine) Called() string   { return filled(l.Name, l.Left) }
func (x MonthMove) Called() string   { return filled(x.Name, x.Left) }
func (u MonthUnmet) Called() string  { return filled(u.Name, u.Left) }
func (l MonthLast) Called() string   { return filled(l.Name, l.Left) }
func (d MonthDown) Called() string   { return filled(d.Name, d.Left) }
func (b CountBag) Called() string    { return filled(b.Name, b.Left) }
func (l CountLine) Called() string   { return filled(l.Name, l.Left) }
func (l LoosePart) Called() string   { return filled(l.Name, l.Left) }
func (p CoveredPart) Called() string { return filled(p.Name, p.Left) }
func (s CostShare) Called() string   { return filled(s.Name, s.Left) }
func (p ThreadPart) Called() string  { return filled(p.Name, p.Left) }
func (l Lack) Called() string        { return filled(l.Name, l.Left) }
func (p FoundPart) Called() string   { return filled(p.Name, p.LeftHand) }
