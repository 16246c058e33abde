package ask

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/words"
)

// A PictureQuery is which pictures are asked for. What is empty leaves nothing out.
type PictureQuery struct {
	Words        []string // of the thing, the step, the caption, the seat and the day
	Seat         string
	Model        code.Code // of the camera
	On           store.Ref // the thing itself
	Since, Until code.Day
}

// A Pictured is a picture with what it shows.
type Pictured struct {
	store.Picture
	Title string // of the thing
	Seat  string // of the step, else of the part; empty where nothing tells it
	Shows string // the step in words
}

// Pictures finds pictures, those of the latest day first.
func Pictures(v *store.View, q PictureQuery) (out []Pictured, err error) {
	a := &album{v: v, steps: map[store.Ref][]store.Step{}, titles: map[store.Ref]string{}}
	err = v.EachPicture(func(p store.Picture) error {
		if q.Since != 0 && p.Day < q.Since || q.Until != 0 && p.Day > q.Until || q.On.Code != "" && q.On != (store.Ref{Kind: p.Kind, Code: p.Code}) {
			return nil
		}
		x, model, err := a.of(p)
		if err != nil {
			return err
		}
		if q.Seat != "" && x.Seat != q.Seat || q.Model != "" && model != q.Model {
			return nil
		}
		if words.In(x.text(model), q.Words) {
			out = append(out, x)
		}
		return nil
	})
	slices.SortStableFunc(out, func(a, b Pictured) int { return cmp.Compare(b.Day, a.Day) })
	return out, err
}

// PicturesOf lists the pictures of a thing, the first first.
func PicturesOf(v *store.View, r store.Ref) (out []Pictured, err error) {
	all, err := v.PicturesOf(r)
	if err != nil {
		return nil, err
	}
	a := &album{v: v, steps: map[store.Ref][]store.Step{}, titles: map[store.Ref]string{}}
	for _, p := range all {
		x, _, err := a.of(p)
		if err != nil {
			return nil, err
		}
		out = append(out, x)
	}
	return out, nil
}

// text is what words are looked for in: the day by the names of month and weekday as well.
func (x Pictured) text(model code.Code) string {
	return strings.Join([]string{string(x.Code), code.Loose(string(x.Code)), x.Kind, x.Title, string(model), code.Loose(string(model)), x.Seat, x.Shows, x.Caption, x.Name, x.By,
		x.Day.String(), x.Day.Time().Format("January 2006 Monday")}, " ")
}

// PictureWords are what a picture is called and what is written under it.
func PictureWords(p store.Picture) string {
	return filled(cmp.Or(p.Name, fmt.Sprintf("picture %d", p.Nth)), p.Caption)
}

// An album reads what pictures show, each thing once.
type album struct {
	v      *store.View
	steps  map[store.Ref][]store.Step
	titles map[store.Ref]string
}

// of is a picture with what it shows, and the model of its camera.
func (a *album) of(p store.Picture) (x Pictured, model code.Code, err error) {
	ref := store.Ref{Kind: p.Kind, Code: p.Code}
	title, known := a.titles[ref]
	if !known {
		title = Title(a.v, ref)
		a.titles[ref] = title
	}
	x = Pictured{Picture: p, Title: title}
	switch p.Kind {
	case "donor":
		d, _ := a.v.Donor(p.Code) // one that is lost has none
		model = d.Model
	case "job":
		j, _ := a.v.Job(p.Code)
		model = j.Model
	case "bag":
		b, _ := a.v.Bag(p.Code)
		part, _ := a.v.Part(b.Part)
		x.Seat = part.Seat
	case "part":
		part, _ := a.v.Part(p.Code)
		x.Seat = part.Seat
	}
	if p.Step == 0 {
		return x, model, nil
	}
	steps, known := a.steps[ref]
	if !known {
		if steps, err = a.v.StepsOf(ref.Kind, ref.Code); err != nil {
			return x, model, err
		}
		a.steps[ref] = steps
	}
	if i := slices.IndexFunc(steps, func(s store.Step) bool { return s.Nth == p.Step }); i >= 0 {
		x.Seat, x.Shows = steps[i].Seat, StepWords(steps[i], a.partsOf(steps[i]))
	}
	return x, model, nil
}

func (a *album) partsOf(s store.Step) map[code.Code]store.Part {
	out := map[code.Code]store.Part{}
	for _, o := range s.Off {
		if p, err := a.v.Part(o.Part); err == nil {
			out[o.Part] = p
		}
	}
	return out
}
