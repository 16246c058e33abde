package store

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"tinful/store/code"
	"tinful/store/words"
)

// A Take is what a person asked for: pieces of one bag, and what goes with
// them. Each operation below turns it into entries, or refuses it.
type Take struct {
	Bag    code.Code
	N      int64
	Job    code.Code
	To     string
	Why    string
	Amount code.Cents
	Due    code.Day // when what is lent should be back
	Check  []string // words that must be the part's
	Anyway bool
	Unsure bool
}

// A Refusal is a sentence that says which rule a change would break. It has a kind
// where something can be done about it. Its Unwrap returns [ErrRefused].
type Refusal struct{ Reason }

// Error is the text of the reason.
func (r *Refusal) Error() string { return r.Text }

// Unwrap returns [ErrRefused].
func (r *Refusal) Unwrap() error { return ErrRefused }

func (r *Refusal) of(codes ...code.Code) *Refusal {
	r.Codes = codes
	return r
}

func refuse(format string, args ...any) error { return refuseAs("", format, args...) }

func refuseAs(kind ReasonKind, format string, args ...any) *Refusal {
	return &Refusal{Say(kind, format, args...)}
}

// Kinds of refusals that something can be done about.
const (
	JobClosed    ReasonKind = "job-closed"    // nothing is booked to the job any more
	JobDone      ReasonKind = "job-done"      // the job cannot be closed again
	HereAlready  ReasonKind = "here-already"  // an open job has the camera
	ToldApart    ReasonKind = "told-apart"    // two parts that would become one differ
	Untold       ReasonKind = "untold"        // nobody spoke of pieces that are fitted
	Stated       ReasonKind = "stated"        // how the part goes into the model is stated
	NoPrice      ReasonKind = "no-price"      // what a donor cost is not noted
	ThereAlready ReasonKind = "there-already" // there is a thing of that kind and code
	NeverStated  ReasonKind = "never-stated"  // it is stated that the part does not go in
	NeverFollows ReasonKind = "never-follows" // it follows that the part does not go in
	ReadsLike    ReasonKind = "reads-like"    // said of a new code: one that is there reads much the same
	NoJob        ReasonKind = "no-job"        // the job is not said
	NoWhy        ReasonKind = "no-why"        // the reason is not said
	NoBorrower   ReasonKind = "no-borrower"   // it is not said to whom
	NotInto      ReasonKind = "not-into"      // the part does not go into the camera
	WornGrade    ReasonKind = "worn-grade"    // pieces of that grade are not used
	Recounted    ReasonKind = "recounted"     // a list has another quantity of a bag than was booked in
	Relisted     ReasonKind = "relisted"      // a list has another place of it
	Regraded     ReasonKind = "regraded"      // a list has another grade of it
	ByItself     ReasonKind = "by-itself"     // a list has a part that is here as a second name
	NotCounted   ReasonKind = "not-counted"   // a list that is a count has a bag that is not here
	UndoneFirst  ReasonKind = "undone-first"  // a later booking stands on it; the code is that booking's number
	StandsThere  ReasonKind = "stands-there"  // a store is where a backup would go
	NoneInHouse  ReasonKind = "none-in-house" // there are no pieces of the part; the code is the part's
)

// whatFor reads the bag of a take and checks the words that came with it.
func (t *Tx) whatFor(k Take) (b Bag, p Part, st State, err error) {
	if b, st, err = t.BagState(k.Bag); err == nil && b.Part != "" {
		p, err = t.Part(b.Part)
	}
	if err == nil {
		err = CheckWords(b.Code, p, k.Check)
	}
	return b, p, st, err
}

// CheckWords refuses words that are not the part's: its name, its other
// names, its class.
func CheckWords(bag code.Code, p Part, check []string) error {
	if len(check) == 0 {
		return nil
	}
	have := map[string]bool{}
	for _, text := range append([]string{p.Name, string(p.Code), p.Class, words.ClassName(p.Class)}, p.Aliases...) {
		for _, w := range words.Tokens(text) {
			have[w] = true
		}
	}
	for _, w := range words.Tokens(strings.Join(check, " ")) {
		if !have[w] {
			return refuse("%s is %s, not %q; nothing is booked", bag, or(p.Called(), "of no known part"), strings.Join(check, " "))
		}
	}
	return nil
}

