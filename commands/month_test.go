package commands

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math/big"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// What follows reckons August 2031 from the CSV files of the demo with fractions and
// loops of its own. Sources of the rules: the lower of cost and net realisable value, by
// item, International Accounting Standard 2, 9 and 29; by-products off the joint cost at
// their net value, the same, 14; the rest of the price by value, largest remainders;
// what a grade lets fetch (ready, new, made all of it, usable 90 %, rework and unknown
// half) and what is small (1.00 a piece) are the workshop's own, said by cost.

func cents(t *testing.T, text string) *big.Rat {
	t.Helper()
	r, ok := new(big.Rat).SetString(text)
	if !ok {
		t.Fatalf("%q is no sum", text)
	}
	return r.Mul(r, big.NewRat(100, 1))
}

// nearest is a fraction in whole cents, halves up.
func nearest(r *big.Rat) int64 {
	x := new(big.Rat).Add(r, big.NewRat(1, 2))
	return new(big.Int).Div(x.Num(), x.Denom()).Int64()
}

func works(grade string) *big.Rat {
	return map[string]*big.Rat{"ready": big.NewRat(1, 1), "new": big.NewRat(1, 1), "made": big.NewRat(1, 1), "usable": big.NewRat(9, 10),
		"rework": big.NewRat(1, 2), "unknown": big.NewRat(1, 2), "pattern": new(big.Rat), "scrap": new(big.Rat)}[grade]
}

// largest shares a sum of cents by weights: whole parts of the quotas, then one each to
// the largest remainders.
func largest(sum int64, weights []*big.Rat) []int64 {
	all := new(big.Rat)
	for _, w := range weights {
		all.Add(all, w)
	}
	out, rest, left := make([]int64, len(weights)), make([]*big.Rat, len(weights)), sum
	for i, w := range weights {
		if all.Sign() == 0 {
			continue
		}
		q := new(big.Rat).Quo(new(big.Rat).Mul(big.NewRat(sum, 1), w), all)
		out[i] = new(big.Int).Div(q.Num(), q.Denom()).Int64()
		rest[i] = q.Sub(q, big.NewRat(out[i], 1))
		left -= out[i]
	}
	for ; left > 0 && all.Sign() > 0; left-- {
		best := 0
		for i := range rest {
			if rest[i].Cmp(rest[best]) > 0 {
				best = i
			}
		}
		out[best]++
		rest[best] = big.NewRat(-1, 1)
	}
	return out
}

// An augustBag is a bag with what all of it cost, nil where that is not known.
type augustBag struct {
	row    map[string]string
	booked int64
	now    int64 // on hand at the end of August
	cost   *big.Rat
	value  *big.Rat // of a piece
}

func (b *augustBag) of(n int64) *big.Rat {
	return new(big.Rat).Mul(b.cost, big.NewRat(n, b.booked))
}

func august(t *testing.T) (bags map[string]*augustBag, donors map[string]int64) {
	parts := map[string]map[string]string{}
	for _, p := range sheetRows(t, "parts") {
		parts[p["Part"]] = p
	}
	bags, donors = map[string]*augustBag{}, map[string]int64{}
	from := map[string][]string{}
	for _, r := range sheetRows(t, "bags") {
		b := &augustBag{row: r}
		fmt.Sscan(r["Quantity"], &b.booked)
		b.now = b.booked
		if r["Cost"] != "" {
			b.cost = cents(t, r["Cost"])
		}
		if v := parts[r["Part"]]["Value"]; v != "" {
			b.value = cents(t, v)
		}
		bags[r["Bag"]] = b
		from[r["Origin"]] = append(from[r["Origin"]], r["Bag"])
	}
	for _, m := range sheetRows(t, "moves") {
		var n int64
		fmt.Sscan(m["Quantity"], &n)
		switch m["What"] {
		case "fitted", "sold", "scrapped", "lost":
			bags[m["Bag"]].now -= n
		case "held", "lent", "counted":
		default:
			t.Fatalf("the demo has a movement that this test does not know: %v", m)
		}
	}
	for _, d := range sheetRows(t, "donors") {
		if d["Owner"] != "own" {
			continue
		}
		paid := nearest(cents(t, d["Price"]))
		if d["Post"] != "" {
			paid += nearest(cents(t, d["Post"]))
		}
		codes := from[d["Donor"]]
		if len(codes) == 0 {
			donors[d["Donor"]] = paid
			continue
		}
		slices.Sort(codes)
		small, main, byproducts := make([]*big.Rat, len(codes)), make([]*big.Rat, len(codes)), new(big.Rat)
		for i, c := range codes {
			b := bags[c]
			small[i], main[i] = new(big.Rat), new(big.Rat)
			if b.value == nil {
				continue
			}
			net := new(big.Rat).Mul(new(big.Rat).Mul(b.value, big.NewRat(b.booked, 1)), works(b.row["Grade"]))
			if b.value.Cmp(big.NewRat(100, 1)) <= 0 {
				small[i] = net
				byproducts.Add(byproducts, net)
			} else {
				main[i] = net
			}
		}
		off := min(nearest(byproducts), paid)
		a, b := largest(off, small), largest(paid-off, main)
		for i, c := range codes {
			bags[c].cost = big.NewRat(a[i]+b[i], 1)
		}
	}
	return bags, donors
}

