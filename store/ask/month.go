package ask

import (
	"cmp"
	"encoding/json"
	"fmt"
	"maps"
	"slices"

	"tinful/store"
	"tinful/store/code"
)

// A Month is the sheet of a month: what went and came in it, and how the workshop stood
// at its end. It is a record; what of it is income, stock or tax the accountant decides.
// What was taken back stands in none of its lists.
type Month struct {
	Month       string          `json:"month"`
	From        string          `json:"from"`
	To          string          `json:"to"`
	Used        []MonthMove     `json:"used"` // by job; what came back from it is taken off
	Came        []MonthMove     `json:"came"`
	Sold        []MonthMove     `json:"sold"`
	Scrapped    []MonthMove     `json:"scrapped"`
	Cut         []MonthMove     `json:"cut"`   // coverings used up: what arose of them came, under its own bags
	Lost        []MonthMove     `json:"lost"`  // what a count found missing too
	Unmet       []MonthUnmet    `json:"unmet"` // open at its end, or done without in it
	Idle        []MonthIdle     `json:"idle"`  // own parts cameras that gave nothing for a year
	Last        []MonthLast     `json:"last"`  // parts to keep, or long to find, of which one is left
	Uncounted   []code.Code     `json:"uncounted"`
	HeldClosed  []MonthMove     `json:"held_closed"`
	Others      []MonthProperty `json:"others"`
	Value       []MonthValue    `json:"value"` // by class
	WrittenDown []MonthDown     `json:"written_down"`
	Made        []MonthMove     `json:"made"`
	After       []MonthMove     `json:"after"` // booked into months that were handed over, since then
	HandedOver  string          `json:"handed_over,omitempty"`
}

// A MonthMove is pieces that went or came, or a parts camera that did.
type MonthMove struct {
	Day      string      `json:"day,omitempty"`
	What     string      `json:"what,omitempty"`
	Job      code.Code   `json:"job,omitempty"`
	Customer string      `json:"customer,omitempty"` // whose job it is
	Owner    string      `json:"owner,omitempty"`    // of the pieces
	Bag      code.Code   `json:"bag,omitempty"`
	Donor    code.Code   `json:"donor,omitempty"`
	Part     code.Code   `json:"part,omitempty"`
	Name     string      `json:"name,omitempty"`
	Left     string      `json:"left_hand,omitempty"`
	Pieces   int64       `json:"pieces"`
	Unit     string      `json:"unit,omitempty"` // mm for what is sold by length
	From     string      `json:"from,omitempty"`
	To       string      `json:"to,omitempty"`
	Why      string      `json:"why,omitempty"`
	Amount   *code.Cents `json:"amount_cents,omitempty"` // what was paid or got for it
	Cost     *code.Cents `json:"cost_cents,omitempty"`
	Fetch    *code.Cents `json:"fetch_cents,omitempty"` // by the value of the part
	NoPrice  bool        `json:"no_price,omitempty"`    // bought, and nobody said for how much
	Minutes  int64       `json:"minutes,omitempty"`
}

// A MonthUnmet is a part that was asked for and not found.
type MonthUnmet struct {
	Part    code.Code `json:"part"`
	Name    string    `json:"name"`
	Left    string    `json:"left_hand,omitempty"`
	Model   code.Code `json:"model,omitempty"`
	Job     code.Code `json:"job,omitempty"`
	Since   string    `json:"since"`
	Instead string    `json:"instead,omitempty"`
}

// A MonthIdle is a parts camera that stands idle.
type MonthIdle struct {
	Donor  code.Code   `json:"donor"`
	Model  code.Code   `json:"model,omitempty"`
	Bought string      `json:"bought,omitempty"`
	Cost   *code.Cents `json:"cost_cents,omitempty"`
}

// A MonthLast is a part of which one piece is left.
type MonthLast struct {
	Part  code.Code `json:"part"`
	Name  string    `json:"name"`
	Left  string    `json:"left_hand,omitempty"`
	Keep  *int64    `json:"keep,omitempty"`
	Weeks int64     `json:"weeks"` // to find another
}

// A monthly puts a month together.
type monthly struct {
	v           *reader
	first, last code.Day
	costs       costs
	free        map[code.Code]int64    // of each part at the end
	gave        map[string]code.Day    // when something last came from each origin
	in          map[code.Code]code.Day // when each bag first came in
	value       map[[2]string]*MonthValue
	out         Month
}

