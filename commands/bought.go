package commands

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"tinful/commands/line"
	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
	"tinful/store/words"
)

// A boughtOne is one camera that was bought, as typed.
type boughtOne struct {
	line        int // of a file, 0 for the command line
	model       string
	price, post *code.Cents
	texts       map[string]string // by pair word
	signs       []string
}

// arrivalWords are the pairs of a boughtOne, price and post aside.
func arrivalWords() []string {
	return []string{"history", "shutter", "shutter-no", "lens", "lens-no", "sign", "why", "from", "owner", "place", "worth", "scale", "told", "note"}
}

// A purchase is what was bought at once.
type purchase struct {
	lot         bool
	price, post code.Cents
	cameras     []boughtOne
	file        bool
}

func bought(c *call) error {
	p, err := readPurchase(c)
	if err != nil {
		return err
	}
	if err := askHistory(c, p); err != nil {
		return err
	}
	var cameras []ask.Came
	res, err := c.books(func(l *lookup, t *store.Tx) { cameras = buy(l, t, p) })
	if err != nil {
		return err
	}
	list := tell.Each(cameras, func(x ask.Came) map[string]any {
		a := donorAnswer(x.Donor, nil, []map[string]any{})
		a["hypotheses"] = append([]ask.Hypothesis{x.Model}, x.Others...)
		if x.Late != "" {
			a["shutter_out_of_step"] = x.Late
		}
		return a
	})
	return c.Answer(catalogueAnswer(res, map[string]any{"donors": list}), func() { tell.Bought(c.Screen, res, p.price, p.post, cameras) })
}

// readPurchase reads the line, and the lines of a lot on standard input.
func readPurchase(c *call) (*purchase, error) {
	args := c.Args()
	if !strings.EqualFold(args[0], "lot") {
		if err := c.Want(3, 5); err != nil {
			return nil, err
		}
		one := boughtOne{model: args[0], texts: map[string]string{"body": args[1]}}
		price, post, rest, err := priceAndPost(args[2:])
		if err == nil && len(rest) > 0 {
			err = line.Usagef("%q is not understood: after the price comes post and its amount, tinful bought w2b 47731 22 post 4", rest[0])
		}
		p := &purchase{price: price, post: post, cameras: []boughtOne{one}}
		if c.IsSet("lot") {
			return nil, line.Usagef("--lot names a lot: tinful bought lot 66 post 12 w2b=47731 w1b=22418")
		}
		return p, err
	}
	price, post, rest, err := priceAndPost(args[1:])
	if err != nil {
		return nil, err
	}
	p := &purchase{lot: true, price: price, post: post}
	if len(rest) == 1 && rest[0] == "-" {
		p.file = true
		text, err := c.typedText()
		if err != nil {
			return p, err
		}
		return p, p.readLines(text)
	}
	for _, arg := range rest {
		model, body, ok := strings.Cut(arg, "=")
		if !ok || model == "" {
			return nil, line.Usagef("%q is no camera of a lot: write model and body number, w2b=47731, or w2b= without one", arg)
		}
		p.cameras = append(p.cameras, boughtOne{model: model, texts: map[string]string{"body": body}})
	}
	if len(p.cameras) == 0 {
		return nil, line.Usagef("which cameras? tinful bought lot 66 post 12 w2b=47731 w1b=22418, or - to read a line each")
	}
	if c.IsSet("donor") {
		return nil, line.Usagef("--donor is for one camera: the codes of a lot are made up")
	}
	return p, nil
}

// priceAndPost reads PRICE [post P] and returns what follows.
func priceAndPost(args []string) (price, post code.Cents, rest []string, err error) {
	if len(args) == 0 {
		return 0, 0, nil, line.Usagef("what was paid? tinful bought w2b 47731 22 post 4")
	}
	if price, err = amount(args[0]); err != nil {
		return 0, 0, nil, err
	}
	if rest = args[1:]; len(rest) > 0 && strings.EqualFold(rest[0], "post") {
		if len(rest) == 1 {
			return 0, 0, nil, line.Usagef("post and then its amount: post 4")
		}
		post, err = amount(rest[1])
		rest = rest[2:]
	}
	return price, post, rest, err
}

// amountOf reads money that is not below zero.
func amount(text string) (code.Cents, error) {
	n, err := code.ParseCents(text)
	if err == nil && n < 0 {
		err = fmt.Errorf("%s is below zero", text)
	}
	return n, line.AsUsage(err)
}

