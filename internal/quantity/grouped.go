package quantity

import (
	"strconv"
	"strings"
)

// Grouped prints a number with so many decimals and its thousands apart, as
// 12,345.6; there is no negative zero. It is for reading, and does not read back.
func Grouped(v float64, decimals int) string {
	text := strconv.FormatFloat(v, 'f', decimals, 64)
	if strings.Trim(text, "-0.") == "" {
		text = strings.TrimPrefix(text, "-") // no negative zero
	}
	whole, fraction, _ := strings.Cut(text, ".")
	sign := ""
	if strings.HasPrefix(whole, "-") {
		sign, whole = "-", whole[1:]
	}
	var b strings.Builder
	for i, digit := range whole {
		if i > 0 && (len(whole)-i)%3 == 0 {
			b.WriteByte(',')
		}
		b.WriteRune(digit)
	}
	if fraction != "" {
		fraction = "." + fraction
	}
	return sign + b.String() + fraction
}
