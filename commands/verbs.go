package commands

import (
	_ "embed"
	"slices"
	"strings"
	"sync"

	"tinful/commands/line"
	"tinful/store"
	"tinful/store/dim"
	"tinful/store/spring"
)

// A verb is what a command does.
type verb struct {
	do          func(*call) error
	least, most int                 // of its arguments; many is any number
	flags       func() []*line.Flag // that follow from a table
}

const many = -1

// verbs are the commands by the names they have in verbs.txt.
func verbs() map[string]verb {
	return map[string]verb{
		"find":        {do: find, most: many, flags: findFlags},
		"need":        {do: need, least: 1, most: many},
		"show":        {do: show, least: 1, most: many},
		"put":         {do: put, least: 4, most: many},
		"fit":         {do: booking(store.Fitted), least: 1, most: many},
		"return":      {do: giveBack, least: 1, most: many},
		"hold":        {do: booking(store.Held), least: 1, most: many},
		"move":        {do: moveBags, least: 2, most: many},
		"undo":        {do: undo, most: 1},
		"again":       {do: again},
		"today":       {do: today},
		"out":         {do: out},
		"log":         {do: showLog, most: 1},
		"month":       {do: month, most: 1},
		"import":      {do: runImport, least: 1, most: 1},
		"unhold":      {do: unhold, least: 1, most: many},
		"lend":        {do: lend, least: 1, most: many},
		"lost":        {do: lost, least: 1, most: many},
		"found":       {do: booking(store.Found), least: 1, most: many},
		"scrap":       {do: booking(store.Scrapped), least: 1, most: many},
		"sell":        {do: sell, least: 1, most: many},
		"split":       {do: split, least: 1, most: many},
		"join":        {do: joinBags, least: 2, most: 2},
		"grade":       {do: gradeBags, least: 2, most: many},
		"on":          {do: on, most: 1},
		"off":         {do: off},
		"arrived":     {do: arrived, least: 3, most: many},
		"job":         {do: job, most: 1},
		"jobs":        {do: jobs, most: 2},
		"done":        {do: done, most: 1},
		"old":         {do: old, most: many},
		"made":        {do: made, least: 1, most: many},
		"list":        {do: listOf, least: 1, most: many},
		"export":      {do: runExport, least: 1, most: 1},
		"template":    {do: makeTemplate, least: 1, most: 1},
		"demo":        {do: runDemo},
		"add part":    {do: partKind.add, most: many, flags: flagsFor[store.Part]("Part")},
		"add bag":     {do: addBag, most: many, flags: flagsFor[store.Bag]("Bag", "About")},
		"add model":   {do: modelKind.add, most: many, flags: flagsFor[store.Model]("Model")},
		"add place":   {do: placeKind.add, most: many, flags: flagsFor[store.Place]("Place")},
		"add donor":   {do: donorKind.add, most: many, flags: flagsFor[store.Donor]("Donor")},
		"add job":     {do: jobKind.add, most: many, flags: flagsFor[store.Job]("Job")},
		"edit":        {do: editThing, least: 1, most: 1, flags: editFlags},
		"goes":        {do: goesInto, least: 1, most: many, flags: flagsFor[store.Goes]("Part", "Model", "By", "Date")},
		"same":        {do: samePart, least: 2, most: 2},
		"measure":     {do: measure, least: 1, most: 1, flags: measureFlags},
		"want":        {do: want, least: 1, most: many},
		"wants":       {do: wants, most: many},
		"bought":      {do: bought, least: 2, most: many},
		"which":       {do: which, most: many},
		"look":        {do: look, least: 1, most: many},
		"strip":       {do: strip, least: 1, most: 2},
		"spring":      {do: springs, most: many},
		"wire":        {do: wire, least: 1, most: 2},
		"thread":      {do: findThread, least: 1, most: many},
		"shims":       {do: shims, least: 1, most: 1},
		"gear":        {do: gear, most: many},
		"low":         {do: low},
		"count":       {do: count, least: 1, most: many},
		"count sheet": {do: withoutAgain(countSheet), least: 1, most: many},
		"count enter": {do: withoutAgain(countEnter), most: many},
		"count show":  {do: withoutAgain(countShow), most: 1},
		"count close": {do: withoutAgain(countClose), most: many},
		"count list":  {do: withoutAgain(countList)},
		"count due":   {do: withoutAgain(countDue)},
		"weigh":       {do: weighing, most: many},
		"odds":        {do: oddsOf, most: many},
		"donors":      {do: donors, most: many},
		"cost":        {do: costShares, least: 1, most: 1},
		"label":       {do: label, most: many},
		"draw":        {do: draw, least: 1, most: 4},
		"cut":         {do: cut, most: many},
		"paper":       {do: ownersPaper, most: 1},
		"note":        {do: note, most: many},
		"page":        {do: servePage},
		"photo":       {do: takePhoto, most: many},
		"check":       {do: check},
		"backup":      {do: backup, least: 1, most: 1},
		"backups":     {do: backups},
		"restore":     {do: restore, least: 1, most: 1},
		"salvage":     {do: salvage, least: 2, most: 2},
		"help":        {do: help, most: many},
		"completion":  {do: printCompletion, least: 1, most: 1},
		"complete":    {do: listOffers, most: many},
	}
}