// readLines reads one camera a line.
func (p *purchase) readLines(text string) error {
	var flaws []string
	for i, line := range strings.Split(text, "\n") {
		a, err := readArrival(line)
		if err != nil {
			flaws = append(flaws, fmt.Sprintf("line %d: %v", i+1, err))
		}
		if a != nil {
			a.line = i + 1
			p.cameras = append(p.cameras, *a)
		}
	}
	if len(flaws) > 0 {
		return fmt.Errorf("%s\n%s cannot be read, nothing is booked: %w", strings.Join(flaws, "\n"), tell.Many(len(flaws), "line"), store.ErrBadInput)
	}
	if len(p.cameras) == 0 {
		return fmt.Errorf("no line names a camera: write w2b 47731, one a line: %w", store.ErrBadInput)
	}
	return nil
}

// readArrival reads MODEL BODY-NO and pairs of words, nil for an empty line.
func readArrival(line string) (*boughtOne, error) {
	words, err := fieldsQuoted(line)
	if err != nil || len(words) == 0 {
		return nil, err
	}
	a := &boughtOne{model: words[0], texts: map[string]string{}}
	if words = words[1:]; len(words) > 0 {
		a.texts["body"], words = words[0], words[1:]
	}
	for ; len(words) > 0; words = words[2:] {
		if len(words) == 1 {
			return nil, fmt.Errorf("%s what? words stand in pairs: history failed", words[0])
		}
		if err := a.pair(strings.ToLower(words[0]), words[1]); err != nil {
			return nil, err
		}
	}
	return a, nil
}

func (a *boughtOne) pair(word, text string) error {
	switch at := map[string]**code.Cents{"price": &a.price, "post": &a.post}[word]; {
	case at != nil:
		n, err := amount(text)
		*at = &n
		return err
	case !slices.Contains(arrivalWords(), word):
		return fmt.Errorf("%q is none of the words price, post, %s", word, strings.Join(arrivalWords(), ", "))
	case word == "sign":
		a.signs = append(a.signs, text)
	case a.texts[word] != "":
		return fmt.Errorf("%s is said twice: %s and %s", word, a.texts[word], text)
	default:
		a.texts[word] = text
	}
	return nil
}

// fieldsQuoted cuts a line into words; what stands between double quotes is one,
// and from # to the end is a remark.
func fieldsQuoted(line string) ([]string, error) {
	var out []string
	for line = strings.TrimSpace(line); line != "" && line[0] != '#'; line = strings.TrimSpace(line) {
		if line[0] != '"' {
			n := strings.IndexAny(line, " \t\r")
			if n < 0 {
				n = len(line)
			}
			out, line = append(out, line[:n]), line[n:]
			continue
		}
		text, rest, ok := strings.Cut(line[1:], `"`)
		if !ok {
			return nil, errors.New("a quote is opened and not closed on this line")
		}
		out, line = append(out, text), rest
	}
	return out, nil
}

// text is a pair of a boughtOne, else the flag of that name.
func arrivalText(c *call, a boughtOne, word string) string {
	if text := a.texts[word]; text != "" {
		return text
	}
	return c.String(word)
}

// askHistory asks on the terminal what a camera went through, where nobody said.
func askHistory(c *call, p *purchase) error {
	if !c.env.Terminal || p.file || c.IsSet("history") {
		return nil
	}
	for i, a := range p.cameras {
		q := ask.HistoryAsked(append(c.List("sign"), a.signs...))
		question := fmt.Sprintf("%s %s: (u)nopened, (f)ailed, (m)eddled, (s)erviced [%s]", a.model, a.texts["body"], q.Known)
		k, err := c.key(question, "ufms\r")
		if err != nil {
			return err
		}
		p.cameras[i].texts["history"] = map[byte]string{'u': "unopened", 'f': "failed", 'm': "meddled", 's': "serviced"}[k]
		if k == '\r' || k == 0 {
			p.cameras[i].texts["history"] = q.Known
		}
	}
	return nil
}

