// Package number reads and prints the decimal numbers of text formats, exactly and fast.
package number

import "strconv"

// Scan reads the number at the start of b, up to the first byte that cannot belong to it,
// correctly rounded to float64. n counts the bytes read; ok is false when b does not begin
// with a finite number.
func Scan(b []byte) (v float64, n int, ok bool) {
	for n < len(b) && (b[n] >= '0' && b[n] <= '9' || b[n] == '.' || b[n] == '-' || b[n] == '+' || b[n] == 'e' || b[n] == 'E') {
		n++
	}
	v, err := strconv.ParseFloat(string(b[:n]), 64)
	return v, n, err == nil
}

// Append32 appends the fewest digits that read back to the float32 v.
func Append32(dst []byte, v float32) []byte {
	return strconv.AppendFloat(dst, float64(v), 'g', -1, 32)
}

// Append64 appends the fewest digits that read back to the float64 v.
func Append64(dst []byte, v float64) []byte { return strconv.AppendFloat(dst, v, 'g', -1, 64) }
