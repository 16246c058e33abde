package ask

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/reorder"
)

// A LowQuery asks what runs short.
type LowQuery struct {
	Place code.Code // only parts that have a bag there
	Model code.Code // only parts that go into it or into what it may carry
	Today code.Day
	// Detail is how many lines are told whole, the worst ones: the book of a part is
	// read for these alone. 0 is all.
	Detail int
}

// A LowAnswer is the answer of [Low].
type LowAnswer struct {
	Low   []LowLine `json:"low"`
	Short int       `json:"short_parts"` // lines that have less than to keep
	// Only says that there are so many of these that nothing else was looked for.
	Only bool `json:"-"`
}

// A LowLine is a part that runs short, or is likely to.
type LowLine struct {
	Part    code.Code `json:"part"`
	Name    string    `json:"name"`
	Free    int64     `json:"free"`
	Keep    *int64    `json:"keep,omitempty"`
	BuyWhen *int64    `json:"buy_when,omitempty"` // look for the next when so many are left; nil is not known
	Risk    *float64  `json:"risk,omitempty"`
	Held    int64     `json:"held"`
	Wants   int64     `json:"wants"` // open ones
	Short   bool      `json:"short"` // less free than to keep
	Why     []string  `json:"why"`

	Whole bool `json:"-"` // BuyWhen, Risk and Why are told
}

const (
	lasting    = 0.95 // the chance with which a part should last until another is found
	usualWeeks = 26   // to find another, where the part says nothing

	// Parts that are used and not below their number are looked for among the latest
	// entries of the book: a bench of one has written them within years.
	latest = 4096
)

// Low lists what runs short, worst first: parts with less free than to keep, in
// order of the share that is left; then parts that somebody asked for in vain, that
// are likely to run out before another is found, or that the cameras of open jobs
// are likely to lack, in order of that risk. Where the first fill all lines that are
// told whole, the others are not looked for: a list of thousands costs one scan.
func Low(v *store.View, q LowQuery) (LowAnswer, error) {
	l := &lower{v: v, q: q, begun: v.FirstDay(), wanted: map[code.Code]int64{}, intake: map[code.Code]*intake{},
		out: LowAnswer{Low: []LowLine{}}}
	for _, step := range []func() error{l.scope, l.short} {
		if err := step(); err != nil {
			return l.out, err
		}
	}
	steps := []func() error{l.jobs, l.others, l.tell}
	if !l.whole(l.out.Short) {
		l.out.Only, steps = true, []func() error{l.tell}
	}
	for _, step := range steps {
		if err := step(); err != nil {
			return l.out, err
		}
	}
	return l.out, nil
}

// Nudges are the lines of [Low] of some parts that were just taken from: those that
// have less than to keep, or are likely to run out before another is found. What
// the cameras of jobs may lack is left out: that takes reading all jobs.
func Nudges(v *store.View, parts []code.Code, today code.Day) ([]LowLine, error) {
	l := &lower{v: v, q: LowQuery{Today: today}, begun: v.FirstDay(), wanted: map[code.Code]int64{}, intake: map[code.Code]*intake{}}
	for _, part := range parts {
		l.wanted[part] = v.OpenWants(part)
		line, ok, err := l.nudge(part)
		if err != nil {
			return nil, err
		}
		if ok {
			l.out.Low = append(l.out.Low, line)
		}
	}
	return l.out.Low, l.tell()
}

// nudge is the line of one part, false where nothing is to be said.
func (l *lower) nudge(part code.Code) (LowLine, bool, error) {
	p, err := l.v.Part(part)
	if err != nil {
		return LowLine{}, false, err
	}
	f, err := l.v.Figure(part)
	if err != nil {
		return LowLine{}, false, err
	}
	if p.Keep == nil || f.Free() >= *p.Keep {
		return l.other(part, true)
	}
	return LowLine{Part: p.Code, Name: p.Name, Free: f.Free(), Keep: p.Keep, Held: f.Held, Wants: l.wanted[part], Short: true}, true, nil
}

type lower struct {
	v      *store.View
	q      LowQuery
	begun  code.Day
	only   set // nil: every part
	wanted map[code.Code]int64
	intake map[code.Code]*intake
	out    LowAnswer
}

