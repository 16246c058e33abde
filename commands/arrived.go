package commands

import (
	"slices"
	"strings"

	"tinful/commands/line"
	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
	"tinful/store/words"
)

func arrived(c *call) error {
	owner, fault, err := ownerAndFault(c)
	if err != nil {
		return err
	}
	var in store.Arrival
	var questions []store.Question
	read := func(l *lookup) {
		in = arrivalTyped(l, owner, fault)
		questions = got(l, l.ArrivalAsks, in)
	}
	var out store.Arrived
	var f ask.JobFile
	asks := func() error { return askArrival(c, questions, &in.Job) }
	res, err := bookAsked(c, c.env.Terminal, read, asks, func(t *store.Tx) error {
		if out, err = t.Arrive(in); err != nil {
			return err
		}
		f, err = ask.JobFileOf(&t.View, out.Job.Code)
		return err
	})
	if err != nil {
		return err
	}
	tell.TrayNotes(c.Screen, out)
	return c.Answer(catalogueAnswer(res, map[string]any{"job": tell.JobFileAnswer(f)}), func() {
		tell.Arrival(c.Screen, res, f)
	})
}

// arrivalTyped reads the arguments and flags.
func arrivalTyped(l *lookup, owner, fault string) store.Arrival {
	args := l.Args()
	in := store.Arrival{Job: store.Job{BodyNo: args[1], Owner: owner, Fault: fault, Note: l.String("note")}, Anyway: l.Bool("anyway")}
	j := &in.Job
	j.Model = l.code(args[0], "model")
	for _, what := range arrivalFlags {
		if text := l.String(string(what)); text != "" && l.Err == nil {
			l.Err = answerArrival(l.call, l.View, j, what, text)
		}
	}
	if text := l.String("value"); text != "" {
		value, err := code.ParseCents(text)
		if err != nil || value < 0 {
			l.Keep(line.Usagef("--value %s is no amount: write it like 140.00", text))
		}
		j.Value = &value
	}
	if text := l.String("job"); text != "" && l.Err == nil {
		j.Code, l.Err = typedCode(text)
	}
	if named := l.String("tray"); strings.EqualFold(named, "none") {
		in.NoTray = true
	} else {
		j.Tray = l.code(named, "place")
	}
	return in
}

// ownerAndFault reads what follows the body number: the owner in one word or in
// quotes, or the words before the first comma; the rest is the fault.
func ownerAndFault(c *call) (owner, fault string, err error) {
	words := c.Args()[2:]
	owner, fault = words[0], strings.Join(words[1:], " ")
	for i, w := range words {
		if strings.Contains(w, " ") && len(words) > 1 {
			break // it was quoted: a comma in it parts nothing
		}
		if before, after, ok := strings.Cut(w, ","); ok {
			owner = strings.Join(append(slices.Clone(words[:i]), before), " ")
			fault = strings.Join(append([]string{after}, words[i+1:]...), " ")
			break
		}
	}
	owner = strings.TrimSuffix(strings.TrimSpace(owner), ",") // quoted with its comma
	for _, text := range []*string{&owner, &fault} {
		if *text, err = store.CleanText(*text); err != nil {
			return "", "", line.AsUsage(err)
		}
	}
	if fault == "" {
		return "", "", line.Usagef("what is wrong with it? write the fault behind the owner: tinful arrived w1b 22418 customer 1, counter stuck")
	}
	return owner, fault, nil
}

// arrivalFlags are the flags that answer what an arrival asks, by their names.
var arrivalFlags = []store.QuestionKind{store.AskShutter, store.AskLens, store.AskAccessories, store.AskAgreed, store.AskPromised}

// answerArrival reads an answer into the job.
func answerArrival(c *call, v *store.View, j *store.Job, what store.QuestionKind, text string) error {
	text, err := c.answerLine(text)
	if err != nil {
		return err
	}
	return v.AnswerArrival(j, what, text, c.dayNow(v))
}

// askArrival asks for what no flag gives. The store is closed while a question
// waits, and a wrong answer is asked for again.
func askArrival(c *call, questions []store.Question, j *store.Job) error {
	for _, q := range questions {
		if c.IsSet(string(q.What)) {
			continue // be it empty: then it is not known
		}
		_, err := askFor(c, arrivalQuestion(q), func(answer string) error {
			return c.view(func(v *store.View) error { return answerArrival(c, v, j, q.What, answer) })
		})
		if err != nil {
			return err
		}
	}
	return nil
}

// arrivalQuestion is a question in words; what may be meant stands before its end, so
// that it does not read like an answer.
func arrivalQuestion(q store.Question) string {
	text := map[store.QuestionKind]string{
		store.AskShutter: "which shutter does it carry", store.AskLens: "which lens does it carry", store.AskAccessories: "what came with it",
		store.AskAgreed: "are used or made parts agreed to", store.AskPromised: "promised for which day",
	}[q.What]
	if len(q.Words) > 0 {
		text += ", " + words.Or(q.Words)
	}
	return text + "?"
}
