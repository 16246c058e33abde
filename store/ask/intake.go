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
	met     map[int64]float64 // what more has said
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
	p, ok := i.met[free]
	if !ok {
		p = odds.MoreLack(i.crowds, int64(len(i.lacking)), free)
		if i.met == nil {
			i.met = map[int64]float64{}
		}
		i.met[free] = p
	}
	return p
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

// A flow is the cameras of one kind: those of open jobs, and how many came in the years of
// the book.
type flow struct {
	kind
	open, came int64
	settled    map[code.Code]int64 // open jobs that have the part, or whose camera was looked at for it
}

// Flows are all flows in order of kinds, and which of them a part may concern, by their
// places in the list.
type flows struct {
	list    []flow
	into    map[code.Code][]int32     // of cameras that are a model, carry or may carry it
	of      map[group][]int32         // of a model and history
	family  map[familyKey][]int32     // of sisters and a history
	lacking map[code.Code][]code.Code // jobs whose camera was seen to lack a part: no matter of chance
}

// jobs reads the cameras of open jobs, and how many came, which is what is likely to come.
func (l *lower) jobs() {
	open, came := map[kind][]store.Job{}, map[kind]int64{}
	for j := range each(l.v, l.v.EachOpenJob) {
		if j.Model != "" {
			open[kindOf(j)] = append(open[kindOf(j)], j)
			came[kindOf(j)] += 0 // also one from before the book began
		}
	}
	for j := range each(l.v, l.v.EachJobSketch) {
		if j.Model != "" && j.Opened >= l.begun {
			came[kindOf(j)]++
		}
	}
	l.flows = flows{into: map[code.Code][]int32{}, of: map[group][]int32{}, family: map[familyKey][]int32{}, lacking: map[code.Code][]code.Code{}}
	for _, k := range slices.SortedFunc(maps.Keys(came), kind.order) {
		within, err := l.v.Within(store.Camera{Model: k.model})
		if errors.Is(err, store.ErrNotFound) {
			continue // a camera of a model that is not recorded
		}
		l.v.keep(err)
		l.flow(k, within, open[k], came[k])
	}
}

// flow adds the cameras of one kind.
func (l *lower) flow(k kind, within []code.Code, jobs []store.Job, came int64) {
	all, n := &l.flows, int32(len(l.flows.list))
	f := flow{k, int64(len(jobs)), came, map[code.Code]int64{}}
	for _, j := range jobs {
		l.settled(j, f.settled)
	}
	all.list = append(all.list, f)
	all.of[k.group] = append(all.of[k.group], n)
	for _, m := range within {
		all.into[m] = append(all.into[m], n)
	}
	if family := l.looks.kinOf(k.model).family; family != "" {
		key := familyKey{family, k.history}
		all.family[key] = append(all.family[key], n)
	}
}

// concerned are the flows that a part may concern, in order: those into whose cameras it
// belongs, and all, with those on whose cameras or their sisters it was looked for.
func (l *lower) concerned(part code.Code, seen *looks) (into, all []int32) {
	for _, g := range l.looks.belonging(part) {
		into = append(into, l.flows.into[g.Model]...)
	}
	slices.Sort(into)
	all = slices.Clone(into)
	for _, x := range seen.by {
		all = append(all, l.flows.of[x.key]...)
	}
	for _, x := range seen.family {
		all = append(all, l.flows.family[x.key]...)
	}
	slices.Sort(all)
	return into, slices.Compact(all)
}

// An intakeOf is the intake of a part, nil for none.
type intakeOf struct {
	part code.Code
	is   *intake
}

// intake is what cameras may lack of a part, nil for nothing. Where jobs were not read, it
// is nothing.
func (l *lower) intake(part code.Code) *intake {
	if len(l.flows.list) == 0 {
		return nil
	}
	if l.last.part != part {
		l.last = intakeOf{part, nil}
		if i := l.lackedBy(part); len(i.lacking)+len(i.crowds) > 0 {
			l.last.is = i
		}
	}
	return l.last.is
}

// lackedBy works out what cameras of each flow may lack of a part. It counts where it was
// missing somewhere from a body of the history.
func (l *lower) lackedBy(part code.Code) *intake {
	o, i := l.looks, &intake{lacking: l.flows.lacking[part]}
	seen := o.read(part)
	if !seen.missing() {
		return i
	}
	wait := l.wait(part)
	into, all := l.concerned(part, seen)
	for _, n := range all {
		f := &l.flows.list[n]
		c, house := o.counts(part, f.group), f.open-f.settled[part]
		near := c.Own.Add(c.Sisters)
		_, belongs := slices.BinarySearch(into, n)
		if near.Missing+c.Others.Missing == 0 || near.Looked == 0 && !belongs || house == 0 && f.came == 0 {
			continue
		}
		i.crowds = append(i.crowds, odds.Crowd{Plan: odds.Planned(c), House: house, Came: f.came, Years: l.years(), Wait: wait})
		i.of, i.counts = append(i.of, f.kind), append(i.counts, c)
	}
	return i
}

// missing says whether the part was missing anywhere.
func (l *looks) missing() bool {
	for _, x := range l.by {
		if len(x.value.lacking) > 0 {
			return true
		}
	}
	return false
}

// forget lets go of what was read of a part.
func (l *lower) forget(part code.Code) {
	l.looks.forget(part)
	l.last = intakeOf{}
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
			l.flows.lacking[s.Part] = append(l.flows.lacking[s.Part], j.Code)
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
