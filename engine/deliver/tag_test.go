package deliver

import (
	"math/big"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/geom"
	"scantling/engine/ratio"
)

// A tag says what a copy is, and is read back as it was.
func TestParseTag(t *testing.T) {
	factor, err := ratio.NewFactor(big.NewRat(47, 213))
	require.NoError(t, err)
	target, err := ratio.Parse("1:87.1")
	require.NoError(t, err)
	for _, l := range []Labels{
		{Factor: factor},
		{Factor: factor, Target: target, Kit: "Harbour tug"},
		{Factor: factor, Target: target, Correction: geom.Vec{1.004, 1.0 / 3, 1.002}},
		{Factor: factor, Kit: "x2 corrected", Correction: geom.Vec{1.004, 1.004, 1.002}},
		{Factor: factor, Kit: "corrected x2 tug"},
	} {
		got, ok := ParseTag(l.Tag())
		require.True(t, ok, l.Tag())
		require.Equal(t, Tagged{got.Ratio, factor.Float(), l.Correction, l.Kit}, got)
		require.True(t, l.Target.Equal(got.Ratio) || !l.Target.Known() && !got.Ratio.Known())
	}
	for _, other := range []string{"", "Scantling", "Scantling ", "Scantling step gauge", "Scantling x", "Scantling x-1", "Scantling xNaN", "Scantling xInf",
		"Scantling 1:48", "Scantling 1:48 tug", "solid x2", "scantling x2"} {
		_, ok := ParseTag(other)
		require.False(t, ok, other)
	}
}

func FuzzParseTag(f *testing.F) {
	f.Add("Scantling 1:48 x0.25 corrected x1 x2 x3 tug")
	f.Add("Scantling 1/0 x1e400")
	f.Fuzz(func(t *testing.T, tag string) {
		if got, ok := ParseTag(tag); ok && !(got.Factor > 0) {
			t.Errorf("%q gives %v", tag, got)
		}
	})
}
