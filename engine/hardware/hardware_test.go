package hardware_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/hardware"
)

// ISO 273:1979 as printed by engineeringhardware.com and, from M1.6 to M10, by
// draughtsman.co.uk as quoted at humechan.blogspot.in; tapping drills of ISO 2306:1972 as
// printed by utilitiesbunker.com, coarse pitch.
func TestScrewsAsPublished(t *testing.T) {
	for _, c := range []struct {
		key                       string
		fine, medium, coarse, tap float64
	}{
		{"m1.6", 1.7, 1.8, 2.0, 1.25},
		{"m2", 2.2, 2.4, 2.6, 1.60},
		{"m2.5", 2.7, 2.9, 3.1, 2.05},
		{"m3", 3.2, 3.4, 3.6, 2.50},
		{"m3.5", 3.7, 3.9, 4.2, 2.90},
		{"m4", 4.3, 4.5, 4.8, 3.30},
		{"m5", 5.3, 5.5, 5.8, 4.20},
		{"m6", 6.4, 6.6, 7.0, 5.00},
		{"m8", 8.4, 9.0, 10.0, 6.80},
		{"m10", 10.5, 11.0, 12.0, 8.50},
		{"m12", 13.0, 13.5, 14.5, 10.20},
	} {
		s, ok := hardware.Find(c.key)
		require.True(t, ok, c.key)
		require.Equal(t, [3]float64{c.fine, c.medium, c.coarse}, [3]float64{s.Least, s.Drill, s.Most}, c.key)
		thread, ok := hardware.Find(c.key + " thread")
		require.True(t, ok, c.key)
		require.Equal(t, c.tap, thread.Drill, c.key)
	}
}

// A tapping drill is the size less the pitch, within a tenth (ISO 2306's rule); the holes of
// all screws widen from fine to coarse and from screw to screw.
func TestTableHoldsTogether(t *testing.T) {
	keys := map[string]bool{}
	kinds := map[hardware.Kind]int{}
	for _, i := range hardware.Items() {
		require.False(t, keys[i.Key], "%s is there twice", i.Key)
		keys[i.Key] = true
		kinds[i.Kind]++
		require.True(t, i.Least > 0 && i.Least <= i.Drill && i.Drill <= i.Most, i.Key)
		require.NotEmpty(t, i.Source, i.Key)
		require.NotEmpty(t, i.Status, i.Key)
		found, ok := hardware.Find(i.Key)
		require.True(t, ok)
		require.Equal(t, i, found)
		if i.Kind == hardware.Thread {
			require.Less(t, i.Drill, i.Size, i.Key)
			require.Greater(t, i.Drill, 0.7*i.Size, i.Key)
		}
	}
	for _, k := range hardware.Kinds() {
		require.NotZero(t, kinds[k], k)
	}
}

func TestGuess(t *testing.T) {
	for _, c := range []struct {
		mm   float64
		want string
	}{
		{3.4, "m3"}, {3.38, "m3"}, {3.2, "m3"}, {3.6, "m3"}, {4.5, "m4"}, {2.4, "m2"}, {2.5, "m3-thread"}, {5.0, "m6-thread"},
		{3.0, ""}, {3.3, "m4-thread"}, {0.5, ""}, {20, ""}, {0, ""},
	} {
		got, ok := hardware.Guess(c.mm)
		require.Equal(t, c.want != "", ok, "%v", c.mm)
		require.Equal(t, c.want, got.Key, "%v", c.mm)
	}
}

func TestPassing(t *testing.T) {
	for _, c := range []struct {
		mm   float64
		want string
	}{{1.0, ""}, {1.1, "m1"}, {1.23, "m1"}, {3.19, "m2.5"}, {3.2, "m3"}, {50, "m12"}} {
		got, _ := hardware.Passing(c.mm)
		require.Equal(t, c.want, got.Key, "%v", c.mm)
	}
}
