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
)

// A camera is a parts camera or the one of a job, as it is looked at and taken apart.

// camera is the camera that the address names.
func (v *visit) camera(l *store.Lookup) store.Ref {
	return look(l, v.r.PathValue("kind")+":"+v.r.PathValue("code"), "donor", "job")
}

// subject is that camera, with what is known of it before it is looked at or taken apart.
func (v *visit) subject() ask.Subject { return asked(v, ask.SubjectOf, v.camera(v.view)) }

// steps are those of the strip-down of a camera.
func (v *visit) steps(ref store.Ref) (list []store.Step) {
	if v.view.Err == nil {
		list, v.view.Err = v.view.StepsOf(ref.Kind, ref.Code)
	}
	return list
}

// cameraPath is the address of a screen about a camera.
func cameraPath(screen string, ref store.Ref) string {
	return "/" + screen + "/" + ref.Kind + "/" + string(ref.Code)
}

// A donorPage is a parts camera.
type donorPage struct {
	Code              string
	Look, Strip, Back string
	Steps             int
	Album             *album
	Labels            *labelForm
}

func showDonor(v *visit) {
	ref := v.thing("donor")
	v.plain = v.typed("show donor:{code}")
	v.screen, v.Title = "donor", ask.Title(v.view.View, ref)
	v.Body = donorPage{Album: v.album(ref, 0), Labels: v.labels(ref), Code: string(ref.Code), Steps: len(v.steps(ref)), Look: v.Link(cameraPath("look", ref)),
		Strip: v.Link(cameraPath("strip", ref)), Back: v.Link(cameraPath("back", ref))}
}

// A lookPage is a camera to look at: its parts to tap, most often missing first.
type lookPage struct {
	Camera, Path, To string
	Lines            []lookLine
	Words            []string
	Histories        []string
	History          string
	Album            *album
}

// A lookLine is a part to look for.
type lookLine struct {
	Part, Name, Where string
	Often             string // how often it is missing
}

func lookLineOf(l ask.GuideLine) lookLine {
	x := lookLine{Part: string(l.Part), Name: l.Called(), Where: strings.Join(tell.Filled(l.Seat, l.Where), ", ")}
	if l.Looked > 0 {
		x.Often = fmt.Sprintf("missing on %d of %d looked at", l.Missing, l.Looked)
	}
	return x
}

func showLook(v *visit) {
	s := v.subject()
	ref, g := s.Ref, asked(v, ask.Checklist, s)
	out := lookPage{Camera: strings.Join(tell.Filled(string(ref.Code), string(g.Model)), ", "), Path: cameraPath("look", ref), To: v.Thing(ref.Kind, ref.Code), Words: store.SeenWords,
		Histories: store.Histories, History: s.History, Lines: tell.Each(g.Lines, lookLineOf), Album: v.album(ref, 0)}
	v.screen, v.Title, v.Body = "look", "look into "+out.Camera, out
}

// errNoted is returned when nothing of what was tapped is new.
var errNoted = errors.New("nothing is booked")

// lookTyped is the line that says what was tapped: look PC-11 missing P001.
func (v *visit) lookTyped() []string {
	typed := []string{"look", v.r.PathValue("code")}
	for _, word := range store.SeenWords {
		var parts []string
		for name, all := range v.r.PostForm {
			part, is := strings.CutPrefix(name, "seen-")
			if own, err := code.Parse(part); is && err == nil && all[0] == word {
				parts = append(parts, string(own))
			}
		}
		if len(parts) > 0 {
			slices.Sort(parts)
			typed = append(append(typed, word), parts...)
		}
	}
	return typed
}

// bookLook books what was tapped.
func bookLook(v *visit) (string, error) {
	var said ask.Looked
	res, err := v.book(v.lookTyped(), func(l *store.Lookup, t *store.Tx) {
		seen := store.Looking{On: v.camera(l), Note: v.given("note"), History: v.given("history"), Anyway: v.given("anyway") == "yes"}
		for name, all := range v.r.PostForm {
			if part, is := strings.CutPrefix(name, "seen-"); is && all[0] != "" {
				seen.Seen = append(seen.Seen, store.Seen{Part: look(l, "part:"+part, "part").Code, Seen: all[0]})
			}
		}
		slices.SortFunc(seen.Seen, func(a, b store.Seen) int { return strings.Compare(string(a.Part), string(b.Part)) })
		if len(seen.Seen) == 0 && seen.History == "" {
			l.Keep(store.Misread("nothing was tapped: say of a part how it is seen"))
		}
		if news := store.Got(l, t.Look, seen); l.Err == nil {
			said, l.Err = ask.LookedOn(l.View, seen.On, news)
		}
	})
	if err != nil {
		return "", err
	}
	if res.Booking.Number == 0 {
		return "", fmt.Errorf("%w: %s", errNoted, tell.NotedAlready(said))
	}
	v.page.said.keep(res, slices.Concat(tell.LookedWords(said), store.Texts(said.Remarks), tell.LookedNotes(said))...)
	return v.after(v.given("back"), res), nil
}
