package page

import (
	"fmt"
	"strconv"
	"strings"

	"tinful/store"
	"tinful/store/code"
)

// The bookings of pieces: a form becomes the request of a verb.

// bookings are those that a form may ask of a bag, by where it goes.
var bookings = map[string]store.What{"/fit": store.Fitted, "/hold": store.Held, "/return": store.Returned, "/unhold": store.Unheld}

// bookPieces books pieces of a bag for a job: the one in hand, else the one that the form
// names, which is in hand then.
func bookPieces(v *visit) (string, error) {
	path := v.r.URL.Path
	if job := v.given("job"); job != "" {
		v.On = code.Code(job)
	}
	it := store.Item{Token: v.given("piece"), Qty: v.given("n")}
	typed := []string{strings.TrimPrefix(path, "/"), strings.TrimPrefix(it.Token, "bag:")}
	if it.Qty != "" {
		typed = append(typed, it.Qty)
	}
	if v.On != "" {
		typed = append(typed, "--job", string(v.On))
	}
	r := store.Request{What: bookings[path], Items: []store.Item{it}, Why: v.given("why"), Anyway: v.given("anyway") == "yes", Job: string(v.On)}
	if r.Anyway {
		typed = append(typed, "--anyway", "--why", r.Why)
	}
	res, err := v.book(typed, func(l *store.Lookup, t *store.Tx) {
		if r.Job != "" {
			if ref := look(l, r.Job, "job"); l.Err == nil {
				r.Job, v.On = string(ref.Code), ref.Code
			}
		}
		if l.Err == nil {
			l.Err = t.Pieces(r)
		}
	})
	return v.after(v.given("back"), res), err
}

// bookUndo takes a booking back.
func bookUndo(v *visit) (string, error) {
	n, err := strconv.ParseUint(v.given("n"), 10, 64)
	if err != nil || n == 0 {
		return "", fmt.Errorf("%w: which booking?", store.ErrUsage)
	}
	res, was, err := v.page.bench.Undo(n)
	if err != nil {
		return "", err
	}
	v.page.said.keep(res, fmt.Sprintf("booking %d (%s) is taken back", was.Number, was.Command))
	return v.after(v.given("back"), res), nil
}
