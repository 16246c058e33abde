package square

import (
	"errors"
	"math/bits"
	"strings"
)

// ErrUnread is returned for modules that are no code, or of which too much is lost.
var ErrUnread = errors.New("the square code cannot be read")

// Text is what a code says. What is written in a kind of text that our own codes do not
// have stands as question marks. The error is [ErrUnread].
func (c *Code) Text() (string, error) {
	v := version((c.N - 17) / 4)
	if v < 1 || v > 40 || v.side() != c.N {
		return "", ErrUnread
	}
	l, mask, ok := v.readFormat(c)
	if !ok {
		return "", ErrUnread
	}
	_, taken := v.frame()
	all, n := make([]byte, v.bytes()), 0
	path(taken, func(x, y int) {
		if n/8 < len(all) && c.Dark(x, y) != masked(mask, x, y) {
			all[n/8] |= 1 << (7 - n%8)
		}
		n++
	})
	data, ok := v.parted(all, l)
	if !ok {
		return "", ErrUnread
	}
	return v.text(data)
}

// readFormat is the level and the mask, of 32 the one that is nearest to either of the two
// places where they stand. No more than three bits may be wrong.
func (v version) readFormat(c *Code) (l Level, mask int, ok bool) {
	var seen [2]int
	for i := range 15 {
		for k, at := range v.formatAt(i) {
			if c.Dark(at[0], at[1]) {
				seen[k] |= 1 << i
			}
		}
	}
	least := 4
	for level := L; level <= H; level++ {
		for m := range 8 {
			for _, s := range seen {
				if off := bits.OnesCount(uint(s ^ format(level, m))); off < least {
					l, mask, least = level, m, off
				}
			}
		}
	}
	return l, mask, least < 4
}

// parted are the bytes of data in order, what was wrong put right.
func (v version) parted(all []byte, l Level) (data []byte, ok bool) {
	n, short, least, extra := v.layout(l)
	parts := make([][]byte, n)
	for i := range least + 1 {
		for k := range parts {
			if i < least || k >= short {
				parts[k], all = append(parts[k], all[0]), all[1:]
			}
		}
	}
	for i, b := range all {
		parts[i%n] = append(parts[i%n], b)
	}
	for _, p := range parts {
		if !correct(p, extra) {
			return nil, false
		}
		data = append(data, p[:len(p)-extra]...)
	}
	return data, true
}

// A reader takes numbers apart bit by bit. It is short where more was asked for than there is.
type reader struct {
	in    []byte
	n     int
	short bool
}

func (r *reader) get(n int) (x int) {
	if r.n+n > 8*len(r.in) {
		r.n, r.short = 8*len(r.in), true
		return 0
	}
	for range n {
		x = x<<1 | int(r.in[r.n/8]>>(7-r.n%8)&1)
		r.n++
	}
	return x
}

func (v version) text(data []byte) (string, error) {
	r, out := &reader{in: data}, strings.Builder{}
	for 8*len(data)-r.n >= 4 && !r.short {
		switch kind := r.get(4); kind {
		case 0:
			return out.String(), nil
		case digits, signs, bytesKind, 8:
			r.segment(&out, kind, r.get(v.lengthBits(kind)))
		case 3: // one of several codes
			r.get(16)
		case 5: // what numbers of goods begin with
		case 9:
			r.get(8)
		case 7: // how letters are written: a number of one to three bytes
			switch b := r.get(8); {
			case b>>7 == 0:
			case b>>6 == 2:
				r.get(8)
			default:
				r.get(16)
			}
		default:
			return "", ErrUnread
		}
	}
	if r.short {
		return "", ErrUnread
	}
	return out.String(), nil
}

// segment reads n letters of a kind.
func (r *reader) segment(out *strings.Builder, kind, n int) {
	for n > 0 && !r.short {
		switch kind {
		case digits:
			k := min(n, 3)
			x := r.get(textBits(digits, k))
			for _, by := range []int{100, 10, 1}[3-k:] {
				out.WriteByte(letters[x/by%10])
			}
			n -= k
		case signs:
			if n == 1 {
				out.WriteByte(letters[r.get(6)%45])
			} else {
				x := r.get(11)
				out.WriteByte(letters[x/45%45])
				out.WriteByte(letters[x%45])
			}
			n -= min(n, 2)
		case bytesKind:
			out.WriteByte(byte(r.get(8)))
			n--
		default:
			r.get(13)
			out.WriteByte('?')
			n--
		}
	}
}