// MonthOf is the sheet of a month by its name, 2031-08: as it was handed over, where it
// was, else as it is by the book today. A year, or a month up to a day, has such a sheet
// too, but for what comes after one that was handed over.
func MonthOf(view *store.View, name string) (Month, error) {
	first, last, err := store.PeriodDays(name)
	if err != nil {
		return Month{}, err
	}
	given, err := view.HandedOver(name)
	if err != nil {
		return Month{}, err
	}
	out := Month{Cut: []MonthMove{}}
	if given.Name != "" {
		return out, json.Unmarshal(given.Sheet, &out)
	}
	m := &monthly{v: read(view), first: first, last: last, costs: costs{}, free: map[code.Code]int64{}, gave: map[string]code.Day{},
		in: map[code.Code]code.Day{}, value: map[[2]string]*MonthValue{}}
	none := func() []MonthMove { return []MonthMove{} }
	m.out = Month{Month: name, From: first.String(), To: last.String(), Used: none(), Came: none(), Sold: none(), Scrapped: none(), Cut: none(), Lost: none(), Unmet: []MonthUnmet{},
		Idle: []MonthIdle{}, Last: []MonthLast{}, Uncounted: []code.Code{}, HeldClosed: none(), Value: []MonthValue{}, WrittenDown: []MonthDown{}, Made: none(), After: none()}
	for _, step := range []func(){m.bags, m.cameras, m.values, m.lasts, m.unmet} {
		step()
	}
	if len(name) == len("2031-08") {
		m.after()
	}
	m.out.Others = propertyOn(m.v, last)
	return m.out, m.v.err
}

// HandOver freezes the sheet of a month as it is now.
func HandOver(t *store.Tx, name string, today code.Day) (Month, error) {
	if _, _, err := store.MonthDays(name); err != nil {
		return Month{}, err
	}
	given, err := t.HandedOver(name)
	if err != nil {
		return Month{}, err
	}
	m, err := MonthOf(&t.View, name)
	if err != nil {
		return m, err
	}
	if given.Name == "" {
		m.HandedOver = today.String()
	}
	sheet, err := json.Marshal(m)
	if err != nil {
		return m, err
	}
	if given.Name != "" {
		sheet = append(sheet, '\n') // so that the rule refuses it, whatever it says
	}
	return m, t.HandOver(name, sheet)
}

// within tells whether a day lies in the month.
func (m *monthly) within(d code.Day) bool { return m.first <= d && d <= m.last }

// bags reads every bag: what moved in the month, and how it stood at its end.
func (m *monthly) bags() {
	used := map[[2]code.Code]*MonthMove{}
	for b := range each(m.v, m.v.EachBag) {
		entries := standing(got(m.v, m.v.EntriesOf, b.Code))
		for _, e := range entries {
			if e.What == store.In && e.Day <= m.last {
				m.gave[b.Origin] = max(m.gave[b.Origin], e.Day)
			}
			if _, met := m.in[b.Code]; !met && e.What == store.In {
				m.in[b.Code] = e.Day
			}
			if m.within(e.Day) {
				m.moved(b, e, used)
			}
		}
		until := slices.DeleteFunc(entries, func(e store.Entry) bool { return e.Day > m.last })
		if len(until) > 0 {
			m.stood(b, store.StateAfter(b, until))
		}
	}
	for _, key := range slices.SortedFunc(maps.Keys(used), func(a, b [2]code.Code) int {
		return cmp.Or(cmp.Compare(a[0], b[0]), cmp.Compare(a[1], b[1]))
	}) {
		if x := used[key]; x.Pieces != 0 {
			x.Cost, x.Fetch = m.cost(key[1], x.Pieces), m.fetch(x.Part, x.Pieces)
			m.out.Used = append(m.out.Used, *x)
		}
	}
	byDay := func(a, b MonthMove) int { return cmp.Or(cmp.Compare(a.Day, b.Day), cmp.Compare(a.Bag, b.Bag)) }
	for _, list := range [][]MonthMove{m.out.Came, m.out.Sold, m.out.Scrapped, m.out.Cut, m.out.Lost, m.out.Made} {
		slices.SortStableFunc(list, byDay)
	}
}

