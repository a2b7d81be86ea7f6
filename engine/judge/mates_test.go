package judge_test

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/geom"
	"scantling/engine/judge"
	"scantling/engine/survey"
)

// A mast in a socket, drawn in inches with y up beside a deck in millimetres with z up.
func TestMates(t *testing.T) {
	up := geom.Vec{0, 0, 1}
	peg := survey.Round{Diameter: 4, Flats: 3.96, Depth: 10, Axis: up, Centre: geom.Vec{20, 30, 7}}
	bore := survey.Round{Diameter: 4.5, Flats: 4.4, Depth: 8, Axis: up, Centre: geom.Vec{20, 30, 5}}
	part := func(pegs, bores []survey.Round) judge.Part {
		return judge.Part{MM: 1, Found: &survey.Measurements{Pegs: pegs, Bores: bores}}
	}
	mates := func(parts ...judge.Part) []judge.Mate {
		found, err := judge.Mates(context.Background(), parts)
		require.NoError(t, err)
		return found
	}
	moved := func(r survey.Round, edit func(*survey.Round)) survey.Round { edit(&r); return r }
	mast, deck := part([]survey.Round{peg}, nil), part(nil, []survey.Round{bore})
	found := mates(mast, deck)
	require.Len(t, found, 1)
	require.Equal(t, judge.Mate{Peg: 0, Bore: 1, Clearance: found[0].Clearance}, found[0])
	require.InDelta(t, 0.4, found[0].Clearance, 1e-12)

	// In other units and axes, the same.
	inch := part([]survey.Round{{Diameter: 4 / 25.4, Flats: 3.96 / 25.4, Depth: 10 / 25.4, Axis: geom.Vec{0, 1, 0}, Centre: geom.Vec{20 / 25.4, 7 / 25.4, -30 / 25.4}}}, nil)
	inch.MM = 25.4
	inch.InKit = func(v geom.Vec) geom.Vec { v = v.Scale(25.4); return geom.Vec{v[0], 0 - v[2], v[1]} }
	found = mates(inch, deck)
	require.Len(t, found, 1)
	require.InDelta(t, 0.4, found[0].Clearance, 1e-9)

	// The nearest in size of several.
	wide := moved(bore, func(r *survey.Round) { r.Diameter, r.Flats = 6, 5.9 })
	found = mates(mast, part(nil, []survey.Round{wide, bore}))
	require.Len(t, found, 1)
	require.Equal(t, 1, found[0].BoreOf)

	for name, other := range map[string]survey.Round{
		"beside it":     moved(bore, func(r *survey.Round) { r.Centre[0] += 1 }),
		"above it":      moved(bore, func(r *survey.Round) { r.Centre[2] += 20 }),
		"tilted":        moved(bore, func(r *survey.Round) { r.Axis = geom.Vec{0, math.Sin(0.05), math.Cos(0.05)} }),
		"much wider":    moved(bore, func(r *survey.Round) { r.Diameter, r.Flats = 12, 12 }),
		"much narrower": moved(bore, func(r *survey.Round) { r.Diameter, r.Flats = 2, 2 }),
	} {
		require.Empty(t, mates(mast, part(nil, []survey.Round{other})), name)
	}
	require.Empty(t, mates(judge.Part{}, judge.Part{}))
	require.Empty(t, mates())
}

func TestPegTooThick(t *testing.T) {
	parts, _ := kitOf(2)
	c := judge.New(parts, []judge.Mate{{Peg: 0, Bore: 1, Clearance: -0.2}}, judge.Terms{Process: extrusion()})
	for _, f := range []float64{0.1, 1, 10} {
		i := 0
		for _, x := range c.At(f) {
			if x.Code == judge.PegTight {
				i++
				require.Equal(t, judge.Never, x.Gone)
				require.InEpsilon(t, -0.2*f, x.Value, 1e-12)
				require.InEpsilon(t, 0.4+0.2*f, x.Offset, 1e-12, "what an easy fit needs, and what is lacking")
				require.Equal(t, 1, x.Other)
			}
		}
		require.Equal(t, 1, i)
	}
}

func TestPegOffsets(t *testing.T) {
	parts, _ := kitOf(2)
	c := judge.New(parts, []judge.Mate{{Peg: 0, Bore: 1, Clearance: 0.4}}, judge.Terms{Process: extrusion()})
	of := func(f float64) (out judge.Finding) {
		for _, x := range c.At(f) {
			if x.Code == judge.PegTight || x.Code == judge.PegLoose {
				return x
			}
		}
		return out
	}
	x := of(0.25) // 0.1 mm of room, 0.2 is the least and 0.4 easy
	require.Equal(t, judge.PegTight, x.Code)
	require.InDelta(t, 0.1, x.Value, 1e-12)
	require.InDelta(t, 0.3, x.Offset, 1e-12)
	require.Equal(t, 0.5, x.GoneAt)
	require.Empty(t, of(0.5).Code)
	x = of(3) // 1.2 mm of room; twice an easy fit is 0.8
	require.Equal(t, judge.PegLoose, x.Code)
	require.InDelta(t, 1.2, x.Value, 1e-12)
	require.InDelta(t, 0.8, x.Offset, 1e-12)
	require.InEpsilon(t, 2, x.GoneAt, 1e-12)
}
