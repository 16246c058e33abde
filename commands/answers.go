package commands

import (
	"time"

	"tinful/store"
	"tinful/store/code"
)

// full leaves out of an answer what is unknown or empty: nil, "" and day 0. A
// number or boolean that is known stays, 0 and false too.
func full(answer map[string]any) map[string]any {
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

// orNothing is no error where something was found, else that nothing was, which
// JSON says by its empty list alone.
func (c *call) orNothing(found bool, sentence string) error {
	switch {
	case found:
		return nil
	case c.JSON():
		return silentError(exitNotFound)
	}
	return store.Absent("%s", sentence)
}

// told keeps the numbered things of an answer, if there are any, and prints it: as
// JSON, or by print.
func (c *call) told(numbered []string, answer any, print func()) error {
	if len(numbered) > 0 {
		c.keepAnswer(numbered)
	}
	if c.JSON() {
		return c.printJSON(answer)
	}
	print()
	return nil
}

// bagAnswer is a bag as JSON: quantity is what is on hand.
func bagAnswer(b store.Bag, st store.State) map[string]any {
	a := full(map[string]any{
		"bag": b.Code, "part": b.Part, "origin": b.Origin, "quantity": st.OnHand(), "on_hand": st.OnHand(), "free": freeOf(b, st),
		"held": st.Held(), "lent": st.Lent(), "unit": b.Unit, "about": st.About, "grade": st.Grade, "place": st.Place,
		"owner": b.Owner, "looks": b.Looks, "number": b.Number, "goes_with": b.GoesWith, "cost_cents": b.Cost, "booked": b.Booked, "note": b.Note,
		"material": b.Material, "pattern": b.Pattern,
	})
	if b.Minutes != 0 {
		a["minutes"] = b.Minutes
	}
	return a
}

// freeOf is what may be taken from a bag: nothing where its part is not known.
func freeOf(b store.Bag, st store.State) int64 {
	if b.Part == "" {
		return 0
	}
	return st.Free()
}

// instant is a time as JSON has it, RFC 3339 in UTC, empty for none.
func instant(seconds int64) string {
	if seconds == 0 {
		return ""
	}
	return time.Unix(seconds, 0).UTC().Format(time.RFC3339)
}
