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
	"tinful/store/odds"
	"tinful/store/words"
)

// An intake is what the cameras of open jobs, and of those that are likely to come
// while another piece is looked for, may lack of a part.
type intake struct {
	lacking []code.Code // jobs whose camera was seen to lack it
	crowds  []odds.Crowd
	of      []kind // of each crowd
	counts  []odds.Counts
}

// house is how many cameras in the house nobody looked at for it.
func (i *intake) house() (n int64) {
	for _, c := range i.crowds {
		n += c.House
	}
	return n
}

// more is the chance that more cameras lack the part than are free.
func (i *intake) more(free int64) float64 {
	return odds.MoreLack(i.crowds, int64(len(i.lacking)), free)
}

// mayBe says, without reckoning much, that more may be at least likely: by Markov's
// inequality.
func (i *intake) mayBe(free int64) bool {
	mean := float64(len(i.lacking))
	for _, c := range i.crowds {
		mean += c.Mean()
	}
	return mean >= likely*float64(free+1)
}

// inHouse is the intake without what is still to come.
func (i *intake) inHouse() *intake {
	out := &intake{lacking: i.lacking}
	for _, c := range i.crowds {
		c.Came = 0
		out.crowds = append(out.crowds, c)
	}
	return out
}

// likely is the chance from which a part is listed for what cameras may lack: more
// likely than not.
const likely = 0.5

// reasons says what cameras may lack, and how likely that is more than is free.
func (i *intake) reasons(free int64) (out []store.Reason) {
	if n := len(i.lacking); n > 0 {
		text := fmt.Sprintf("%s in the house seen to lack it (job %s).", several(n, "camera"), words.List(i.lacking, ", "))
		out = append(out, store.Reason{Kind: SeenLacking, Codes: i.lacking, Text: text})
	}
	if len(i.crowds) > 0 {
		out = append(out, store.Reason{Kind: MayLack, Text: i.say(free)})
	}
	return out
}

func (i *intake) say(free int64) string {
	basis, coming := odds.Guess, 0.0
	for _, c := range i.crowds {
		house := c
		house.Came = 0
		coming += (c.Mean() - house.Mean()) / c.Plan.Mean()
		basis = min(basis, c.Plan.Basis)
	}
	in := []string{}
	if n := i.house(); n > 0 {
		in = append(in, fmt.Sprintf("%d in the house not looked at (%s)", n, i.sayKinds()))
	}
	if coming >= 0.05 {
		in = append(in, fmt.Sprintf("about %.1f more to come before another is found", coming))
	}
	who := strings.Join(in, ", ")
	need := "at least one is needed"
	if free > 0 {
		need = fmt.Sprintf("more than the %d free are needed", free)
	}
	by := i.sayCounts()
	if rests := basis.Rests(); rests != "" && !strings.HasPrefix(by, "over all") {
		by += "; " + rests
	}
	return fmt.Sprintf("%s: %s that %s (%s).", strings.ToUpper(who[:1])+who[1:], odds.Percent(i.more(free)), need, by)
}

// sayKinds names the cameras in the house that nobody looked at.
func (i *intake) sayKinds() string {
	var models []string
	taken := false
	for k, c := range i.crowds {
		if c.House == 0 {
			continue
		}
		if of := i.of[k]; of.taken {
			models, taken = append(models, string(of.model)), true
		} else {
			models = append(models, string(of.model)+" "+of.history)
		}
	}
	if taken {
		return strings.Join(models, ", ") + "; taken for failed where nobody said"
	}
	return strings.Join(models, ", ")
}

// sayCounts is the counts behind the chances, by history: over all models where fewer
// than three bodies of a model and its sisters were looked at.
func (i *intake) sayCounts() string {
	said := map[string]string{}
	var order []string
	for k, c := range i.counts {
		h := i.of[k].history
		near := c.Own.Add(c.Sisters)
		text := fmt.Sprintf("%d of %d %s lacked it", near.Missing, near.Looked, odds.Bodies(h))
		if !near.Enough() && c.Others.Looked > 0 {
			all := near.Add(c.Others)
			text = fmt.Sprintf("over all models %d of %d %s lacked it", all.Missing, all.Looked, odds.Bodies(h))
		}
		switch was, ok := said[h]; {
		case !ok:
			said[h], order = text, append(order, h)
		case !strings.HasPrefix(was, "over all"):
			said[h] = text
		}
	}
	var out []string
	for _, h := range order {
		out = append(out, said[h])
	}
	return strings.Join(out, ", ")
}

