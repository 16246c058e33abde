package ask

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/dim"
)

// A row is one line of a sheet of the demo workshop, by heading.
type row map[string]string

func (r row) code(heading string) code.Code { return code.Code(r[heading]) }

func (r row) codes(heading string) (out []code.Code) {
	for _, s := range r.list(heading) {
		out = append(out, code.Code(s))
	}
	return out
}

func (r row) list(heading string) (out []string) {
	for _, s := range strings.Split(r[heading], ";") {
		if s = strings.TrimSpace(s); s != "" {
			out = append(out, s)
		}
	}
	return out
}

func (r row) number(tb testing.TB, heading string) *int64 {
	return cell(tb, r[heading], func(s string) (int64, error) { q, err := code.ParseSheetQty(s); return q.N, err })
}

func (r row) cents(tb testing.TB, heading string) *code.Cents {
	return cell(tb, r[heading], code.ParseCents)
}

func (r row) day(tb testing.TB, heading string) code.Day {
	if d := cell(tb, r[heading], code.ISODay); d != nil {
		return *d
	}
	return 0
}

// cell reads a cell, nil where it is empty.
func cell[T any](tb testing.TB, text string, read func(string) (T, error)) *T {
	tb.Helper()
	if text == "" {
		return nil
	}
	x, err := read(text)
	if err != nil {
		tb.Fatalf("%q: %v", text, err)
	}
	return &x
}

// sheet reads a sheet of the demo workshop as it stands in testdata/demo.
func sheet(tb testing.TB, name string) (out []row) {
	tb.Helper()
	f, err := os.Open(filepath.Join("..", "..", "testdata", "demo", name+".csv"))
	if err != nil {
		tb.Fatal(err)
	}
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	if err != nil {
		tb.Fatal(err)
	}
	for _, line := range lines[1:] {
		r := row{}
		for i, heading := range lines[0] {
			r[heading] = line[i]
		}
		out = append(out, r)
	}
	return out
}

// demoDay is the day on which the demo plays: the evening of its last count.
var demoDay = day("2031-08-31")

func day(iso string) code.Day {
	d, err := code.ISODay(iso)
	if err != nil {
		panic(err)
	}
	return d
}

// demo makes a store of the demo workshop out of its sheets.
func demo(tb testing.TB) *store.Store {
	tb.Helper()
	p, err := store.PlanLoad(nil, demoLoad(tb), store.Head{Day: demoDay, Today: demoDay, By: "H", Command: "import"})
	if err != nil {
		tb.Fatal(err)
	}
	if len(p.Problems) > 0 {
		tb.Fatalf("%+v", p.Problems)
	}
	path := filepath.Join(tb.TempDir(), "demo.db")
	if _, err := store.CreateFrom(path, p, nil, nil); err != nil {
		tb.Fatal(err)
	}
	return checked(tb, opened(tb, path))
}

