package page

import (
	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
)

// A donePage is the closing of a job with its questions.
type donePage struct {
	Job, Words string
	States     []string
	Tested     []tested
	Held       bool // something is held for it still
}

// A tested is a fitted piece of which is asked what became of it.
type tested struct {
	piece
	Answers []string
	Went    []string // and how it went in, nil where that is known
}

func showDone(v *visit) {
	v.mayBook()
	ref := v.thing("job")
	f, questions := asked(v, ask.JobFileOf, ref.Code), found(v, v.view.DoneAsks, ref.Code)
	out := donePage{Job: string(f.Job.Code), Words: f.Job.Words(), States: store.ClosedStates}
	for _, p := range f.Pieces {
		out.Held = out.Held || p.Held
	}
	at := map[code.Code]int{}
	for _, q := range questions {
		for _, p := range q.Pieces {
			switch q.What {
			case store.AskTested:
				at[p.Bag.Code] = len(out.Tested)
				out.Tested = append(out.Tested, tested{piece: piece{string(p.Bag.Code), p.Name, store.Amount(p.N, p.Bag.Unit, false), v.Thing("bag", p.Bag.Code), p.N}, Answers: q.Words})
			case store.AskWent:
				if i, known := at[p.Bag.Code]; known {
					out.Tested[i].Went = store.WentWords
				}
			}
		}
	}
	v.screen, v.Title, v.Body = "done", "job "+out.Job+" is done", out
}

// bookDone closes a job with the answers of its form.
func bookDone(v *visit) (string, error) {
	job := v.r.PathValue("code")
	var closed store.Closed
	res, err := v.book([]string{"done", job}, func(l *store.Lookup, t *store.Tx) {
		ref := look(l, job, "job")
		k := store.Closing{Job: ref.Code, State: v.given("state"), KeepHeld: v.given("keep") == "yes", Answers: map[code.Code]store.Answer{}}
		for _, q := range store.Got(l, t.DoneAsks, ref.Code) {
			for _, p := range q.Pieces {
				a := k.Answers[p.Bag.Code]
				if q.What == store.AskTested {
					a, _ = store.AnswerOf(v.given("tested-" + string(p.Bag.Code))) // Done refuses a piece without an answer
				} else if !a.Unused {
					a.Went, a.Work = v.given("went-"+string(p.Bag.Code)), v.given("work-"+string(p.Bag.Code))
				}
				if k.Answers[p.Bag.Code] = a; a == (store.Answer{}) {
					delete(k.Answers, p.Bag.Code)
				}
			}
		}
		closed = store.Got(l, t.Done, k)
	})
	if err != nil {
		return "", err
	}
	v.page.said.keep(res, append([]string{tell.ClosedHead(closed.Job)}, tell.ClosedWords(closed)...)...)
	if v.On == closed.Job.Code {
		v.On = "" // it is put down
	}
	return v.after("/job/"+job, res), nil
}