// move is an entry as a row.
func (m *monthly) move(b store.Bag, e store.Entry) MonthMove {
	x := MonthMove{Day: e.Day.String(), Job: e.Job, Owner: b.Owner, Bag: e.Bag, Part: b.Part, Pieces: e.Quantity, To: e.To, Why: e.Why}
	if b.Unit == "mm" {
		x.Unit = b.Unit
	}
	if b.Part != "" {
		p := m.v.part(b.Part)
		x.Name, x.Left = p.Name, store.LeftHand(p)
	}
	if e.Job != "" {
		x.Customer = m.v.job(e.Job).Owner
	}
	return x
}

// moved sorts an entry of the month into its list.
func (m *monthly) moved(b store.Bag, e store.Entry, used map[[2]code.Code]*MonthMove) {
	x := m.move(b, e)
	switch {
	case e.What == store.Fitted || e.What == store.Returned && e.Job != "":
		if e.What == store.Returned {
			x.Pieces = -x.Pieces
		}
		key := [2]code.Code{e.Job, e.Bag}
		if had := used[key]; had != nil {
			had.Pieces += x.Pieces
			return
		}
		x.Day, x.To, x.Why = "", "", ""
		used[key] = &x
	case e.What == store.In || e.What == store.Found || e.What == store.Corrected && e.Quantity > 0:
		m.came(b, e, x)
	case e.What == store.Sold:
		x.Amount, x.Cost = &e.Amount, m.cost(e.Bag, x.Pieces)
		m.out.Sold = append(m.out.Sold, x)
	case e.What == store.Scrapped:
		x.Cost = m.cost(e.Bag, x.Pieces)
		m.out.Scrapped = append(m.out.Scrapped, x)
	case e.What == store.Cut:
		x.Cost = m.cutCost(e)
		m.out.Cut = append(m.out.Cut, x)
	case e.What == store.Lost || e.What == store.Corrected && e.Quantity < 0:
		if e.What == store.Corrected {
			x.Pieces, x.Why = -x.Pieces, cmp.Or(x.Why, "missing at a count")
		}
		x.Cost = m.cost(e.Bag, x.Pieces)
		m.out.Lost = append(m.out.Lost, x)
	}
}

// cutCost is what pieces cost that were cut up: what is borne by what arose, else, where
// nothing did, what they cost themselves.
func (m *monthly) cutCost(e store.Entry) *code.Cents {
	var sum *code.Cents
	for _, c := range e.Into() {
		if b, err := m.v.Bag(c); err == nil && b.Cost != nil { // one may have been taken back
			borne := *b.Cost
			if sum != nil {
				borne += *sum
			}
			sum = &borne
		}
	}
	if sum == nil {
		return m.cost(e.Bag, e.Quantity)
	}
	return sum
}

// came adds pieces that came in; what was made here stands among what was made, too.
func (m *monthly) came(b store.Bag, e store.Entry, x MonthMove) {
	x.From = b.Origin
	switch {
	case e.What != store.In:
		x.From = "found"
	case b.Cut != "" && e.First:
		x.From = "cut from " + string(b.Cut)
	case b.Owner == store.Own:
		x.Amount = paid(b, e.Quantity, m.v.state(b.Code).BookedIn)
		_, err := m.v.Donor(code.Code(b.Origin))
		x.NoPrice = b.Cost == nil && b.Origin != "made" && err != nil
	}
	m.out.Came = append(m.out.Came, x)
	if b.Origin == "made" && e.What == store.In && (b.Cut == "" || b.Material != "") { // an offcut of what was made is none
		if e.First {
			x.Minutes = b.Minutes
		}
		x.From = b.Material
		m.out.Made = append(m.out.Made, x)
	}
}

// stood reads a bag as it was at the end of the month.
func (m *monthly) stood(b store.Bag, st store.State) {
	for _, o := range st.HeldFor {
		if j := m.v.job(code.Code(o.Who)); j.Closed != 0 && j.Closed <= m.last {
			x := m.move(b, store.Entry{Bag: b.Code, Job: j.Code, Quantity: o.N, Day: j.Closed, Why: j.State})
			m.out.HeldClosed = append(m.out.HeldClosed, x)
		}
	}
	if b.Owner != store.Own {
		return
	}
	if b.Part != "" {
		m.free[b.Part] += st.Free()
		if st.Read == 0 && st.InDrawer() > 0 {
			m.out.Uncounted = append(m.out.Uncounted, b.Code)
		}
	}
	if st.OnHand() > 0 {
		m.stock(b, st)
	}
}

