package sheet

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// A name is cut by the width of its letters, never within one.
func TestShortenedByTheWidthOfLetters(t *testing.T) {
	const mean, square = sizeLabel * 0.56, sizeLabel
	for _, c := range []struct {
		name string
		room float64
		want string
	}{
		{"mast", 4*mean + 0.1, "mast"},
		{"masts", 4*mean + 0.1, "mas…"},
		{"船体甲板", 4*square + 0.1, "船体甲板"},
		{"船体甲板", 3*square + 0.1, "船体…"},
		{"구명부표", 3*square + 0.1, "구명…"},
		{"étagée", 3*mean + 0.1, "ét…"},
		{"船体", 1, "船…"},
		{"", 1, ""},
	} {
		require.Equal(t, c.want, shortened(c.name, c.room), "%s in %g", c.name, c.room)
	}
}