// verbTexts say what each command is for, and which flags it takes.
//
//go:embed verbs.txt
var verbTexts string

// theProgram is made by the first that asks.
var theProgram struct {
	sync.Once
	root *command
}

// program is the whole command line as data: the tree that help, manual page, completion
// and the bench line read.
func program() *command {
	theProgram.Do(func() { theProgram.root = readVerbs(verbTexts, verbs()) })
	return theProgram.root
}

// readVerbs is the command line that texts describe and verbs do. A chapter is the
// category of its commands. Every command pays for it: the texts are gone through once.
func readVerbs(texts string, verbs map[string]verb) *command {
	var root, several *command
	chapter := ""
	lists := sync.OnceValue(func() map[string]string { return wordLists(several.Description) })
	whole := func(text string) *command {
		for name := between(text); name != ""; name = between(text) {
			text = strings.ReplaceAll(text, "{"+name+"}", lists()[name])
		}
		return line.ReadText[*call](text, several.Flags)
	}
	for text := range strings.SplitSeq(texts, "\n#") { // before the first stands what the file is
		text, is := strings.CutPrefix(text, "# ")
		switch {
		case !is:
			chapter = strings.TrimSpace(text)
		case root == nil:
			root = line.ReadText[*call](text, nil)
		case several == nil:
			several = line.ReadText[*call](text, nil)
		default:
			cmd := line.ReadLater(text, whole)
			cmd.Category, cmd.Hidden = chapter, chapter == "hidden"
			addVerb(root, cmd, verbs[cmd.Name])
		}
	}
	return root
}

// addVerb adds a command to those of root or, where its name has two words, of another.
func addVerb(root, cmd *command, does verb) {
	cmd.Action, cmd.Least, cmd.Most = does.do, does.least, does.most
	if does.flags != nil {
		cmd.Columns = sync.OnceValue(func() []*line.Flag {
			own := cmd.Whole().Flags
			at := slices.Index(own, nil)
			return slices.Replace(slices.Clone(own), at, at+1, does.flags()...)
		})
	}
	if group, name, sub := strings.Cut(cmd.Name, " "); sub {
		root, cmd.Name = line.Sub(root.Subcommands, group), name
	}
	root.Subcommands = append(root.Subcommands, cmd)
}

// between is what stands in the first braces of a text.
func between(text string) string {
	_, text, _ = strings.Cut(text, "{")
	name, _, _ := strings.Cut(text, "}")
	return name
}

// wordLists are the lists by their names, and what PIECE is.
func wordLists(piece string) map[string]string {
	lists := map[string]string{"piece": piece}
	for name, list := range map[string][]string{
		"grades": store.Grades, "histories": store.Histories, "looks": store.Looks, "tools": dim.Tools, "went": store.WentWords,
		"closed states": store.ClosedStates, "job states": store.JobStates, "seen": store.SeenWords, "seats": store.Seats,
		"ends": spring.Ends(), "plans": spring.Plans(), "families": spring.Families(),
	} {
		lists[name] = strings.Join(list, ", ")
	}
	return lists
}
