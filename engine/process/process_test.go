package process_test

import (
	"encoding/json"
	"errors"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/geom"
	"scantling/engine/process"
)

// Every preset can be judged by, and every number that it has says where it is from.
func TestPresets(t *testing.T) {
	names, kinds := map[string]bool{}, map[process.Kind]bool{}
	for _, p := range process.Presets() {
		require.NoError(t, p.Process.Check(), p.Process.Name)
		require.False(t, names[p.Process.Name])
		names[p.Process.Name], kinds[p.Process.Kind] = true, true
		require.False(t, p.Process.Correction.On, "corrections are off by default")
		for _, f := range process.Fields() {
			s, told := p.Sources[f]
			require.Equal(t, *p.Process.Number(f) != 0 || told, told, "%s: %s", p.Process.Name, f)
			if told {
				require.NotEmpty(t, s.Text)
				require.NotEmpty(t, s.Status)
			}
		}
	}
	for _, k := range process.Kinds() {
		require.True(t, kinds[k], k)
	}
	for _, m := range process.Materials() {
		p := process.Presets()[0].Process
		p.Material = m.Material
		require.NoError(t, p.Check(), m.Material.Name)
		require.NotEmpty(t, m.Sources[process.Density].Text)
		require.NotEmpty(t, m.Sources[process.ShrinkageX].Text)
	}
}

// Densities of data sheets: 1.24 for two grades of PLA (ASTM D792), sintered PA12 0.93 to 1.01,
// cured resin 1.12 to 1.20 (makers' sheets), PETG 1.26 to 1.27, ABS 1.04, ASA 1.07, TPU 1.21.
func TestDensities(t *testing.T) {
	for name, limits := range map[string][2]float64{
		"pla": {1.24, 1.24}, "pa12": {0.93, 1.01}, "resin": {1.12, 1.20}, "petg": {1.26, 1.27}, "abs": {1.04, 1.04}, "asa": {1.07, 1.07}, "tpu": {1.21, 1.21},
	} {
		found := false
		for _, m := range process.Materials() {
			if m.Material.Name == name {
				found = true
				require.GreaterOrEqual(t, m.Material.Density, limits[0], name)
				require.LessOrEqual(t, m.Material.Density, limits[1], name)
			}
		}
		require.True(t, found, name)
	}
}

func TestFields(t *testing.T) {
	var p process.Process
	seen := map[*float64]bool{}
	for i, f := range process.Fields() {
		n := p.Number(f)
		require.NotNil(t, n, f)
		require.False(t, seen[n], f)
		seen[n] = true
		*n = float64(i + 1)
	}
	require.Equal(t, 1.0, p.Limits.WallSupported)
	require.Equal(t, geom.Vec{19, 20, 21}, p.Material.Shrinkage)
	require.Nil(t, p.Number("colour"))
}

func TestCheck(t *testing.T) {
	for _, c := range []struct {
		name  string
		edit  func(*process.Process)
		field process.Field
		want  error
	}{
		{"no kind", func(p *process.Process) { p.Kind = "casting" }, "", process.ErrKind},
		{"a negative wall", func(p *process.Process) { p.Limits.WallSupported = -1 }, process.WallSupported, process.ErrLimit},
		{"a hole of a metre", func(p *process.Process) { p.Limits.Hole = 1000 }, process.Hole, process.ErrLimit},
		{"no number", func(p *process.Process) { p.Limits.Gap = math.NaN() }, process.Gap, process.ErrLimit},
		{"a free wall thinner than a held one", func(p *process.Process) { p.Limits.WallFree = 0.5 }, process.WallFree, process.ErrOrder},
		{"an easy fit tighter than a tight one", func(p *process.Process) { p.Limits.Loose = 0.1 }, process.Loose, process.ErrOrder},
		{"more than full", func(p *process.Process) { p.Fill.Infill = 1.2 }, process.Infill, process.ErrShare},
		{"no density", func(p *process.Process) { p.Material.Density = 0 }, process.Density, process.ErrDensity},
		{"heavier than anything", func(p *process.Process) { p.Material.Density = math.Inf(1) }, process.Density, process.ErrDensity},
		{"a price below nothing", func(p *process.Process) { p.Material.PriceKG = -5 }, process.Price, process.ErrPrice},
		{"shrinking by a half", func(p *process.Process) { p.Material.Shrinkage[1] = 0.5 }, process.ShrinkageY, process.ErrShrinkage},
		{"a wild correction", func(p *process.Process) { p.Correction.Scale = geom.Vec{1, 1, 2} }, process.CorrectionZ, process.ErrCorrection},
	} {
		p := process.Presets()[0].Process
		c.edit(&p)
		err := p.Check()
		require.ErrorIs(t, err, c.want, c.name)
		var field *process.FieldError
		require.True(t, errors.As(err, &field), c.name)
		require.Equal(t, c.field, field.Field, c.name)
	}
}

