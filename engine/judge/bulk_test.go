package judge_test

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/geom"
	"scantling/engine/judge"
	"scantling/engine/mesh"
	"scantling/engine/mesh/meshtest"
	"scantling/engine/process"
	"scantling/engine/survey"
)

func surveyed(t *testing.T, m *mesh.Mesh) *survey.Measurements {
	t.Helper()
	found, err := survey.Of(context.Background(), m, nil)
	require.NoError(t, err)
	return &found
}

// The volume within a depth of the surface of bodies for which there is a formula.
func TestBulkOfKnownBodies(t *testing.T) {
	box := func(x, y, z float64) func(d float64) float64 {
		return func(d float64) float64 {
			inner := max(0, x-2*d) * max(0, y-2*d) * max(0, z-2*d)
			return x*y*z - inner
		}
	}
	for _, c := range []struct {
		name   string
		mesh   *mesh.Mesh
		within func(d float64) float64
		depths []float64
		off    float64 // of the volume
	}{
		{"plate", meshtest.Box(geom.Vec{}, geom.Vec{80, 60, 3}), box(80, 60, 3), []float64{0.4, 0.8, 1.2, 1.5, 2}, 0.03},
		{"block", meshtest.Box(geom.Vec{}, geom.Vec{40, 30, 20}), box(40, 30, 20), []float64{0.8, 1.35, 2, 4, 8, 10}, 0.05},
		{"ball", meshtest.Sphere(15, 12), func(d float64) float64 {
			return 4 * math.Pi / 3 * (math.Pow(15, 3) - math.Pow(max(0, 15-d), 3))
		}, []float64{0.5, 1.35, 3, 7, 15}, 0.03},
		{"rod", meshtest.Prism(5, 80, 48), func(d float64) float64 {
			return math.Pi * (25*80 - math.Pow(max(0, 5-d), 2)*(80-2*d))
		}, []float64{0.5, 1.35, 3, 5}, 0.03},
		{"tube", meshtest.Tube(40, 2, 60), func(d float64) float64 {
			outer, inner := 20-min(d, 1), 18+min(d, 1)
			return math.Pi * ((400-324)*60 - (outer*outer-inner*inner)*max(0, 60-2*d))
		}, []float64{0.3, 0.6, 0.9, 1, 2}, 0.03},
	} {
		found := surveyed(t, c.mesh)
		b := judge.BulkOf(found, 1)
		require.True(t, b.Known(), c.name)
		for _, d := range c.depths {
			require.InDelta(t, c.within(d), b.Within(d), c.off*found.Volume, "%s within %v", c.name, d)
		}
		require.Zero(t, b.Within(0))
		require.InEpsilon(t, found.Volume, b.Within(1000), 1e-9)
		before := 0.0
		for d := 0.0; d < 20; d += 0.05 {
			now := b.Within(d)
			require.GreaterOrEqual(t, now, before, "%s within %v", c.name, d)
			before = now
		}
	}
	require.False(t, judge.BulkOf(&survey.Measurements{Volume: 5}, 1).Known())
	require.False(t, judge.BulkOf(surveyed(t, meshtest.Hole(meshtest.Cube(10), 0, 1)), 1).Known())
}

func TestWeight(t *testing.T) {
	found := surveyed(t, meshtest.Cube(20))
	p := extrusion()
	p.Material = process.Material{Name: "x", Density: 1.25, PriceKG: 24}
	part := judge.Part{ID: "a", Quantity: 3, MM: 1, Size: geom.Vec{20, 20, 20}, Found: found, Bulk: judge.BulkOf(found, 1)}
	open := judge.Part{ID: "b", MM: 1, Size: geom.Vec{20, 20, 20}}
	of := func(fill process.Fill, f float64) judge.Weight {
		p.Fill = fill
		return judge.New([]judge.Part{part, open}, nil, judge.Terms{Process: p}).Weight(f)
	}
	// 8 cm³ × 1.25 g/cm³ × 3
	w := of(process.Solid(), 1)
	require.InEpsilon(t, 30, w.Grams, 1e-9)
	require.InEpsilon(t, 30, w.Solid, 1e-9)
	require.InEpsilon(t, 0.72, w.Cost, 1e-9)
	require.Equal(t, 1, w.Unknown)
	require.InEpsilon(t, 30*8, of(process.Solid(), 2).Grams, 1e-9, "the cube of the factor")
	// A skin of 2 mm leaves a cube of 16 mm inside: 8000 − 4096 mm³, and a fifth of the rest.
	w = of(process.Shells(5, 0.4, 0.2), 1)
	require.InEpsilon(t, (8000-4096+0.2*4096)/1000*1.25*3, w.Grams, 0.03)
	require.InEpsilon(t, 30, w.Solid, 1e-9)
	w = of(process.Hollow(2), 1)
	require.InEpsilon(t, (8000-4096)/1000.*1.25*3, w.Grams, 0.03)
	// The skin does not scale: at half the size there is a cube of 6 mm inside.
	require.InEpsilon(t, (1000-216)/1000.*1.25*3, of(process.Hollow(2), 0.5).Grams, 0.03)
	require.InEpsilon(t, 30/1000., of(process.Hollow(2), 0.1).Grams, 1e-9, "solid where the skins meet")
}