// jobFor reads the job of a take and refuses a closed one.
func (t *Tx) jobFor(k Take) (Job, error) {
	if k.Job == "" {
		return Job{}, refuseAs(NoJob, "for which job?")
	}
	j, err := t.Job(k.Job)
	if err != nil {
		return j, err
	}
	if k.Anyway {
		return j, nil
	}
	return j, j.TakesPieces()
}

// goesIn refuses what must not go into the job's camera.
func (t *Tx) goesIn(k Take, b Bag, p Part, j Job) error {
	if b.Part == "" {
		return refuse("%s has no part: nobody knows what is in it", b.Code)
	}
	err := t.MayGo(p, j)
	if k.Anyway && errors.Is(err, ErrRefused) {
		if k.Why == "" {
			return refuseAs(NoWhy, "what a rule is against needs a reason")
		}
		return nil
	}
	return err
}

// MayGo refuses a part that must not go into a job's camera: the one place
// where that is decided for a booking.
func (v *View) MayGo(p Part, j Job) error {
	verdicts, err := v.Verdicts(p, j.Camera())
	if err != nil {
		return err
	}
	if len(verdicts) == 0 || slices.ContainsFunc(verdicts, func(d Verdict) bool { return !d.Never() }) {
		return nil
	}
	instead := ""
	for _, c := range append(v.TwinsOf(p.Code), nonEmpty(p.Twin)...) {
		if other, err := v.stated(c, j.Camera(), v.GoesOn); err == nil && slices.ContainsFunc(other, Verdict.Usable) {
			instead = fmt.Sprintf("; %s is the one that does", c)
			break
		}
	}
	return refuseAs(NotInto, "%s %s does not go into %s (job %s): %s%s",
		p.Code, p.Name, j.Model, j.Code, verdicts[0].Words(), instead)
}

// enough refuses more than there is to take, and names other bags that would do.
func (v *View) enough(n int64, b Bag, st State, have int64) error {
	if n > have {
		err := error(&ShortError{Bag: b.Code, What: Fitted, Have: have, Want: n, About: st.About, Unit: b.Unit})
		switch alone, together := v.others(b, have, n); {
		case len(alone) > 0:
			return fmt.Errorf("%w; these would do: %s", err, strings.Join(alone, ", "))
		case len(together) > 0:
			return fmt.Errorf("%w; together with it these would do: %s", err, strings.Join(together, ", "))
		}
		return err
	}
	return nil
}

// others names the bags of the part that would do: those that hold enough by
// themselves, else, the largest first, those that do together with what b can give.
func (v *View) others(b Bag, have, n int64) (alone, together []string) {
	if b.Part == "" {
		return nil, nil
	}
	var all []State
	for _, c := range v.BagsOf(b.Part) {
		o, st, err := v.BagState(c)
		if c == b.Code || err != nil || st.Free() <= 0 || v.MayTake(o, st, Use{}) != nil {
			continue
		}
		all = append(all, st)
		if st.Free() >= n {
			alone = append(alone, freeWords(o, st))
		}
	}
	slices.SortStableFunc(all, func(x, y State) int { return cmp.Compare(y.Free(), x.Free()) })
	for _, st := range all {
		if have >= n {
			break
		}
		have += st.Free()
		together = append(together, freeWords(b, st))
	}
	if have < n {
		together = nil
	}
	return alone, together
}

// freeWords is a bag in words: B288 (2 free, ready, in N2).
func freeWords(b Bag, st State) string {
	return fmt.Sprintf("%s (%s free, %s, in %s)", st.Bag, Amount(st.Free(), b.Unit, st.About), st.Grade, st.Place)
}

func positive(n int64) error {
	if n <= 0 {
		return refuse("%d is no number of pieces to book", n)
	}
	return nil
}

// Fit books pieces into a job's camera. What is held for the same job is
// unheld first, in the same booking.
func (t *Tx) Fit(k Take) error {
	b, p, st, err := t.whatFor(k)
	if err != nil {
		return err
	}
	j, err := t.jobFor(k)
	if err := errors.Join(err, positive(k.N)); err != nil {
		return err
	}
	use := Use{What: Fitted, Owner: j.Owner, Job: j.Code, N: k.N, Worn: k.Anyway}
	if err := cmp.Or(t.goesIn(k, b, p, j), t.MayTake(b, st, use)); err != nil {
		return err
	}
	if held := min(st.HeldForJob(j.Code), k.N); held > 0 {
		if err := t.Enter(Entry{What: Unheld, Bag: b.Code, Quantity: held, Job: j.Code}); err != nil {
			return err
		}
	}
	return t.Enter(Entry{What: Fitted, Bag: b.Code, Quantity: k.N, Job: j.Code, Why: k.Why, Unsure: k.Unsure})
}

