package tell

import (
	"fmt"
	"strings"
	"sync"

	"tinful/store"
	"tinful/store/ask"
)

// advices say what to type about a reason or a refusal, by its kind: {0} stands for
// the first of its codes, {1} for the second.
var advices = sync.OnceValue(func() map[store.ReasonKind]string {
	return map[store.ReasonKind]string{
		store.NoPicture:    "; yes under As it is keeps it all the same",
		store.NoJob:        " name it with --job, or take it in hand with on",
		store.NoWhy:        `: --why "..."`,
		store.NoBorrower:   " name them with --to",
		store.NotInto:      `; --anyway --why "..." books it all the same`,
		store.Incomplete:   `; --anyway --why "..." sells it all the same`,
		store.WornGrade:    "; --anyway does it all the same",
		store.NoneInHouse:  "; tinful need {0} looks further",
		store.JobClosed:    `: edit job:{0} --state "in work" opens it again, --anyway books to it all the same`,
		store.JobDone:      `; done {0} --state collected changes its state, edit job:{0} --state "in work" opens it again`,
		store.ToldApart:    `; --anyway --why "..." makes them one all the same`,
		store.HereAlready:  "; --anyway makes a second job of it",
		store.Untold:       " say --tested or --not-tested, and --unused BAG for what was not used",
		store.Stated:       "; goes {0} {1} says otherwise",
		store.NoPrice:      ": tinful edit {0} --price 22.00",
		store.Recounted:    ": import --as-count reads the list as one",
		store.Relisted:     ": tinful move does",
		store.Regraded:     ": tinful grade gives it",
		store.ByItself:     ": tinful same makes it a second name",
		store.NotCounted:   "; take it in without --as-count first",
		store.ThereAlready: ": edit {0}:{1} changes it",
		store.UndoneFirst:  ": tinful undo {0} first",
		store.StandsThere:  "; --replace keeps it under another name and puts the backup there",
		store.NeverStated:  "; write --degree, be it the same, if you know better",
		store.NeverFollows: "; write --degree if you know better",

		store.Unsaid:         ": goes {0} {1} says it",
		store.Forbidden:      "; goes {0} {1} --degree ... says otherwise",
		store.NumberUnknown:  ": goes {0} {1} --from-no ... says it",
		store.ShutterUnknown: ": edit the job with --shutter, then goes {0} says it",
		store.LensUnknown:    ": edit the job with --lens, then goes {0} says it",

		ask.AskAgreed:     ": edit {0} --agreed yes",
		ask.AskShutter:    ": edit {0} --shutter {1}",
		ask.AskLens:       ": edit {0} --lens {1}",
		ask.HeldStill:     ": fit {0}, or done frees it",
		ask.HeldAfter:     ": unhold {0}",
		store.NotedBefore: "; tinful old --job {0} numbers them, and old :1 --returned says what became of one",
		store.NotCut:      ": tinful cut {0} --book",
		store.WasWanted:   ": tinful wants says for whom",
		ask.MoreNever:     ": tinful show {0}",
	}
})

// MayAnyway tells whether what was refused for a reason may be booked all the same, with
// a word that says why.
func MayAnyway(kind store.ReasonKind) bool {
	switch kind {
	case store.NotInto, store.Incomplete, store.WornGrade, store.JobClosed, store.ToldApart, store.HereAlready, store.NoWhy:
		return true
	}
	return false
}

// Advice is what to type about a reason, with the signs that part it from the text;
// empty where there is nothing to type.
func Advice(r store.Reason) string {
	text := advices()[r.Kind]
	for i, c := range r.Codes {
		text = strings.ReplaceAll(text, fmt.Sprintf("{%d}", i), string(c))
	}
	return text
}

// Hinted are reasons in words, each with the command that helps.
func Hinted(list store.Reasons) []string {
	return Each(list, func(r store.Reason) string { return r.Text + Advice(r) })
}