// buy books what was bought. What is wrong with lines of a file is returned line
// by line.
func buy(l *lookup, t *store.Tx, p *purchase) (out []ask.Came) {
	in := store.Purchase{Name: l.String("lot"), Lot: p.lot, Price: p.price, Post: p.post}
	var seen []ask.Marks
	flaws := 0
	wrong := func(i int, err error) error {
		n := p.cameras[i].line
		if n == 0 || err == nil {
			return err
		}
		l.Warnf("line %d: %v", n, err)
		flaws++
		return nil
	}
	for i, a := range p.cameras {
		var d store.Donor
		var m ask.Marks
		err := l.over(l.View, func(l *lookup) { d, m = boughtTyped(l, t.Day(), a) })
		if l.Err = wrong(i, err); l.Err != nil {
			return nil
		}
		in.Cameras, seen = append(in.Cameras, store.Purchased{Donor: d, Price: a.price, Post: a.post}), append(seen, m)
	}
	var donors []store.Donor
	if flaws == 0 {
		donors = got(l, t.Purchase, in)
	}
	for i, d := range donors {
		if l.Err == nil {
			seen[i].Self = d.Code
			var x ask.Came
			x, l.Err = ask.CameOf(l.View, d, seen[i])
			out = append(out, x)
		}
	}
	if e, ok := errors.AsType[*store.PurchaseError](l.Err); ok && wrong(e.Nth, e.Err) == nil {
		l.Err = nil
	}
	if flaws > 0 {
		l.Keep(fmt.Errorf("%s cannot be taken in, nothing is booked: %w", tell.Many(flaws, "line"), store.ErrBadInput))
	}
	return out
}

// boughtTyped is a camera as it was typed, with what is seen of it.
func boughtTyped(l *lookup, today code.Day, a boughtOne) (d store.Donor, m ask.Marks) {
	m = marks(l, func(word string) string { return arrivalText(l.call, a, word) })
	m.Number = bodyNo(a.texts["body"])
	if a.model == "?" {
		if l.Err == nil {
			l.Err = openModel(l.View, m)
		}
		return d, m
	}
	d = store.Donor{Model: l.code(a.model, "model"), BodyNo: m.Number, Shutter: m.Shutter, ShutterNo: m.ShutterNo, Lens: m.Lens, LensNo: m.LensNo}
	fillArrival(l, today, a, &d)
	return d, m
}

// bodyNo is a body number as it is kept: none for a camera without one, empty
// where it was not read.
func bodyNo(text string) string {
	if text == "-" || text == "?" {
		return ""
	}
	return strings.TrimSpace(text)
}

// fillArrival reads what else is typed of a camera.
func fillArrival(l *lookup, today code.Day, a boughtOne, d *store.Donor) {
	text := func(word string) string { return arrivalText(l.call, a, word) }
	for word, at := range map[string]*string{"history": &d.History, "why": &d.Why, "from": &d.From, "owner": &d.Owner, "note": &d.Note} {
		*at = got(l, store.CleanText, text(word))
	}
	for _, text := range []string{d.BodyNo, d.ShutterNo, d.LensNo, d.Lot} {
		got(l, store.CleanText, text)
	}
	if d.History != "" && l.Err == nil {
		word, err := words.OneOf("history", store.Histories, d.History)
		d.History, l.Err = word, line.AsUsage(err)
	}
	for _, s := range append(l.List("sign"), a.signs...) {
		if clean := got(l, store.CleanText, s); clean != "" && !slices.Contains(d.Signs, clean) {
			d.Signs = append(d.Signs, clean)
		}
	}
	if text := text("worth"); text != "" {
		n := got(l, amount, text)
		d.Worth = &n
	}
	if text := l.String("bought"); text != "" && l.Err == nil {
		day, err := code.ParseDay(text, today)
		d.Bought, l.Err = day, line.AsUsage(err)
	}
	d.Code = got(l, typedCode, l.String("donor"))
	d.Place = l.code(text("place"), "place")
}

// openModel lists what a camera may be, to choose from.
func openModel(v *store.View, m ask.Marks) error {
	w, err := ask.Which(v, m)
	if err != nil {
		return err
	}
	if len(w.Hypotheses) == 0 {
		return refusef("nothing speaks for any model that is recorded: add the model first, or name it; nothing is booked")
	}
	e := &severalError{text: fmt.Sprintf("which model? %s may do: look at what each is told by, then name it, bought :1; nothing is booked", tell.Many(len(w.Hypotheses), "model"))}
	for _, h := range w.Hypotheses {
		e.rows = append(e.rows, []string{string(h.Model), h.Name, fmt.Sprintf("%d for, %d against", len(h.For), len(h.Against)), h.LookFor})
		e.answer = append(e.answer, "model:"+string(h.Model))
	}
	return e
}
