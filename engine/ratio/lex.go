package ratio

import (
	"math/big"
	"strings"
	"unicode"
	"unicode/utf8"
)

// What is typed is bounded before any number is made of it, so that no input takes more
// than a moment or more than a few kilobytes.
const (
	mostTyped    = 256  // bytes that a person may type
	mostExact    = 8192 // bytes of a plain quotient, 35:3048, as Exact writes it
	mostExponent = 30   // either way, in 1e-9
)

// A token is a number, a word in lower case, or one sign. The kind of a sign is the sign.
type token struct {
	kind  rune     // number, vulgar, word, or the sign itself
	text  string   // of a word
	value *big.Rat // of a number
	whole bool     // a number written without decimals or exponent
}

const (
	number = 'n'
	vulgar = 'v' // one sign that is a fraction: ½
	word   = 'w'
)

// clean takes the blanks off and refuses what cannot be read at all.
func clean(typed string) (string, error) {
	if len(typed) > mostExact {
		return "", ErrAbsurd
	}
	if !utf8.ValidString(typed) {
		return "", ErrNotANumber
	}
	s := strings.TrimFunc(typed, func(r rune) bool { return unicode.IsSpace(r) || invisible(r) })
	if s == "" {
		return "", ErrEmpty
	}
	return s, nil
}

// invisible are the marks that come along when text is copied.
func invisible(r rune) bool { return r >= 0x200B && r <= 0x200F || r == 0x2060 || r == 0xFEFF }

// plain is the sign that r is typed for: straight quotes for curly ones and primes, one
// minus, one colon, one blank.
func plain(r rune) rune {
	switch r {
	case '’', '‘', '′', '´', '`', 'ʹ':
		return '\''
	case '”', '“', '″', '„', 'ʺ':
		return '"'
	case '⁄', '∕', '／':
		return '/'
	case '：', '∶':
		return ':'
	case '−', '‐', '‑', '–', '—':
		return '-'
	case '＝':
		return '='
	case '％':
		return '%'
	case 'μ': // Greek letter for the micro sign
		return 'µ'
	}
	if unicode.IsSpace(r) {
		return ' '
	}
	return r
}

// fraction is the value of a sign such as ½, nil for any other.
func fraction(r rune) *big.Rat {
	for _, f := range []struct {
		sign rune
		a, b int64
	}{
		{'½', 1, 2}, {'¼', 1, 4}, {'¾', 3, 4}, {'⅛', 1, 8}, {'⅜', 3, 8}, {'⅝', 5, 8}, {'⅞', 7, 8},
		{'⅓', 1, 3}, {'⅔', 2, 3}, {'⅙', 1, 6}, {'⅚', 5, 6},
		{'⅕', 1, 5}, {'⅖', 2, 5}, {'⅗', 3, 5}, {'⅘', 4, 5}, {'⅐', 1, 7}, {'⅑', 1, 9}, {'⅒', 1, 10},
	} {
		if f.sign == r {
			return big.NewRat(f.a, f.b)
		}
	}
	return nil
}

// lex splits s. With thousands, a comma may part thousands as scan says; without, a comma
// is always a decimal comma.
func lex(s string, thousands bool) ([]token, error) {
	var text []rune
	for _, r := range s {
		if !invisible(r) {
			text = append(text, plain(r))
		}
	}
	var out []token
	for i := 0; i < len(text); {
		switch r := text[i]; {
		case r == ' ':
			i++
		case digit(text, i) || (r == '.' || r == ',') && digit(text, i+1):
			t, n, err := scan(text[i:], thousands)
			if err != nil {
				return nil, err
			}
			out = append(out, t)
			i += n
		case unicode.IsLetter(r):
			j := i
			for j < len(text) && unicode.IsLetter(text[j]) {
				j++
			}
			out = append(out, token{kind: word, text: strings.ToLower(string(text[i:j]))})
			if j < len(text) && text[j] == '.' && !digit(text, j+1) { // in.
				j++
			}
			i = j
		case r == '\'' && i+1 < len(text) && text[i+1] == '\'':
			out = append(out, token{kind: '"'})
			i += 2
		case strings.ContainsRune(`:/='"%-×*,`, r):
			out = append(out, token{kind: r})
			i++
		case fraction(r) != nil:
			out = append(out, token{kind: vulgar, value: fraction(r)})
			i++
		default:
			return nil, ErrNotANumber
		}
	}
	return out, nil
}

// digit reports whether text[i] is a digit.
func digit(text []rune, i int) bool { return i < len(text) && text[i] >= '0' && text[i] <= '9' }