// whole says whether line i is told whole.
func (l *lower) whole(i int) bool { return l.q.Detail <= 0 || i < l.q.Detail }

// scope reads which parts are asked for, and the open wants.
func (l *lower) scope() error {
	l.v.EachOpenWant(func(part code.Code) { l.wanted[part]++ })
	if l.q.Model != "" {
		all, err := within(l.v, store.Camera{Model: l.q.Model})
		if err != nil {
			return err
		}
		l.only = set{}
		for _, m := range all {
			l.v.GoesInto(m, func(part code.Code, degrees []string) error {
				if d := (store.Verdict{Degrees: degrees}); d.Usable() {
					l.only[part] = true
				}
				return nil
			})
		}
	}
	if l.q.Place == "" {
		return nil
	}
	there := set{}
	for _, c := range l.v.BagsAt(l.q.Place) {
		b, err := l.v.Bag(c)
		if err != nil {
			return err
		}
		there[b.Part] = l.only == nil || l.only[b.Part]
	}
	l.only = there
	return nil
}

func (l *lower) asked(part code.Code) bool { return l.only == nil || l.only[part] }

// short reads the list of what is below to keep, worst first. It may have thousands
// of lines, so they are put in order by small keys and made once.
func (l *lower) short() error {
	type key struct {
		left    float32 // share of what to keep
		lacking int32
		at      int32
	}
	n := l.v.ShortParts()
	lines, keys, keeps := make([]LowLine, 0, n), make([]key, 0, n), make([]int64, 0, n)
	err := l.v.Short(func(part code.Code, name string, free, keep, held int64) error {
		if l.asked(part) {
			keys = append(keys, key{float32(free) / float32(keep), int32(keep - free), int32(len(keys))})
			keeps = append(keeps, keep)
			lines = append(lines, LowLine{Part: part, Name: name, Free: free, Held: held, Wants: l.wanted[part], Short: true})
		}
		return nil
	})
	// They were read in order of codes, so that at decides last.
	slices.SortFunc(keys, func(a, b key) int {
		switch {
		case a.left != b.left:
			return cmp.Compare(a.left, b.left)
		case a.lacking != b.lacking:
			return cmp.Compare(b.lacking, a.lacking)
		}
		return cmp.Compare(a.at, b.at)
	})
	l.out.Low, l.out.Short = make([]LowLine, len(lines)), len(lines)
	for i, k := range keys {
		l.out.Low[i] = lines[k.at]
		l.out.Low[i].Keep = &keeps[k.at]
	}
	return err
}

// others adds what is not below to keep and likely to be missed all the same.
func (l *lower) others() error {
	listed := set{}
	for _, line := range l.out.Low {
		listed[line.Part] = true
	}
	candidates := map[code.Code]bool{} // true: used lately
	for part := range l.wanted {
		candidates[part] = false
	}
	for part := range l.intake {
		candidates[part] = false
	}
	if err := l.used(candidates); err != nil {
		return err
	}
	var more []LowLine
	for part, used := range candidates {
		if listed[part] || !l.asked(part) {
			continue
		}
		line, ok, err := l.other(part, used)
		if err != nil {
			return err
		}
		if ok {
			more = append(more, line)
		}
	}
	slices.SortFunc(more, func(a, b LowLine) int {
		return cmp.Or(cmp.Compare(b.risk(), a.risk()), cmp.Compare(a.Free, b.Free), cmp.Compare(a.Part, b.Part))
	})
	l.out.Low = append(l.out.Low, more...)
	return nil
}

func (a LowLine) risk() float64 {
	if a.Risk == nil {
		return -1
	}
	return *a.Risk
}

// used adds the parts that were fitted lately.
func (l *lower) used(candidates map[code.Code]bool) error {
	bags := map[code.Code]bool{}
	return l.v.LatestEntries(latest, func(e store.Entry) error {
		if e.What != store.Fitted || bags[e.Bag] {
			return nil
		}
		bags[e.Bag] = true
		b, err := l.v.Bag(e.Bag)
		if err != nil || b.Part == "" {
			return nil // its booking in was taken back, or it is unsorted
		}
		candidates[b.Part] = true
		return nil
	})
}

