// Package text makes every word, unit and rounding that a maker reads. The engine and the
// formats give codes, numbers and typed errors; here they become sentences, for the window
// and the command alike. There is no widget in it.
//
// What is shown is rounded, what is saved never is.
package text

import (
	"math"
	"math/big"
	"strconv"
	"strings"

	"scantling/engine/ratio"
)

// nbsp keeps a number together with its unit and its groups of digits.
const nbsp = "\u00a0"

// None stands where there is no value.
const None = "–"

// Factor is a factor to four significant digits: "×0.2350".
func Factor(f ratio.Factor) string {
	if !f.Known() {
		return None
	}
	return "×" + f.String()
}

// Percent is a factor in per cent, to the same digits as Factor: "23.50 %".
func Percent(f ratio.Factor) string {
	if !f.Known() {
		return None
	}
	hundredfold, err := ratio.NewFactor(new(big.Rat).Mul(f.Rat(), big.NewRat(100, 1)))
	if err != nil { // cannot be: a factor is positive
		return None
	}
	return hundredfold.String() + " %"
}

// Ratio writes a ratio as ISO 5455 does: "1:48", "1:87.1", "2:1".
func Ratio(r ratio.Ratio) string {
	if !r.Known() {
		return None
	}
	return r.String()
}

// Headline is the factor in its three spellings: "×0.2350", "23.50 %  ·  1:48". The second
// has no ratio while the native ratio is not known.
func Headline(f ratio.Factor, target ratio.Ratio) (factor, rest string) {
	if !target.Known() {
		return Factor(f), Percent(f)
	}
	return Factor(f), Percent(f) + "  ·  " + Ratio(target)
}

// Number is a whole number, in groups of three from 10 000 up.
func Number(n int) string { return grouped(strconv.Itoa(n)) }

// Count is a number of things: "1 part", "3 parts".
func Count(n int, one, many string) string {
	if n == 1 {
		return "1" + nbsp + one
	}
	return Number(n) + nbsp + many
}

// Triangles counts triangles.
func Triangles(n int) string { return Count(n, "triangle", "triangles") }

// Parts counts parts.
func Parts(n int) string { return Count(n, "part", "parts") }

// Quantity is how many of a part the kit needs: "×4".
func Quantity(n int) string { return "×" + strconv.Itoa(n) }

// Bytes is an amount of data in decimal units: "412 B", "1.2 MB".
func Bytes(n int64) string {
	if n < 1000 {
		return strconv.FormatInt(n, 10) + nbsp + "B"
	}
	f := float64(n)
	for _, unit := range []string{"kB", "MB", "GB", "TB"} {
		f /= 1000
		if f < 999.5 || unit == "TB" {
			return trimZeros(strconv.FormatFloat(f, 'f', decimals(f, 2, 1), 64)) + nbsp + unit
		}
	}
	return ""
}

// Share is a part of a whole in whole per cent; it says 100 % only when all is done.
func Share(f float64) string {
	if !(f > 0) {
		return "0 %"
	}
	return strconv.Itoa(int(min(f, 1)*100)) + " %"
}

// decimals is how many digits follow the point so that f shows at least n significant
// digits, and never more than most.
func decimals(f float64, n, most int) int {
	if f == 0 {
		return 0
	}
	d := n - 1 - int(math.Floor(math.Log10(math.Abs(f))))
	return max(0, min(d, most))
}

// significant writes f with n significant digits, whole numbers in full, and far-off
// numbers with a power of ten.
func significant(f float64, n int) string {
	if f == 0 || math.IsInf(f, 0) || math.IsNaN(f) {
		return strconv.FormatFloat(f, 'g', -1, 64)
	}
	if a := math.Abs(f); a < 1e-5 || a >= 1e7 {
		mantissa, exponent, _ := strings.Cut(strconv.FormatFloat(f, 'e', n-1, 64), "e")
		power, _ := strconv.Atoi(exponent)
		return mantissa + "·10" + superscript(power)
	}
	s := strconv.FormatFloat(f, 'f', decimals(f, n, 12), 64)
	// Rounding up to the next power of ten adds a digit too many: 9.9996 is "10.000".
	if back, _ := strconv.ParseFloat(s, 64); decimals(back, n, 12) < decimals(f, n, 12) {
		s = strconv.FormatFloat(f, 'f', decimals(back, n, 12), 64)
	}
	return grouped(s)
}

// superscript writes an exponent.
func superscript(n int) string {
	digits := []rune("⁰¹²³⁴⁵⁶⁷⁸⁹")
	var b strings.Builder
	for _, c := range strconv.Itoa(n) {
		if c == '-' {
			b.WriteRune('⁻')
		} else {
			b.WriteRune(digits[c-'0'])
		}
	}
	return b.String()
}

// trimZeros takes away the zeros that follow the point and say nothing.
func trimZeros(s string) string {
	if !strings.Contains(s, ".") || strings.Contains(s, "·") {
		return s
	}
	return strings.TrimRight(strings.TrimRight(s, "0"), ".")
}

// grouped puts a space between groups of three digits of a number of five or more.
func grouped(s string) string {
	sign := ""
	if strings.HasPrefix(s, "-") {
		sign, s = "-", s[1:]
	}
	whole, rest, _ := strings.Cut(s, ".")
	if len(whole) < 5 {
		return sign + s
	}
	var b strings.Builder
	b.WriteString(sign)
	for i, c := range whole {
		if i > 0 && (len(whole)-i)%3 == 0 {
			b.WriteString(nbsp)
		}
		b.WriteRune(c)
	}
	if rest != "" {
		b.WriteString("." + rest)
	}
	return b.String()
}
