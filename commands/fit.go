package commands

import (
	"slices"
	"strings"

	"tinful/commands/line"
	"tinful/store"
	"tinful/store/code"
)

// pieceHelp describes PIECE for the commands that take one.
const pieceHelp = "PIECE is a bag or a part. Of a part the one bag that will do is taken; several are listed, " +
	"and :1 stands for the first of them. Words after a code are a check: they must be words of the part. " +
	"Several pieces are one booking: all are booked or none; - stands for lines of standard input, CODE N each. " +
	"Exit code 4 when a rule forbids it or several bags would do, 3 when there is no such thing."

// ofPieces completes a command that books pieces: what it takes and, before what it
// says of itself, how pieces are named.
func ofPieces(c *command, book func(*call) error) *command {
	if c.ArgsUsage == "" {
		c.ArgsUsage = "PIECE [N] [PIECE [N]]..."
	}
	c.Description = strings.TrimSpace(pieceHelp + " " + c.Description)
	c.Action = book
	return c
}

// whyFlag takes the reason that an entry keeps.
func whyFlag() *line.Flag { return line.ValueFlag("why", "`WORDS` that say why") }

// anyBagFlag lets a booking take any bag of the part that is named.
func anyBagFlag() *line.Flag {
	return line.SwitchFlag("any", "of several bags of a part take the one that can spare most, and note that it is unsure")
}

// forJobFlags are those of a booking of pieces for a job.
func forJobFlags() []*line.Flag {
	return []*line.Flag{
		line.ValueFlag("job", "for this `JOB`, else the job in hand"),
		anyBagFlag(),
		line.SwitchFlag("anyway", "book it though a rule is against it, with --why"),
		whyFlag(),
	}
}

func fitCommand() *command {
	return ofPieces(&command{
		Name: "fit", Usage: "book pieces into a job's camera",
		UsageText:   "tinful fit b283 2 b256 --job 105\ntinful fit p8 --job 105\ntinful fit b283 pan --job 105\ntinful fit - --job 105 < tray.txt",
		Description: "The job is --job, else the job in hand. What is held for that job is taken first.",
		Flags:       forJobFlags(),
	}, fit)
}

func fit(c *call) error {
	return bookPieces(c, (*store.Tx).Fit, func(j store.Job) wish {
		held := func(st store.State) int64 { return st.HeldForJob(j.Code) }
		return wish{
			verb: "fit", job: j, leaves: true, theirs: true, worn: c.Bool("anyway"),
			give:  func(st store.State) int64 { return st.Free() + held(st) },
			first: held,
		}
	})
}

func holdCommand() *command {
	return ofPieces(&command{
		Name: "hold", Usage: "set pieces aside for a job",
		UsageText:   "tinful hold b283 2 --job 105\ntinful hold p8 --job 105",
		Description: "The job is --job, else the job in hand.",
		Flags:       forJobFlags(),
	}, hold)
}

func hold(c *call) error {
	return bookPieces(c, (*store.Tx).Hold, func(j store.Job) wish {
		return wish{verb: "hold", job: j, leaves: true, worn: c.Bool("anyway"), give: store.State.Free}
	})
}

// bookPieces books every piece of the line for its job by an operation of the
// store, together or not at all.
func bookPieces(c *call, operation func(*store.Tx, store.Take) error, wanted func(store.Job) wish) error {
	if err := c.Want(1, -1); err != nil {
		return err
	}
	inHand, err := c.handJob()
	if err != nil {
		return err
	}
	return bookTakes(c, func(t *store.Tx) (wish, error) {
		j, err := c.jobOf(&t.View, inHand)
		return wanted(j), err
	}, operation)
}

// bookTakes books every piece of the line, together or not at all, and prints what
// changed.
func bookTakes(c *call, wanted func(*store.Tx) (wish, error), operation func(*store.Tx, store.Take) error) error {
	if _, err := c.pairs(); err != nil {
		return err // before the store is opened: lines may be long in coming
	}
	var doubts []string
	res, err := c.book(false, func(t *store.Tx) error {
		w, err := wanted(t)
		if err != nil {
			return err
		}
		takes, err := takes(c, t, w)
		if err != nil {
			return err
		}
		for i, k := range takes {
			k.Anyway = c.Bool("anyway")
			if err := operation(t, k); err != nil {
				return blame(c.typed[i], meant(t, k, err))
			}
			if text := doubted(&t.View, k); text != "" && (w.verb == "fit" || w.verb == "hold") {
				doubts = append(doubts, text)
			}
		}
		return nil
	})
	if err != nil {
		return c.offer(err)
	}
	for _, text := range doubts {
		c.Notef("%s", text)
	}
	return c.booked(res)
}

