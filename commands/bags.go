package commands

import (
	"tinful/commands/line"
	"tinful/store"
	"tinful/store/words"
)

func moveBags(c *call) error {
	n := len(c.Args()) - 1
	return bookBags(c, c.Args()[:n], store.Request{What: store.Moved, To: c.Args()[n]})
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

func split(c *call) error {
	pairs, err := line.ParsePairs(c.Args())
	switch {
	case err != nil:
		return err
	case len(pairs) != 1 || pairs[0].Qty == "":
		return line.Usagef("a bag and how many: tinful split b230 2")
	}
	return bookItems(c, store.Request{What: store.Split, Items: []store.Item{store.Item(pairs[0])}, To: c.String("to")}, "")
}

func joinBags(c *call) error {
	return bookBags(c, c.Args()[:1], store.Request{What: store.Joined, To: c.Args()[1]})
}

func gradeBags(c *call) error {
	n := len(c.Args()) - 1
	grade, err := gradeWord(c.Args()[n])
	if err != nil {
		return err
	}
	return bookBags(c, c.Args()[:n], store.Request{What: store.Graded, To: grade})
}

// gradeWord reads a grade.
func gradeWord(text string) (string, error) {
	grade, err := words.OneOf("grade", store.Grades, text)
	return grade, line.AsUsage(err)
}
