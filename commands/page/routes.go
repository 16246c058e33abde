package page

import (
	"fmt"
	"net/http"

	"tinful/store"
)

// routes are all screens, and what forms book. A screen has a file of its own, with its
// template in screens.
func routes() []route {
	return []route{
		{pattern: "GET /{$}", show: showToday, line: always("today")},
		{pattern: "GET /go", show: showBox},
		{pattern: "GET /find", show: showHits, line: findLine},
		{pattern: "GET /part/{code}", show: showPart, line: partLine},
		{pattern: "GET /bag/{code}", show: showBag, line: bagLine},
		{pattern: "GET /place/{code}", show: showPlace, line: placeLine},
		{pattern: "GET /donor/{code}", show: showDonor, line: donorLine},
		{pattern: "GET /model/{code}", show: showModel, line: modelLine},
		{pattern: "GET /need/{code}", show: showNeed, line: needLine, writes: true},
		{pattern: "GET /jobs", show: showJobs, line: always("jobs")},
		{pattern: "GET /job/{code}", show: showJob, line: jobLine},
		{pattern: "GET /arrive", show: showArrive},
		{pattern: "GET /done/{code}", show: showDone, line: doneLine, writes: true},
		{pattern: "GET /out", show: showOut, line: always("out")},
		{pattern: "GET /log", show: showLog, line: always("log")},
		{pattern: "POST /fit", book: bookPieces},
		{pattern: "POST /return", book: bookPieces},
		{pattern: "POST /hold", book: bookPieces},
		{pattern: "POST /unhold", book: bookPieces},
		{pattern: "POST /undo", book: bookUndo},
		{pattern: "POST /want", book: bookWant},
		{pattern: "POST /arrive", book: bookArrive},
		{pattern: "POST /done/{code}", book: bookDone},
		{pattern: "/", show: showNowhere},
	}
}

// always is a line that is always the same.
func always(typed ...string) func(*visit) []string { return func(*visit) []string { return typed } }

// showNowhere answers an address that is none.
func showNowhere(v *visit) error {
	if v.r.Method != http.MethodGet && v.r.Method != http.MethodHead {
		return fmt.Errorf("%w: nothing is booked at this address", store.ErrNotFound)
	}
	return store.Absent("this page has no such screen")
}

func showOut(v *visit) error { return v.showLine("out of the house", "out") }
func showLog(v *visit) error { return v.showLine("the book", "log") }

// showLine shows the answer of a line as it is.
func (v *visit) showLine(title string, typed ...string) error {
	v.plain, v.screen, v.Title = typed, "plain", title
	return nil
}
