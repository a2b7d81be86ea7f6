package judge_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/geom"
	"scantling/engine/judge"
)

// A tally counts what At lists, and a comparison lists just what is counted otherwise at both
// factors, whichever comes first.
func TestCompare(t *testing.T) {
	parts, mates := kitOf(12)
	aside := judge.Aside{Code: judge.WallThin, Part: "p0", At: parts[0].Found.Thickness.Places[0].Centre, Reason: "brass"}
	c := judge.New(parts, mates, judge.Terms{Process: extrusion(), Turning: judge.Yaw, Asides: []judge.Aside{aside}})
	bed := judge.Bed{Size: geom.Vec{120, 120, 100}}
	type key struct {
		code judge.Code
		part int
	}
	type count struct {
		places int
		worst  judge.Gravity
	}
	differing := 0
	factors := []float64{0.05, 0.3, 0.64, 1, 1.19, 1.25, 2, 6}
	for _, f := range factors {
		require.Empty(t, c.Compare(f, f))
		for _, g := range factors {
			var by [2]map[key]count
			for side, at := range []float64{f, g} {
				by[side] = map[key]count{}
				for _, x := range c.At(at) {
					if x.Aside == "" {
						k := key{x.Code, x.Part}
						n := by[side][k]
						by[side][k] = count{n.places + 1, max(n.worst, x.Gravity)}
					}
				}
			}
			told := map[key]bool{}
			before := 4
			all, back := c.Compare(f, g), c.Compare(g, f)
			require.Len(t, back, len(all))
			for i, d := range all {
				k := key{d.Code, d.Part}
				require.False(t, told[k], "told twice")
				told[k] = true
				grave := 0
				for side := range d.At {
					n := by[side][k]
					require.Equal(t, n.places, d.At[side].Places)
					require.Equal(t, n.worst, d.At[side].Worst.Gravity)
					if n.places > 0 {
						grave = max(grave, int(n.worst)+1)
					}
				}
				require.LessOrEqual(t, grave, before, "the gravest first")
				before = grave
				d.At[0], d.At[1] = d.At[1], d.At[0]
				require.Equal(t, d, back[i])
			}
			for side := range by {
				for k, n := range by[side] {
					require.Equal(t, n != by[1-side][k], told[k], "%v", k)
				}
			}
			differing += len(all)
		}
		tally := c.Tally(bed, f, 2)
		var counts [judge.Stops + 1]int
		for _, x := range c.At(f) {
			if x.Aside == "" {
				counts[x.Gravity]++
			}
		}
		require.Equal(t, counts, tally.Counts)
		require.Equal(t, tally.Fits[judge.Yaw], tally.Fitting == len(parts))
		require.Len(t, tally.Beds.Left, len(parts)-tally.Fitting)
		require.InDelta(t, 100*f, tally.LeastMM, 1e-12*f)
	}
	require.NotZero(t, differing)
}

// Smallest and largest go by the longest side; without a bed none is laid out.
func TestTallyOfFew(t *testing.T) {
	parts := []judge.Part{{ID: "a", MM: 1, Size: geom.Vec{3, 9, 2}}, {ID: "b", MM: 1, Size: geom.Vec{1, 1, 40}}, {ID: "c", MM: 1, Size: geom.Vec{8, 8, 8}}}
	tally := judge.New(parts, nil, judge.Terms{}).Tally(judge.Bed{}, 0.5, 2)
	require.Equal(t, -1, tally.Fitting)
	require.Nil(t, tally.Beds)
	require.Equal(t, []int{2, 1}, []int{tally.Least, tally.Most})
	require.Equal(t, []float64{4, 20}, []float64{tally.LeastMM, tally.MostMM})
	none := judge.New(nil, nil, judge.Terms{}).Tally(judge.Bed{}, 0.5, 2)
	require.Equal(t, []int{-1, -1}, []int{none.Least, none.Most})
}

// Laying two targets of a kit of 300 parts side by side.
func BenchmarkCompare300(b *testing.B) {
	parts, mates := kitOf(300)
	c := judge.New(parts, mates, judge.Terms{Process: extrusion(), Turning: judge.Yaw})
	bed := judge.Bed{Size: geom.Vec{120, 120, 100}}
	for b.Loop() {
		for _, f := range []float64{0.3, 0.6} {
			c.Tally(bed, f, 2)
		}
		c.Compare(0.3, 0.6)
	}
}
