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

func showBack(v *visit) {
	ref := v.camera(v.view)
	steps := v.steps(ref)
	if len(steps) == 0 {
		v.view.Keep(store.Absent("no step of a strip-down of %s is kept", ref.Code))
		return
	}
	n, _ := strconv.Atoi(v.given("step"))
	if n < 1 || n > len(steps) {
		n = len(steps)
	}
	step := steps[n-1]
	care := asked(v, ask.StepCautions, steps[n-1:n])
	out := backPage{Camera: string(ref.Code), To: v.Thing(ref.Kind, ref.Code), Nth: step.Nth, Of: len(steps), Seat: step.Seat,
		Do: ask.BackWords(v.view.View, step, slices.Concat(care...)), Album: v.album(ref, step.Nth), Open: len(found(v, v.view.DraftOf, ref).Lines) > 0}
	path := cameraPath("back", ref)
	if n > 1 {
		out.Next = v.Link(path, "step", strconv.Itoa(n-1))
	}
	if n < len(steps) {
		out.Before = v.Link(path, "step", strconv.Itoa(n+1))
	}
	v.screen, v.Title, v.Body = "back", fmt.Sprintf("back together: step %d of %s", step.Nth, ref.Code), out
}
