package store

// A QuestionKind is what a question asks for.
type QuestionKind string

// What a booking may have to ask.
const (
	AskShutter     QuestionKind = "shutter"     // the model of shutter a camera carries
	AskLens        QuestionKind = "lens"        // the model of lens it carries
	AskAccessories QuestionKind = "accessories" // what came with it, in words
	AskAgreed      QuestionKind = "agreed"      // are used or made parts agreed to
	AskPromised    QuestionKind = "promised"    // the day it is promised for
	AskHistory     QuestionKind = "history"     // what a parts camera went through
	AskTested      QuestionKind = "tested"      // what became of a fitted piece
	AskWent        QuestionKind = "went"        // how pieces went in of which that is not known
	AskClock       QuestionKind = "clock"       // whether a clock far ahead of the book is right
)

// A Question is what a booking wants to know of a person, as data: a line asks it on
// a terminal, a page in a form. No answer leaves it open.
type Question struct {
	What   QuestionKind
	Pieces []Piece  // the fitted pieces it is about, none for the camera itself
	Words  []string // what answers it; where it is text, a model or a day, what may be meant
	Known  string   // what is taken without an answer, empty for nothing
}

// Tested, PutIn and Unused are the answers to [AskTested].
const (
	Tested = "tested"
	PutIn  = "put in"
	Unused = "unused"
)

// AnswerOf is what an answer to [AskTested] says of a piece; false for any other word.
func AnswerOf(word string) (Answer, bool) {
	a, known := map[string]Answer{Tested: {Evidence: "run"}, PutIn: {Evidence: "tried"}, Unused: {Unused: true}}[word]
	return a, known
}

// WentWords are the answers to [AskWent], each for one of its pieces: it went
// straight in, it was only looked at, or the degree in which it goes.
var WentWords = []string{"direct", "looked", "rework", "looks-wrong", "matched", "unit"}
