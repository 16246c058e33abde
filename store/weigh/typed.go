package weigh

import (
	"fmt"
	"strconv"
	"strings"
)

// ParseGrams reads grams, with or without g, as micrograms.
func ParseGrams(text string) (int64, error) {
	t := bare(text)
	n, err := strconv.ParseFloat(strings.Replace(t, ",", ".", 1), 64)
	if err != nil || n < 0 || n > 1e6 || strings.Trim(t, "0123456789.,") != "" {
		return 0, fmt.Errorf("%q is no mass in grams: write 0.94", text)
	}
	return int64(n*1e6 + 0.5), nil
}

// LastDigit is what the last digit of a weight stands for, in micrograms.
func LastDigit(text string) int64 {
	_, decimals, _ := strings.Cut(strings.Replace(bare(text), ",", ".", 1), ".")
	d := int64(1_000_000)
	for range min(len(decimals), 6) {
		d /= 10
	}
	return d
}

// bare is a weight without its g.
func bare(text string) string {
	return strings.TrimSpace(strings.TrimSuffix(strings.ToLower(strings.TrimSpace(text)), "g"))
}
