package ask

// Where JSON has the hand of a part in a field of its own, lines show it behind the name, as
// [store.Part.Called] does.

// Called is the name as lines show it.
func (l LowLine) Called() string { return filled(l.Name, l.Left) }

// Called is the name as lines show it.
func (l LastOne) Called() string { return filled(l.Name, l.Left) }

// Called is the name as lines show it.
func (c CommonPart) Called() string { return filled(c.Name, c.Left) }

// Called is the name as lines show it.
func (r OddsRow) Called() string { return filled(r.Name, r.Left) }

// Called is the name as lines show it.
func (l GuideLine) Called() string { return filled(l.Name, l.Left) }

// Called is the name as lines show it.
func (x MonthMove) Called() string { return filled(x.Name, x.Left) }

// Called is the name as lines show it.
func (u MonthUnmet) Called() string { return filled(u.Name, u.Left) }

// Called is the name as lines show it.
func (l MonthLast) Called() string { return filled(l.Name, l.Left) }

// Called is the name as lines show it.
func (d MonthDown) Called() string { return filled(d.Name, d.Left) }

// Called is the name as lines show it.
func (b CountBag) Called() string { return filled(b.Name, b.Left) }

// Called is the name as lines show it.
func (l CountLine) Called() string { return filled(l.Name, l.Left) }

// Called is the name as lines show it.
func (l LoosePart) Called() string { return filled(l.Name, l.Left) }

// Called is the name as lines show it.
func (p CoveredPart) Called() string { return filled(p.Name, p.Left) }

// Called is the name as lines show it.
func (s CostShare) Called() string { return filled(s.Name, s.Left) }

// Called is the name as lines show it.
func (p ThreadPart) Called() string { return filled(p.Name, p.Left) }

// Called is the name as lines show it.
func (l Lack) Called() string { return filled(l.Name, l.Left) }

// Called is the name as lines show it.
func (p FoundPart) Called() string { return filled(p.Name, p.LeftHand) }
