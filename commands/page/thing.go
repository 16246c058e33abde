package page

import (
	"tinful/store"
	"tinful/store/ask"
)

// What has no screen of its own is shown as the line shows it, a fact a line.

func modelLine(v *visit) []string { return []string{"show", "model:" + v.r.PathValue("code")} }
func placeLine(v *visit) []string { return []string{"show", "place:" + v.r.PathValue("code")} }
func donorLine(v *visit) []string { return []string{"show", "donor:" + v.r.PathValue("code")} }

func showModel(v *visit) error { return v.showAs("model", modelLine(v)) }

// A placePage is a drawer, box or tray.
type placePage struct {
	Place, Where string
	Job          *link // whose camera lies in it
	Bags         []link
	Count        string
	Labels       *labelForm
}

// place is the place that the address names.
func (v *visit) place() (pl store.Place, err error) {
	ref, err := v.thing("place")
	if err == nil {
		pl, err = v.view.Place(ref.Code)
	}
	return pl, err
}

func showPlace(v *visit) error {
	pl, err := v.place()
	if err != nil {
		return err
	}
	out := placePage{Place: string(pl.Code), Where: pl.Where, Count: v.Thing("count", pl.Code)}
	if job := v.view.JobOfTray()[pl.Code]; job != "" {
		out.Job = &link{v.Thing("job", job, "on", string(job)), "job " + string(job), ""}
	}
	v.plain = []string{"show", "place:" + string(pl.Code)}
	out.Labels, err = v.labels(store.Ref{Kind: "place", Code: pl.Code})
	v.screen, v.Title, v.Body = "place", string(pl.Code)+" "+pl.Where, out
	return err
}

// showAs shows a thing of a kind as the line does.
func (v *visit) showAs(kind string, typed []string) error {
	ref, err := v.thing(kind)
	if err != nil {
		return err
	}
	v.plain = typed
	v.screen, v.Title = "plain", ask.Title(v.view, ref)
	return nil
}
