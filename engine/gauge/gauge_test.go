package gauge_test

import (
	"context"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/gauge"
	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/engine/process"
	"scantling/engine/survey"
)

// Every strip is closed, every edge that of two facets, none passes through itself, and no two
// strips share room; all of it fits a small vat.
func TestGaugeIsSound(t *testing.T) {
	ctx := context.Background()
	presets := process.Presets()
	for _, limit := range []float64{0.001, 999} { // of no machine
		var p process.Process
		for _, f := range process.Fields()[:14] {
			*p.Number(f) = limit
		}
		presets = append(presets, process.Preset{Process: p})
	}
	for _, p := range presets {
		g, err := gauge.Make(p.Process)
		require.NoError(t, err)
		require.Len(t, g.Parts, 11)
		whole := geom.EmptyBox()
		var boxes []geom.Box
		for _, m := range g.Parts {
			c, err := mesh.Connect(ctx, m, nil)
			require.NoError(t, err)
			require.True(t, c.Topology.Closed, "%s %s", p.Process.Name, m.Name)
			require.Equal(t, 1, c.Topology.Shells, m.Name)
			require.Zero(t, c.Topology.OpenEdges+c.Topology.CrowdedEdges+c.Topology.FlippedEdges, m.Name)
			bulk := mesh.MeasuresOf(m)
			require.Positive(t, bulk.Volume, m.Name)
			require.Zero(t, bulk.Degenerate, m.Name)
			for i := range m.Len() { // only the underside faces down: nothing is folded over
				a, b, c := m.Triangle(i)
				if b.Sub(a).Cross(c.Sub(a))[2] < -1e-9 {
					require.Zero(t, max(a[2], b[2], c[2]), "%s: facet %d", m.Name, i)
				}
			}
			for _, b := range boxes {
				apart := false
				for a := range 2 {
					apart = apart || b.Max[a] < bulk.Box.Min[a] || bulk.Box.Max[a] < b.Min[a]
				}
				require.True(t, apart, m.Name)
			}
			boxes = append(boxes, bulk.Box)
			whole = whole.Union(bulk.Box)
		}
		require.InDelta(t, 0, whole.Min.Len(), 1e-9)
		for a, want := range gauge.Size() {
			require.InDelta(t, want, whole.Max[a], 1e-4)
		}
		require.LessOrEqual(t, whole.Max[0], 66.0) // a vat of 120 × 70, 2 mm kept free
		require.LessOrEqual(t, whole.Max[1], 116.0)
		require.Len(t, g.Steps, 8*6)
		for _, s := range g.Steps {
			require.Positive(t, s.MM)
		}
	}
}

// The survey finds on the gauge what is written on it.
func TestGaugeMeasures(t *testing.T) {
	if testing.Short() {
		t.Skip("surveys whole strips")
	}
	g, err := gauge.Make(process.Presets()[0].Process)
	require.NoError(t, err)
	sizes := func(k gauge.Kind) (out []float64) {
		for _, s := range g.Steps {
			if s.Kind == k {
				out = append(out, s.MM)
			}
		}
		return out
	}
	for i, k := range []gauge.Kind{gauge.Walls, gauge.Pins, gauge.Gaps, gauge.Holes, gauge.Engraved, gauge.Raised, gauge.Fits, gauge.Steps} {
		m := g.Parts[i]
		require.Equal(t, string(k), m.Name)
		found, err := survey.Of(context.Background(), m, nil)
		require.NoError(t, err)
		require.Zero(t, found.Health.Crossings, k)
		box := found.Box.Size()
		require.InDelta(t, g.LengthX, box[0], 1e-4)
		switch k {
		case gauge.Pins:
			require.Len(t, found.Pegs, 6)
			for n, size := range sizes(k) {
				require.InDelta(t, size, found.Pegs[n].Diameter, 0.003*size)
			}
		case gauge.Holes, gauge.Fits:
			require.Len(t, found.Bores, 6)
			for n, size := range sizes(k) {
				if k == gauge.Fits {
					size += 4
				}
				require.InDelta(t, size, found.Bores[n].Diameter, 0.003*size)
				require.True(t, found.Bores[n].Through)
			}
		case gauge.Walls:
			for _, size := range sizes(k) {
				if size > 1.2 { // near the 2 mm of the plate that it stands on, and one place with it
					continue
				}
				near := math.Inf(1)
				for _, p := range found.Thickness.Places {
					near = min(near, math.Abs(p.Typical-size))
				}
				require.Less(t, near, 0.01*size, "a wall of %v", size)
			}
		case gauge.Steps:
			require.InDelta(t, g.LengthZ, box[2], 1e-6)
		}
	}
	require.InDelta(t, g.LengthY, mesh.MeasuresOf(g.Parts[8]).Box.Size()[1], 1e-5)
}