func returnCommand() *command {
	return ofPieces(&command{
		Name: "return", Usage: "take pieces back that were fitted or lent",
		UsageText: "tinful return b202 --job 101\ntinful return b220 --from \"another bench\"",
		Description: "Without a number one fitted piece comes back, or all that is lent. " +
			"Without --job and --from it comes from where it is out, if that is one job or borrower.",
		Flags: []*line.Flag{
			line.ValueFlag("job", "it was fitted in this `JOB`"),
			line.ValueFlag("from", "it was lent to this `NAME`"),
			line.SwitchFlag("any", "of several bags of a part take the one that most is out of, and note that it is unsure"),
			whyFlag(),
		},
	}, giveBack)
}

func giveBack(c *call) error {
	if err := c.Want(1, -1); err != nil {
		return err
	}
	if c.String("job") != "" && c.String("from") != "" {
		return line.Usagef("it comes back from a job or from a borrower: --job or --from, not both")
	}
	return bookTakes(c, func(t *store.Tx) (wish, error) {
		j, err := c.jobOf(&t.View, "")
		return wish{verb: "return", job: j, rest: true, worn: true, give: outOf(c, j)}, err
	}, func(t *store.Tx, k store.Take) error {
		k.To = c.String("from")
		st, err := t.State(k.Bag)
		if err != nil {
			return err
		}
		if k.To != "" && whoHas(st.LentTo, k.To) == 0 {
			return refusef("%s has nothing lent to %s", k.Bag, k.To)
		}
		if k.Job == "" && k.To == "" && st.FittedInJob(c.handJobToday()) > 0 && st.Lent() == 0 {
			if k.Job, err = preferHand(c, t); err != nil {
				return err
			}
		}
		return t.Return(k)
	})
}

// outOf is how much of a bag may come back: from the job or borrower named, else
// from anywhere.
func outOf(c *call, j store.Job) func(store.State) int64 {
	return func(st store.State) int64 {
		switch {
		case j.Code != "":
			return st.FittedInJob(j.Code)
		case c.String("from") != "":
			return whoHas(st.LentTo, c.String("from"))
		}
		n := st.Lent()
		for _, o := range st.FittedIn {
			n += o.N
		}
		return n
	}
}

func whoHas(list []store.Owed, who string) int64 {
	i := slices.IndexFunc(list, func(o store.Owed) bool { return o.Who == who })
	if i < 0 {
		return 0
	}
	return list[i].N
}

// preferHand is today's job in hand, which is said.
func preferHand(c *call, t *store.Tx) (code.Code, error) {
	j, err := c.jobOf(&t.View, string(c.handJobToday()))
	return j.Code, err
}

func unholdCommand() *command {
	return ofPieces(&command{
		Name: "unhold", Usage: "give back what is set aside for a job",
		UsageText: "tinful unhold b281\ntinful unhold p8 1 --job 105",
		Description: "Without a number all of it is free again; without --job it is the job it is held for, if that is one. " +
			"What is held is known by its bag: of several held bags of a part one is named, and there is no --any.",
		Flags: []*line.Flag{
			line.ValueFlag("job", "it is held for this `JOB`"),
			whyFlag(),
		},
	}, unhold)
}

func unhold(c *call) error {
	if err := c.Want(1, -1); err != nil {
		return err
	}
	return bookTakes(c, func(t *store.Tx) (wish, error) {
		j, err := c.jobOf(&t.View, "")
		give := store.State.Held
		if j.Code != "" {
			give = func(st store.State) int64 { return st.HeldForJob(j.Code) }
		}
		return wish{verb: "give back", job: j, rest: true, worn: true, give: give}, err
	}, func(t *store.Tx, k store.Take) error {
		st, err := t.State(k.Bag)
		if err != nil {
			return err
		}
		if k.Job == "" && len(st.HeldFor) > 1 && st.HeldForJob(c.handJobToday()) > 0 {
			if k.Job, err = preferHand(c, t); err != nil {
				return err
			}
		}
		return t.Unhold(k)
	})
}
