package commands

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"tinful/commands/line"
	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
	"tinful/store/words"
)

func done(c *call) error {
	if c.Bool("tested") && c.Bool("not-tested") {
		return line.Usagef("--tested and --not-tested say two things: write one, and --except for the others")
	}
	if len(c.List("except")) > 0 && !c.Bool("tested") && !c.Bool("not-tested") {
		return line.Usagef("--except goes with --tested or --not-tested")
	}
	state, err := flagWord(c, "state", store.ClosedStates)
	if err != nil {
		return err
	}
	token, err := jobToken(c)
	if err != nil {
		return err
	}
	closing := store.Closing{State: state, KeepHeld: c.Bool("keep-held"), Answers: map[code.Code]store.Answer{}}
	var questions []store.Question
	read := func(l *lookup) { questions = answersByFlag(l, token, &closing) }
	var closed store.Closed
	var f ask.JobFile
	asks := func() error { return askDone(c, questions, closing.Answers) }
	res, err := bookAsked(c, c.env.Terminal, read, asks, func(t *store.Tx) error {
		if closed, err = t.Done(closing); err != nil {
			return err
		}
		f, err = ask.JobFileOf(&t.View, closing.Job)
		return err
	})
	if err != nil {
		return err
	}
	c.keepAnswer(oldLines(f.OldsOpen()))
	answer := catalogueAnswer(res, map[string]any{"job": tell.JobFileAnswer(f), "learnt": tell.LearntAnswers(closed.Learnt)})
	err = c.Answer(answer, func() { tell.Done(c.Screen, res, closed, f) })
	return errors.Join(err, putDown(c, f.Job))
}

// answersByFlag reads the job and the answers that flags give. It returns what no
// flag answers.
func answersByFlag(l *lookup, token string, closing *store.Closing) []store.Question {
	closing.Job = l.code(token, "job")
	all, j := got(l, l.DoneAsks, closing.Job), got(l, l.Job, closing.Job)
	var fitted []store.Piece
	for _, q := range all {
		if q.What == store.AskTested {
			fitted = append(fitted, q.Pieces...)
		}
	}
	testedByFlag(l, j, fitted, closing.Answers)
	wentByFlag(l, j, fitted, closing.Answers)
	return slices.DeleteFunc(all, func(q store.Question) bool {
		if q.What == store.AskWent {
			return l.IsSet("went") || l.Bool("tested") || l.Bool("not-tested")
		}
		_, said := closing.Answers[q.Pieces[0].Bag.Code]
		return j.Closed != 0 || said
	})
}

// testedByFlag reads what flags say of the test.
func testedByFlag(l *lookup, j store.Job, fitted []store.Piece, answers map[code.Code]store.Answer) {
	except, unused := fittedBags(l, j, fitted, "except", l.List("except")), fittedBags(l, j, fitted, "unused", l.List("unused"))
	for _, p := range fitted {
		bag := p.Bag.Code
		switch tested := l.Bool("tested") != slices.Contains(except, bag); {
		case slices.Contains(unused, bag):
			answers[bag] = store.Answer{Unused: true}
		case l.Bool("tested") || l.Bool("not-tested"):
			answers[bag] = store.Answer{Evidence: map[bool]string{true: "run", false: "tried"}[tested]}
		}
	}
}

// wentByFlag reads how pieces went in: PIECE=WORD, and PIECE=rework=WORK.
func wentByFlag(l *lookup, j store.Job, fitted []store.Piece, answers map[code.Code]store.Answer) {
	for _, text := range l.List("went") {
		token, how, ok := strings.Cut(text, "=")
		word, work, _ := strings.Cut(how, "=")
		if !ok || token == "" {
			l.Keep(line.Usagef("--went %s: write a piece and how it went in, b265=direct, b265=looked or b265=rework=\"packed with 0.6\"", text))
		}
		for _, bag := range fittedBags(l, j, fitted, "went", []string{token}) {
			a, tested := answers[bag]
			if !tested {
				l.Keep(line.Usagef("--went goes with --tested or --not-tested"))
			}
			if a.Went, a.Work = strings.ToLower(word), work; a.Went == "rework" {
				a.Work = cmp.Or(work, l.String("work"))
			}
			answers[bag] = a
		}
	}
}