// other makes the line of a part that is not below to keep, and says whether it
// belongs into the list: more is asked for in vain than is free, the cameras of open
// jobs will lack more, or it is used and its risk is too high.
func (l *lower) other(part code.Code, used bool) (LowLine, bool, error) {
	f, err := l.v.Figure(part)
	if err != nil {
		return LowLine{}, false, err
	}
	coming := l.intake[part]
	lacks := coming != nil && coming.all() >= 0.5 && coming.all() > float64(f.Free())
	vain := l.wanted[part] > f.Free()
	if !vain && !lacks && (!used || l.lasts(f)) {
		return LowLine{}, false, nil
	}
	p, err := l.v.Part(part)
	if err != nil {
		return LowLine{}, false, err
	}
	line := LowLine{Part: p.Code, Name: p.Name, Free: f.Free(), Keep: p.Keep, Held: f.Held, Wants: l.wanted[part]}
	u, err := l.use(p, f, line.Wants)
	if err != nil {
		return line, false, err
	}
	l.risk(&line, l.demand(p, u))
	return line, vain || lacks || line.risk() > 1-lasting, nil
}

// lasts says, from the figure alone, that a part lasts: even if every piece had gone
// into a job of its own, and with a margin for jobs that took several.
func (l *lower) lasts(f store.Figure) bool {
	d := reorder.Demand{Jobs: f.Fitted, Years: l.years(), Wait: 1}
	return f.Fitted == 0 || d.Years > 0 && d.Risk(f.Free()) < (1-lasting)/5
}

// years is how long the book has been kept.
func (l *lower) years() float64 {
	if l.begun == 0 {
		return 0
	}
	return float64(l.q.Today-l.begun) / 365.25
}

// tell tells the worst lines whole.
func (l *lower) tell() error {
	for i := range l.out.Low {
		if !l.whole(i) {
			break
		}
		if err := l.told(&l.out.Low[i]); err != nil {
			return err
		}
	}
	return nil
}

// told fills in risk, when to look for the next, and the reasons.
func (l *lower) told(line *LowLine) error {
	p, err := l.v.Part(line.Part)
	if err != nil {
		return err
	}
	f, err := l.v.Figure(line.Part)
	if err != nil {
		return err
	}
	u, err := l.use(p, f, line.Wants)
	if err != nil {
		return err
	}
	line.Whole = true
	line.Why = []string{fmt.Sprintf("%s free.", amountOr(line.Free))}
	if line.Keep != nil {
		line.Why = []string{fmt.Sprintf("%s free, keep %d.", amountOr(line.Free), *line.Keep)}
	}
	for _, h := range u.held {
		line.Why = append(line.Why, fmt.Sprintf("%d held for job %s.", h.N, h.Who))
	}
	if len(u.wants) > 0 {
		line.Why = append(line.Why, sayWants(u.wants))
	}
	d := l.demand(p, u)
	l.risk(line, d)
	if line.Risk == nil {
		line.Why = append(line.Why, "The book is too young to say how likely it runs out.")
	} else {
		line.Why = append(line.Why, d.Say(line.Free, lasting))
	}
	if err := l.dying(line, &u); err != nil {
		return err
	}
	if c := l.intake[p.Code]; c != nil {
		line.Why = append(line.Why, c.say())
	}
	return nil
}

// dying adds that a part is hardly asked for any more.
func (l *lower) dying(line *LowLine, u *use) error {
	if err := l.dates(u); err != nil {
		return err
	}
	if then, now, dying := reorder.Dying(l.months(*u)); dying {
		line.Why = append(line.Why, reorder.SayDying(int64(months(u.last(), l.q.Today)), then, now))
	}
	return nil
}

func amountOr(n int64) string {
	if n == 0 {
		return "None"
	}
	return fmt.Sprint(n)
}

// demand is what the book says was wanted of a part.
func (l *lower) demand(p store.Part, u use) reorder.Demand {
	return reorder.Demand{Jobs: int64(len(u.jobs) + u.unmet), Unmet: int64(u.unmet), Held: u.heldPieces(), Years: l.years(),
		Wait: weeksToFind(p) / 52, Sizes: sizes(u.jobs)}
}

