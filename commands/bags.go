package commands

import (
	"strings"

	"tinful/commands/line"
	"tinful/store"
	"tinful/store/words"
)

func moveCommand() *command {
	return &command{
		Name: "move", Usage: "put bags into another place",
		ArgsUsage:   "BAG [BAG]... PLACE",
		UsageText:   "tinful move b203 K2\ntinful move b203 b224 K2",
		Description: "The last word is the place; - stands for lines of standard input, a bag each. Exit code 3 when there is no such bag or place, 4 when it lies there already.",
		Flags:       []*line.Flag{whyFlag()},
		Action: func(c *call) error {
			if err := c.Want(2, -1); err != nil {
				return err
			}
			n := len(c.Args()) - 1
			return bookBags(c, c.Args()[:n], store.Request{What: store.Moved, To: c.Args()[n]})
		},
	}
}

// bookBags books something about every bag named, together or not at all.
func bookBags(c *call, tokens []string, r store.Request) error {
	tokens, err := c.bagTokens(tokens)
	if err != nil {
		return err
	}
	for _, token := range tokens {
		r.Items = append(r.Items, store.Item{Token: token})
	}
	return bookItems(c, r, "")
}

func splitCommand() *command {
	return &command{
		Name: "split", Usage: "take pieces out of a bag into a new one",
		ArgsUsage:   "BAG N",
		UsageText:   "tinful split b230 2\ntinful split b230 2 --to N4",
		Description: "The new bag is of the same part, origin, grade and owner, and its code is printed. Exit code 4 when fewer are free.",
		Flags: []*line.Flag{
			line.ValueFlag("to", "the new bag lies in this `PLACE`, else where the old one lies"),
			whyFlag(),
		},
		Action: split,
	}
}

func split(c *call) error {
	if err := c.Want(1, -1); err != nil {
		return err
	}
	pairs, err := line.ParsePairs(c.Args())
	switch {
	case err != nil:
		return err
	case len(pairs) != 1 || pairs[0].Qty == "":
		return line.Usagef("a bag and how many: tinful split b230 2")
	}
	return bookItems(c, store.Request{What: store.Split, Items: []store.Item{store.Item(pairs[0])}, To: c.String("to")}, "")
}

func joinCommand() *command {
	return &command{
		Name: "join", Usage: "put all pieces of a bag into another of the same part",
		ArgsUsage:   "BAG BAG",
		UsageText:   "tinful join b239 b202",
		Description: "The pieces of the first bag go into the second. Exit code 4 when the parts or owners differ or pieces are held or lent.",
		Flags:       []*line.Flag{whyFlag()},
		Action: func(c *call) error {
			if err := c.Want(2, 2); err != nil {
				return err
			}
			return bookBags(c, c.Args()[:1], store.Request{What: store.Joined, To: c.Args()[1]})
		},
	}
}

func gradeCommand() *command {
	return &command{
		Name: "grade", Usage: "change the grade of bags, with the reason",
		ArgsUsage:   "BAG [BAG]... GRADE",
		UsageText:   "tinful grade b203 usable --why \"one leg bent\"",
		Description: "Grades: " + strings.Join(store.Grades, ", ") + "; - stands for lines of standard input, a bag each. Exit code 4 when it has that grade already or --why is missing.",
		Flags:       []*line.Flag{line.ValueFlag("why", "`WORDS` that say why; a grade needs them")},
		Action: func(c *call) error {
			if err := c.Want(2, -1); err != nil {
				return err
			}
			n := len(c.Args()) - 1
			grade, err := gradeWord(c.Args()[n])
			if err != nil {
				return err
			}
			return bookBags(c, c.Args()[:n], store.Request{What: store.Graded, To: grade})
		},
	}
}

// gradeWord reads a grade.
func gradeWord(text string) (string, error) {
	grade, err := words.OneOf("grade", store.Grades, text)
	if err != nil {
		return "", line.UsageError{Err: err}
	}
	return grade, nil
}
