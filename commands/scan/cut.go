package scan

// A shot is a picture in black and white.
type shot struct {
	w, h int
	dark []bool
}

// at says whether a pixel is dark; what lies outside of the picture is not.
func (s *shot) at(x, y int) bool {
	return x >= 0 && y >= 0 && x < s.w && y < s.h && s.dark[y*s.w+x]
}

// cell is how many pixels a side are weighed together, and flat how many levels of grey
// one spans in which nothing is drawn.
const (
	cell = 8
	flat = 24
)

// nearby cuts each pixel at the mean grey of 5 by 5 cells around it, so that a shadow over
// a part of the picture does no harm. A picture that is smaller than that is cut as [whole]
// does.
func nearby(grey []byte, w, h int) *shot {
	if w < 5*cell || h < 5*cell {
		return whole(grey, w, h)
	}
	cw, ch := (w+cell-1)/cell, (h+cell-1)/cell
	means := make([]int, cw*ch)
	for cy := range ch {
		for cx := range cw {
			x0, y0 := min(cx*cell, w-cell), min(cy*cell, h-cell)
			sum, low, high := 0, 255, 0
			for y := y0; y < y0+cell; y++ {
				for _, g := range grey[y*w+x0 : y*w+x0+cell] {
					sum, low, high = sum+int(g), min(low, int(g)), max(high, int(g))
				}
			}
			mean := sum / (cell * cell)
			if high-low <= flat {
				// All light, unless what lies to the left and above was cut higher: all dark.
				mean = low / 2
				if cx > 0 && cy > 0 {
					if m := (means[(cy-1)*cw+cx] + 2*means[cy*cw+cx-1] + means[(cy-1)*cw+cx-1]) / 4; low < m {
						mean = m
					}
				}
			}
			means[cy*cw+cx] = mean
		}
	}
	s := &shot{w, h, make([]bool, w*h)}
	for y := range h {
		top := min(max(y/cell-2, 0), ch-5)
		for cx := range cw {
			left := min(max(cx-2, 0), cw-5)
			cut := 0
			for i := range 25 {
				cut += means[(top+i/5)*cw+left+i%5]
			}
			for x := cx * cell; x < min(cx*cell+cell, w); x++ {
				s.dark[y*w+x] = int(grey[y*w+x]) <= cut/25
			}
		}
	}
	return s
}

// whole cuts all pixels at the one grey that parts them best: where the means of both sides
// lie furthest from each other for their numbers (Otsu 1979).
func whole(grey []byte, w, h int) *shot {
	var count [256]float64
	sum := 0.0
	for _, g := range grey {
		count[g]++
		sum += float64(g)
	}
	cut, best := 0, 0.0
	n, below := 0.0, 0.0
	for g := range count {
		n += count[g]
		below += count[g] * float64(g)
		if rest := float64(len(grey)) - n; n > 0 && rest > 0 {
			apart := below/n - (sum-below)/rest
			if by := n * rest * apart * apart; by > best {
				cut, best = g, by
			}
		}
	}
	s := &shot{w, h, make([]bool, w*h)}
	for i, g := range grey {
		s.dark[i] = best > 0 && int(g) <= cut
	}
	return s
}
