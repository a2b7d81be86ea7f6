package geom_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/geom"
)

// about is a turn by an angle about an axis, and a shift.
func about(axis geom.Axis, angle float64, shift geom.Vec) geom.Pose {
	s, c := math.Sincos(angle)
	p := geom.Upright(geom.Z)
	i, j := (axis+1)%3, (axis+2)%3
	p.Rows[i][i], p.Rows[i][j] = c, -s
	p.Rows[j][i], p.Rows[j][j] = s, c
	p.Shift = shift
	return p
}

func TestUpright(t *testing.T) {
	for _, c := range []struct {
		up   geom.Axis
		from geom.Vec
		want geom.Vec
	}{
		{geom.X, geom.Vec{1, 0, 0}, geom.Vec{0, 0, 1}},
		{geom.Y, geom.Vec{0, 1, 0}, geom.Vec{0, 0, 1}},
		{geom.Y, geom.Vec{1, 2, 3}, geom.Vec{1, -3, 2}},
		{geom.Z, geom.Vec{1, 2, 3}, geom.Vec{1, 2, 3}},
	} {
		p := geom.Upright(c.up)
		require.Equal(t, c.want, p.Apply(c.from))
		require.True(t, p.Rigid() && p.Quarter() && p.Known())
		require.Equal(t, c.up != geom.Z, p.Moves())
		require.Equal(t, c.from, p.Inverse().Apply(c.want))
	}
}

func TestNoPose(t *testing.T) {
	var none geom.Pose
	v := geom.Vec{1, 2, 3}
	p := about(geom.Y, 1, geom.Vec{4, 5, 6})
	require.False(t, none.Known() || none.Moves())
	require.True(t, none.Rigid() && none.Quarter())
	require.Equal(t, v, none.Apply(v))
	require.Equal(t, v, none.Turn(v))
	require.Equal(t, p, none.Then(p))
	require.Equal(t, p, p.Then(none))
	require.Equal(t, none, none.Inverse())
	require.Equal(t, geom.Box{Max: v}, none.Box(geom.Box{Max: v}))
}

func TestPose(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 0))
	vec := func() geom.Vec { return geom.Vec{random.NormFloat64(), random.NormFloat64(), random.NormFloat64()} }
	near := func(a, b geom.Vec) {
		t.Helper()
		require.InDelta(t, 0, a.Sub(b).Len(), 1e-14)
	}
	for range 200 {
		p := about(geom.Axis(random.IntN(3)), random.Float64()*7, vec())
		q := about(geom.Axis(random.IntN(3)), random.Float64()*7, vec())
		both := p.Then(q)
		require.True(t, both.Rigid())
		require.False(t, both.Quarter())
		v, w := vec(), vec()
		near(q.Apply(p.Apply(v)), both.Apply(v))
		near(v, both.Inverse().Apply(both.Apply(v)))
		near(both.Apply(v).Sub(both.Apply(w)), both.Turn(v.Sub(w)))
		require.InDelta(t, v.Sub(w).Len(), both.Apply(v).Sub(both.Apply(w)).Len(), 1e-14)
		near(both.Apply(v).Scale(3), both.Scale(3).Apply(v.Scale(3)))

		box := geom.EmptyBox().Add(v).Add(w)
		bounds := both.Box(box)
		for range 20 { // what is within stays within
			var in geom.Vec
			for i := range in {
				in[i] = box.Min[i] + random.Float64()*box.Size()[i]
			}
			in = both.Apply(in)
			for i := range in {
				require.True(t, bounds.Min[i] <= in[i] && in[i] <= bounds.Max[i])
			}
		}
	}
	require.True(t, about(geom.X, 1, geom.Vec{}).Box(geom.EmptyBox()).Empty())
}

func TestRigid(t *testing.T) {
	mirrored := geom.Upright(geom.Z)
	mirrored.Rows[0][0] = -1
	stretched := geom.Upright(geom.Y)
	stretched.Rows[0][0] = 1.000001
	sheared := geom.Upright(geom.Z)
	sheared.Rows[0][1] = 0.000001
	unknown := geom.Upright(geom.Z)
	unknown.Rows[1][1] = math.NaN()
	endless := geom.Upright(geom.Z)
	endless.Shift[2] = math.Inf(1)
	for _, p := range []geom.Pose{mirrored, stretched, sheared, unknown, endless, {Shift: geom.Vec{1, 0, 0}}} {
		require.False(t, p.Rigid(), "%v", p)
	}
}
