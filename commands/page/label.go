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
	return v.page.ask(func(view *store.View) error {
		v.view = view
		defer func() { v.view = nil }()
		v.to, err = v.scanned(codes)
		return err
	})
}

// scanned is where codes lead: a job or its tray is taken in hand, then what else was
// scanned stands there. Of several things it is asked which.
func (v *visit) scanned(codes []string) (string, error) {
	to := ""
	var others []string
	for _, text := range codes {
		ref, err := v.view.Thing(text)
		if err != nil {
			return "", err
		}
		if job := v.jobAt(ref); job != "" {
			v.On, to = job, v.Thing("job", job, "on", string(job))
			continue
		}
		others = append(others, text)
	}
	switch {
	case len(others) == 1:
		ref, err := v.view.Thing(others[0])
		return v.leads(ref), err
	case len(others) > 1:
		return v.Link("/labels", "q", strings.Join(others, " ")), nil
	}
	return to, nil
}

// showLabels are several things whose labels were on one picture.
func showLabels(v *visit) error {
	var list []link
	for _, text := range strings.Fields(v.given("q")) {
		ref, err := v.view.Thing(text)
		if err != nil {
			return err
		}
		list = append(list, link{v.leads(ref), string(ref.Code), ask.Title(v.view, ref)})
	}
	v.screen, v.Title, v.Body = "labels", "which of them?", list
	return nil
}

// sentOn is where a form leads that books nothing.
func sentOn(v *visit) (string, error) { return v.to, nil }