// A kind is the cameras of one model that went through the same.
type kind struct {
	group
	taken bool // nobody said what they went through
}

// order puts kinds in order.
func (k kind) order(other kind) int {
	return cmp.Or(cmp.Compare(k.model, other.model), cmp.Compare(k.history, other.history), cmp.Compare(fmt.Sprint(k.taken), fmt.Sprint(other.taken)))
}

// kindOf is the kind of a job's camera: what comes for repair was used until it
// failed, unless the job says otherwise.
func kindOf(j store.Job) kind {
	return kind{group{j.Model, cmp.Or(j.History, "failed")}, j.History == ""}
}

// jobs works out what the cameras of open jobs may lack, and those that are likely
// to come. What was seen on a job's camera is no matter of chance.
func (l *lower) jobs() {
	open, came := map[kind][]store.Job{}, map[kind]int64{}
	for j := range each(l.v, l.v.EachOpenJob) {
		if j.Model != "" {
			open[kindOf(j)] = append(open[kindOf(j)], j)
			came[kindOf(j)] += 0 // also one from before the book began
		}
	}
	for j := range each(l.v, l.v.EachJob) {
		if j.Model != "" && j.Opened >= l.begun {
			came[kindOf(j)]++
		}
	}
	o := l.looks
	o.all()
	for _, k := range slices.SortedFunc(maps.Keys(came), kind.order) {
		l.jobsOf(o, k, open[k], came[k])
	}
}

// jobsOf adds the cameras of one kind: those of open jobs, and as many as came in
// the years of the book. A part counts that belongs into the model, or was looked
// for on it or its sisters, and was missing somewhere from a body of its history.
func (l *lower) jobsOf(o *looking, k kind, jobs []store.Job, came int64) {
	if _, err := l.v.Within(store.Camera{Model: k.model}); errors.Is(err, store.ErrNotFound) {
		return // a camera of a model that is not recorded
	}
	into := l.into(k.model, func(degrees []string) bool { return store.Goes{Degrees: degrees}.Belongs() })
	settled := map[code.Code]int64{} // jobs that have the part, or whose camera was looked at
	for _, j := range jobs {
		l.settled(j, settled)
	}
	for _, part := range slices.Sorted(maps.Keys(o.of)) {
		if !l.asked(part) {
			continue
		}
		c := o.counts(part, k.group)
		n := int64(len(jobs)) - settled[part]
		near := c.Own.Add(c.Sisters)
		if near.Missing+c.Others.Missing == 0 || near.Looked == 0 && !into[part] || n == 0 && came == 0 {
			continue
		}
		i := l.intakeOf(part)
		i.crowds = append(i.crowds, odds.Crowd{Plan: odds.Planned(c), House: n, Came: came, Years: l.years(), Wait: l.wait(part)})
		i.of, i.counts = append(i.of, k), append(i.counts, c)
	}
}

func (l *lower) intakeOf(part code.Code) *intake {
	i := l.intake[part]
	if i == nil {
		i = &intake{}
		l.intake[part] = i
	}
	return i
}

// wait is how many years pass until another piece is found; 0 where the book is
// younger, for it says nothing then about what comes meanwhile.
func (l *lower) wait(part code.Code) float64 {
	p, err := l.v.Part(part)
	if wait := weeksToFind(p) / 52; err == nil && l.years() >= wait {
		return wait
	}
	return 0 // or seen before it was catalogued
}

// weeksToFind is how long finding another takes.
func weeksToFind(p store.Part) float64 { return float64(cmp.Or(p.Weeks, usualWeeks)) }

// settled counts the parts that a job needs no chance for: what it was given, and
// what its camera was looked at for. What was seen missing is lacking for certain.
func (l *lower) settled(j store.Job, n map[code.Code]int64) {
	has := l.hasBy(j)
	for _, s := range got(l.v, l.v.SeenOnJob, j.Code) {
		if s.Seen == "missing" && !has[s.Part] && l.asked(s.Part) {
			i := l.intakeOf(s.Part)
			i.lacking = append(i.lacking, j.Code)
		}
		has[s.Part] = true
	}
	for part := range has {
		n[part]++
	}
}

// hasBy are the parts that were fitted in a job or are held for it.
func (l *lower) hasBy(j store.Job) set {
	has := set{}
	for _, c := range l.v.BagsFor(j.Code) {
		b, err := l.v.Bag(c)
		if err != nil {
			continue // its booking in was taken back
		}
		if s := l.v.state(c); s.HeldForJob(j.Code)+s.FittedInJob(j.Code) > 0 {
			has[b.Part] = true
		}
	}
	return has
}
