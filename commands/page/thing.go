package page

import (
	"tinful/store"
	"tinful/store/ask"
)

// What has no screen of its own is shown as the line shows it, a fact a line.

func showModel(v *visit) {
	v.plain = v.typed("show model:{code}")
	v.screen, v.Title = "plain", ask.Title(v.view.View, v.thing("model"))
}

// A placePage is a drawer, box or tray.
type placePage struct {
	Place, Where string
	Job          *link // whose camera lies in it
	Bags         []link
	Count        string
	Labels       *labelForm
}

// place is the place that the address names.
func (v *visit) place() store.Place { return found(v, v.view.Place, v.thing("place").Code) }

func showPlace(v *visit) {
	pl := v.place()
	out := placePage{Place: string(pl.Code), Where: pl.Where, Count: v.Thing("count", pl.Code), Labels: v.labels(store.Ref{Kind: "place", Code: pl.Code})}
	if job := v.view.JobOfTray()[pl.Code]; job != "" {
		out.Job = &link{v.Thing("job", job, "on", string(job)), "job " + string(job), ""}
	}
	v.plain = []string{"show", "place:" + string(pl.Code)}
	v.screen, v.Title, v.Body = "place", string(pl.Code)+" "+pl.Where, out
}
