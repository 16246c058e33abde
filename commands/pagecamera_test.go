package commands

import (
	"html"
	"net/http"
	"net/url"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// sends sends the first form of a screen that goes to path with what is typed and tapped,
// and returns what the page says then.
func (p *pageWorld) sends(screen, path string, with ...string) string {
	p.t.Helper()
	_, text := p.get(screen)
	form := p.form(text, path)
	for i := 0; i+1 < len(with); i += 2 {
		form.Set(with[i], with[i+1])
	}
	status, text, to := p.send(path, form)
	if status == http.StatusSeeOther {
		_, text = p.get(to)
	}
	return plainText(text)
}

var tagPattern = regexp.MustCompile(`(?s)<[^>]*>`)

// plainText is the text of a page.
func plainText(text string) string {
	return strings.Join(strings.Fields(html.UnescapeString(tagPattern.ReplaceAllString(text, " "))), " ")
}

func (p *pageWorld) wants(text string, all ...string) {
	p.t.Helper()
	for _, want := range all {
		if !strings.Contains(text, want) {
			p.t.Fatalf("it does not say %q:\n%s", want, text)
		}
	}
}

// A parts camera is looked into, taken apart step by step and booked, and its way back
// together is the last step first: what the page keeps is what strip has.
func TestPageTakesApart(t *testing.T) {
	p := servePageOf(t)
	text := p.sends("/look/donor/PC-11", "/look/donor/PC-11", "seen-P001", "missing", "seen-P002", "present")
	p.wants(text, "P001 release lever return spring missing", "P002")
	if _, said := p.line("show", "PC-11", "--json"); !strings.Contains(said, `{"part":"P001","seen":"missing"}`) && !strings.Contains(said, `"part":"P001","seen":"missing"`) {
		t.Errorf("what was seen is not in the book: %s", said)
	}
	if _, book := p.line("log"); !strings.Contains(book, "look PC-11 present P002 missing P001") && !strings.Contains(book, "look PC-11 missing P001 present P002") {
		t.Errorf("the book does not say what was seen: %s", book)
	}
	before := p.bookings()
	again := p.sends("/look/donor/PC-11", "/look/donor/PC-11", "seen-P001", "missing")
	p.wants(again, "not done", "all of that is noted already")
	for _, q := range []string{"/find?q=--store+/etc/passwd+spring", "/find?q=--store%3D/etc/passwd+spring&format=json", "/find?q=spring+-o+/tmp/x", "/find?q=spring+--at+2031-01-01&format=json"} {
		if status, text := p.get(q); status != http.StatusBadRequest || !strings.Contains(text, "for a line of a shell") {
			t.Errorf("%s: %d %s", q, status, plainText(text))
		}
	}
	_, first := p.get("/strip/donor/PC-11")
	p.wants(plainText(first), "step 1 of PC-11")
	for i := range 3 {
		_, screen := p.get("/strip/donor/PC-11")
		form := p.form(screen, "/strip/donor/PC-11")
		form.Set("n", "1")
		status, text, to := p.send("/strip/donor/PC-11", form)
		if status != http.StatusSeeOther {
			t.Fatalf("%s: %d %s", form, status, plainText(text))
		}
		_, text = p.get(to)
		p.wants(plainText(text), "typed, and not booked yet")
		if strings.Contains(plainText(text), "step "+strconv.Itoa(i+1)+" of PC-11") {
			t.Errorf("step %d is asked again:\n%s", i+1, plainText(text))
		}
	}
	if n := p.bookings(); n != before {
		t.Errorf("%d bookings before it is booked", n-before)
	}
	// One line that cannot be read is refused, and keeps nothing.
	p.wants(p.sends("/strip/donor/PC-11", "/strip/donor/PC-11", "line", "off what"), "not done")
	p.wants(p.sends("/strip/donor/PC-11", "/unstrip/donor/PC-11"), "step 3 of PC-11")
	p.wants(p.sends("/strip/donor/PC-11", "/stripped/donor/PC-11", "grade", "usable"), "2 steps of PC-11 booked", "PC-11 step 1 to 2 whole -> part-stripped")
	if n := p.bookings(); n != before+1 {
		t.Errorf("%d bookings of one strip-down", n-before)
	}
	_, back := p.get("/back/donor/PC-11")
	p.wants(plainText(back), "back together: step 2", "put back", "it is in: next")
	next := regexp.MustCompile(`href="(/back/[^"]*step=1[^"]*)"`).FindStringSubmatch(back)
	if next == nil {
		t.Fatalf("no way to the step before:\n%s", back)
	}
	_, last := p.get(html.UnescapeString(next[1]))
	p.wants(plainText(last), "back together: step 1", "that was the last")
}

// A drawer is counted bag by bag: what the book has is hidden until a bag is counted,
// then a difference is told with its likely reason and accepted.
func TestPageCounts(t *testing.T) {
	p := servePageOf(t)
	_, empty := p.get("/count/K1")
	p.wants(plainText(empty), "bags lie there by the book")
	_, place := p.get("/count/K1")
	status, _, to := p.send("/begin/K1", p.form(place, "/begin/K1"))
	if status != http.StatusSeeOther {
		t.Fatal(status)
	}
	differs := ""
	for range 40 {
		_, text := p.get(to)
		asked := regexp.MustCompile(`name="bag" value="bag:([^"]*)"`).FindStringSubmatch(text)
		if asked == nil {
			break
		}
		bag := asked[1]
		if strings.Contains(plainText(text), bag+" "+"on hand") || regexp.MustCompile(`the book has[^.]*`+bag).MatchString(plainText(text)) {
			t.Errorf("the book's figure of %s stands beside the question", bag)
		}
		have := p.onHand(bag)
		form := p.form(text, "/count/K1")
		n := have
		if differs == "" && have > 0 {
			differs, n = bag, have-1
		}
		form.Set("n", strconv.Itoa(n))
		var said string
		if status, said, to = p.send("/count/K1", form); status != http.StatusSeeOther {
			t.Fatalf("%s=%d: %d %s", bag, n, status, plainText(said))
		}
		_, said = p.get(to)
		p.wants(plainText(said), bag+": counted "+strconv.Itoa(n)+", the book had "+strconv.Itoa(have))
	}
	_, text := p.get("/count/K1")
	p.wants(plainText(text), "every bag is counted", "differs", "agrees")
	was := p.onHand(differs)
	form := p.form(text, "/close/K1")
	status, said, to := p.send("/close/K1", with(form, "accept", "bag:"+differs))
	if status != http.StatusSeeOther {
		t.Fatalf("%d %s", status, plainText(said))
	}
	_, said = p.get(to)
	p.wants(plainText(said), "the count is closed")
	if now := p.onHand(differs); now != was-1 {
		t.Errorf("%s: %d before, %d after the count", differs, was, now)
	}
}

func with(form url.Values, name, value string) url.Values { form.Set(name, value); return form }

// onHand is how many the book has of a bag.
func (p *pageWorld) onHand(bag string) int {
	p.t.Helper()
	_, text := p.line("show", "bag:"+bag, "--json")
	m := regexp.MustCompile(`"on_hand":(\d+)`).FindStringSubmatch(text)
	if m == nil {
		p.t.Fatal(text)
	}
	n, err := strconv.Atoi(m[1])
	if err != nil {
		p.t.Fatal(err)
	}
	return n
}

// A camera arrives, waits for a part, gets it and is closed; the job is in hand all the
// way, and put down at the end.
func TestPageArrivalToClosing(t *testing.T) {
	p := servePageOf(t)
	_, ask := p.get("/arrive?model=w1b&number=77&owner=customer+9&fault=counter+stuck")
	form := p.form(ask, "/arrive")
	for name, value := range map[string]string{"model": "w1b", "number": "77", "owner": "customer 9", "fault": "counter stuck", "agreed": "yes", "promised": "2031-09-20", "value": "140.00"} {
		form.Set(name, value)
	}
	status, text, to := p.send("/arrive", form)
	if status != http.StatusSeeOther || !strings.Contains(to, "on=") {
		t.Fatalf("%d %s %s", status, to, plainText(text))
	}
	_, text = p.get(to)
	p.wants(plainText(text), "arrived", "customer 9: counter stuck", "140.00", "2031-09-20")
	job := regexp.MustCompile(`on=([0-9]+)`).FindStringSubmatch(to)[1]
	p.wants(p.sends("/bag/B201?on="+job, "/fit", "n", "1"), "for job "+job)
	_, done := p.get("/done/" + job + "?on=" + job)
	form = p.form(done, "/done/"+job)
	form.Set("state", "ready")
	if status, text, _ := p.send("/done/"+job, form); status == http.StatusSeeOther {
		t.Error("it is closed though nobody said what became of the piece")
	} else {
		p.wants(plainText(text), "say")
	}
	_, done = p.get("/done/" + job + "?on=" + job)
	form = p.form(done, "/done/"+job)
	form.Set("state", "ready")
	form.Set("tested-B201", "tested")
	status, text, to = p.send("/done/"+job, form)
	if status != http.StatusSeeOther || strings.Contains(to, "on=") {
		t.Fatalf("%d %s %s", status, to, plainText(text))
	}
	_, text = p.get(to)
	p.wants(plainText(text), "is ready", "no job in hand")
	// A second one of the same camera is asked about.
	_, again := p.get("/arrive?model=F-L&number=329115&owner=customer+5&fault=x")
	p.wants(plainText(again), "is here already as job 105")
}

// The box leads to what is scanned: a tray takes its job in hand, a bag stands there to
// take from, a digit is how many, anything else is looked for.
func TestPageScans(t *testing.T) {
	p := servePageOf(t)
	for _, test := range []struct{ ask, to string }{
		{"/go?q=J3", "/job/105?on=105"},
		{"/go?q=j3", "/job/105?on=105"},
		{"/go?q=105", "/job/105?on=105"},
		{"/go?q=b283&on=105", "/bag/B283?on=105"},
		{"/go?q=B283&on=105", "/bag/B283?on=105"},
		{"/go?q=2&on=105&bag=B283", "/bag/B283?n=2&on=105"},
		{"/go?q=p1", "/part/P001"},
		{"/go?q=pc3", "/donor/PC-03"},
		{"/go?q=k1", "/place/K1"},
		{"/go?q=w1a", "/model/W1-A"},
		{"/go?q=counter+pawl&on=105", "/find?on=105&q=counter+pawl"},
		{"/go?q=B9999", "/find?q=B9999"},
		{"/go?q=", "/"},
	} {
		r, err := p.client.Get(p.root + test.ask)
		if err != nil {
			t.Fatal(err)
		}
		r.Body.Close()
		if to := r.Header.Get("Location"); to != test.to {
			t.Errorf("%s leads to %q, not %q", test.ask, to, test.to)
		}
	}
	status, text := p.get("/find?q=B9999")
	if status != http.StatusNotFound {
		t.Error(status)
	}
	p.wants(plainText(text), `is called "B9999" here`)
	p.wants(p.sends("/bag/B283?on=105&n=2", "/fit", "n", "2"), "8 -> 6")
}
