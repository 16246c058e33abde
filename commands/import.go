package commands

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"tinful/commands/line"
	"tinful/commands/tell"
	sheet "tinful/import"
	"tinful/store"
	"tinful/store/code"
)

// imported is the answer of import.
type imported struct {
	Plan     map[string]*store.Tally `json:"plan"`
	Changes  []sheet.Change          `json:"changes"`
	Problems []store.Problem         `json:"problems"`
	Applied  bool                    `json:"applied"`
	Ignored  []string                `json:"ignored,omitempty"`
	Notes    []string                `json:"notes,omitempty"`
	KeptOut  []sheet.KeptOut         `json:"kept_out,omitempty"`
	Made     []store.Made            `json:"made,omitempty"`
	Rows     int                     `json:"rows"`
	Cells    int                     `json:"cells"`
	Booking  uint64                  `json:"booking,omitempty"`
	Derived  []sheet.Derived         `json:"derived,omitempty"`
	Cleared  []string                `json:"cleared,omitempty"`
	Gone     []string                `json:"gone,omitempty"`
	missing  map[string][]string     // what is named and not here
	report   sheet.Report
	since    uint64         // bookings since the export
	refused  map[string]int // rows with cells that cannot be read
	unsaid   int            // new bags without a quantity
	Unlisted int            `json:"unlisted,omitempty"` // problems beyond those that are listed
}

func runImport(c *call) error {
	path, err := c.StorePath()
	if err != nil {
		return err
	}
	file, done, err := fileOf(c, c.Args()[0], cmp.Or(c.String("as"), typedName))
	if err != nil {
		return err
	}
	defer done()
	if filepath.Base(file) == typedName+".csv" && !c.IsSet("map") && !c.IsSet("map-file") && !c.Bool("suggest") {
		return fmt.Errorf("%w: %s does not say which sheet it is: --as parts does, or another of %s", store.ErrBadInput, typedName, strings.Join(store.Sheets, ", "))
	}
	if c.Bool("suggest") {
		return suggestMap(c, file)
	}
	if name := c.String("problems"); name != "" {
		if err := sheet.MayWriteProblems(name); err != nil {
			return err
		}
	}
	take := func() (imported, error) { return takeIn(c, path, file, nil) }
	answer, err := onDay(c, take)
	if asksMap(c, file, err) {
		if err := askMap(c, file, err); err != nil {
			return err
		}
		answer, err = onDay(c, take)
	}
	if err == nil && answer.unsaid > 0 && c.env.Terminal {
		answer, err = askUnsaid(c, answer, path, file)
	}
	if err == nil && len(answer.missing) > 0 && !c.IsSet("make") && c.env.Terminal {
		answer, err = askMake(c, answer, path, file)
	}
	if err != nil && file != c.Args()[0] {
		err = typedError{err, file}
	}
	if errors.Is(err, store.ErrBadInput) {
		return refuseFile(c, err)
	}
	if err != nil {
		return err
	}
	if err := writeProblems(c, answer.Problems); err != nil {
		return unwritten(c, err)
	}
	return printImport(c, answer)
}

// askUnsaid asks once for all how many the new bags hold of which the list does not
// say it, and takes the list in with that.
func askUnsaid(c *call, answer imported, path, file string) (imported, error) {
	k, err := c.key(fmt.Sprintf("no quantity stands in %s of new bags: (o)ne each, (a)bout one each, Enter to take none in", tell.Many(answer.unsaid, "row")), "oa\r")
	word := map[byte]string{'o': "each", 'a': "about"}[k]
	if err != nil || word == "" {
		return answer, err
	}
	c.Set("no-quantity", word)
	return takeIn(c, path, file, nil)
}

// askMake asks once for all whether what the list names and is not here is made, and
// takes the list in with that.
func askMake(c *call, answer imported, path, file string) (imported, error) {
	k, err := c.key("not here: "+missingWords(answer.missing)+"; (m)ake them, Enter to go on without", "m\r")
	if err != nil || k != 'm' {
		return answer, err
	}
	c.Set("make", strings.Join(slices.Sorted(maps.Keys(answer.missing)), ","))
	return takeIn(c, path, file, nil)
}

// refuseFile answers for a file that is refused as a whole: in JSON, and in the file of
// problems, what is wrong is its one problem.
func refuseFile(c *call, err error) error {
	text := strings.Replace(err.Error(), store.ErrBadInput.Error()+": ", "", 1)
	answer := imported{Plan: map[string]*store.Tally{}, Changes: []sheet.Change{},
		Problems: []store.Problem{{Sheet: filepath.Base(c.Args()[0]), Problem: text}}}
	for _, name := range store.Sheets {
		answer.Plan[name] = &store.Tally{}
	}
	err = cmp.Or(writeProblems(c, answer.Problems), err)
	if c.JSON() {
		if err := c.PrintJSON(answer); err != nil {
			return err
		}
	}
	return err
}