func TestReadings(t *testing.T) {
	before := process.Presets()[0].Process
	p, err := gauge.Readings{}.Apply(before)
	require.NoError(t, err)
	require.Equal(t, before, p, "nothing read, nothing changed")

	p, err = gauge.Readings{
		gauge.Wall: 0.6, gauge.Pin: 1.5, gauge.Gap: 0.3, gauge.Hole: 1, gauge.EngravedLine: 0.4, gauge.RaisedLine: 0.5,
		gauge.Tight: 0.15, gauge.Loose: 0.3, gauge.LengthX: 55.8, gauge.LengthY: 99.7,
	}.Apply(before)
	require.NoError(t, err)
	l := p.Limits
	require.Equal(t, [8]float64{0.6, 1.5, 0.3, 1, 0.4, 0.5, 0.15, 0.3},
		[8]float64{l.WallFree, l.Pin, l.Gap, l.Hole, l.EngravedWidth, l.RaisedWidth, l.Tight, l.Loose})
	require.Equal(t, 0.6, l.WallSupported, "what stands free stands held")
	require.False(t, p.Correction.On)
	require.InDelta(t, 56/55.8, p.Correction.Scale[0], 1e-12)
	require.InDelta(t, 100/99.7, p.Correction.Scale[1], 1e-12)
	require.InDelta(t, (56/55.8+100/99.7)/2, p.Correction.Scale[2], 1e-12)

	// What is known of another axis stays; the gauge was printed without a correction, so that
	// one in force does not count twice.
	p.Correction.On = true
	p, err = gauge.Readings{gauge.LengthZ: 10.02}.Apply(p)
	require.NoError(t, err)
	require.True(t, p.Correction.On)
	require.InDelta(t, 56/55.8, p.Correction.Scale[0], 1e-12)
	require.InDelta(t, 10/10.02, p.Correction.Scale[2], 1e-12)
	again, err := gauge.Readings{gauge.LengthZ: 10.02}.Apply(p)
	require.NoError(t, err)
	require.Equal(t, p, again)

	p, err = gauge.Readings{gauge.Loose: 0.1}.Apply(before)
	require.NoError(t, err)
	require.Equal(t, 0.1, p.Limits.Tight)
	p, err = gauge.Readings{gauge.Tight: 0.6}.Apply(before)
	require.NoError(t, err)
	require.Equal(t, 0.6, p.Limits.Loose)

	for f, wrong := range map[gauge.Field][]float64{
		gauge.Wall: {-1, 0.55}, gauge.Pin: {9}, gauge.Gap: {math.NaN()}, gauge.Hole: {math.Inf(1)},
	} {
		for _, v := range wrong {
			_, err = gauge.Readings{f: v}.Apply(before)
			require.ErrorIs(t, err, gauge.ErrReading)
			var at *gauge.ReadingError
			require.ErrorAs(t, err, &at)
			require.Equal(t, f, at.Field)
		}
	}
	for _, v := range []float64{-1, 20, math.NaN(), math.Inf(1), math.Inf(-1)} {
		_, err = gauge.Readings{gauge.LengthX: v}.Apply(before)
		require.ErrorIs(t, err, process.ErrCorrection, "%v", v)
	}
}

// A reading changes the numbers that it says it does and no others; every strip is read but the
// loose pegs.
func TestWhatReadingsSet(t *testing.T) {
	before := process.Presets()[0].Process
	strips := map[gauge.Kind]bool{gauge.Pegs: true}
	for _, f := range gauge.Fields() {
		strips[f.Strip()] = true
		v := 0.05
		if f.Drawn() > 0 {
			v = f.Drawn() * 0.99
		}
		after, err := gauge.Readings{f: v}.Apply(before)
		require.NoError(t, err, f)
		require.NotEqual(t, *before.Number(f.Sets()[0]), *after.Number(f.Sets()[0]), f)
		for _, n := range process.Fields() {
			follows := f.Drawn() > 0 && slices.Contains([]process.Field{process.CorrectionX, process.CorrectionY, process.CorrectionZ}, n) ||
				f == gauge.Loose && n == process.Tight
			if !follows && !slices.Contains(f.Sets(), n) {
				require.Equal(t, *before.Number(n), *after.Number(n), "%s sets %s", f, n)
			}
		}
	}
	g, err := gauge.Make(before)
	require.NoError(t, err)
	for _, m := range g.Parts {
		require.True(t, strips[gauge.Kind(m.Name)], m.Name)
	}
}

// The sizes lie about the limit, three below it.
func TestSizesLieAboutTheLimit(t *testing.T) {
	for _, preset := range process.Presets()[:3] {
		g, err := gauge.Make(preset.Process)
		require.NoError(t, err)
		for kind, limit := range map[gauge.Kind]float64{
			gauge.Walls: preset.Process.Limits.WallFree, gauge.Pins: preset.Process.Limits.Pin, gauge.Holes: preset.Process.Limits.Hole,
		} {
			below, from := 0, 0
			for _, s := range g.Steps {
				if s.Kind == kind && s.MM < limit {
					below++
				} else if s.Kind == kind {
					from++
				}
			}
			require.Equal(t, 3, below, "%s %s", preset.Process.Name, kind)
			require.Equal(t, 3, from)
		}
	}
}
