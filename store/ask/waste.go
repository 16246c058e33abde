package ask

import (
	"cmp"
	"slices"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/dim"
)

// An allowance is how much of what is used up of a covering is commonly waste.
type allowance struct{ low, high float64 }

// Of small panels from a sheet 10 to 20 %, and a spare of the largest panel; of panels
// that are cut from one that a camera had often half is lost. Source: common practice,
// from memory.
var (
	ofSheets = allowance{0.10, 0.20}
	ofPanels = allowance{0.50, 0.50}
)

// A WasteQuery asks for the waste of coverings: for one model, in one month or year.
type WasteQuery struct {
	Model  code.Code
	Period string // as [store.PeriodDays] reads it
}

// A Waste is what was used up of the workshop's own coverings, by month, model and grain,
// then all of a model and grain together.
type Waste struct {
	Lines  []WasteLine `json:"waste"`
	Sums   []WasteLine `json:"sums"`
	NoSize []code.Code `json:"no_size"` // bags that were cut up and whose size nobody recorded
}

// A WasteLine are pieces of covering that were cut up. Areas are square centimetres; what
// was spoilt is waste, and counts in the month in which it was cut.
type WasteLine struct {
	Month  string    `json:"month,omitempty"`
	Model  code.Code `json:"model,omitempty"` // empty where nobody said
	Grain  string    `json:"grain,omitempty"`
	Camera bool      `json:"from_panels"` // of panels that a camera had
	Pieces int64     `json:"pieces"`      // that were cut into
	Cut    float64   `json:"cut_cm2"`
	Kept   float64   `json:"kept_cm2"` // as offcuts
	Panels float64   `json:"panels_cm2"`
	Spoilt float64   `json:"spoilt_cm2"`
	Wasted float64   `json:"waste_cm2"`
	Share  float64   `json:"waste"` // of what was used up: panels and waste
	Low    float64   `json:"usual_low"`
	High   float64   `json:"usual_high"`
	Over   bool      `json:"over"`
}

// A wasteKey tells lines apart.
type wasteKey struct {
	month  string
	model  code.Code
	grain  string
	camera bool
}

// areas are of one line, square micrometres.
type areas struct{ pieces, cut, kept, panels, spoilt int64 }

// wasting puts the lines together.
type wasting struct {
	v           *reader
	q           WasteQuery
	first, last code.Day
	lines       map[wasteKey]*areas
	out         Waste
}

// WasteOf is how much of coverings was waste. What was taken back counts in nothing.
func WasteOf(v *store.View, q WasteQuery) (Waste, error) {
	w := &wasting{v: read(v), q: q, last: 1 << 30, lines: map[wasteKey]*areas{}}
	w.out = Waste{Lines: []WasteLine{}, Sums: []WasteLine{}, NoSize: []code.Code{}}
	if q.Period != "" {
		var err error
		if w.first, w.last, err = store.PeriodDays(q.Period); err != nil {
			return w.out, err
		}
	}
	for _, part := range v.PartsOfClass(store.Covering, true) {
		for _, c := range v.BagsOf(part) {
			w.bag(w.v.bag(c))
		}
	}
	w.told()
	return w.out, w.v.err
}

// bag reads what was cut from a bag.
func (w *wasting) bag(b store.Bag) {
	if !b.Ours() {
		return
	}
	for _, e := range standing(got(w.v, w.v.EntriesOf, b.Code)) {
		if e.What != store.Cut {
			continue
		}
		if by, cut := arose(w.v, b); cut && e.To == "" && b.Material != "" {
			w.spoilt(b, e, by)
			continue
		}
		w.cut(b, e)
	}
}

// cut adds pieces that were cut up.
func (w *wasting) cut(b store.Bag, e store.Entry) {
	at := w.at(b.Code, e)
	if at == nil {
		return
	}
	area := w.area(b)
	if area == 0 && !slices.Contains(w.out.NoSize, b.Code) {
		w.out.NoSize = append(w.out.NoSize, b.Code)
		return
	}
	at.pieces, at.cut = at.pieces+e.Quantity, at.cut+e.Quantity*area
	for _, c := range e.Into() {
		o := w.v.bag(c)
		if o.Material == "" { // an offcut: panels are made of something
			at.kept += o.Quantity * w.area(o)
		} else {
			at.panels += o.Quantity * w.area(o)
		}
	}
}

// spoilt takes panels that were spoilt off those that arose by an entry.
func (w *wasting) spoilt(b store.Bag, e, by store.Entry) {
	if at := w.at(b.Cut, by); at != nil {
		at.spoilt += e.Quantity * w.area(b)
		at.panels -= e.Quantity * w.area(b)
	}
}

func (w *wasting) area(b store.Bag) int64 {
	p := w.v.part(b.Part)
	return store.OwnSize(p, b, dim.Width) * store.OwnSize(p, b, dim.Length)
}

// at is the line that an entry counts in, nil for none.
func (w *wasting) at(bag code.Code, e store.Entry) *areas {
	model := e.Model
	if e.Job != "" {
		model = w.v.job(e.Job).Model
	}
	if e.Day < w.first || e.Day > w.last || w.q.Model != "" && w.q.Model != model {
		return nil
	}
	s, _, err := w.v.SheetOf(bag)
	w.v.keep(err)
	key := wasteKey{store.MonthName(e.Day), model, s.Grain, s.Panel}
	if w.lines[key] == nil {
		w.lines[key] = &areas{}
	}
	return w.lines[key]
}

// told makes lines of what was added up, and of all months together.
func (w *wasting) told() {
	sums := map[wasteKey]*areas{}
	for key, a := range w.lines {
		w.out.Lines = append(w.out.Lines, wasteLine(key, *a))
		key.month = ""
		if sums[key] == nil {
			sums[key] = &areas{}
		}
		s := sums[key]
		*s = areas{s.pieces + a.pieces, s.cut + a.cut, s.kept + a.kept, s.panels + a.panels, s.spoilt + a.spoilt}
	}
	for key, a := range sums {
		w.out.Sums = append(w.out.Sums, wasteLine(key, *a))
	}
	for _, list := range [][]WasteLine{w.out.Lines, w.out.Sums} {
		slices.SortFunc(list, func(a, b WasteLine) int {
			return cmp.Or(cmp.Compare(a.Model, b.Model), cmp.Compare(a.Grain, b.Grain), cmp.Compare(bit(a.Camera), bit(b.Camera)), cmp.Compare(a.Month, b.Month))
		})
	}
}

func wasteLine(key wasteKey, a areas) WasteLine {
	cm2 := func(n int64) float64 { return places(float64(n)/1e8, 2) }
	usual := ofSheets
	if key.camera {
		usual = ofPanels
	}
	wasted := a.cut - a.kept - a.panels
	l := WasteLine{Month: key.month, Model: key.model, Grain: key.grain, Camera: key.camera, Pieces: a.pieces, Cut: cm2(a.cut), Kept: cm2(a.kept),
		Panels: cm2(a.panels), Spoilt: cm2(a.spoilt), Wasted: cm2(wasted), Low: usual.low, High: usual.high}
	if used := a.cut - a.kept; used > 0 {
		l.Share = places(float64(wasted)/float64(used), 3)
	}
	l.Over = l.Share > usual.high
	return l
}
