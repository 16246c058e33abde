package page

import (
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
	"tinful/store/words"
)

// mostLarge is how many hits are shown large: a hand chooses among three.
const mostLarge = 3

// mostHits is how many hits have a line; the line itself prints more.
const mostHits = 40

// hits is what was found.
type hits struct {
	Large []hit
	More  []link
	Left  int // hits without a line
	Traps []string
	Bears []link // what bears the number that was typed
	None  string
	Jobs  []link // to take a piece for, where no job is in hand
}

// A hit is a part that was found, with its bags.
type hit struct {
	Part, Name, Kind, Free string
	To                     string
	Left                   string // LEFT-HAND ...
	Goes                   string
	Differs                string
	Head                   string // same, near, which hand: above it
	Traps                  []string
	Bag                    *hitBag // the one to take from
	Bags                   []hitBag
}

// A hitBag is a bag of a hit.
type hitBag struct {
	Bag, Place, Where, Grade, Origin, Free string
	Some                                   bool  // some is free
	Here                                   int64 // of it fitted in the job in hand
	Held                                   int64 // of it held for that
	Notes                                  string
	To, PlaceTo                            string
}

func findLine(v *visit) []string {
	words, err := v.page.bench.Words(v.given("q"))
	if err != nil {
		words = []string{v.given("q")}
	}
	typed := append([]string{"find"}, words...)
	if v.On != "" {
		typed = append(typed, "--job", string(v.On))
	}
	return typed
}

func showHits(v *visit) {
	v.Asked, v.screen, v.Title = v.given("q"), "hits", v.given("q")
	found(v, v.page.bench.Words, v.Asked)
	if v.view.Err != nil {
		return
	}
	all, notes, none, err := v.page.bench.Find(v.view.View, findLine(v)[1:])
	v.view.Keep(err)
	h := hits{Traps: tell.Hinted(all.Traps)}
	v.Notes = append(all.Fuzzy, notes...)
	shelf := v.shelf()
	for i, p := range all.Parts {
		switch {
		case i < mostLarge:
			h.Large = append(h.Large, shelf.hit(p))
		case i < mostHits:
			h.More = append(h.More, link{v.Thing("part", p.Part, "q", v.Asked), string(p.Part) + " " + p.Name,
				strings.Join(tell.Filled(tell.FoundTitle(p), p.LeftHand, tell.Free(p.Free, p.Counted, p.About, p.Bags), p.Goes), ", ")})
		default:
			h.Left++
		}
	}
	for _, n := range all.Numbers {
		h.Bears = append(h.Bears, link{v.Thing(n.Kind, n.Code), n.Text, ""})
	}
	if none != nil {
		h.None, v.status = v.page.bench.Says(none), http.StatusNotFound
		if _, err := v.view.Thing(v.Asked); err != nil && strings.ContainsAny(v.Asked, "0123456789") && !strings.Contains(v.Asked, " ") {
			v.Notes = append(v.Notes, v.page.bench.Says(err)) // a code that was scanned, perhaps by half
		}
	}
	h.Jobs = v.openJobs()
	v.Body = h
}

// A shelf reads bags, and every place once.
type shelf struct {
	*visit
	where map[code.Code]string
}

func (v *visit) shelf() *shelf { return &shelf{v, map[code.Code]string{}} }

func (s *shelf) hit(p ask.FoundPart) hit {
	h := hit{Part: string(p.Part), Name: p.Name, Kind: words.ClassName(p.Class), Free: tell.Free(p.Free, p.Counted, p.About, p.Bags), To: s.Thing("part", p.Part, "q", s.Asked),
		Left: p.LeftHand, Goes: p.Goes, Head: tell.FoundTitle(p), Traps: tell.Hinted(p.Traps), Bags: s.bags(p.Bags)}
	if len(p.Difference) > 0 {
		h.Differs = p.Match + ": " + strings.Join(tell.Filled(append(store.Texts(p.Difference), p.Work)...), ", ")
	}
	for i := range h.Bags {
		if b := &h.Bags[i]; h.Bag == nil || b.Some && !h.Bag.Some {
			h.Bag = b
		}
	}
	return h
}

// bags are the bags of a part as they stand on a screen.
func (s *shelf) bags(list []ask.BagLine) (out []hitBag) {
	for _, b := range list {
		x := hitBag{Bag: string(b.Bag), Place: string(b.Place), Where: s.placeWords(b.Place), Grade: b.Grade, Origin: b.Origin, Free: store.Amount(b.Free, b.Unit, b.About), Some: b.Free > 0,
			Notes: tell.BagNote(b), To: s.Thing("bag", b.Bag), PlaceTo: s.Thing("place", b.Place)}
		if b.OnHand != b.Free {
			x.Notes = strings.Join(tell.Filled(store.Amount(b.OnHand, b.Unit, b.About)+" on hand", x.Notes), "; ")
		}
		if s.On != "" {
			st := found(s.visit, s.view.State, b.Bag)
			x.Here, x.Held = st.FittedInJob(s.On), st.HeldForJob(s.On)
		}
		out = append(out, x)
	}
	return out
}

// placeWords is where a place is, in words.
func (s *shelf) placeWords(place code.Code) string {
	text, known := s.where[place]
	if !known && place != "" {
		if p, err := s.view.Place(place); err == nil {
			text = p.Where
		}
		s.where[place] = text
	}
	return text
}

// openJobs are the jobs a piece may be taken for, where none is in hand.
func (v *visit) openJobs() (out []link) {
	if v.On != "" || v.ReadOnly {
		return nil
	}
	v.view.Keep(v.view.EachOpenJob(func(j store.Job) error {
		out = append(out, link{To: string(j.Code), Words: strings.Join(tell.Filled(string(j.Code), string(j.Model), j.Owner), "  ")})
		return nil
	}))
	return out
}

// showBox reads what was typed, or what a scanner typed, into the box: the code of a
// thing leads to the thing, a tray takes its job in hand, anything else is looked for.
func showBox(v *visit) {
	typed := v.given("q")
	if typed == "" {
		v.to = v.Link("/")
		return
	}
	refs := v.view.Resolve(typed)
	bag := v.given("bag")
	n, err := strconv.Atoi(typed)
	if err == nil && n > 0 && n < 100 && bag != "" && len(refs) == 0 {
		v.to = v.Link("/bag/"+url.PathEscape(bag), "n", typed)
		return
	}
	if len(refs) != 1 {
		if ref, err := v.view.Thing(typed); err == nil {
			refs = []store.Ref{ref}
		}
	}
	if len(refs) != 1 {
		v.to = v.Link("/find", "q", typed)
		return
	}
	v.to = v.leads(refs[0])
}

// leads is the address of a thing that was scanned or typed: a job, or its tray, is taken
// in hand.
func (v *visit) leads(ref store.Ref) string {
	if job := v.jobAt(ref); job != "" {
		return v.Thing("job", job, "on", string(job))
	}
	if ref.Kind == "shutter" || ref.Kind == "lens" {
		ref.Kind = "model"
	}
	return v.Thing(ref.Kind, ref.Code)
}

// jobAt is the job that a thing is, or whose tray it is, empty for none.
func (v *visit) jobAt(ref store.Ref) code.Code {
	switch ref.Kind {
	case "job":
		return ref.Code
	case "place":
		return v.view.JobOfTray()[ref.Code]
	}
	return ""
}

// thing is the thing of a kind that the address names. A code that names nothing is
// refused as the line refuses it.
func (v *visit) thing(kinds ...string) store.Ref {
	return look(v.view, v.r.PathValue("code"), kinds...)
}
