package tell

import (
	"fmt"
	"slices"
	"strings"
	"time"
	"unsafe"

	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
	"tinful/store/words"
)

// Commas joins names by commas alone.
func Commas[S ~string](list []S) string { return words.List(list, ", ") }

// Each is what fn makes of every item of a list.
func Each[A, B any](list []A, fn func(A) B) []B {
	out := make([]B, 0, len(list))
	for _, x := range list {
		out = append(out, fn(x))
	}
	return out
}

// Pieces are short texts in few long ones, for a list that has very many.
type Pieces struct {
	b    strings.Builder
	once []byte
}

// Once is some texts in one, which is good until the next.
func (p *Pieces) Once(texts ...string) string {
	p.once = p.once[:0]
	for _, text := range texts {
		p.once = append(p.once, text...)
	}
	return unsafe.String(unsafe.SliceData(p.once), len(p.once))
}

// Join is some texts in one.
func (p *Pieces) Join(texts ...string) string {
	size := 0
	for _, text := range texts {
		size += len(text)
	}
	if p.b.Cap()-p.b.Len() < size {
		p.b = strings.Builder{}
		p.b.Grow(max(1<<12, size))
	}
	from := p.b.Len()
	for _, text := range texts {
		p.b.WriteString(text)
	}
	return p.b.String()[from:]
}

// Filled are the texts that are not empty.
func Filled(texts ...string) []string {
	return slices.DeleteFunc(texts, func(s string) bool { return s == "" })
}

// Many is a number of things in words: 1 bag, 2 bags.
func Many[N int | int64](n N, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// Free is how many pieces are free, as people read a sum in which some are not
// counted: 7 free, about 20 free, 5 of them counted.
func Free(n, counted int64, about bool, bags []ask.BagLine) string {
	text := store.Amount(n, UnitIn(bags), about) + " free"
	if about && counted > 0 {
		text += fmt.Sprintf(", %s of them counted", store.Amount(counted, UnitIn(bags), false))
	}
	return text
}

// UnitIn is what the pieces in bags of a part are counted in: mm where they are sold by length.
func UnitIn(bags []ask.BagLine) string {
	if len(bags) == 0 {
		return ""
	}
	return bags[0].Unit
}

// Money is an amount, empty where it is not known.
func Money(c *code.Cents) string {
	if c == nil {
		return ""
	}
	return c.String()
}

// Instant is a time as JSON has it, RFC 3339 in UTC, empty for none.
func Instant(seconds int64) string {
	if seconds == 0 {
		return ""
	}
	return time.Unix(seconds, 0).UTC().Format(time.RFC3339)
}

// Known leaves out of an answer what is unknown or empty: nil, "" and day 0. A
// number or boolean that is known stays, 0 and false too.
func Known(answer map[string]any) map[string]any {
	for k, x := range answer {
		switch x := x.(type) {
		case string:
			if x == "" {
				delete(answer, k)
			}
		case code.Code:
			if x == "" {
				delete(answer, k)
			}
		case code.Day:
			answer[k] = x.String()
			if x == 0 {
				delete(answer, k)
			}
		case *code.Cents:
			if x == nil {
				delete(answer, k)
			} else {
				answer[k] = int64(*x)
			}
		case *int64:
			if x == nil {
				delete(answer, k)
			}
		case []string:
			if len(x) == 0 {
				delete(answer, k)
			}
		case []code.Code:
			if len(x) == 0 {
				delete(answer, k)
			}
		case nil:
			delete(answer, k)
		}
	}
	return answer
}
