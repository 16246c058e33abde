package page

import (
	"errors"
	"strings"

	"tinful/commands/scan"
	"tinful/store"
	"tinful/store/ask"
)

// Labels are read from a picture that the device took: the program reads it, so that the
// page needs no camera of its own.

var errManyLabels = errors.New("one picture at a time is read")

// readLabel reads the codes on a picture, and leads to what they stand for.
func readLabel(v *visit) error {
	if v.r.MultipartForm == nil || len(v.r.MultipartForm.File["picture"]) == 0 {
		return errNoPhoto
	}
	files := v.r.MultipartForm.File["picture"]
	if len(files) > 1 {
		return errManyLabels
	}
	b, err := bytesOf(files[0])
	if err != nil {
		return err
	}
	codes, err := scan.Codes(b)
	if err != nil {
		return err
	}
	return v.page.ask(func(view *store.View) error { return v.reads(view, func() { v.to = v.scanned(codes) }) })
}

// scanned is where codes lead: a job or its tray is taken in hand, then what else was
// scanned stands there. Of several things it is asked which.
func (v *visit) scanned(codes []string) string {
	to := ""
	var others []string
	var last store.Ref
	for _, text := range codes {
		ref := look(v.view, text)
		if job := v.jobAt(ref); job != "" {
			v.On, to = job, v.Thing("job", job, "on", string(job))
			continue
		}
		others, last = append(others, text), ref
	}
	switch {
	case len(others) == 1:
		return v.leads(last)
	case len(others) > 1:
		return v.Link("/labels", "q", strings.Join(others, " "))
	}
	return to
}

// showLabels are several things whose labels were on one picture.
func showLabels(v *visit) {
	var list []link
	for _, text := range strings.Fields(v.given("q")) {
		ref := look(v.view, text)
		list = append(list, link{v.leads(ref), string(ref.Code), ask.Title(v.view.View, ref)})
	}
	v.screen, v.Title, v.Body = "labels", "which of them?", list
}

// sentOn is where a form leads that books nothing.
func sentOn(v *visit) (string, error) { return v.to, nil }