// sheetRows are the rows of a CSV file of the demo.
func sheetRows(t *testing.T, name string) (out []map[string]string) {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "testdata", "demo", name+".csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range rows[1:] {
		m := map[string]string{}
		for i, h := range rows[0] {
			m[strings.TrimPrefix(h, "\ufeff")] = row[i]
		}
		out = append(out, m)
	}
	return out
}

func TestAugustOfTheDemo(t *testing.T) {
	bags, donors := august(t)
	var got struct {
		Used, Came, Sold []struct {
			Job, Owner, Part, Bag, Donor string
			N                            int64 `json:"pieces"`
			Cost                         int64 `json:"cost_cents"`
			Amount                       int64 `json:"amount_cents"`
		}
		Scrapped, Lost, Made, After []any
		HeldClosed                  []any `json:"held_closed"`
		Unmet                       []struct{ Part, Since string }
		Uncounted                   []string
		Value                       []struct {
			Class  string
			Pieces int64
			Cost   int64 `json:"cost_cents"`
			Fetch  int64 `json:"fetch_cents"`
			Lower  int64 `json:"lower_cents"`
			NoCost int64 `json:"no_cost"`
		}
		WrittenDown []struct{ Thing string } `json:"written_down"`
		Others      []struct {
			Owner string
			Value int64 `json:"value_cents"`
		}
	}
	home := t.TempDir()
	if err := os.WriteFile(filepath.Join(home, "w.db"), demoStore(t), 0o600); err != nil {
		t.Fatal(err)
	}
	w := newWorld(t, home)
	if code := Run([]string{"tinful", "month", "2031-08", "--json"}, w.env); code != exitOK {
		t.Fatal(w.stderr)
	}
	if err := json.Unmarshal(w.stdout.Bytes(), &got); err != nil {
		t.Fatal(err)
	}
	// Used and sold, by the rows of moves.csv.
	var used, sold []string
	for _, m := range sheetRows(t, "moves") {
		var n int64
		fmt.Sscan(m["Quantity"], &n)
		if !strings.HasPrefix(m["Date"], "2031-08-") {
			continue
		}
		b := bags[m["Bag"]]
		switch m["What"] {
		case "fitted":
			used = append(used, fmt.Sprint(m["Job"], " ", m["Bag"], " ", b.row["Part"], " ", b.row["Owner"], " ", n, " ", nearest(b.of(n))))
		case "sold":
			sold = append(sold, fmt.Sprint(m["Bag"], " ", n, " ", nearest(cents(t, m["Amount"])), " ", nearest(b.of(n))))
		}
	}
	var gotUsed, gotSold []string
	for _, x := range got.Used {
		gotUsed = append(gotUsed, fmt.Sprint(x.Job, " ", x.Bag, " ", x.Part, " ", x.Owner, " ", x.N, " ", x.Cost))
	}
	for _, x := range got.Sold {
		gotSold = append(gotSold, fmt.Sprint(x.Bag, " ", x.N, " ", x.Amount, " ", x.Cost))
	}
	if !slices.Equal(gotUsed, used) || len(used) != 2 {
		t.Errorf("used %q, want %q", gotUsed, used)
	}
	if !slices.Equal(gotSold, sold) || len(sold) != 1 {
		t.Errorf("sold %q, want %q", gotSold, sold)
	}
	// PC-11 was booked on the 31st for 33.00 and 6.00 post; nothing else came.
	if len(got.Came) != 1 || got.Came[0].Donor != "PC-11" || got.Came[0].Amount != 3900 || len(got.Scrapped)+len(got.Lost)+len(got.Made)+len(got.After)+len(got.HeldClosed) != 0 {
		t.Errorf("came %+v; scrapped, lost, made, after, held for closed jobs: %v %v %v %v %v", got.Came, got.Scrapped, got.Lost, got.Made, got.After, got.HeldClosed)
	}
	// The stock, class by class, and all sums to the cent.
	type sums struct{ pieces, cost, fetch, lower, noCost int64 }
	want, down := map[string]*sums{}, 0
	class := map[string]string{"": ""}
	for _, p := range sheetRows(t, "parts") {
		class[p["Part"]] = p["Class"]
	}
	add := func(class string, n int64, cost, fetch *big.Rat) {
		s := want[class]
		if s == nil {
			s = &sums{}
			want[class] = s
		}
		s.pieces += n
		if fetch != nil {
			s.fetch += nearest(fetch)
		}
		switch {
		case cost == nil:
			s.noCost += n
			return
		case fetch != nil && nearest(fetch) < nearest(cost):
			s.lower += nearest(fetch)
			down++
		default:
			s.lower += nearest(cost)
		}
		s.cost += nearest(cost)
	}
	for _, b := range bags {
		if b.now == 0 || b.row["Owner"] != "own" {
			continue
		}
		var cost, fetch *big.Rat
		if b.cost != nil {
			cost = b.of(b.now)
		}
		if b.value != nil {
			fetch = new(big.Rat).Mul(new(big.Rat).Mul(b.value, big.NewRat(b.now, 1)), works(b.row["Grade"]))
		}
		add(class[b.row["Part"]], b.now, cost, fetch)
	}
	for _, d := range sheetRows(t, "donors") {
		if paid, whole := donors[d["Donor"]]; whole {
			add("donor", 1, big.NewRat(paid, 1), cents(t, d["Worth"]))
		}
	}
	for _, v := range got.Value {
		s := want[v.Class]
		if s == nil || *s != (sums{v.Pieces, v.Cost, v.Fetch, v.Lower, v.NoCost}) {
			t.Errorf("class %q: %+v, want %+v", v.Class, v, s)
		}
	}
	if len(got.Value) != len(want) || len(got.WrittenDown) != down || down < 10 {
		t.Errorf("%d classes, want %d; %d written down, want %d", len(got.Value), len(want), len(got.WrittenDown), down)
	}
	if want["donor"].cost != 13750 {
		t.Errorf("the parts cameras cost %d: the demo's README says 137.50", want["donor"].cost)
	}
	// Open wants, and whose property is here: jobs that are not closed, PC-13 and PC-14.
	open := 0
	for _, r := range sheetRows(t, "wants") {
		if r["Met"] == "" {
			open++
		}
	}
	value, things := int64(0), 2
	for _, j := range sheetRows(t, "jobs") {
		if j["Closed"] == "" {
			things++
			value += nearest(cents(t, j["Value"]))
		}
	}
	var gotValue int64
	for _, o := range got.Others {
		gotValue += o.Value
	}
	if len(got.Unmet) != open || len(got.Others) != things || gotValue != value || len(got.Uncounted) != 97 {
		t.Errorf("%d wants, want %d; %d things of others for %d, want %d for %d; %d never counted", len(got.Unmet), open, len(got.Others), gotValue, things, value, len(got.Uncounted))
	}
}