// Hold sets pieces aside for a job.
func (t *Tx) Hold(k Take) error {
	b, p, st, err := t.whatFor(k)
	if err != nil {
		return err
	}
	j, err := t.jobFor(k)
	if err := cmp.Or(err, positive(k.N)); err != nil {
		return err
	}
	if !b.Ours() {
		return refuse("%s belongs to %s: it is taken for a job of the same owner, held for none", b.Code, b.Owner)
	}
	if err := cmp.Or(t.goesIn(k, b, p, j), t.MayTake(b, st, Use{What: Held, N: k.N, Worn: k.Anyway})); err != nil {
		return err
	}
	return t.Enter(Entry{What: Held, Bag: b.Code, Quantity: k.N, Job: j.Code, Why: k.Why, Unsure: k.Unsure})
}

// Unhold gives back what is held: for the job named, else for the only one.
// N of 0 gives back all of it.
func (t *Tx) Unhold(k Take) error {
	b, _, st, err := t.whatFor(k)
	if err != nil {
		return err
	}
	who, err := onlyOne(st.HeldFor, string(k.Job), b.Code, Held)
	if err != nil {
		return err
	}
	n := k.N
	if n == 0 {
		n = owed(st.HeldFor, who)
	}
	return cmp.Or(positive(n), t.Enter(Entry{What: Unheld, Bag: b.Code, Quantity: n, Job: code.Code(who), Why: k.Why}))
}

// An OwedError says that pieces of a bag stand with several jobs or borrowers and one
// must be named. Its Unwrap returns [ErrSeveral].
type OwedError struct {
	Bag  code.Code
	What What // Held, Lent or Fitted
	Who  []string
}

// Unwrap returns [ErrSeveral].
func (e *OwedError) Unwrap() error { return ErrSeveral }

// Error names them.
func (e *OwedError) Error() string {
	return fmt.Sprintf("%v: %s is %s %s; say which", ErrSeveral, e.Bag, owedTo(e.What), words.And(e.Who))
}

// owedTo says in words with whom pieces stand.
func owedTo(what What) string {
	switch what {
	case Held:
		return "held for"
	case Lent:
		return "lent to"
	case Fitted:
		return "fitted in job"
	}
	return ""
}

// onlyOne picks who pieces are with: the one named, else the only one.
func onlyOne(list []Owed, named string, bag code.Code, what What) (string, error) {
	switch {
	case named != "" && owed(list, named) > 0:
		return named, nil
	case named != "":
		return "", refuse("nothing of %s is %s %s", bag, owedTo(what), named)
	case len(list) == 1:
		return list[0].Who, nil
	case len(list) == 0:
		return "", refuse("nothing of %s is %s", bag, strings.TrimSuffix(strings.TrimSuffix(owedTo(what), " job"), " to"))
	}
	e := &OwedError{Bag: bag, What: what}
	for _, o := range list {
		e.Who = append(e.Who, o.Who)
	}
	return "", e
}

// Return takes back what was fitted in a job or, without one, what was lent.
func (t *Tx) Return(k Take) error {
	b, _, st, err := t.whatFor(k)
	if err != nil {
		return err
	}
	if k.Job == "" && len(st.LentTo) > 0 {
		who, err := onlyOne(st.LentTo, k.To, b.Code, Lent)
		if err != nil {
			return err
		}
		n := k.N
		if n == 0 {
			n = owed(st.LentTo, who)
		}
		return cmp.Or(positive(n), t.Enter(Entry{What: Returned, Bag: b.Code, Quantity: n, To: who, Why: k.Why, Unsure: k.Unsure}))
	}
	job, err := onlyOne(st.FittedIn, string(k.Job), b.Code, Fitted)
	if err != nil {
		return err
	}
	n := k.N
	if n == 0 {
		n = 1
		if b.Unit == "mm" {
			n = owed(st.FittedIn, job)
		}
	}
	return cmp.Or(positive(n), t.Enter(Entry{What: Returned, Bag: b.Code, Quantity: n, Job: code.Code(job), Why: k.Why, Unsure: k.Unsure}))
}