// An import collects garbage when there is twice as much as is in use, and more often where
// it takes importMemory. Collecting less saves nothing: fresh memory costs as much.
const importGarbage, importMemory = 200, 360 << 20

// takeIn reads a file and takes it into the store at path.
func takeIn(c *call, path, file string, settings map[string]string) (imported, error) {
	defer store.Collect(importGarbage, importMemory)()
	o, err := howToRead(c, path)
	if err != nil {
		return imported{}, err
	}
	p := newProgress(c)
	o.Progress = func(rows int) { p.show("reading row %d", rows) }
	l, problems, report, err := sheet.Read(file, o)
	p.done()
	if err != nil {
		return imported{}, err
	}
	defer l.Close()
	answer := imported{Problems: problems, Ignored: report.Ignored, Notes: report.Notes, Rows: report.Rows, Cells: report.Cells, refused: report.Refused, Unlisted: report.More, KeptOut: report.KeptOut, report: report}
	s, err := store.Open(path)
	if err == nil {
		s.Close()
		return answer, intoStore(c, &answer, path, l)
	}
	if !errors.Is(err, store.ErrNoStore) {
		return answer, err
	}
	if c.Bool("as-count") {
		return answer, whatHelps(err)
	}
	return answer, intoNew(c, &answer, path, l, settings)
}

// parseSize reads a number of bytes: 300000000, 512MiB, 2GB. Nothing is 0.
func parseSize(s string) (int64, error) {
	if s == "" {
		return 0, nil
	}
	number, unit := strings.ToLower(s), int64(1)
	for i, suffix := range []string{"k", "m", "g"} {
		for _, form := range []string{suffix + "ib", suffix + "b", suffix} {
			if rest, ok := strings.CutSuffix(number, form); ok && unit == 1 {
				number, unit = rest, 1<<(10*(i+1))
			}
		}
	}
	n, err := strconv.ParseInt(strings.TrimSpace(number), 10, 64)
	if err != nil || n <= 0 || n > 1<<40/unit {
		return 0, line.Usagef("--max-size %q is no size: write 512MiB or 2GiB", s)
	}
	return n * unit, nil
}

// errStop ends a booking without keeping it.
var errStop = errors.New("nothing is booked")

// intoStore plans and takes in, in one transaction.
func intoStore(c *call, answer *imported, path string, l *store.Load) error {
	dry := c.Bool("dry-run")
	open := store.OpenToBook
	if dry {
		open = store.Open
	}
	s, err := opened(c, path, open)
	if err != nil {
		return err
	}
	defer s.Close()
	h, err := importHead(c, answer, s, l)
	if err != nil {
		return err
	}
	if err := s.View(func(v *store.View) error {
		if stamp := answer.report.Stamp; stamp.Store != "" && stamp.Store == v.Identity() {
			l.Since = stamp.Booking
		}
		return nil
	}); err != nil {
		return err
	}
	if dry {
		return s.View(func(v *store.View) error {
			p, err := answer.plan(v, l, h)
			if err == nil {
				defer p.Close()
			}
			return cmp.Or(err, answer.lost(v, l))
		})
	}
	res, err := s.Book(h, func(t *store.Tx) error {
		p, err := answer.plan(&t.View, l, h)
		if err != nil {
			return err
		}
		defer p.Close()
		if len(answer.Problems) > 0 {
			return cmp.Or(answer.lost(&t.View, l), errStop)
		}
		if err := copyBefore(c, s, &t.View, "import"); err != nil {
			return err
		}
		return cmp.Or(t.TakeIn(p), answer.lost(&t.View, l))
	})
	if errors.Is(err, errStop) {
		return nil
	}
	answer.Applied, answer.Booking, c.made = err == nil, res.Booking.Number, res.Booking.Number
	return err
}

func intoNew(c *call, answer *imported, path string, l *store.Load, settings map[string]string) error {
	h, err := importHead(c, answer, nil, l)
	if err != nil {
		return err
	}
	p, err := answer.plan(nil, l, h)
	if err != nil {
		return err
	}
	defer p.Close()
	if len(answer.Problems) > 0 || answer.Rows == 0 || c.Bool("dry-run") {
		return nil
	}
	if settings == nil && p.Currency != "" {
		settings = map[string]string{store.PaperCurrency: p.Currency}
	}
	show := newProgress(c)
	defer show.done()
	res, err := store.CreateFrom(path, p, settings, func(done, all int) { show.show("writing %d of %d", done, all) })
	answer.Applied, answer.Booking, c.made = err == nil, res.Booking.Number, res.Booking.Number
	if err != nil {
		return err
	}
	return viewOf(path, func(v *store.View) error { return answer.lost(v, l) })
}