// risk says how likely the part runs out before another is found. A book younger
// than that wait says nothing about it: then the number to keep stands for it.
func (l *lower) risk(line *LowLine, d reorder.Demand) {
	if d.Years < d.Wait {
		line.BuyWhen = line.Keep
		return
	}
	risk, level := d.Risk(max(0, line.Free)), d.Level(lasting)
	line.Risk, line.BuyWhen = &risk, &level
}

// sizes is how many jobs took how many pieces.
func sizes(jobs map[string]int64) []reorder.Size {
	n := map[int64]int64{}
	for _, pieces := range jobs {
		n[pieces]++
	}
	out := make([]reorder.Size, 0, len(n))
	for pieces, jobs := range n {
		out = append(out, reorder.Size{Pieces: pieces, Jobs: jobs})
	}
	slices.SortFunc(out, func(a, b reorder.Size) int { return cmp.Compare(a.Pieces, b.Pieces) })
	return out
}

// sayWants says when and for what a part was asked for in vain, the latest three.
func sayWants(wants []store.Want) string {
	var said []string
	for _, w := range wants[max(0, len(wants)-3):] {
		s := w.Date.String()
		if w.Model != "" {
			s += " for " + string(w.Model)
		}
		if w.Job != "" {
			s += " (job " + string(w.Job) + ")"
		}
		said = append(said, s)
	}
	return "Asked for in vain on " + strings.Join(said, ", ") + "."
}

// An intake is what the cameras of open jobs, and of those that are likely to come
// while another piece is looked for, will lack of a part.
type intake struct {
	jobs   int      // open ones that may lack it
	looked int      // of these, seen to lack it
	of     []string // their models, and histories where somebody said them
	taken  int      // nobody said what they went through
	sum    float64  // parts that will be lacking
	coming float64  // and of cameras that are still to come
	why    string
}

func (i *intake) all() float64 { return i.sum + i.coming }

func (i *intake) say() string {
	var said []string
	if i.jobs > 0 {
		what := map[bool]string{true: "open job", false: "open jobs"}[i.jobs == 1]
		said = append(said, fmt.Sprintf("%d %s (%s)%s: about %.1f will lack it.", i.jobs, what, strings.Join(i.of, ", "), i.sayTaken(), i.sum))
	}
	if i.looked > 0 {
		said = append(said, fmt.Sprintf("%d of these seen to lack it.", i.looked))
	}
	if i.coming >= 0.05 {
		said = append(said, fmt.Sprintf("Of the cameras likely to come before another is found about %.1f will lack it.", i.coming))
	}
	if i.why != "" {
		said = append(said, i.why)
	}
	return strings.Join(said, " ")
}

func (i *intake) sayTaken() string {
	switch i.taken {
	case 0:
		return ""
	case i.jobs:
		return ", taken for failed bodies"
	}
	return fmt.Sprintf(", %d of them taken for failed bodies", i.taken)
}

// A kind is the cameras of one model that went through the same.
type kind struct {
	model   code.Code
	history string
	taken   bool // nobody said what they went through
}

func (k kind) words() string {
	if k.taken {
		return string(k.model)
	}
	return string(k.model) + " " + k.history
}

// kindOf is the kind of a job's camera: what comes for repair was used until it
// failed, unless the job says otherwise.
func kindOf(j store.Job) kind { return kind{j.Model, cmp.Or(j.History, "failed"), j.History == ""} }

// jobs works out what the cameras of open jobs will lack, and those that are likely
// to come: the chance that a body of the model and history lacks the part, where
// that can be said. What was seen on a job's camera is no matter of chance.
func (l *lower) jobs() error {
	open, came := map[kind][]store.Job{}, map[kind]int{}
	err := l.v.EachOpenJob(func(j store.Job) error {
		if j.Model != "" {
			open[kindOf(j)] = append(open[kindOf(j)], j)
		}
		return nil
	})
	if err != nil {
		return err
	}
	err = l.v.EachJob(func(j store.Job) error {
		if j.Model != "" && j.Opened >= l.begun {
			came[kindOf(j)]++
		}
		return nil
	})
	if err != nil {
		return err
	}
	for k := range open {
		came[k] += 0 // an open job from before the book began
	}
	kinds := slices.SortedFunc(maps.Keys(came), func(a, b kind) int { return cmp.Compare(a.words(), b.words()) })
	for _, k := range kinds {
		if err := l.jobsOf(k, open[k], came[k]); err != nil {
			return err
		}
	}
	return nil
}

