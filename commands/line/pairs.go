package line

import (
	"slices"
	"strings"
)

// A Pair is one thing of a booking line with its number and its check words.
type Pair struct {
	Token string   // as typed: b230, bag:704, :2
	Qty   string   // as typed, empty when no number is given
	Check []string // words that must be words of the part
	Line  int      // of the lines it was read from, 0 for an argument
}

// ParsePairs reads the arguments of a booking (`fit b230 2 b231`).
//
// The first argument is a thing, and so is every later one that is code-like: it
// holds a digit or a colon and is made of letters, digits, - . / and colons. :2 is
// line 2 of the last answer and a thing like any other.
//
// A quantity right after a thing is its number: digits, a number "about" (c20,
// ca.20, ~20, 20~), pieces or a length with their unit (2pc, 40cm, 4m, 0.4m), also in two
// words (ca. 20, 40 cm), quoted or not.
// c20 could be a code as well: right after a thing it is a quantity, elsewhere a
// thing. `b230=2` says the same in one word. A thing whose code is all digits is
// written bag:704, for 704 alone is a number. Whether the number is one is for
// code.ParseQty to say.
//
// Every other word after a thing is a check word (`fit b230 cheese`). A number
// behind a check word, and a second number, are usage errors.
func ParsePairs(args []string) ([]Pair, error) {
	var pairs []Pair
	for i := 0; i < len(args); i++ {
		qty, used := QuantityAt(args[i:])
		if used > 0 && (len(pairs) == 0 || !fresh(pairs)) && IsCode(args[i]) && !IsNumber(args[i]) {
			used = 0 // c20, 4m: a thing unless it stands right after one
		}
		switch {
		case used > 0:
			if err := setQty(pairs, qty); err != nil {
				return nil, err
			}
			i += used - 1
		case len(pairs) == 0 || IsCode(args[i]) || strings.Contains(args[i], "="):
			p, err := newPair(args[i])
			if err != nil {
				return nil, err
			}
			pairs = append(pairs, p)
		default:
			last := &pairs[len(pairs)-1]
			last.Check = append(last.Check, args[i])
		}
	}
	return pairs, nil
}

// fresh tells whether the last thing has neither a number nor a word yet.
func fresh(pairs []Pair) bool {
	last := pairs[len(pairs)-1]
	return last.Qty == "" && last.Check == nil
}

// setQty gives the last thing its number.
func setQty(pairs []Pair, qty string) error {
	if len(pairs) == 0 {
		return Usagef("%s is a number and stands after no code: a bag whose code is all digits is written bag:%s", qty, qty)
	}
	last := &pairs[len(pairs)-1]
	if last.Check != nil {
		return Usagef("%s stands after a word: write the number right after the code, %s %s", qty, last.Token, qty)
	}
	if last.Qty != "" {
		return Usagef("%s has two numbers, %s and %s: a bag whose code is all digits is written bag:%s", last.Token, last.Qty, qty, qty)
	}
	last.Qty = qty
	return nil
}

// newPair reads a thing, or a thing with its number behind "=".
func newPair(arg string) (Pair, error) {
	token, qty, has := strings.Cut(arg, "=")
	if !has {
		return Pair{Token: arg}, nil
	}
	if _, used := QuantityAt([]string{qty}); token == "" || used == 0 {
		return Pair{}, Usagef("%q is no code and number: write it like b230=2", arg)
	}
	return Pair{Token: token, Qty: qty}, nil
}

// units are what may stand behind a number of pieces or a length.
var units = []string{"mm", "cm", "m", "pc"}

// QuantityAt reads the quantity that words begin with and says how many words it
// is, 0 for none.
func QuantityAt(words []string) (qty string, used int) {
	if parts := strings.Fields(words[0]); len(parts) == 2 { // quoted: "ca. 20"
		_, used := QuantityAt(parts)
		return words[0], used / 2
	}
	first := strings.ToLower(words[0])
	next := ""
	if len(words) > 1 {
		next = strings.ToLower(words[1])
	}
	switch {
	case IsNumber(first) && slices.Contains(units, next):
		return words[0] + " " + words[1], 2
	case (first == "ca." || first == "ca" || first == "c" || first == "~" || first == "about") && IsNumber(next):
		return words[0] + " " + words[1], 2
	case IsNumber(first):
		return words[0], 1
	}
	bare := strings.TrimSuffix(first, "~")
	for _, about := range []string{"~", "ca.", "ca", "c."} {
		bare = strings.TrimPrefix(bare, about)
	}
	bare = strings.TrimPrefix(bare, "c")
	for _, unit := range units {
		if number, ok := strings.CutSuffix(bare, unit); ok {
			bare = number
			break
		}
	}
	if IsNumber(bare) {
		return words[0], 1
	}
	return "", 0
}

// IsNumber tells whether a word is digits, perhaps with a sign and one decimal
// point or comma. -3 is a number too, so that the refusal can say what is wrong.
func IsNumber(s string) bool {
	s = strings.TrimLeft(s, "+-")
	whole, rest, _ := strings.Cut(strings.Replace(s, ",", ".", 1), ".")
	return whole+rest != "" && strings.Trim(whole+rest, "0123456789") == ""
}

// IsCode tells whether a word may be a code: letters, digits, - . / and colons,
// with at least one digit or a colon, and a letter, digit or colon first.
func IsCode(s string) bool {
	marked := false
	for i, r := range s {
		switch {
		case r >= '0' && r <= '9', r == ':':
			marked = true
		case r >= 'a' && r <= 'z', r >= 'A' && r <= 'Z':
		case i > 0 && (r == '-' || r == '.' || r == '/'):
		default:
			return false
		}
	}
	return marked
}
