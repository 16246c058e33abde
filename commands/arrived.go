package commands

import (
	"fmt"
	"slices"
	"strings"

	"tinful/commands/line"
	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/code"
)

// arrivedCommand takes a customer's camera in.
func arrivedCommand() *command {
	return &command{
		Name: "arrived", Usage: "take a customer's camera in: the next job, a free tray, what is known of it",
		ArgsUsage: "MODEL BODY-NO OWNER FAULT",
		UsageText: "tinful arrived w1b 22418 \"customer 1\" \"counter stuck\"\n" +
			"tinful arrived c1 none E.B. \"back opens\" --agreed yes --promised +14d",
		Description: "The job gets the next number and a tray that no open job has. A tray is a place whose For says \"open job\" " +
			"or \"tray\"; an empty one that no closed job names comes first, and without a free one the job has none. On a terminal, what " +
			"no flag gives of shutter, lens, accessories, agreement and promised day is asked; Enter leaves it open. Then it says what is " +
			"known of that body number from earlier jobs, and of the model: traps, tools, cautions, what its parts cameras most often lacked. " +
			"Exit code 4 when an open job has that camera or tray already, 3 when there is no such model.",
		Flags: []*line.Flag{
			line.ValueFlag("shutter", "it carries this `MODEL` of shutter"), line.ValueFlag("lens", "it carries this `MODEL` of lens"),
			line.ValueFlag("accessories", "what came with it, in `WORDS`"), line.ValueFlag("agreed", "used or made parts are agreed to: `yes` or no"),
			line.ValueFlag("promised", "promised for this `DAY`: 2031-09-30, fri for the next Friday, +14d"),
			line.ValueFlag("tray", "it lies in this `PLACE`; none for no tray"), line.ValueFlag("value", "the camera is worth this `AMOUNT`"),
			line.ValueFlag("note", "`WORDS` to keep with the job"), line.SwitchFlag("anyway", "though an open job has that camera already"),
		},
		Action: arrived,
	}
}

// An arrival is a job in the making: what the line and the flags say, as texts.
type arrival struct {
	job  store.Job
	told []string // what is worth knowing about the tray
}

func arrived(c *call) error {
	if err := c.Want(4, -1); err != nil {
		return err
	}
	var in arrival
	err := c.view(func(v *store.View) (err error) { in, err = arrivalTyped(c, v); return err })
	if err != nil {
		return err
	}
	if c.env.Terminal {
		if err := askArrival(c, &in.job); err != nil {
			return err
		}
	}
	var f jobFile
	res, err := c.book(false, func(t *store.Tx) error {
		if err := tray(c, &t.View, &in); err != nil {
			return err
		}
		j, err := t.Arrive(in.job, c.Bool("anyway"))
		if err != nil {
			return err
		}
		f, err = readJobFile(&t.View, j.Code)
		return err
	})
	if err != nil {
		return err
	}
	return toldArrival(c, res, in, f)
}

// arrival reads the arguments and flags. A flag that was given empty is an answer
// too: that it is not known.
func arrivalTyped(c *call, v *store.View) (arrival, error) {
	args := c.Args()
	var in arrival
	texts := append(slices.Clone(args[1:3]), strings.Join(args[3:], " "), c.String("accessories"), c.String("note"))
	for i, at := range []*string{&in.job.BodyNo, &in.job.Owner, &in.job.Fault, &in.job.Accessories, &in.job.Note} {
		text, err := store.CleanText(texts[i])
		if err != nil {
			return in, line.UsageError{Err: err}
		}
		*at = text
	}
	ref, err := c.thing(v, args[0], "model")
	if err != nil {
		return in, err
	}
	in.job.Model = ref.Code
	for _, q := range questions() {
		if c.String(q.flag) == "" {
			continue
		}
		if err := q.read(c, v, &in.job, c.String(q.flag)); err != nil {
			return in, err
		}
	}
	if text := c.String("value"); text != "" {
		value, err := code.ParseCents(text)
		if err != nil || value < 0 {
			return in, line.Usagef("--value %s is no amount: write it like 140.00", text)
		}
		in.job.Value = &value
	}
	return in, nil
}

// A question is one thing about a camera that a flag says or that is asked.
type question struct {
	flag string
	text string
	read func(*call, *store.View, *store.Job, string) error
}

// questions are asked in this order.
func questions() []question {
	return []question{
		{"shutter", "which shutter does it carry?", func(c *call, v *store.View, j *store.Job, text string) error {
			return carries(c, v, "shutter", text, &j.Shutter)
		}},
		{"lens", "which lens does it carry?", func(c *call, v *store.View, j *store.Job, text string) error {
			return carries(c, v, "lens", text, &j.Lens)
		}},
		{"accessories", "what came with it?", func(_ *call, _ *store.View, j *store.Job, text string) (err error) {
			j.Accessories, err = store.CleanText(text)
			return err
		}},
		{"agreed", "are used or made parts agreed to? yes or no", func(_ *call, _ *store.View, j *store.Job, text string) error {
			switch strings.ToLower(text) {
			case "yes", "y":
				j.Agreed = "yes"
			case "no", "n":
				j.Agreed = "no"
			default:
				return line.Usagef("agreed is yes or no, not %q", text)
			}
			return nil
		}},
		{"promised", "promised for which day?", func(c *call, v *store.View, j *store.Job, text string) (err error) {
			j.Promised, err = dayAhead(text, c.dayNow(v))
			return err
		}},
	}
}

