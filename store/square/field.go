package square

// The field of 256 elements that ISO/IEC 18004 corrects with: x^8 + x^4 + x^3 + x^2 + 1,
// of which 2 makes every element but zero.

func times(a, b byte) (p byte) {
	for ; b > 0; b >>= 1 {
		if b&1 == 1 {
			p ^= a
		}
		high := a >> 7
		a = a<<1 ^ high*0x1d
	}
	return p
}

// power is 2 to the power n, which may be more than 255.
func power(n int) byte {
	p := byte(1)
	for range n % 255 {
		p = times(p, 2)
	}
	return p
}

// inverse is what a times is one; a is not zero.
func inverse(a byte) byte {
	p := byte(1)
	for range 254 {
		p = times(p, a)
	}
	return p
}

// generator are the factors of the polynomial that n bytes of correction are a remainder
// of, the highest, which is one, left out.
func generator(n int) []byte {
	g := make([]byte, n)
	g[n-1] = 1
	root := byte(1)
	for range n {
		for j := range g {
			g[j] = times(g[j], root)
			if j+1 < n {
				g[j] ^= g[j+1]
			}
		}
		root = times(root, 2)
	}
	return g
}

// correction is the remainder of data by a generator.
func correction(data, gen []byte) []byte {
	rest := make([]byte, len(gen))
	for _, b := range data {
		factor := b ^ rest[0]
		copy(rest, rest[1:])
		rest[len(rest)-1] = 0
		for i, g := range gen {
			rest[i] ^= times(g, factor)
		}
	}
	return rest
}

// correct puts right what is wrong in a block, the last n bytes of which are its
// correction: up to half of n bytes. It says whether that was few enough.
func correct(block []byte, n int) bool {
	signs := syndromes(block, n)
	if signs == nil {
		return true
	}
	// The shortest recurrence that makes the signs (Berlekamp, Massey): where its
	// polynomial is zero something is wrong.
	where, before := []byte{1}, []byte{1}
	wrong, since, last := 0, 1, byte(1)
	for i := range n {
		d := signs[i]
		for j := 1; j <= wrong && j < len(where); j++ {
			d ^= times(where[j], signs[i-j])
		}
		if d == 0 {
			since++
			continue
		}
		next := append([]byte(nil), where...)
		for len(next) < len(before)+since {
			next = append(next, 0)
		}
		f := times(d, inverse(last))
		for j, b := range before {
			next[j+since] ^= times(f, b)
		}
		if 2*wrong <= i {
			wrong, before, last, since = i+1-wrong, where, d, 0
		}
		where = next
		since++
	}
	if 2*wrong > n {
		return false
	}
	// How far each is off (Forney): the product of both polynomials by the derivative.
	product := make([]byte, n)
	for i := range product {
		for j := 0; j <= i && j < len(where); j++ {
			product[i] ^= times(where[j], signs[i-j])
		}
	}
	found := 0
	for i := range block {
		x := power(255 - (len(block)-1-i)%255)
		if at(where, x) != 0 {
			continue
		}
		slope := byte(0)
		for j := 1; j < len(where); j += 2 {
			slope ^= times(where[j], raised(x, j-1))
		}
		if slope == 0 {
			return false
		}
		block[i] ^= times(times(at(product, x), inverse(slope)), inverse(x))
		found++
	}
	return found == wrong && syndromes(block, n) == nil
}

// syndromes are the values of a block at the zeros of its generator, nil where all are
// zero: nothing is wrong then.
func syndromes(block []byte, n int) []byte {
	signs, some := make([]byte, n), false
	for i := range signs {
		x, s := power(i), byte(0)
		for _, b := range block {
			s = times(s, x) ^ b
		}
		signs[i], some = s, some || s != 0
	}
	if !some {
		return nil
	}
	return signs
}

// at is the value of a polynomial, its lowest factor first.
func at(p []byte, x byte) (v byte) {
	for i := len(p) - 1; i >= 0; i-- {
		v = times(v, x) ^ p[i]
	}
	return v
}

func raised(x byte, n int) byte {
	p := byte(1)
	for range n {
		p = times(p, x)
	}
	return p
}
