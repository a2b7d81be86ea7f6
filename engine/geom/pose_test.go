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
		require.True(t, p.Sound() && p.KeepsBoxes() && p.Known())
		require.Equal(t, c.up != geom.Z, p.Moves())
		require.Equal(t, c.from, p.Inverse().Apply(c.want))
	}
}

func TestNoPose(t *testing.T) {
	var none geom.Pose
	v := geom.Vec{1, 2, 3}
	p := about(geom.Y, 1, geom.Vec{4, 5, 6})
	require.False(t, none.Known() || none.Moves())
	require.True(t, none.Sound() && none.KeepsBoxes())
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
		require.True(t, both.Sound())
		require.Equal(t, geom.Vec{1, 1, 1}, both.Stretch())
		require.False(t, both.KeepsBoxes())
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

// A stretch multiplies lengths along the new axes, and a normal stays square to its plane.
func TestStretched(t *testing.T) {
	random := rand.New(rand.NewPCG(4, 0))
	vec := func() geom.Vec { return geom.Vec{random.NormFloat64(), random.NormFloat64(), random.NormFloat64()} }
	by := geom.Vec{1.004, 1.002, 0.991}
	for range 200 {
		p := about(geom.Axis(random.IntN(3)), random.Float64()*7, vec()).Then(about(geom.Axis(random.IntN(3)), random.Float64()*7, vec()))
		s := p.Stretched(by)
		require.True(t, s.Sound())
		require.InDelta(t, 0, s.Stretch().Sub(by).Len(), 1e-14)
		v, u, w := vec(), vec(), vec()
		want := p.Apply(v)
		for i := range want {
			want[i] *= by[i]
		}
		require.InDelta(t, 0, s.Apply(v).Sub(want).Len(), 1e-14)
		n := u.Cross(w)
		turned := s.Normal(n)
		require.InDelta(t, n.Len(), turned.Len(), 1e-9)
		require.InDelta(t, 0, turned.Dot(s.Turn(u)), 1e-13)
		require.InDelta(t, 0, turned.Dot(s.Turn(w)), 1e-13)
		require.Positive(t, turned.Dot(s.Turn(u).Cross(s.Turn(w))))
		require.InDelta(t, 0, p.Normal(n).Sub(p.Turn(n)).Len(), 1e-14)
	}
	plain := geom.Pose{}.Stretched(by)
	require.True(t, plain.KeepsBoxes())
	require.Equal(t, by, plain.Apply(geom.Vec{1, 1, 1}))
}

func TestSound(t *testing.T) {
	mirrored := geom.Upright(geom.Z)
	mirrored.Rows[0][0] = -1
	stretched := geom.Upright(geom.Y)
	stretched.Rows[0][0] = 2.000001
	sheared := geom.Upright(geom.Z)
	sheared.Rows[0][1] = 0.000001
	unknown := geom.Upright(geom.Z)
	unknown.Rows[1][1] = math.NaN()
	endless := geom.Upright(geom.Z)
	endless.Shift[2] = math.Inf(1)
	for _, p := range []geom.Pose{mirrored, stretched, sheared, unknown, endless, {Shift: geom.Vec{1, 0, 0}}} {
		require.False(t, p.Sound(), "%v", p)
	}
}