func demoLoad(tb testing.TB) *store.Load {
	tb.Helper()
	l := &store.Load{Cell: func(sheet string, i int, heading string) (string, string, string) { return sheet, heading, "" }}
	for _, r := range sheet(tb, "models") {
		l.Models = append(l.Models, store.Model{Code: r.code("Model"), Kind: r["Kind"], Maker: r["Maker"], Name: r["Name"], Family: r["Family"], Aliases: r.list("Aliases"),
			Years: r["Years"], Numbers: r["Numbers"], Carries: r.codes("Carries"), Scale: r["Scale"], Form: r["Thread form"], ToldBy: r["Told by"], Tools: r["Tools"], Note: r["Note"]})
	}
	for _, r := range sheet(tb, "places") {
		l.Places = append(l.Places, store.Place{Code: r.code("Place"), Where: r["Where"], For: r["For"]})
	}
	for _, r := range sheet(tb, "parts") {
		l.Parts.Add(demoPart(tb, r))
	}
	for _, r := range sheet(tb, "goes") {
		l.Goes.Add(store.Goes{Part: r.code("Part"), Model: r.code("Model"), Degrees: r.list("Degree"), PerBody: r.number(tb, "Per body"), Where: r["Where"], From: r["From no"], To: r["To no"],
			Operation: r["Operation"], Evidence: r["Evidence"], By: r["By"], Date: r.day(tb, "Date"), Note: r["Note"]})
	}
	for _, r := range sheet(tb, "donors") {
		l.Donors.Add(store.Donor{Code: r.code("Donor"), Model: r.code("Model"), Bought: r.day(tb, "Bought"), From: r["From"], Lot: r["Lot"], Price: r.cents(tb, "Price"), Post: r.cents(tb, "Post"),
			BodyNo: r["Body no"], Shutter: r.code("Shutter"), ShutterNo: r["Shutter no"], Lens: r.code("Lens"), LensNo: r["Lens no"], History: r["History"], State: r["State"], Owner: r["Owner"],
			Place: r.code("Place"), Worth: r.cents(tb, "Worth"), Booked: r.day(tb, "Booked"), Note: r["Note"]})
	}
	for _, r := range sheet(tb, "seen") {
		l.Seen.Add(store.Seen{Donor: r.code("Donor"), Part: r.code("Part"), Seen: r["Seen"], Date: r.day(tb, "Date"), Note: r["Note"]})
	}
	for _, r := range sheet(tb, "bags") {
		l.Bags.Add(store.Bag{Code: r.code("Bag"), Part: r.code("Part"), Origin: r["Origin"], Quantity: *r.number(tb, "Quantity"), Unit: r["Unit"], About: r["About"] == "yes", Grade: r["Grade"],
			Looks: r["Looks"], Place: r.code("Place"), Owner: r["Owner"], Number: r["Number"], GoesWith: r["Goes with"], Cost: r.cents(tb, "Cost"), Booked: r.day(tb, "Booked"), Note: r["Note"]})
	}
	for _, r := range sheet(tb, "jobs") {
		l.Jobs.Add(store.Job{Code: r.code("Job"), Model: r.code("Model"), BodyNo: r["Body no"], Shutter: r.code("Shutter"), Lens: r.code("Lens"), Owner: r["Owner"], Fault: r["Fault"],
			Accessories: r["Accessories"], State: r["State"], Tray: r.code("Tray"), Agreed: r["Agreed"], Promised: r.day(tb, "Promised"), Value: r.cents(tb, "Value"), Opened: r.day(tb, "Opened"), Closed: r.day(tb, "Closed"), Note: r["Note"]})
	}
	for _, r := range sheet(tb, "moves") {
		what, ok := store.ParseWhat(r["What"])
		if !ok {
			tb.Fatalf("moves.csv: %v", r)
		}
		e := store.Entry{Day: r.day(tb, "Date"), What: what, Bag: r.code("Bag"), Quantity: *r.number(tb, "Quantity"), Job: r.code("Job"), To: r["To"], Why: r["Why"], By: r["By"]}
		if paid := r.cents(tb, "Amount"); paid != nil {
			e.Amount = *paid
		}
		l.Moves.Add(e)
	}
	for _, r := range sheet(tb, "wants") {
		l.Wants = append(l.Wants, store.Want{Date: r.day(tb, "Date"), Part: r.code("Part"), Model: r.code("Model"), Job: r.code("Job"), Met: r.day(tb, "Met"), Note: r["Note"]})
	}
	return l
}

func demoPart(tb testing.TB, r row) store.Part {
	p := store.Part{Code: r.code("Part"), Name: r["Name"], Class: r["Class"], Seat: r["Seat"], Aliases: r.list("Aliases"), MakerNos: r.list("Maker no"), Dims: map[dim.Field]int64{}, Marks: map[dim.Field]string{},
		Keep: r.number(tb, "Keep"), Value: r.cents(tb, "Value"), Twin: r.code("Twin"), Holds: r.codes("Holds"), Hazard: r["Hazard"], Note: r["Note"]}
	if weeks := r.number(tb, "Weeks to find"); weeks != nil {
		p.Weeks = *weeks
	}
	for _, in := range dim.Table() {
		text := r[in.Heading]
		if text == "" {
			continue
		}
		n, word, err := dim.Parse(in.Field, p.Class, text)
		if err != nil {
			tb.Fatalf("%s %s: %v", p.Code, in.Heading, err)
		}
		if in.Kind == dim.KindWord {
			p.Marks[in.Field] = word
		} else {
			p.Dims[in.Field] = n
		}
	}
	return p
}

// A ledger is what the demo's book says of something, added up by word: "" is what
// was booked in.
type ledger map[string]int64

func (l ledger) onHand() int64 { return l[""] - l["fitted"] - l["scrapped"] - l["sold"] }
func (l ledger) free() int64   { return l.onHand() - l["held"] - l["lent"] }

// demoBook adds up bags.csv and moves.csv by what key says of a bag.
func demoBook(tb testing.TB, key string) map[string]ledger {
	tb.Helper()
	out, of := map[string]ledger{}, map[string]string{}
	for _, b := range sheet(tb, "bags") {
		k := b[key]
		of[b["Bag"]] = k
		if out[k] == nil {
			out[k] = ledger{}
		}
		out[k][""] += *b.number(tb, "Quantity")
	}
	for _, m := range sheet(tb, "moves") {
		out[of[m["Bag"]]][m["What"]] += *m.number(tb, "Quantity")
	}
	return out
}
