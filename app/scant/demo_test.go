package main

import (
	"context"
	"encoding/json"
	"fmt"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/formats"
)

// surface opens a part of the demo kit and reads its triangles, in millimetres.
func surface(t *testing.T, name string) (mesh.Part, []geom.Vec) {
	t.Helper()
	f, err := formats.Open(context.Background(), filepath.Join("..", "..", "assets", "demo", name), nil)
	require.NoError(t, err)
	m, err := f.Mesh(context.Background(), 0, nil)
	require.NoError(t, err)
	p := f.Parts()[0]
	out := make([]geom.Vec, len(m.Vertices))
	for i := range out {
		out[i] = m.Vertex(uint32(i)).Scale(p.Unit.MM)
	}
	return p, out
}

// snapped is the vertex that a click near a point takes.
func snapped(vertices []geom.Vec, click geom.Vec) geom.Vec {
	best := vertices[0]
	for _, v := range vertices {
		if v.Sub(click).Len() < best.Sub(click).Len() {
			best = v
		}
	}
	return best
}

// The demo kit is drawn at 1:17.3, of no known series. A maker who does not know that finds it
// from three clues in it: the door of the wheelhouse, the skipper's chair and the helmsman.
func TestDemoKitFromClues(t *testing.T) {
	_, house := surface(t, "wheelhouse.obj")
	foot := snapped(house, geom.Vec{29, -57, 178}) // clicked by eye, a millimetre or so off
	head := snapped(house, geom.Vec{29, -56, 291})
	door := head.Sub(foot).Len()

	chair, vertices := surface(t, "chair.glb") // y is up
	box := chair.Box.Scale(chair.Unit.MM)
	middle := box.Centre()
	seat := 0.0
	for _, v := range vertices {
		if d := v.Sub(middle); d[0]*d[0]+d[2]*d[2] < 9 && v[1] < middle[1]+8 { // under the back, about the middle
			seat = max(seat, v[1]-box.Min[1])
		}
	}
	man, _ := surface(t, "helmsman.glb")
	height := man.Box.Scale(man.Unit.MM).Size()[1]

	r, stderr := jsonOf(t, 0, "factor", "--target", "1:48",
		"--clue", fmt.Sprintf("%.2fmm=door-leaf-uk", door), "--clue", fmt.Sprintf("%.2fmm±0.3=chair-seat", seat), "--clue", fmt.Sprintf("%.2fmm=man-standing", height))
	require.Empty(t, stderr, "the clues agree")
	require.Less(t, oneTo(t, r.Native.Low), 17.3)
	require.Greater(t, oneTo(t, r.Native.High), 17.3)
	require.InDelta(t, 17.3, oneTo(t, r.Native.Ratio), 0.1)
	require.InDelta(t, 17.3/48, r.Factor, 0.003)

	// Each alone holds it as well, only less surely.
	for _, c := range []string{fmt.Sprintf("%.2f=door-leaf-uk", door), fmt.Sprintf("%.2f=chair-seat", seat), fmt.Sprintf("%.2f=man-standing", height)} {
		alone, _ := jsonOf(t, 0, "factor", "--target", "1:48", "--clue", c)
		require.Less(t, oneTo(t, alone.Native.Low), 17.3, c)
		require.Greater(t, oneTo(t, alone.Native.High), 17.3, c)
	}

	// An old copy of its hull gives its factor back.
	folder := t.TempDir()
	hull := filepath.Join("..", "..", "assets", "demo", "hull.stl")
	require.Equal(t, 0, scant("rescale", "--native", "1:17.3", "--target", "1:48", "--out", folder, hull).code)
	got := scant("recover", "--json", hull, filepath.Join(folder, "hull.stl"))
	require.Equal(t, 0, got.code, got.err)
	var f struct {
		Factor, SD float64
		Uneven     bool
	}
	require.NoError(t, json.Unmarshal([]byte(got.out), &f))
	require.InDelta(t, 17.3/48, f.Factor, 3*f.SD)
	require.False(t, f.Uneven)
}