// fittedBags are the bags that a flag names, by their codes or their parts'.
func fittedBags(l *lookup, j store.Job, fitted []store.Piece, flag string, tokens []string) (out []code.Code) {
	for _, token := range tokens {
		ref, n := l.thing(token, "bag", "part"), len(out)
		for _, p := range fitted {
			if ref.Kind == "bag" && p.Bag.Code == ref.Code || ref.Kind == "part" && p.Bag.Part == ref.Code {
				out = append(out, p.Bag.Code)
			}
		}
		if len(out) == n {
			l.Keep(refusef("--%s %s: nothing of it is fitted in job %s", flag, token, j.Code))
		}
	}
	return out
}

// askDone asks on the terminal what no flag answers.
func askDone(c *call, questions []store.Question, answers map[code.Code]store.Answer) error {
	for _, q := range questions {
		if q.What == store.AskWent {
			if err := askWent(c, q, answers); err != nil {
				return err
			}
			continue
		}
		bag := q.Pieces[0].Bag.Code
		k, err := c.key(pieceWords(q.Pieces[0])+": was the camera tested with it? y(es), n(o, only put in), u(nused, goes back):", "ynu")
		if err != nil {
			return err
		}
		a, said := store.AnswerOf(map[byte]string{'y': store.Tested, 'n': store.PutIn, 'u': store.Unused}[k])
		if answers[bag] = a; !said {
			return refusef("nothing is booked: say of %s whether the camera was tested with it, or use --tested or --not-tested", bag)
		}
	}
	return nil
}

// pieceWords is a fitted piece in words: bag, part, and how many.
func pieceWords(p store.Piece) string {
	text := fmt.Sprintf("%s %s", p.Bag.Code, p.Name)
	if p.N != 1 {
		text = fmt.Sprintf("%s %s", store.Amount(p.N, p.Bag.Unit, false), text)
	}
	return text
}

// askWent asks in one question how the pieces went in of which that is not known.
func askWent(c *call, q store.Question, answers map[code.Code]store.Answer) error {
	pieces := slices.DeleteFunc(slices.Clone(q.Pieces), func(p store.Piece) bool { return answers[p.Bag.Code].Unused })
	if len(pieces) == 0 {
		return nil
	}
	var names []string
	for i, p := range pieces {
		names = append(names, fmt.Sprintf("%d %s", i+1, pieceWords(p)))
	}
	text := fmt.Sprintf("nothing was known of how these go in: %s. Did they go straight in? yes, or by number what did not: 1 looked, 1 rework end filed by 0.2; Enter records nothing of them:",
		strings.Join(names, "; "))
	_, err := askFor(c, text, func(answer string) error {
		said, err := wentTyped(answer, len(pieces))
		for i, a := range said {
			bag := pieces[i].Bag.Code
			of := answers[bag]
			of.Went, of.Work = a.Went, a.Work
			answers[bag] = of
		}
		return err
	})
	return err
}

// wentTyped reads the answer about n pieces: yes for all, or by number those that did
// not go straight in, parted by commas.
func wentTyped(answer string, n int) ([]store.Answer, error) {
	out := slices.Repeat([]store.Answer{{Went: "direct"}}, n)
	if word := strings.ToLower(answer); word == "y" || word == "yes" {
		return out, nil
	}
	for _, text := range strings.Split(answer, ",") {
		bits := strings.Fields(text)
		if len(bits) < 2 || !line.IsNumber(bits[0]) {
			return nil, line.Usagef("%q is neither yes nor a number and how it went in: 1 looked, 1 rework end filed", strings.TrimSpace(text))
		}
		i, err := strconv.Atoi(bits[0])
		if err != nil || i < 1 || i > n {
			return nil, line.Usagef("%s is none of the numbers 1 to %d", bits[0], n)
		}
		word, err := words.OneOf("went", store.WentWords, bits[1])
		a := store.Answer{Went: word, Work: strings.Join(bits[2:], " ")}
		switch {
		case err != nil:
			return nil, line.AsUsage(err)
		case a.Went == "rework" && a.Work == "":
			return nil, line.Usagef("what was done to %s? %s rework end filed by 0.2", bits[0], bits[0])
		case a.Went != "rework" && a.Work != "":
			return nil, line.Usagef("%q: only rework says what was done", strings.TrimSpace(text))
		}
		out[i-1] = a
	}
	return out, nil
}

// putDown puts the job in hand down when it is the one that was closed.
func putDown(c *call, j store.Job) error {
	h, err := c.loadHand()
	if err != nil || h.Job != string(j.Code) {
		return err
	}
	h.Job, h.JobDay = "", ""
	if err := c.saveHand(h); err != nil {
		return err
	}
	c.Notef("job %s is put down", j.Code)
	return nil
}
