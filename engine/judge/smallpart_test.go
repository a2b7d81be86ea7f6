package judge_test

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/geom"
	"scantling/engine/judge"
	"scantling/engine/mesh"
	"scantling/engine/mesh/meshtest"
	"scantling/engine/survey"
)

func cylinderOf(t *testing.T, m *mesh.Mesh) float64 {
	t.Helper()
	h, err := survey.HullOf(context.Background(), m, geom.NoTurn())
	require.NoError(t, err)
	f, err := judge.Cylinder(context.Background(), h)
	require.NoError(t, err)
	return f
}

// Dimensions of 16 CFR 1501.4, figure 1: 1.25 in wide, 1 in deep at one side and 2.25 in at the
// other. What goes in follows from them.
func TestCylinder(t *testing.T) {
	const inch = 25.4
	longest := math.Hypot(1.25*inch, 2.25*inch) // from the shallow rim to the deep corner
	for _, c := range []struct {
		name      string
		mesh      *mesh.Mesh
		want, off float64
	}{
		// A ball's widest circle just passes; a polyhedron is a little less.
		{"ball of 10 mm radius", meshtest.Sphere(10, 24), 1.25 * inch / 20, 0.01},
		{"wire of 100 mm", meshtest.Prism(0.05, 100, 12), longest / 100, 0.02},
		// A flat disc lies level in the mouth.
		{"disc of 40 mm", meshtest.Prism(20, 0.1, 64), 1.25 * inch / 40, 0.01},
		// A rod as wide as the cylinder: its end meets the floor at the shallow side first.
		{"can of 1.25 by 1 in", meshtest.Prism(1.25*inch/2, 1*inch, 96), 1, 0.01},
		{"speck", meshtest.Cube(0.1), cylinderOf(t, meshtest.Cube(10)) * 100, 1e-6},
	} {
		require.InEpsilon(t, c.want, cylinderOf(t, c.mesh), c.off, c.name)
	}
	// However it lies, the answer is about the same.
	r := rand.New(rand.NewPCG(1, 2))
	block := meshtest.Box(geom.Vec{}, geom.Vec{10, 20, 35})
	want := cylinderOf(t, block)
	for range 6 {
		a, b := r.Float64()*7, r.Float64()*7
		turned := meshtest.Moved(block, func(v geom.Vec) geom.Vec {
			sin, cos := math.Sincos(a)
			v = geom.Vec{v[0]*cos - v[1]*sin, v[0]*sin + v[1]*cos, v[2]}
			sin, cos = math.Sincos(b)
			return geom.Vec{v[0], v[1]*cos - v[2]*sin, v[1]*sin + v[2]*cos}
		})
		require.InEpsilon(t, want, cylinderOf(t, turned), 0.03)
	}
	empty, err := judge.Cylinder(context.Background(), survey.Hull{})
	require.NoError(t, err)
	require.True(t, math.IsInf(empty, 1))
	ctx, stop := context.WithCancel(context.Background())
	stop()
	_, err = judge.Cylinder(ctx, survey.Hull{})
	require.ErrorIs(t, err, context.Canceled)
}