// carries reads the shutter or lens of a camera.
func carries(c *call, v *store.View, kind, text string, at *code.Code) error {
	ref, err := c.thing(v, text, "model")
	if err != nil {
		return err
	}
	*at = ref.Code
	return v.IsKind(ref.Code, kind)
}

// dayAhead reads a day that is not over yet: 2031-09-30, today, fri for the next
// Friday, +14d.
func dayAhead(text string, today code.Day) (code.Day, error) {
	word := strings.ToLower(strings.TrimSpace(text))
	if days, ok := strings.CutPrefix(word, "+"); ok {
		n, err := code.ParseQty(strings.TrimSuffix(days, "d"), "pc")
		if err != nil || n.About || n.N > 3650 {
			return 0, line.Usagef("%q is no day: write 2031-09-30, fri or +14d", text)
		}
		return today.Add(int(n.N)), nil
	}
	day, err := code.ParseDay(word, today)
	if err != nil {
		return 0, line.Usagef("%q is no day: write 2031-09-30, fri or +14d", text)
	}
	if _, isoErr := code.ISODay(word); isoErr != nil && day < today && word[0] != '-' && word != "yesterday" {
		day = day.Add(7) // a weekday: the next, not the last
	}
	if day < today {
		return 0, line.Usagef("%s is over: a camera is promised for a day to come", day)
	}
	return day, nil
}

// askArrival asks for what no flag gives. The store is closed while a question
// waits, and a wrong answer is asked for again.
func askArrival(c *call, j *store.Job) error {
	for _, q := range questions() {
		if c.IsSet(q.flag) {
			continue
		}
		text := q.text
		if may := mayCarry(c, j.Model, q.flag); may != "" {
			text += " " + may
		}
		err := c.askFor(text, func(answer string) error {
			return c.view(func(v *store.View) error { return q.read(c, v, j, answer) })
		})
		if err != nil {
			return err
		}
	}
	return nil
}

// mayCarry names the models of a kind that a camera may carry.
func mayCarry(c *call, model code.Code, kind string) string {
	var may []code.Code
	_ = c.view(func(v *store.View) error {
		m, err := v.Model(model)
		if err == nil {
			may, err = v.Carried(m, kind)
		}
		return err
	})
	return strings.ReplaceAll(tell.Commas(may), ", ", " or ")
}

// mostAsked is how often a wrong answer is asked for again.
const mostAsked = 3

// askFor asks until an answer can be read; an empty one leaves it open.
func (c *call) askFor(question string, read func(string) error) error {
	for range mostAsked {
		answer, err := c.ask(question)
		if err != nil || answer == "" {
			return err
		}
		if err = read(answer); err == nil {
			return nil
		}
		c.Warnf("%v", err)
	}
	return line.Usagef("%s: there was no answer that could be read", question)
}

// tray picks the tray of a new job.
func tray(c *call, v *store.View, in *arrival) error {
	in.told, in.job.Tray = nil, ""
	switch named := c.String("tray"); {
	case strings.EqualFold(named, "none"):
		return nil
	case named != "":
		ref, err := c.thing(v, named, "place")
		in.job.Tray = ref.Code
		return err
	}
	trays, err := v.Trays()
	if err != nil {
		return err
	}
	t, ok := store.FreeTray(trays)
	if !ok {
		in.told = append(in.told, "no tray is free"+takenWords(trays)+": edit the job with --tray when one is")
		return nil
	}
	in.job.Tray = t.Place.Code
	if t.Done != "" {
		in.told = append(in.told, fmt.Sprintf("tray %s is named by job %s, which is closed: is its camera out of it?", t.Place.Code, t.Done))
	}
	if t.Full {
		in.told = append(in.told, fmt.Sprintf("pieces of the workshop's own lie in tray %s: tinful show %s", t.Place.Code, t.Place.Code))
	}
	return nil
}

// takenWords say which job has which tray.
func takenWords(trays []store.Tray) string {
	var out []string
	for _, t := range trays {
		out = append(out, fmt.Sprintf("%s has job %s", t.Place.Code, t.Job))
	}
	if len(out) == 0 {
		return " (no place is a job tray)"
	}
	return " (" + strings.Join(out, ", ") + ")"
}

func toldArrival(c *call, res store.Result, in arrival, f jobFile) error {
	for _, text := range in.told {
		c.Notef("%s", text)
	}
	if c.JSON() {
		return c.PrintJSON(catalogueAnswer(res, map[string]any{"job": f.answer()}))
	}
	head := f.job.Words() + " arrived"
	if f.job.Tray != "" {
		head += ", tray " + string(f.job.Tray)
	}
	c.Println(strings.Join(tell.WithUndo([]string{head}, res), "\n"))
	c.Lines("lent to it by "+f.job.Owner, f.lent(), false)
	printNotes(c, f.notes)
	c.Lines("still to do", tell.Hinted(f.todo), false)
	return nil
}

// lent are the things lent, by their codes.
func (f jobFile) lent() []string {
	var out []string
	for _, l := range f.notes.Lent {
		out = append(out, strings.Join(tell.Filled(string(l.Donor)+string(l.Bag), string(l.Model), string(l.Part), l.Note), ", "))
	}
	return out
}
