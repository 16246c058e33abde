package page

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
	"tinful/store/notes"
)

// A stripPage is a camera while it is taken apart: what comes off next, and what was typed
// and is not booked yet.
type stripPage struct {
	Camera, Path, To, Undo, Book string
	Step                         uint64 // the number of the next one
	Next                         *stripNext
	Left                         []stripNext
	Typed                        []string
	Shot                         []shown // pictures of what is typed
	Marked                       []string
	Grades                       []string
	Steps                        uint64
	Back                         string
}

// A stripNext is a part that should come off.
type stripNext struct {
	Part, Name, Left, Hint, Seat string
	Care                         []string
}

func stripNextOf(l ask.GuideLine) stripNext {
	return stripNext{Part: string(l.Part), Name: l.Name, Left: l.Left, Hint: l.Hint, Seat: strings.Join(tell.Filled(l.Seat, l.Where), ", "), Care: l.Cautions}
}

func showStrip(v *visit) {
	s := v.subject()
	ref, d := s.Ref, found(v, v.view.DraftOf, s.Ref)
	if v.view.Err != nil {
		return
	}
	g, err := ask.StripGuide(v.view.View, s, nil)
	v.view.Keep(err)
	out := stripPage{Camera: strings.Join(tell.Filled(string(ref.Code), string(g.Model)), ", "), Path: cameraPath("strip", ref), To: v.Thing(ref.Kind, ref.Code), Typed: d.Lines, Marked: v.jotted.Marked,
		Undo: cameraPath("unstrip", ref), Book: cameraPath("stripped", ref), Grades: store.Grades, Step: g.Booked + 1, Back: v.Link(cameraPath("back", ref))}
	for _, s := range v.jotted.Steps {
		for _, name := range s.Pictures {
			if store.IsKeptName(name) {
				out.Shot = append(out.Shot, shown{Small: pictureAt("small", ref, name), Large: pictureAt("large", ref, name), Words: fmt.Sprintf("step %d, %s", s.Nth, name)})
			}
		}
	}
	if n := len(v.jotted.Steps); n > 0 {
		out.Step = v.jotted.Steps[n-1].Nth + 1
	}
	out.Steps = out.Step - 1
	for i, l := range g.Left(v.jotted) {
		if i == 0 {
			next := stripNextOf(l)
			out.Next = &next
			continue
		}
		out.Left = append(out.Left, stripNextOf(l))
	}
	v.screen, v.Title, v.Body = "strip", fmt.Sprintf("step %d of %s", out.Step, out.Camera), out
}

// readDraft reads what is typed of a strip-down and not booked yet, as it would be booked.
func readDraft(v *visit) error {
	if v.ReadOnly {
		return nil
	}
	return v.page.bench.Keep(v.typed("strip {code}"), func(s *store.Store, h store.Head) error {
		var ref store.Ref
		var d store.Draft
		err := s.View(func(view *store.View) error {
			return v.reads(view, func() {
				ref = v.camera(v.view)
				d = found(v, view.DraftOf, ref)
			})
		})
		if err == nil && len(d.Lines) > 0 {
			v.jotted, err = s.Jot(h, store.Jotting{On: ref})
		}
		return err
	})
}

// jot keeps a line of a strip-down, or takes the last one back.
func (v *visit) jot(j store.Jotting) error {
	return v.page.bench.Keep(v.typed("strip {code}"), func(s *store.Store, h store.Head) error {
		err := s.View(func(view *store.View) error { return v.reads(view, func() { j.On = v.camera(v.view) }) })
		if err != nil {
			return err
		}
		so, err := s.Jot(h, j)
		for _, p := range so.Problems {
			err = errors.Join(err, store.Misread("%q: %s", p.Value, p.Text))
		}
		return err
	})
}

// keepStepFiles keeps the files of the pictures that go with a line. They are named in the
// form from then on, so that it has them when it is asked what the line means.
func keepStepFiles(v *visit) (err error) {
	if v.photos, err = v.sent(); err != nil || len(v.photos) == 0 {
		return err
	}
	if err := v.page.ask(func(view *store.View) error { return v.reads(view, func() { v.camera(v.view) }) }); err != nil {
		return err
	}
	for _, p := range v.photos {
		v.r.PostForm.Add("kept", p.KeptName())
	}
	return v.keep()
}

// keepStep keeps a line of a strip-down: as it was typed, or put together of what was
// tapped.
func keepStep(v *visit) (string, error) {
	j := store.Jotting{Line: v.given("line"), Called: v.given("called") == "yes", Anyway: v.given("anyway") == "yes"}
	for _, c := range v.r.PostForm["chosen"] {
		_, own, _ := strings.Cut(c, ":")
		j.Chosen = append(j.Chosen, code.Code(own))
	}
	if part := v.given("part"); j.Line == "" && part != "" {
		j.Line = strings.Join(tell.Filled(strings.TrimSpace("off "+v.given("n")+" "+part), v.given("hand"), said("turns", v.given("turns")), said("under", v.given("under")), v.given("note")), ", ")
	}
	var pictures []string
	for _, name := range v.r.PostForm["kept"] {
		if store.IsKeptName(name) {
			pictures = append(pictures, name)
		}
	}
	j.Line = strings.Join(tell.Filled(j.Line, said("picture", strings.Join(pictures, " "))), ", ")
	if j.Line == "" {
		return "", store.Misread("nothing was said of this step: what came off, or a picture")
	}
	if err := v.jot(j); err != nil {
		return "", err
	}
	return ownAddress(v.given("back")), nil
}

// said is a word with what stands behind it, empty for nothing.
func said(word, text string) string {
	if text == "" {
		return ""
	}
	return word + " " + text
}

func unkeepStep(v *visit) (string, error) {
	if err := v.jot(store.Jotting{Back: true}); err != nil {
		return "", err
	}
	return ownAddress(v.given("back")), nil
}

// bookStrip books what was typed of a strip-down.
func bookStrip(v *visit) (string, error) {
	var out store.Stripped
	var ref store.Ref
	var broken store.Reasons
	typed := append(v.typed("strip {code}"), "--done")
	res, err := v.book(typed, func(l *store.Lookup, t *store.Tx) {
		if ref = v.camera(l); l.Err != nil {
			return
		}
		f, _ := notes.Parse("") // all of it is typed
		f.Done = v.given("done") == "yes"
		var flaws []notes.Problem
		out, flaws, l.Err = t.StripDown(store.StripDown{Kind: ref.Kind, Camera: ref.Code, Notes: f, Grade: v.given("grade"), Anyway: v.given("anyway") == "yes", Typed: true})
		for _, p := range flaws {
			l.Err = errors.Join(l.Err, store.Misread("%q: %s", p.Value, p.Text))
		}
		if ref.Kind == "donor" {
			broken = store.Asked(l, ask.OverdrawnAt, ref.Code)
		}
	})
	if err != nil {
		return "", err
	}
	said := []string{tell.Many(len(out.Steps), "step") + " of " + string(ref.Code) + " booked", tell.StrippedHead(ref, out)}
	for _, row := range tell.StrippedRows(out) {
		said = append(said, row[0]+": "+row[1])
	}
	v.page.said.keep(res, slices.Concat(said, out.Marked, store.Texts(broken))...)
	return v.after(v.given("back"), res), nil
}
