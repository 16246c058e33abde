package ask

import (
	"cmp"
	"slices"

	"tinful/store"
	"tinful/store/code"
)

// A loans finds since when people have pieces, of many bags at once and in the order in
// which the book lies in the file.
type loans struct {
	who  []string
	read []readLoan
}

// A readLoan is an entry of the nth place in the book of the bag of a loan.
type readLoan struct {
	seq      uint64
	loan, at int32
}

// add asks for the pieces that somebody has of a bag with such a book.
func (l *loans) add(book []uint64, who string) {
	for i, seq := range book {
		l.read = append(l.read, readLoan{seq, int32(len(l.who)), int32(i)})
	}
	l.who = append(l.who, who)
}

// A loan is since when somebody has pieces, and when they should be back: 0 where nobody
// said. It is what was lent last and not taken back.
type loan struct {
	since, due code.Day
	at         int32
}

// find finds what was asked for, in that order.
func (l *loans) find(v *reader) []loan {
	slices.SortFunc(l.read, func(a, b readLoan) int { return cmp.Or(cmp.Compare(a.seq, b.seq), cmp.Compare(a.loan, b.loan)) })
	seqs := make([]uint64, len(l.read))
	for i, r := range l.read {
		seqs[i] = r.seq
	}
	out, next := make([]loan, len(l.who)), l.read
	v.keep(v.Moments(seqs, func(e store.Entry) {
		r := next[0]
		next = next[1:]
		if x := &out[r.loan]; e.What == store.Lent && e.To == l.who[r.loan] && e.Undoes == 0 && r.at >= x.at && !v.Undone(e.Booking) {
			*x = loan{e.Day, e.Due, r.at}
		}
	}))
	return out
}
