package ask

import (
	"tinful/store"
	"tinful/store/code"
)

// A loans finds since when people have pieces, of many bags at once and in the order in
// which the book lies in the file.
type loans struct {
	who  []string
	read pile[readLoan]
}

// A readLoan is the entry of the nth place in the book of the bag of a loan.
type readLoan struct {
	seq      uint64
	loan, at int32
}

// add asks for the pieces that somebody has of a bag with such a book.
func (l *loans) add(book []uint64, who string) {
	for i, seq := range book {
		l.read.add(readLoan{seq, int32(len(l.who)), int32(i)})
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
	order := make([]code.Ranked, l.read.len())
	for i, r := range l.read.all() {
		order[i] = code.Ranked{By: r.seq, At: int32(i)}
	}
	code.Rank(order)
	seqs := make([]uint64, len(order))
	for i, r := range order {
		seqs[i] = r.By
	}
	out := make([]loan, len(l.who))
	var booking uint64
	undone := false
	v.keep(v.Moments(seqs, store.Lent, func(n int, e store.Entry) {
		r := l.read.at(int(order[n].At))
		if e.Booking != booking {
			booking, undone = e.Booking, v.Undone(e.Booking)
		}
		if x := &out[r.loan]; e.To == l.who[r.loan] && e.Undoes == 0 && r.at >= x.at && !undone {
			*x = loan{e.Day, e.Due, r.at}
		}
	}))
	return out
}