// What a process is stored as comes back the same.
func TestProcessIsStored(t *testing.T) {
	for _, preset := range process.Presets() {
		p := preset.Process
		p.Name = "mine"
		p.Correction = process.Correction{On: true, Scale: geom.Vec{1.001, 1.002, 1.003}}
		raw, err := json.Marshal(p)
		require.NoError(t, err)
		var back process.Process
		require.NoError(t, json.Unmarshal(raw, &back))
		require.Equal(t, p, back)
	}
}

// A part that shrinks by the share s of its length in the mould comes out right from a mould of
// 1/(1 − s), which 1 + s falls short of: at 2 % by 0.04 %.
func TestShrinkage(t *testing.T) {
	c := process.ForShrinkage(process.Material{Shrinkage: geom.Vec{0.005, 0.02, 0}})
	require.False(t, c.On)
	require.Equal(t, geom.Vec{100, 100, 100}, c.Apply(geom.Vec{100, 100, 100}), "off")
	c.On = true
	made := c.Apply(geom.Vec{100, 100, 100})
	require.InDelta(t, 100.5025, made[0], 1e-4) // reference value: 100/(1 − 0.005)
	for a, s := range []float64{0.005, 0.02, 0} {
		require.InDelta(t, 100, made[a]*(1-s), 1e-12)
	}
	require.True(t, c.Distorts())
	require.False(t, process.Correction{On: true, Scale: geom.Vec{1.01, 1.01, 1.01}}.Distorts())
	require.Equal(t, geom.Vec{1, 1, 1}, process.Correction{On: true}.Factors())
}

func TestMeasuredCorrection(t *testing.T) {
	l := func(meant, measured float64) process.Length { return process.Length{Meant: meant, Measured: measured} }
	c, err := process.Measured([3]process.Length{l(100, 99.8), l(80, 79.6), l(20, 20.1)}, process.Correction{})
	require.NoError(t, err)
	require.False(t, c.On)
	require.InDeltaSlice(t, []float64{100 / 99.8, 80 / 79.6, 20 / 20.1}, c.Scale[:], 1e-12)
	// Printed again with it, and measured again, it improves on itself.
	c.On = true
	again, err := process.Measured([3]process.Length{l(100, 100.1)}, c)
	require.NoError(t, err)
	require.InDelta(t, c.Scale[0]*100/100.1, again.Scale[0], 1e-12)
	// An axis that was not measured has the mean of the others.
	c, err = process.Measured([3]process.Length{l(100, 99), l(100, 98)}, process.Correction{})
	require.NoError(t, err)
	require.InDelta(t, (100/99.+100/98.)/2, c.Scale[2], 1e-12)
	c, err = process.Measured([3]process.Length{}, process.Correction{})
	require.NoError(t, err)
	require.Equal(t, process.Correction{}, c)
	_, err = process.Measured([3]process.Length{l(100, 50)}, process.Correction{})
	require.ErrorIs(t, err, process.ErrCorrection)
}

// A process of the maker's own keeps the sources of what it took over, and has none for what was
// changed.
func TestSourcesOfAnOwnProcess(t *testing.T) {
	for _, preset := range process.Presets() {
		own := preset.Process
		own.Name = "mine"
		require.Equal(t, preset.Sources, process.SourcesOf(own))
		own.Limits.Pin++
		own.Material.Density += 0.1
		sources := process.SourcesOf(own)
		require.NotContains(t, sources, process.Pin)
		require.NotContains(t, sources, process.Density)
		require.Equal(t, preset.Sources[process.Gap], sources[process.Gap])
		own.Material.Name = "what the shop had"
		require.NotContains(t, process.SourcesOf(own), process.ShrinkageX)
	}
}
