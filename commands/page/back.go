package page

import (
	"fmt"
	"slices"
	"strconv"

	"tinful/store"
	"tinful/store/ask"
)

// A backPage is the way back together: the last step first, one a screen.
type backPage struct {
	Camera, To   string
	Nth          uint64
	Of           int
	Seat         string
	Do           []ask.Fact
	Before, Next string
	Album        *album
	Open         bool // steps that are typed and not booked are not among them
}

func backLine(v *visit) []string { return []string{"show", v.r.PathValue("code"), "--steps"} }

func showBack(v *visit) error {
	ref, err := v.camera(v.view)
	if err != nil {
		return err
	}
	steps, err := v.view.StepsOf(ref.Kind, ref.Code)
	if err != nil {
		return err
	}
	if len(steps) == 0 {
		return store.Absent("no step of a strip-down of %s is kept", ref.Code)
	}
	n, _ := strconv.Atoi(v.given("step"))
	if n < 1 || n > len(steps) {
		n = len(steps)
	}
	step := steps[n-1]
	care, err := ask.StepCautions(v.view, steps[n-1:n])
	if err != nil {
		return err
	}
	out := backPage{Camera: string(ref.Code), To: v.Thing(ref.Kind, ref.Code), Nth: step.Nth, Of: len(steps), Seat: step.Seat, Do: ask.BackWords(v.view, step, slices.Concat(care...))}
	path := cameraPath("back", ref)
	if n > 1 {
		out.Next = v.Link(path, "step", strconv.Itoa(n-1))
	}
	if n < len(steps) {
		out.Before = v.Link(path, "step", strconv.Itoa(n+1))
	}
	if out.Album, err = v.album(ref, step.Nth); err != nil {
		return err
	}
	d, err := v.view.DraftOf(ref)
	out.Open = len(d.Lines) > 0
	v.screen, v.Title, v.Body = "back", fmt.Sprintf("back together: step %d of %s", step.Nth, ref.Code), out
	return err
}