// Lend gives pieces to another bench; they stay owned and are not free.
func (t *Tx) Lend(k Take) error {
	b, _, st, err := t.whatFor(k)
	if err != nil {
		return err
	}
	if k.To == "" {
		return refuseAs(NoBorrower, "to whom?")
	}
	if err := cmp.Or(positive(k.N), t.MayTake(b, st, Use{N: k.N, Worn: true})); err != nil {
		return err
	}
	return t.Enter(Entry{What: Lent, Bag: b.Code, Quantity: k.N, To: k.To, Why: k.Why, Due: k.Due, Unsure: k.Unsure})
}

// MadeNotOriginal begins the Why of what was made here and sold: it is never sold
// as original.
const MadeNotOriginal = "made, not original"

// Away books pieces that leave for good: Lost, Scrapped or Sold.
func (t *Tx) Away(what What, k Take) error {
	b, _, st, err := t.whatFor(k)
	if err != nil {
		return err
	}
	if what == Scrapped && k.Why == "" {
		return refuseAs(NoWhy, "scrapping needs a reason")
	}
	if err := cmp.Or(positive(k.N), t.MayTake(b, st, Use{N: k.N, Worn: true})); err != nil {
		return err
	}
	if what == Sold {
		if err := t.complete(k, b); err != nil {
			return err
		}
	}
	if what == Sold && b.Origin == "made" {
		k.Why = strings.TrimSuffix(MadeNotOriginal+"; "+k.Why, "; ")
	}
	return t.Enter(Entry{What: what, Bag: b.Code, Quantity: k.N, To: k.To, Why: k.Why, Amount: k.Amount, Unsure: k.Unsure})
}

// Back books pieces that turned up again.
func (t *Tx) Back(k Take) error {
	b, _, _, err := t.whatFor(k)
	if err != nil {
		return err
	}
	return cmp.Or(positive(k.N), t.Enter(Entry{What: Found, Bag: b.Code, Quantity: k.N, Why: k.Why, Unsure: k.Unsure}))
}

// Move puts a bag into another place.
func (t *Tx) Move(k Take) error {
	b, _, st, err := t.whatFor(k)
	if err != nil {
		return err
	}
	to, err := t.Place(code.Code(k.To))
	if err != nil {
		return err
	}
	if st.Place == to.Code {
		return refuse("%s lies in %s already", b.Code, to.Code)
	}
	return t.Enter(Entry{What: Moved, Bag: b.Code, Quantity: st.OnHand(), To: string(to.Code), Why: k.Why})
}

// Regrade changes the grade of a bag, for a reason.
func (t *Tx) Regrade(k Take) error {
	b, _, st, err := t.whatFor(k)
	switch {
	case err != nil:
		return err
	case !slices.Contains(Grades, k.To):
		return Misread("%v", words.NotOneOf("grade", Grades, k.To))
	case k.Why == "":
		return refuseAs(NoWhy, "a grade changes for a reason")
	case st.Grade == k.To:
		return refuse("%s is graded %s already", b.Code, k.To)
	}
	return t.Enter(Entry{What: Graded, Bag: b.Code, Quantity: st.OnHand(), To: k.To, Why: k.Why})
}

// SplitBag takes pieces out of a bag into a new one of the same part, origin,
// grade and owner, and returns its code.
func (t *Tx) SplitBag(k Take, place code.Code) (code.Code, error) {
	b, _, st, err := t.whatFor(k)
	if err != nil {
		return "", err
	}
	if err := cmp.Or(positive(k.N), t.enough(k.N, b, st, st.Free())); err != nil {
		return "", err
	}
	n := inherit(b, st, "")
	if place != "" {
		n.Place = place
	}
	to, err := t.newBag(n)
	if err != nil {
		return "", err
	}
	return to, t.Enter(Entry{What: Split, Bag: b.Code, Quantity: k.N, About: st.About, To: string(to), Why: k.Why})
}

// inherit is the record of a bag made by a split: it has nothing booked in.
func inherit(b Bag, st State, to code.Code) Bag {
	return Bag{Code: to, Part: b.Part, Origin: b.Origin, Unit: b.Unit, Grade: st.Grade, Looks: b.Looks, Place: st.Place, Owner: b.Owner,
		Split: b.Code, Material: b.Material, Pattern: b.Pattern, Dims: maps.Clone(b.Dims), Runs: b.Runs, Flaws: slices.Clone(b.Flaws),
		Stretch: b.Stretch, Whole: b.Whole, Cut: b.Cut}
}