// jobsOf adds what the cameras of one kind will lack: of open jobs, and of as many
// as came in the years of the book.
func (l *lower) jobsOf(k kind, jobs []store.Job, came int) error {
	rows, err := lackedIn(l.v, k.model, k.history)
	if errors.Is(err, store.ErrNotFound) {
		return nil // a camera of a model that is not recorded
	}
	if err != nil {
		return err
	}
	settled := map[code.Code]int{} // jobs that have the part, or whose camera was looked at
	for _, j := range jobs {
		if err := l.settled(j, k, settled); err != nil {
			return err
		}
	}
	for _, r := range rows {
		n := len(jobs) - settled[r.Part]
		if !r.Says() || !l.asked(r.Part) || n == 0 && came == 0 {
			continue
		}
		coming, err := l.coming(r.Part, came)
		if err != nil {
			return err
		}
		i := l.intakeOf(r.Part)
		i.add(k, n, float64(n)*r.Plan.Mid)
		i.coming += coming * r.Plan.Mid
		i.why = cmp.Or(i.why, r.Why)
	}
	return nil
}

func (l *lower) intakeOf(part code.Code) *intake {
	i := l.intake[part]
	if i == nil {
		i = &intake{}
		l.intake[part] = i
	}
	return i
}

func (i *intake) add(k kind, jobs int, sum float64) {
	i.jobs, i.sum = i.jobs+jobs, i.sum+sum
	if k.taken {
		i.taken += jobs
	}
	if jobs > 0 && !slices.Contains(i.of, k.words()) {
		i.of = append(i.of, k.words())
	}
}

// coming is how many cameras of a kind come while another piece is looked for, at
// the rate of so many since the book began; none where the book is younger than
// that wait.
func (l *lower) coming(part code.Code, came int) (float64, error) {
	p, err := l.v.Part(part)
	if err != nil {
		return 0, nil // seen before it was catalogued
	}
	wait := weeksToFind(p) / 52
	if l.years() < wait {
		return 0, nil
	}
	return float64(came) / l.years() * wait, nil
}

// weeksToFind is how long finding another takes.
func weeksToFind(p store.Part) float64 { return float64(cmp.Or(p.Weeks, usualWeeks)) }

// settled counts the parts that a job needs no chance for: what it was given, and
// what its camera was looked at for. What was seen missing is lacking for certain.
func (l *lower) settled(j store.Job, k kind, n map[code.Code]int) error {
	has := map[code.Code]int{}
	if err := l.hasBy(j, has); err != nil {
		return err
	}
	seen, err := l.v.SeenOnJob(j.Code)
	if err != nil {
		return err
	}
	for _, s := range seen {
		if s.Seen == "missing" && has[s.Part] == 0 && l.asked(s.Part) {
			i := l.intakeOf(s.Part)
			i.looked++
			i.add(k, 1, 1)
		}
		has[s.Part] = 1
	}
	for part := range has {
		n[part]++
	}
	return nil
}

// hasBy counts the parts that were fitted in a job or are held for it.
func (l *lower) hasBy(j store.Job, has map[code.Code]int) error {
	mine := set{}
	for _, c := range l.v.BagsFor(j.Code) {
		b, err := l.v.Bag(c)
		if err != nil {
			continue // its booking in was taken back
		}
		s, err := l.v.State(c)
		if err != nil {
			return err
		}
		mine[b.Part] = mine[b.Part] || s.HeldForJob(j.Code)+s.FittedInJob(j.Code) > 0
	}
	for part, yes := range mine {
		if yes {
			has[part]++
		}
	}
	return nil
}
