package main

import (
	"context"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/mesh"
	"scantling/engine/mesh/meshtest"
	"scantling/engine/survey"
	"scantling/formats"
)

// The one idea: the survey of a part made larger or smaller is the survey of the part, made
// larger or smaller. For a power of two it is so to the last bit; for others the rounded
// corners of the copy move what is on the brink: one round thing more or less, and a few per
// cent where few samples decide.
func TestSurveyOfScaledParts(t *testing.T) {
	dir := filepath.Join("..", "..", "assets", "demo")
	all, err := os.ReadDir(dir)
	require.NoError(t, err)
	surveyed := 0
	for _, entry := range all {
		switch filepath.Ext(entry.Name()) {
		case ".stl", ".obj", ".glb":
		default:
			continue
		}
		if testing.Short() && entry.Name() != "mast.stl" && entry.Name() != "mast-socket.stl" {
			continue
		}
		f, err := formats.Open(t.Context(), filepath.Join(dir, entry.Name()), nil)
		require.NoError(t, err)
		p := f.Parts()[0] // others in a file are much like it
		m, err := f.Mesh(t.Context(), 0, nil)
		require.NoError(t, err)
		holdsTheLaw(t, p.Name, m, 10/48.0)
		if m.Len() < 5000 {
			holdsTheLaw(t, p.Name, m, 0.25)
		}
		surveyed++
	}
	require.True(t, testing.Short() || surveyed > 18, "%d parts", surveyed)
}

func holdsTheLaw(t *testing.T, name string, m *mesh.Mesh, s float64) {
	t.Helper()
	one, err := survey.Of(context.Background(), m, nil)
	require.NoError(t, err)
	got, err := survey.Of(context.Background(), meshtest.Scaled(m, s), nil)
	require.NoError(t, err)
	within, brink := 0.03, 1
	if _, exponent := math.Frexp(s); math.Ldexp(0.5, exponent) == s {
		within, brink = 1e-12, 0
	}
	near := func(what string, got, want, within float64) {
		t.Helper()
		if math.Abs(got-want) > within*math.Abs(want) {
			t.Errorf("%s ×%g: %s is %g, want %g", name, s, what, got, want)
		}
	}
	near("volume", got.Volume, s*s*s*one.Volume, min(within, 1e-5))
	near("area", got.Area, s*s*one.Area, min(within, 1e-5))
	near("facets", got.Facets.Worst, s*one.Facets.Worst, within)
	for _, share := range []float64{0.01, 0.05, 0.25, 0.5, 0.75} {
		near("thickness", got.Thickness.Quantile(share), s*one.Thickness.Quantile(share), within)
		near("gap", got.Gaps.Quantile(share), s*one.Gaps.Quantile(share), 3*within)
	}
	if got.Closed != one.Closed || got.Shells != one.Shells || got.Genus != one.Genus || got.Health.OpenEdges != one.Health.OpenEdges || got.Health.Strays != one.Health.Strays {
		t.Errorf("%s ×%g: closed %t, %d shells, %d open edges, %d strays", name, s, got.Closed, got.Shells, got.Health.OpenEdges, got.Health.Strays)
	}
	for k, pair := range [2][2][]survey.Round{{got.Bores, one.Bores}, {got.Pegs, one.Pegs}} {
		missing := 0
		for _, want := range pair[1] { // equal ones may change places
			want.Diameter, want.Depth, want.Centre = s*want.Diameter, s*want.Depth, want.Centre.Scale(s)
			i, ok := survey.TagOf(want).Find(pair[0])
			if !ok {
				missing++
				continue
			}
			near("diameter", pair[0][i].Diameter, want.Diameter, 1e-3)
		}
		if extra := len(pair[0]) - len(pair[1]) + missing; missing > brink || extra > brink {
			t.Errorf("%s ×%g: %d rounds of kind %d are missing, %d too many", name, s, missing, k, extra)
		}
	}
	if within < 1e-6 && (len(got.Thickness.Places) != len(one.Thickness.Places) || len(got.Gaps.Places) != len(one.Gaps.Places)) {
		t.Errorf("%s ×%g: %d and %d places, want %d and %d", name, s, len(got.Thickness.Places), len(got.Gaps.Places), len(one.Thickness.Places), len(one.Gaps.Places))
	}
}