// lasts lists the parts that are down to the last.
func (m *monthly) lasts() {
	for _, c := range slices.Sorted(maps.Keys(m.free)) {
		p := m.v.part(c)
		weeks := cmp.Or(p.Weeks, usualWeeks)
		if m.free[c] == 1 && (p.Keep != nil || weeks > usualWeeks) {
			m.out.Last = append(m.out.Last, MonthLast{c, p.Name, store.LeftHand(p), p.Keep, weeks})
		}
	}
}

// unmet lists what was asked for and not found.
func (m *monthly) unmet() {
	for w := range each(m.v, m.v.EachWant) {
		open := w.Met == 0 || w.Met > m.last
		if w.Date > m.last || !open && (w.Instead == "" || !m.within(w.Met)) {
			continue
		}
		p := m.v.part(w.Part)
		x := MonthUnmet{Part: w.Part, Name: p.Name, Left: store.LeftHand(p), Model: w.Model, Job: w.Job, Since: w.Date.String()}
		if !open {
			x.Instead = w.Instead
		}
		m.out.Unmet = append(m.out.Unmet, x)
	}
}

// after lists what was booked into months that were handed over since the last of them
// was, and what was taken back of them.
func (m *monthly) after() {
	given, err := m.v.HandedBefore(m.out.Month)
	m.v.keep(err)
	if given.Name == "" {
		return
	}
	_, end, err := store.MonthDays(given.Name)
	m.v.keep(err)
	m.v.keep(m.v.Bookings(func(b store.Booking) bool {
		if b.Last != 0 && b.Last <= given.Last || m.v.err != nil {
			return false
		}
		if b.Undone != 0 {
			return true // it is told of the booking that took it back, or of neither
		}
		for _, e := range got(m.v, m.v.EntriesIn, b) {
			if said := m.late(e, given.Last, end); said != "" {
				m.later(e, said)
			}
		}
		return true
	}))
	slices.SortStableFunc(m.out.After, func(a, b MonthMove) int {
		return cmp.Or(cmp.Compare(a.Day, b.Day), cmp.Compare(a.Bag, b.Bag))
	})
}

// late says what an entry did to a month that was handed over, empty for nothing.
func (m *monthly) late(e store.Entry, last uint64, end code.Day) string {
	if e.Undoes == 0 {
		if e.Day <= end && e.Seq > last { // an import's booking may have some from before
			return e.What.String()
		}
		return ""
	}
	was, err := m.v.BookingNo(e.Undoes)
	m.v.keep(err)
	for _, x := range got(m.v, m.v.EntriesIn, was) {
		if x.Seq <= last && x.Day <= end && x.Bag == e.Bag && x.What == e.What {
			return x.What.String() + " taken back"
		}
	}
	return ""
}

// later adds an entry that came after the sheet.
func (m *monthly) later(e store.Entry, said string) {
	b, err := m.v.Bag(e.Bag)
	if err != nil {
		b = store.Bag{Code: e.Bag} // its booking in was taken back
	}
	x := m.move(b, e)
	x.What = said
	if e.What == store.Sold {
		x.Amount = &e.Amount
	}
	if err == nil {
		x.Cost = m.cost(e.Bag, x.Pieces)
	}
	m.out.After = append(m.out.After, x)
}

// cameras reads the own parts cameras: those that came, and those that stand idle.
func (m *monthly) cameras() {
	for d := range each(m.v, m.v.EachDonor) {
		came := cmp.Or(d.Booked, d.Bought)
		if d.Owner != store.Own || came > m.last {
			continue
		}
		if m.within(came) {
			x := MonthMove{Day: came.String(), Donor: d.Code, Name: string(d.Model), Owner: d.Owner, Pieces: 1, From: d.From, NoPrice: d.Price == nil}
			if d.Bought != came && d.Bought != 0 {
				x.Why = fmt.Sprintf("bought %s", d.Bought)
			}
			if d.Price != nil || d.Post != nil {
				sum := d.Paid()
				x.Amount = &sum
			}
			m.out.Came = append(m.out.Came, x)
		}
		given := m.gave[string(d.Code)]
		if unstripped(d) && (given != 0 && m.last-given > aYear || given == 0 && d.Bought != 0 && m.last-d.Bought > aYear) {
			x := MonthIdle{Donor: d.Code, Model: d.Model, Bought: d.Bought.String()}
			if d.Price != nil || d.Post != nil {
				sum := d.Paid()
				x.Cost = &sum
			}
			m.out.Idle = append(m.out.Idle, x)
		}
		m.carcass(d)
	}
}
