package ask

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/words"
)

// A Sheet is all that is known of one part. Its figures add up the part's own
// bags of every grade.
type Sheet struct {
	Part      code.Code      `json:"part"`
	Name      string         `json:"name"`
	Class     string         `json:"class"`
	Kind      string         `json:"kind,omitempty"` // the class in the trade's words
	Seat      string         `json:"seat,omitempty"`
	Aliases   []string       `json:"aliases,omitempty"`
	MakerNos  []string       `json:"maker_nos,omitempty"`
	Dims      map[string]any `json:"dims,omitempty"`
	Measured  []Measured     `json:"measured,omitempty"`
	BookedIn  int64          `json:"booked_in"`
	Fitted    int64          `json:"fitted"`
	Returned  int64          `json:"returned"`
	Scrapped  int64          `json:"scrapped"`
	Sold      int64          `json:"sold"`
	Lost      int64          `json:"lost"`
	Found     int64          `json:"found"`
	Corrected int64          `json:"corrected"`
	Cut       int64          `json:"cut"`
	Held      int64          `json:"held"`
	Lent      int64          `json:"lent"`
	OnHand    int64          `json:"on_hand"`
	Free      int64          `json:"free"`
	Keep      *int64         `json:"keep,omitempty"`
	Weeks     int64          `json:"weeks_to_find,omitempty"`
	Value     *code.Cents    `json:"value_cents,omitempty"`
	Twin      code.Code      `json:"twin,omitempty"`
	Holds     []code.Code    `json:"holds,omitempty"`
	HeldIn    []code.Code    `json:"held_in,omitempty"` // units that contain it
	Hazard    string         `json:"hazard,omitempty"`
	Note      string         `json:"note,omitempty"`
	Goes      []SheetGoes    `json:"goes"`
	Bags      []BagLine      `json:"bags"`   // whoever owns them, empty ones too
	Donors    []SheetDonor   `json:"donors"` // that should still hold it
	Traps     store.Reasons  `json:"traps"`
	Cautions  []string       `json:"cautions,omitempty"`
	Wants     []SheetWant    `json:"wants,omitempty"` // that are open
	Counted   *SheetCount    `json:"last_counted,omitempty"`
	LastSeen  *SheetSeen     `json:"last_seen,omitempty"`
	Taken     *SheetTaken    `json:"last_taken,omitempty"`
	First     bool           `json:"count_first,omitempty"` // counted as often as the most valuable, set by hand
	Covering  *Covering      `json:"covering,omitempty"`
}

// MarshalJSON writes the sheet with the kinds of its traps beside them.
func (s Sheet) MarshalJSON() ([]byte, error) {
	type plain Sheet
	return store.JSON(struct {
		plain
		TrapsKind []store.ReasonKind `json:"traps_kind"`
	}{plain(s), store.ReasonKinds(s.Traps)})
}

// A SheetGoes is one statement about the part.
type SheetGoes struct {
	Model     code.Code `json:"model"`
	Degree    string    `json:"degree"`
	PerBody   *int64    `json:"per_body,omitempty"`
	Where     string    `json:"where,omitempty"`
	From      string    `json:"from,omitempty"`
	To        string    `json:"to,omitempty"`
	Operation string    `json:"operation,omitempty"`
	Evidence  string    `json:"evidence,omitempty"`
	By        string    `json:"by,omitempty"`
	Date      string    `json:"date,omitempty"`
	Note      string    `json:"note,omitempty"`
	Reaches   []string  `json:"reaches,omitempty"` // cameras that carry the shutter or lens
}

// A SheetDonor is a parts camera that should still hold the part.
type SheetDonor struct {
	Donor   code.Code `json:"donor"`
	Model   code.Code `json:"model"`
	History string    `json:"history,omitempty"`
	State   string    `json:"state,omitempty"`
	Place   code.Code `json:"place,omitempty"`
	Left    int64     `json:"left"`
	Why     string    `json:"why"`
}

// A SheetWant is an open want of the part.
type SheetWant struct {
	Date  string    `json:"date"`
	Model code.Code `json:"model,omitempty"`
	Job   code.Code `json:"job,omitempty"`
	Note  string    `json:"note,omitempty"`
}

// A SheetCount is the latest reading of one of the part's bags.
type SheetCount struct {
	Bag      code.Code `json:"bag"`
	Day      string    `json:"day"`
	By       string    `json:"by,omitempty"`
	Quantity int64     `json:"quantity"`
	About    bool      `json:"about"`
}

// A SheetSeen is the latest word on the part in a camera: on a donor, or on the
// camera of a job.
type SheetSeen struct {
	Donor code.Code `json:"donor,omitempty"`
	Job   code.Code `json:"job,omitempty"`
	Seen  string    `json:"seen"`
	Day   string    `json:"day"`
}

// A SheetTaken is the latest movement by which pieces left one of the part's bags.
type SheetTaken struct {
	Bag      code.Code `json:"bag"`
	What     string    `json:"what"`
	Quantity int64     `json:"quantity"`
	Job      code.Code `json:"job,omitempty"`
	Day      string    `json:"day"`
	By       string    `json:"by,omitempty"`
}

