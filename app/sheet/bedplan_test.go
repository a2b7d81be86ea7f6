package sheet

import (
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/app/state"
	"scantling/engine/geom"
	"scantling/engine/judge"
)

func planOf(bed judge.Bed, pieces ...state.BedPiece) *state.BedPlan {
	p := &state.BedPlan{Bed: bed, Beds: [][]state.BedPiece{pieces}}
	for i := range pieces {
		at, size := pieces[i].At, pieces[i].Size
		pieces[i].Outline = []geom.Vec2{at, {at[0] + size[0], at[1]}, {at[0] + size[0], at[1] + size[1]}, {at[0], at[1] + size[1]}}
	}
	return p
}

func pieceAt(name string, x, y, w, d float64) state.BedPiece {
	return state.BedPiece{ID: name, Name: name, Of: 1, At: geom.Vec2{x, y}, Placed: judge.Placed{Size: geom.Vec2{w, d}}}
}

// A bed is drawn to scale with everything on the paper; what has room has its name, all have their
// number, and a press finds each.
func TestDrawBed(t *testing.T) {
	for _, bed := range []judge.Bed{
		{Size: geom.Vec{220, 200, 250}, Margin: 5},
		{Size: geom.Vec{220, 220, 250}, Margin: 5, Round: true},
	} {
		p := planOf(bed, pieceAt("hull", 60, 60, 100, 40), pieceAt("mast", 100, 120, 4, 4))
		for _, size := range []Size{{600, 500}, {320, 480}} {
			marks := DrawBed(p, 0, false, size)
			texts := map[string]Mark{}
			var shapes []Rect
			for _, m := range marks {
				for _, at := range m.Points {
					require.True(t, (Rect{Max: Point{size.W, size.H}}).Holds(at), "%+v leaves the paper", m)
				}
				if m.Kind == Writing {
					texts[m.Text] = m
				}
				if m.Kind == Outline && m.Role == PartShape {
					r := Rect{m.Points[0], m.Points[0]}
					for _, at := range m.Points {
						r = Rect{Point{min(r.Min.X, at.X), min(r.Min.Y, at.Y)}, Point{max(r.Max.X, at.X), max(r.Max.Y, at.Y)}}
					}
					shapes = append(shapes, r)
				}
			}
			require.Contains(t, texts, "1 hull")
			require.True(t, texts["1 hull"].Bold, "it is marked")
			require.Contains(t, texts, "2", "no room for a name")
			require.Len(t, shapes, 2)
			require.InDelta(t, 100./40, shapes[0].W()/shapes[0].H(), 1e-9)
			require.InDelta(t, 25, shapes[0].W()/shapes[1].W(), 1e-6)
			require.Less(t, shapes[1].Max.Y, shapes[0].Min.Y, "what is farther back is higher up")
			for i, r := range shapes {
				require.Equal(t, i, HitBed(p, r.Middle(), size))
			}
			require.Equal(t, -1, HitBed(p, Point{1, 1}, size))
		}
	}
	require.Len(t, DrawBed(nil, -1, false, Size{300, 300}), 1)
	require.Len(t, DrawBed(&state.BedPlan{}, -1, false, Size{300, 300}), 1)
	require.NotEmpty(t, DrawBed(planOf(judge.Bed{Size: geom.Vec{10, 10, 10}}), -1, true, Size{5, 5}))
}
