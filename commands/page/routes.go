package page

import (
	"fmt"
	"net/http"
	"strings"

	"tinful/commands/tell"
	"tinful/store"
)

// routes are all screens, and what forms book. A screen has a file of its own, with its
// template in screens.
func routes() []route {
	return []route{
		{pattern: "GET /{$}", show: showToday, line: typed("today")},
		{pattern: "GET /go", show: showBox},
		{pattern: "GET /find", show: showHits, line: findLine},
		{pattern: "GET /part/{code}", show: showPart, line: typed("show part:{code}")},
		{pattern: "GET /bag/{code}", show: showBag, line: typed("show bag:{code}")},
		{pattern: "GET /place/{code}", show: showPlace, line: typed("show place:{code}")},
		{pattern: "GET /donor/{code}", show: showDonor, line: typed("show donor:{code}")},
		{pattern: "GET /model/{code}", show: showModel, line: typed("show model:{code}")},
		{pattern: "GET /need/{code}", show: showNeed, line: needLine, writes: true},
		{pattern: "GET /jobs", show: showJobs, line: typed("jobs")},
		{pattern: "GET /job/{code}", show: showJob, line: typed("job {code}")},
		{pattern: "GET /arrive", show: showArrive},
		{pattern: "GET /done/{code}", show: showDone, line: typed("done {code}"), writes: true},
		{pattern: "GET /out", show: shows("out"), line: typed("out")},
		{pattern: "GET /log", show: shows("log"), line: typed("log")},
		{pattern: "GET /look/{kind}/{code}", show: showLook, line: typed("look {code}")},
		{pattern: "GET /strip/{kind}/{code}", show: showStrip, before: readDraft, line: typed("strip {code}")},
		{pattern: "GET /back/{kind}/{code}", show: showBack, line: typed("show {code} --steps")},
		{pattern: "GET /count/{code}", show: showCount, line: typed("count {code}"), writes: true},
		{pattern: "GET /low", show: showLow, line: typed("low")},
		{pattern: "GET /missing", show: showMissing, line: missingLine},
		{pattern: "GET /donors", show: shows("donors"), line: typed("donors")},
		{pattern: "GET /month", show: showMonth, line: monthShown},
		{pattern: "GET /counts", show: shows("count", "list"), line: typed("count list")},
		{pattern: "GET /pictures/{kind}/{code}", show: showPictures, line: typed("photo {kind}:{code}")},
		{pattern: "GET /picture/{size}/{kind}/{code}/{hash}", serve: servePicture},
		{pattern: "GET /more", show: showMore},
		{pattern: "GET /cut", show: showCut, line: cutShown},
		{pattern: "GET /drawing/{code}", serve: serveSketch},
		{pattern: "GET /paper/{what}/{of...}", serve: servePaper},
		{pattern: "POST /label", book: printLabels},
		{pattern: "GET /labels", show: showLabels},
		{pattern: "POST /scan", before: readLabel, book: sentOn},
		{pattern: "POST /photo/{kind}/{code}", before: keepFiles, book: bookPhotos},
		{pattern: "POST /look/{kind}/{code}", book: bookLook},
		{pattern: "POST /strip/{kind}/{code}", before: keepStepFiles, book: keepStep},
		{pattern: "POST /unstrip/{kind}/{code}", book: unkeepStep},
		{pattern: "POST /stripped/{kind}/{code}", book: bookStrip},
		{pattern: "POST /begin/{code}", book: beginCount},
		{pattern: "POST /count/{code}", book: readCount},
		{pattern: "POST /close/{code}", book: closeCount},
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

// typed is a line in which names in braces stand for what the address has for them.
func typed(line string) func(*visit) []string {
	return func(v *visit) []string { return v.typed(line) }
}

// typed is a line in which names in braces stand for what the address has for them.
func (v *visit) typed(line string) []string {
	return tell.Each(strings.Fields(line), func(word string) string {
		before, name, _ := strings.Cut(strings.TrimSuffix(word, "}"), "{")
		return before + v.r.PathValue(name)
	})
}

// showNowhere answers an address that is none.
func showNowhere(v *visit) {
	if v.r.Method != http.MethodGet && v.r.Method != http.MethodHead {
		v.view.Keep(fmt.Errorf("%w: nothing is booked at this address", store.ErrNotFound))
	}
	v.view.Keep(store.Absent("this page has no such screen"))
}

// shows shows the answer of a line as it is.
func shows(typed ...string) func(*visit) {
	return func(v *visit) { v.plain, v.screen, v.Title = typed, "plain", strings.Join(typed, " ") }
}
