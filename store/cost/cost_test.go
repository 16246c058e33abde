package cost

import (
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

func TestProportional(t *testing.T) {
	tests := []struct {
		name    string
		total   int64
		weights []int64
		want    []int64
		source  string
	}{
		{"sales value", 300000, []int64{120000, 360000}, []int64{75000, 225000}, "AICPA question on a sawmill, worked answer"},
		{"physical measure", 300000, []int64{60000, 90000}, []int64{120000, 180000}, "the same sawmill, by units"},
		{"cheese and whey, only what sells", 1000, []int64{900, 300}, []int64{750, 250}, "CMA question, worked answer"},
		{"a percentage is not rounded first", 14448000, []int64{585000, 365300}, []int64{8894118, 5553882}, "test bank on skim goat ice cream: 88,942 and 55,538 there, by a rounded per cent; exact by Python 3.11 fractions"},
		{"two products", 100000, []int64{65000, 55000}, []int64{54167, 45833}, "exercise on joint cost, worked answer"},
		{"property", 25000, []int64{15000, 10000}, []int64{15000, 10000}, "26 CFR 1.61-6(a), example 2: sold for 20,000 after 2,000 depreciation, gain 7,000"},
		{"seats", 7, []int64{50, 30, 20}, []int64{4, 2, 1}, "largest remainder: quotas 3.5, 2.1, 1.4"},
		{"a hundred in three", 10000, []int64{1, 1, 1}, []int64{3334, 3333, 3333}, "by hand, ties to the earlier line"},
		{"one in six", 100, []int64{1, 1, 1, 1, 1, 1}, []int64{17, 17, 17, 17, 16, 16}, "by hand: 6·16 = 96, four left"},
		{"99.99 in four", 9999, []int64{25, 25, 25, 25}, []int64{2500, 2500, 2500, 2499}, "by hand: 4·2499 = 9996, three left"},
		{"a camera", 12000, []int64{65, 45, 25, 35, 18, 5}, []int64{4042, 2798, 1554, 2176, 1119, 311}, "Python 3.11 fractions"},
		{"larger than 64 bits in between", 1_000_000_000_000, []int64{1_000_000_000_000, 3_000_000_000_000}, []int64{250_000_000_000, 750_000_000_000}, "by hand: a quarter and three quarters"},
		{"no weight", 100, []int64{0, 0}, []int64{0, 0}, "by hand"},
		{"nothing to share", 0, []int64{1, 2}, []int64{0, 0}, "by hand"},
	}
	for _, tt := range tests {
		if diff := cmp.Diff(tt.want, Proportional(tt.total, tt.weights)); diff != "" {
			t.Errorf("%s (%s):\n%s", tt.name, tt.source, diff)
		}
	}
}

// gain of the regulation's example: 20,000 less what is left of the share.
func TestRegulation(t *testing.T) {
	share := Proportional(25000, []int64{15000, 10000})[0]
	if gain := 20000 - (share - 2000); gain != 7000 {
		t.Errorf("gain %d, want 7000 (26 CFR 1.61-6(a), example 2)", gain)
	}
}

// lines makes lines that work for certain.
func lines(values ...int64) (out []Line) {
	for _, v := range values {
		out = append(out, Line{Value: v, Chance: Sure})
	}
	return out
}

func TestShare(t *testing.T) {
	gallons := []Line{{Value: 3200 * 210, Further: 3200 * 70, Chance: Sure}, {Value: 3700 * 540, Further: 3700 * 110, Chance: Sure}, {Value: 2000 * 620, Further: 2000 * 150, Chance: Sure}}
	dairy := []Line{{Value: 500000, Further: 280000, Chance: Sure}, {Value: 1100000, Further: 520000, Chance: Sure}}
	screws := Line{Value: 400, Chance: Sure, ByProduct: true}
	camera := lines(6500, 4500, 2500, 3500, 1800, 500)
	doubtful := []Line{{Value: 10000, Chance: 50}, {Value: 5000, Chance: Sure}}
	tests := []struct {
		name   string
		price  int64
		lines  []Line
		want   Split
		source string
	}{
		{"net realisable value", 12300, gallons, Split{Shares: []int64{1850, 6569, 3881}, Net: 448000 + 1591000 + 940000}, "managerial accounting exercise, three products, worked answer"},
		{"net realisable value, dairy", 400000, dairy, Split{Shares: []int64{110000, 290000}, Net: 800000}, "Horngren, Cost Accounting, joint costs (from memory)"},
		{"camera", 12000, camera, Split{Shares: []int64{4042, 2798, 1554, 2176, 1119, 311}, Net: 19300}, "Python 3.11 fractions"},
		{"camera, screws first", 12000, append([]Line{screws}, camera...), Split{Shares: []int64{400, 3907, 2705, 1502, 2104, 1082, 300}, ByProduct: 400, Net: 19700}, "IAS 2 paragraph 14; Python 3.11 fractions"},
		{"half a chance is half a value", 1000, doubtful, Split{Shares: []int64{500, 500}, Net: 10000}, "by hand: 100·0.5 = 50"},
		{"it cost more than it fetches", 12000, lines(5000, 4500), Split{Shares: []int64{6316, 5684}, Net: 9500, Loss: 2500}, "by hand: 120·50/95 = 63.158, 120·45/95 = 56.842"},
		{"by-products of more than the price", 300, append(lines(1000), screws), Split{Shares: []int64{0, 300}, ByProduct: 300, Net: 1400}, "by hand: 4.00 of screws, 3.00 paid"},
		{"nothing but by-products", 300, []Line{screws, screws}, Split{Shares: []int64{150, 150}, ByProduct: 300, Net: 800}, "by hand"},
		{"no values", 100, []Line{{}, {}, {}}, Split{Shares: []int64{34, 33, 33}, Loss: 100, ByCount: true}, "by hand: equal shares"},
		{"no values, by pieces", 300, []Line{{Count: 2}, {Count: 1}, {}}, Split{Shares: []int64{200, 100, 0}, Loss: 300, ByCount: true}, "by hand: two of three pieces"},
		{"dearer to mend than it fetches", 100, []Line{{Value: 100, Further: 200, Chance: Sure}, {Value: 50, Chance: Sure}}, Split{Shares: []int64{0, 100}, Net: 50, Loss: 50}, "by hand: not below 0"},
		{"no lines", 100, nil, Split{Shares: []int64{}, Loss: 100}, "by hand"},
	}
	for _, tt := range tests {
		if diff := cmp.Diff(tt.want, Share(tt.price, tt.lines)); diff != "" {
			t.Errorf("%s (%s):\n%s", tt.name, tt.source, diff)
		}
	}
}

// The shares of any price add up to it, none is below 0, and each is within a
// cent of its exact quota.
func TestAddsUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		total := rapid.Int64Range(0, 1_000_000).Draw(t, "total")
		weights := rapid.SliceOfN(rapid.Int64Range(0, 100_000), 1, 20).Draw(t, "weights")
		sum, all := int64(0), int64(0)
		for _, w := range weights {
			all += w
		}
		if all == 0 {
			return
		}
		for i, s := range Proportional(total, weights) {
			if exact := float64(total) * float64(weights[i]) / float64(all); float64(s) < exact-1 || float64(s) > exact+1 {
				t.Fatalf("share %d of weight %d, exactly %v", s, weights[i], exact)
			}
			sum += s
		}
		if sum != total {
			t.Fatalf("the shares add up to %d of %d", sum, total)
		}
	})
}