// PartSheet gathers all that is known of a part. It returns
// [store.ErrNotFound] for a code that is no part.
func PartSheet(v *store.View, part code.Code) (Sheet, error) {
	p, err := v.Part(part)
	if err != nil {
		return Sheet{}, err
	}
	s := Sheet{Part: p.Code, Name: p.Name, Class: p.Class, Kind: words.ClassName(p.Class), Seat: p.Seat, Aliases: p.Aliases, MakerNos: p.MakerNos,
		Dims: dimsOf(p), Measured: PartMeasured(p), Keep: p.Keep, Weeks: p.Weeks, Value: p.Value, Twin: p.Twin, Holds: p.Holds, HeldIn: v.UnitsWith(p.Code),
		Hazard: p.Hazard, Note: p.Note, Goes: []SheetGoes{}, Bags: []BagLine{}, Donors: []SheetDonor{},
		Cautions: Cautions(p, store.Model{}), First: p.CountFirst}
	if s.Covering, err = CoveringOf(v, p); err != nil {
		return Sheet{}, err
	}
	r := read(v)
	for _, step := range []func(*reader, store.Part){s.figures, s.goes, s.bags, s.last, s.donors, s.traps, s.wants} {
		step(r, p)
	}
	return s, r.err
}

func (s *Sheet) figures(v *reader, p store.Part) {
	f := v.figure(p.Code)
	s.BookedIn, s.Fitted, s.Returned, s.Scrapped, s.Sold, s.Lost = f.BookedIn, f.Fitted, f.Returned, f.Scrapped, f.Sold, f.Lost
	s.Cut, s.Found, s.Corrected, s.Held, s.Lent, s.OnHand, s.Free = f.Cut, f.Found, f.Corrected, f.Held, f.Lent, f.OnHand(), f.Free()
}

func (s *Sheet) goes(v *reader, p store.Part) {
	for _, g := range got(v, v.GoesOf, p.Code) {
		s.Goes = append(s.Goes, SheetGoes{Model: g.Model, Degree: strings.Join(g.Degrees, ";"), PerBody: g.PerBody, Where: g.Where,
			From: g.From, To: g.To, Operation: g.Operation, Evidence: g.Evidence, By: g.By, Date: g.Date.String(), Note: g.Note, Reaches: reaches(v, g.Model)})
	}
}

// reaches lists the cameras that carry a shutter or lens; where a camera may
// carry another, it says so.
func reaches(v *reader, model code.Code) (out []string) {
	for _, c := range v.CarriedBy(model) {
		text := string(c)
		if may := got2(v, v.Carried, v.model(c), v.model(model).Kind); len(may) > 1 {
			text += fmt.Sprintf(" (if it carries %s: look first)", model)
		}
		out = append(out, text)
	}
	return out
}

func (s *Sheet) bags(v *reader, p store.Part) {
	for _, c := range v.BagsOf(p.Code) {
		st := v.state(c)
		s.Bags = append(s.Bags, line(v.bag(c), st))
		s.counted(st)
	}
	slices.SortFunc(s.Bags, bestBag)
	unitBags(v, p, s.Bags)
}

// counted keeps the latest reading.
func (s *Sheet) counted(st store.State) {
	day := st.Read.String()
	if st.Read == 0 || s.Counted != nil && s.Counted.Day >= day {
		return
	}
	s.Counted = &SheetCount{Bag: st.Bag, Day: day, By: st.ReadBy, Quantity: st.ReadN, About: st.ReadAbout}
}

// last finds where the part was last seen, and what was last taken of it.
func (s *Sheet) last(v *reader, p store.Part) {
	for _, l := range v.LooksOf(p.Code) { // without their days
		on := v.SeenOn
		if l.Job != "" {
			on = v.SeenOnJob
		}
		for _, o := range got(v, on, cmp.Or(l.Job, l.Donor)) {
			if day := o.Date.String(); o.Part == p.Code && (s.LastSeen == nil || day > s.LastSeen.Day) {
				s.LastSeen = &SheetSeen{l.Donor, l.Job, o.Seen, day}
			}
		}
	}
	for _, c := range v.BagsOf(p.Code) {
		for _, e := range standing(got(v, v.EntriesOf, c)) {
			day := e.Day.String()
			if e.Bag != c || effects()[e.What] >= 0 || s.Taken != nil && day < s.Taken.Day {
				continue
			}
			s.Taken = &SheetTaken{c, e.What.String(), e.Quantity, e.Job, day, e.By}
		}
	}
}

func (s *Sheet) donors(v *reader, p store.Part) {
	list, _ := newLooking(v).holders(p, "")
	for _, h := range list {
		s.Donors = append(s.Donors, SheetDonor{Donor: h.donor.Code, Model: h.donor.Model, History: h.donor.History,
			State: h.donor.State, Place: h.donor.Place, Left: h.left, Why: h.why})
	}
}

// traps names the twin, the recorded misfits and the threads that look alike.
func (s *Sheet) traps(v *reader, p store.Part) {
	n := &needer{v: v, p: p}
	n.twins()
	n.misfits()
	n.alike()
	s.Traps = append(s.Traps, n.out.Traps...)
}

func (s *Sheet) wants(v *reader, p store.Part) {
	for _, w := range got(v, v.WantsOf, p.Code) {
		if w.Met == 0 {
			s.Wants = append(s.Wants, SheetWant{Date: w.Date.String(), Model: w.Model, Job: w.Job, Note: w.Note})
		}
	}
}

// LooksLike names what a part is easily taken for: its opposite-hand twin, and threads
// that read the same.
func LooksLike(v *store.View, p store.Part) (store.Reasons, error) {
	n := &needer{v: read(v), p: p}
	n.twins()
	n.alike()
	return n.out.Traps, n.v.err
}

// Degrees are the degrees of statements, each once, best first.
func (s Sheet) Degrees() []string {
	var out []string
	seen := map[string]bool{}
	for _, d := range store.Degrees {
		for _, g := range s.Goes {
			if first, _, _ := strings.Cut(g.Degree, ";"); first == d && !seen[g.Degree] {
				seen[g.Degree] = true
				out = append(out, g.Degree)
			}
		}
	}
	for _, g := range s.Goes {
		if !seen[g.Degree] {
			seen[g.Degree] = true
			out = append(out, g.Degree)
		}
	}
	return out
}
