package commands

import (
	"strings"

	"tinful/commands/line"
	"tinful/store"
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

func fit(c *call) error { return bookPieces(c, store.Request{What: store.Fitted}) }

func holdCommand() *command {
	return ofPieces(&command{
		Name: "hold", Usage: "set pieces aside for a job",
		UsageText:   "tinful hold b283 2 --job 105\ntinful hold p8 --job 105",
		Description: "The job is --job, else the job in hand.",
		Flags:       forJobFlags(),
	}, hold)
}

func hold(c *call) error { return bookPieces(c, store.Request{What: store.Held}) }

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
	if c.String("job") != "" && c.String("from") != "" {
		return line.Usagef("it comes back from a job or from a borrower: --job or --from, not both")
	}
	return bookPieces(c, store.Request{What: store.Returned, To: c.String("from"), InHand: c.handJobToday()})
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
	return bookPieces(c, store.Request{What: store.Unheld, InHand: c.handJobToday()})
}