// JoinBags puts all that is free in one bag into another of the same part.
func (t *Tx) JoinBags(k Take) error {
	b, _, st, err := t.whatFor(k)
	if err != nil {
		return err
	}
	to, err := t.Bag(code.Code(k.To))
	if err != nil {
		return err
	}
	switch {
	case b.Code == to.Code:
		return refuse("%s cannot be joined with itself", b.Code)
	case b.Part != to.Part:
		return refuse("%s holds %s and %s holds %s: other parts are not joined", b.Code, or(string(b.Part), "no known part"), to.Code, or(string(to.Part), "no known part"))
	case b.Owner != to.Owner:
		return refuse("%s belongs to %s and %s to %s", b.Code, b.Owner, to.Code, to.Owner)
	case st.Held() > 0 || st.Lent() > 0:
		return refuse("%s has pieces held or lent; settle them first", b.Code)
	case st.OnHand() <= 0:
		return refuse("%s is empty", b.Code)
	}
	if err := t.Enter(Entry{What: Joined, Bag: b.Code, Quantity: st.OnHand(), About: st.About, To: string(to.Code), Why: k.Why}); err != nil {
		return err
	}
	return t.mixed(&to, b.Origin)
}

// mixed notes in a bag that pieces of another origin came into it.
func (t *Tx) mixed(b *Bag, origin string) error {
	if b.Origin == origin {
		return nil
	}
	b.Origin = "several"
	return t.Put(*b)
}

// newBag writes the record of a new bag and returns its code; one that is empty is
// made up.
func (t *Tx) newBag(b Bag) (c code.Code, err error) {
	if b.Code == "" {
		if b.Code, err = t.NextCode("bag"); err != nil {
			return "", err
		}
	}
	if _, err := t.Bag(b.Code); err == nil {
		return "", refuse("bag %s is there already", b.Code)
	}
	b.Booked = t.head.Day
	return b.Code, cmp.Or(t.Put(b), t.Used("bag", b.Code))
}

// Gives refuses a parts camera that nothing may be taken from: an uncollected
// repair.
func (d Donor) Gives() error {
	return untouched(d.Code, "is", d.Owner)
}

// PutIn books a new bag in. A code that is empty is made up; the code is
// returned. Its texts are cleaned. It refuses what [Donor.Gives] refuses.
func (t *Tx) PutIn(b Bag) (code.Code, error) {
	if err := cleanTexts(&b.Looks, &b.Owner, &b.Number, &b.GoesWith, &b.Note); err != nil {
		return "", err
	}
	if d, err := t.Donor(code.Code(b.Origin)); err == nil {
		if err := d.Gives(); err != nil {
			return "", err
		}
	}
	b.Owner, b.Unit = or(b.Owner, Own), or(b.Unit, "pc")
	c, err := t.newBag(b)
	if err != nil {
		return "", err
	}
	return c, t.Enter(Entry{What: In, Bag: c, Quantity: b.Quantity, About: b.About, First: true})
}

// PutMore books more pieces into a bag that is there.
func (t *Tx) PutMore(bag code.Code, q code.Qty, why string) error {
	if _, err := t.Bag(bag); err != nil {
		return err
	}
	return cmp.Or(positive(q.N), t.Enter(Entry{What: In, Bag: bag, Quantity: q.N, About: q.About, Why: why}))
}

// SortOut takes pieces out of an unsorted bag, now that their part is known: b
// says which part and how many, and where they go. They go into the bag named,
// else into a new one, whose code is returned. What is left behind stays about
// where it was.
func (t *Tx) SortOut(from code.Code, b Bag, into code.Code) (code.Code, error) {
	k := Take{Bag: from, N: b.Quantity}
	src, _, st, err := t.whatFor(k)
	if err != nil {
		return "", err
	}
	switch {
	case src.Part == b.Part:
		return "", refuse("%s holds %s already: split takes pieces out of it, move puts it elsewhere", from, b.Part)
	case src.Part != "":
		return "", refuse("%s holds %s, and this is %s: count it again before you say what is in it", from, src.Part, b.Part)
	}
	if err := cmp.Or(positive(k.N), t.MayTake(src, st, Use{N: k.N, Worn: true})); err != nil {
		return "", err
	}
	e := Entry{What: Joined, Bag: from, Quantity: b.Quantity, About: b.About, To: string(into)}
	if into == "" {
		b.Split, b.Quantity, b.About = from, 0, false
		b.Origin, b.Owner, b.Unit = or(b.Origin, src.Origin), or(b.Owner, src.Owner), or(b.Unit, src.Unit)
		if into, err = t.newBag(b); err != nil {
			return "", err
		}
		e.What, e.To = Split, string(into)
	}
	return into, t.Enter(e)
}
