package main

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/survey"
)

type surveyed struct {
	Parts []struct {
		File, Name, Format, Encoding, Unit, Error string
		Triangles, Shells                         int
		Genus                                     *int
		Size                                      []float64
		Area, Volume, Hull                        float64
		Centroid                                  []float64
		Closed                                    bool
		Thickness, Gaps                           struct {
			Least, P1, P5, Median *float64
			Unmeasured            float64
			Places                []struct {
				Kind                                string
				Free                                *bool
				Least, Typical, Depth, Height, Area float64
				Centre, Min, Max                    []float64
			}
		}
		Bores, Pegs []map[string]any
		Facets      map[string]any
		Health      map[string]any
	}
	Clearances *survey.Assembly
}

func surveyJSON(t *testing.T, code int, args ...string) surveyed {
	t.Helper()
	got := scant(append([]string{"survey", "--json"}, args...)...)
	require.Equal(t, code, got.code, got.err)
	dec := json.NewDecoder(strings.NewReader(got.out))
	dec.DisallowUnknownFields()
	var r surveyed
	require.NoError(t, dec.Decode(&r), got.out)
	require.False(t, dec.More())
	return r
}

func TestSurvey(t *testing.T) {
	kitFolder(t)
	r := surveyJSON(t, 0, "kit", "y-up/funnel.gltf")
	require.Len(t, r.Parts, 5)
	mast := r.Parts[2]
	require.Equal(t, "mast", mast.Name)
	require.InDelta(t, 6, *mast.Thickness.Least, 1e-6)
	require.InDelta(t, 6, *mast.Thickness.Median, 1e-6)
	require.Len(t, mast.Thickness.Places, 1)
	require.Equal(t, "pin", mast.Thickness.Places[0].Kind)
	require.InDelta(t, 4*6*180, mast.Thickness.Places[0].Area, 50)
	require.InDeltaSlice(t, []float64{3, 3, 90}, mast.Thickness.Places[0].Centre, 1)
	require.Nil(t, mast.Gaps.Least)
	require.Empty(t, mast.Gaps.Places)
	require.InDelta(t, 6*6*180, mast.Volume, 1e-6)
	require.True(t, mast.Closed)
	require.InDelta(t, 6*6*180, mast.Hull, 1e-6)
	require.Zero(t, *mast.Genus)
	require.InDeltaSlice(t, []float64{3, 3, 90}, mast.Centroid, 1e-6)
	require.Nil(t, mast.Thickness.Places[0].Free, "a pin is no wall")
	require.NotEmpty(t, r.Clearances.Neighbours)
	for _, n := range r.Clearances.Neighbours {
		require.Less(t, n.One, n.Other)
		require.Less(t, n.Other, 5)
	}
	require.NotNil(t, mast.Bores, "none is an empty list")
	require.Equal(t, true, mast.Health["complete"])
	funnel := r.Parts[4]
	require.Equal(t, "m", funnel.Unit)
	require.InDelta(t, 0.02, *funnel.Thickness.Least, 1e-8)

	plain := scant("survey", "y-up/funnel.gltf", "kit/deck/mast.STL")
	require.Equal(t, 0, plain.code)
	out := strings.ReplaceAll(plain.out, "\u00a0", " ")
	for _, want := range []string{"kit/deck/mast.STL", "6.00 mm at least", "pin of 6.00 mm", "20.0 mm at least"} {
		require.Contains(t, out, want)
	}
}

func TestSurveyGoesOnAfterFailures(t *testing.T) {
	kitFolder(t)
	open := box([3]float32{10, 10, 10})[2:]
	require.NoError(t, os.WriteFile("kit/open.stl", binarySTL(open), 0o666))
	r := surveyJSON(t, 1, "bad/broken.stl", "kit/open.stl")
	require.Len(t, r.Parts, 2)
	require.NotEmpty(t, r.Parts[0].Error)
	require.Empty(t, r.Parts[1].Error)
	require.False(t, r.Parts[1].Closed)
	require.EqualValues(t, 4, r.Parts[1].Health["open_edges"])
	require.InDelta(t, 100, r.Parts[1].Thickness.Unmeasured, 1)

	plain := scant("survey", "kit/open.stl")
	require.Contains(t, strings.ReplaceAll(plain.out, "\u00a0", " "), "4 edges with one triangle only")
}

func TestSurveyMisusedAndHelped(t *testing.T) {
	require.Equal(t, 2, scant("survey").code)
	require.Equal(t, 2, scant("survey", "--factor", "2", "hull.stl").code)
	got := scant("help", "survey")
	require.Equal(t, 0, got.code)
	require.Equal(t, got, scant("survey", "--help"))
	for line := range strings.Lines(got.out) {
		require.LessOrEqual(t, len([]rune(line)), 96, line)
	}
	kitFolder(t)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	var out, err bytes.Buffer
	require.Equal(t, 1, run(ctx, []string{"survey", "kit"}, &out, &err))
	require.Empty(t, out.String())
	require.Contains(t, strings.ToLower(err.String()), "cancel")
}