// viewOf reads the store at a path that nobody has open here.
func viewOf(path string, read func(*store.View) error) error {
	s, err := store.Open(path)
	if err != nil {
		return err
	}
	defer s.Close()
	return s.View(read)
}

// lost notes what the workbook says and taking it in passes over.
func (a *imported) lost(v *store.View, l *store.Load) error {
	var src sheet.Source
	if stamp := a.report.Stamp; stamp.Store != "" && stamp.Store == v.Identity() && stamp.Booking <= v.LastBooking() {
		pick, err := pickOf(stamp.Chosen)
		if err == nil {
			src, err = source(v, pick)
		}
		if err != nil { // what was chosen is not here any more
			src = nil
		}
	}
	lost, err := a.report.Lost(v, l, src, a.Changes)
	a.Derived, a.Cleared, a.Gone, a.since = lost.Derived, lost.Cleared, lost.Gone, lost.Since
	return err
}

func (a *imported) plan(v *store.View, l *store.Load, h store.Head) (*store.Plan, error) {
	p, err := store.PlanLoad(v, l, h)
	if err != nil {
		return nil, err
	}
	a.Plan, a.Changes, a.Made, a.unsaid = p.Sheets, sheet.Changes(p), p.Made, p.Unsaid
	a.Notes, a.missing = append(a.Notes, p.Said...), p.Missing
	if p.Unsaid > 0 {
		a.Notes = append(a.Notes, "new bags without a quantity are taken in with --no-quantity each as one each, with --no-quantity about as about one")
	}
	a.unread()
	for _, q := range p.Problems {
		q.Problem += tell.Advice(store.Reason{Kind: q.Kind})
		a.Problems = append(a.Problems, q)
	}
	return p, nil
}

// unread counts the rows with cells that could not be read as refused.
func (a *imported) unread() {
	for name, n := range a.refused {
		if t := a.Plan[name]; t != nil {
			t.Refused += n
		}
	}
}

// importHead is the head of an import: its day is never earlier than the last
// day of the workbook. A workbook that takes the book beyond its day and the clock's is
// noted in the answer: a slip in a year does so for good.
func importHead(c *call, answer *imported, s *store.Store, l *store.Load) (store.Head, error) {
	h := store.Head{Day: code.DayOf(c.env.Now()), At: c.env.Now().Unix(), By: c.By(), Command: c.line()}
	if s != nil {
		var err error
		if h, err = c.head(s); err != nil {
			return h, err
		}
	}
	today := max(h.Day, h.Today)
	day, name, cell := l.LastDay()
	if h.Day = max(h.Day, day); h.Day > today {
		answer.Notes = append(answer.Notes, fmt.Sprintf("%s!%s: %s lies beyond today, %s: once it is taken in, the book goes on from that day", name, cell, h.Day, today))
	}
	h.Kind, h.File, h.Hash, h.Today = "import", l.File, l.Hash, h.Day
	return h, nil
}

// rowWord names rows of a sheet: 12 parts, 1 statement.
func rowWord(sheet string, n int) string {
	word, ok := map[string]string{"Goes": "statement", "Seen": "observation", "Moves": "movement", "Old": "old piece",
		"Measured": "reading", "Made": "made bag", "Papers": "paper"}[sheet]
	if !ok {
		word = strings.TrimSuffix(strings.ToLower(sheet), "s")
	}
	return tell.Many(n, word)
}

// A progress is one line on a terminal, after half a second, drawn anew at
// most ten times a second.
type progress struct {
	c     *call
	begun time.Time
	last  time.Time
	drawn bool
}

func newProgress(c *call) *progress { return &progress{c: c, begun: time.Now()} }

func (p *progress) show(format string, values ...any) {
	if p.c.Wide == 0 || p.c.Bool("quiet") {
		return
	}
	now := time.Now()
	if now.Sub(p.begun) < 500*time.Millisecond || now.Sub(p.last) < 100*time.Millisecond {
		return
	}
	p.last, p.drawn = now, true
	fmt.Fprintf(p.c.Err, "\r\x1b[K%s", fmt.Sprintf(format, values...))
}

func (p *progress) done() {
	if p.drawn {
		fmt.Fprint(p.c.Err, "\r\x1b[K")
		p.drawn = false
	}
}