// digits is how many digits text begins with.
func digits(text []rune) int {
	n := 0
	for digit(text, n) {
		n++
	}
	return n
}

// scan reads the number that text begins with and says how long it is.
//
// A point is a decimal point. A comma is a decimal comma (1:87,1), unless thousands are
// allowed and it stands before exactly three digits of which the last is 0, and after one
// to three digits that do not begin with 0: 1:10,000 is ten thousand, since nobody types a
// decimal fraction with a 0 at its end, while 1:87,086 is a little over 87. The same sign
// twice parts thousands (1,000,000 or 1.000.000); of two different signs the last is the
// decimal one (1.000,5). A blank before exactly three digits parts thousands (1:10 000).
func scan(text []rune, thousands bool) (token, int, error) {
	var groups []string // digits between signs
	var signs []rune    // before each group but the first
	n := digits(text)
	groups = append(groups, string(text[:n]))
	for n < len(text) {
		r := text[n]
		m := digits(text[n+1:])
		if m == 0 || r != '.' && r != ',' && r != ' ' {
			break
		}
		if r == ' ' {
			// "1 100/8" is one and a fraction, "10 000" a number, "5 11" two numbers.
			end := n + 1 + m
			follows := end < len(text) && text[end] == '/'
			if m != 3 || len(groups[len(groups)-1]) > 3 || groups[0] == "" || follows || decimalSeen(signs) {
				break
			}
		}
		groups = append(groups, string(text[n+1:n+1+m]))
		signs = append(signs, r)
		n += 1 + m
	}
	if n < len(text) && (text[n] == '.' || text[n] == ',') && groups[0] != "" && !decimalSeen(signs) { // "48." is being typed
		n++
	}
	whole, decimals, err := split(groups, signs, thousands)
	if err != nil {
		return token{}, 0, err
	}
	exponent := 0
	mantissaEnd := n
	if n < len(text) && (text[n] == 'e' || text[n] == 'E') {
		k, sign := n+1, 1
		if k < len(text) && (text[k] == '+' || text[k] == '-') {
			if text[k] == '-' {
				sign = -1
			}
			k++
		}
		if m := digits(text[k:]); m > 0 {
			for _, r := range text[k : k+m] {
				exponent = min(exponent*10+int(r-'0'), mostExponent+1)
			}
			exponent *= sign
			n = k + m
		}
	}
	if exponent > mostExponent || exponent < -mostExponent {
		return token{}, 0, ErrAbsurd
	}
	num, ok := new(big.Int).SetString(whole+decimals, 10)
	if !ok {
		return token{}, 0, ErrNotANumber
	}
	value := new(big.Rat).SetInt(num)
	scale := new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(max(exponent-len(decimals), len(decimals)-exponent))), nil)
	if exponent >= len(decimals) {
		value.Mul(value, new(big.Rat).SetInt(scale))
	} else {
		value.Quo(value, new(big.Rat).SetInt(scale))
	}
	return token{kind: number, value: value, whole: decimals == "" && n == mantissaEnd}, n, nil
}

// decimalSeen reports whether a point or comma is among the signs.
func decimalSeen(signs []rune) bool { return strings.ContainsAny(string(signs), ".,") }

// split says which digits stand before the decimal sign and which after; scan has the rule.
func split(groups []string, signs []rune, thousands bool) (whole, decimals string, err error) {
	last := len(signs) - 1
	decimalAt := -1 // the sign that is the decimal one
	switch {
	case last < 0:
	case signs[last] == ' ':
	case strings.Count(string(signs), string(signs[last])) > 1:
	case signs[last] == ',' && last == 0 && thousands && parts(groups[0], groups[1]):
	default:
		decimalAt = last
	}
	var part rune // the sign that parts thousands
	for i, sign := range signs {
		if i == decimalAt {
			break
		}
		if part != 0 && sign != part || len(groups[i+1]) != 3 || len(groups[0]) < 1 || len(groups[0]) > 3 {
			return "", "", ErrNotANumber
		}
		part = sign
	}
	if decimalAt < 0 {
		return strings.Join(groups, ""), "", nil
	}
	return strings.Join(groups[:decimalAt+1], ""), groups[decimalAt+1], nil
}

// parts reports whether a comma between the two groups of digits parts thousands.
func parts(before, after string) bool {
	return len(before) >= 1 && len(before) <= 3 && before[0] != '0' && len(after) == 3 && after[2] == '0'
}