// Papers of months and lists are sound and hold their fonts.
func TestPapersOfAMonth(t *testing.T) {
	home := t.TempDir()
	if err := os.WriteFile(filepath.Join(home, "w.db"), demoStore(t), 0o600); err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	for _, line := range []string{"month 2031-08 -o a4.pdf", "month 2031-08 --paper letter -o letter.pdf", "wants -o wants.pdf", "out --on 2031-07-31 -o custody.pdf"} {
		args := strings.Fields(line)
		file := filepath.Join(dir, args[len(args)-1])
		args[len(args)-1] = file
		w := newWorld(t, home)
		if code := Run(append([]string{"tinful"}, args...), w.env); code != exitOK {
			t.Fatal(line, w.stderr)
		}
		if _, err := exec.LookPath("qpdf"); err != nil {
			t.Skip("qpdf is not installed: whether the PDF is sound was not looked at")
		}
		if out, err := exec.Command("qpdf", "--check", file).CombinedOutput(); err != nil {
			t.Errorf("%s: %s", line, out)
		}
		if _, err := exec.LookPath("pdffonts"); err != nil {
			t.Skip("pdffonts is not installed: whether fonts are held was not looked at")
		}
		out, err := exec.Command("pdffonts", file).Output()
		if err != nil {
			t.Fatal(err)
		}
		fonts := strings.Split(strings.TrimSpace(string(out)), "\n")[2:]
		if len(fonts) == 0 || slices.ContainsFunc(fonts, func(l string) bool { return !strings.Contains(l, "yes yes yes") }) {
			t.Errorf("%s does not hold its fonts:\n%s", line, out)
		}
	}
}
