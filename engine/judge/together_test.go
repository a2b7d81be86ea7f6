package judge_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/geom"
	"scantling/engine/judge"
	"scantling/engine/survey"
)

func TestPegTooThick(t *testing.T) {
	parts, _ := kitOf(2)
	c := judge.New(parts, &survey.Assembly{Fits: []survey.Fit{{Outer: 1, Length: 5, Flats: -0.2}}}, judge.Terms{Process: extrusion()})
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
	c := judge.New(parts, &survey.Assembly{Fits: []survey.Fit{{Outer: 1, Length: 5, Flats: 0.4}}}, judge.Terms{Process: extrusion()})
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

// What is not round is told of too, by where it is in the kit; parts drawn into each other are
// noted at every factor.
func TestTogether(t *testing.T) {
	parts, _ := kitOf(2)
	at := geom.Vec{1, 2, 3}
	c := judge.New(parts, &survey.Assembly{
		Fits:       []survey.Fit{{Inner: 1, Outer: 0, Peg: -1, Bore: -1, Flats: 0.3, Centre: at}},
		Neighbours: []survey.Neighbours{{One: 0, Other: 1, Relation: survey.Overlapping, At: at}, {One: 0, Other: 1, Relation: survey.Touching}},
	}, judge.Terms{Process: extrusion()})
	codes := map[judge.Code]int{}
	for _, x := range c.At(0.5) {
		codes[x.Code]++
		if x.Code == judge.Overlap || x.Code == judge.PegTight {
			require.Equal(t, judge.Place{Centre: at, InKit: true}, x.Where)
			require.Equal(t, 1-x.Part, x.Other)
		}
	}
	require.Equal(t, 1, codes[judge.Overlap])
	require.Equal(t, 1, codes[judge.PegTight])
}

// A mast whose pole is thicker than its peg stands on the rim of the socket: that is no fit.
func TestPegBeforeItsBore(t *testing.T) {
	parts, _ := kitOf(2)
	c := judge.New(parts, &survey.Assembly{Fits: []survey.Fit{{Outer: 1, Length: 1e-6, Flats: -0.5}}}, judge.Terms{Process: extrusion()})
	for _, x := range c.At(0.5) {
		require.NotEqual(t, judge.PegTight, x.Code)
	}
}
