package sheet

import (
	"image"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/app/state"
	"scantling/engine/geom"
	"scantling/engine/judge"
)

// onBeds is a view of pieces on beds, each by the box of a part of its name.
func onBeds(bed judge.Bed, beds ...[]state.BedPiece) state.View {
	p := &state.BedPlan{Bed: bed, Correct: geom.Vec{1, 1, 1}, Layout: judge.Layout{Beds: len(beds), Least: 1}}
	for i, pieces := range beds {
		for k := range pieces {
			pieces[k].Bed = i
		}
		p.Beds = append(p.Beds, state.LaidBed{Pieces: pieces, Full: 0.25})
	}
	return state.View{Beds: p, Sheet: state.Sheet{Beds: true, Fit: true}}
}

func pieceAt(name string, x, y, w, d float64) state.BedPiece {
	corners := [4]geom.Vec2{{x, y}, {x + w, y}, {x + w, y + d}, {x, y + d}}
	return state.BedPiece{ID: name, Name: name, Of: 1, Placed: judge.Placed{Size: geom.Vec2{w, d}},
		Spot: judge.Spot{Low: geom.Vec2{x, y}, Outline: corners[:], Frame: corners}}
}

// Beds lie side by side and to scale, each with everything on it; what has room has its name, and a
// click finds each piece, wherever the drawing was moved.
func TestDrawBeds(t *testing.T) {
	for _, bed := range []judge.Bed{
		{Size: geom.Vec{220, 200, 250}, Margin: 5},
		{Size: geom.Vec{220, 220, 250}, Margin: 5, Brim: 3, Round: true},
	} {
		v := onBeds(bed, []state.BedPiece{pieceAt("hull", 60, 60, 100, 40), pieceAt("mast", 100, 120, 4, 4)}, []state.BedPiece{pieceAt("hull", 60, 80, 100, 40)})
		v.Selected = "mast"
		for _, size := range []Size{{1100, 640}, {420, 900}} {
			for _, moved := range []bool{false, true} {
				v.Sheet.Fit = true
				if c := CameraOf(v, size); moved {
					v.Sheet.Fit, v.Sheet.Zoom, v.Sheet.PanX, v.Sheet.PanY = false, c.Zoom*1.1, c.PanX+9, c.PanY-4
				}
				l := arrange(v, size)
				marks := Draw(v, size)
				texts := map[string]Mark{}
				shapes := map[string][]Rect{}
				for _, m := range marks {
					if m.Kind == Writing {
						texts[m.Text] = m
					}
					if m.Kind == Outline && m.Role == PartShape && !m.Dashed {
						shapes[m.Part] = append(shapes[m.Part], boundsOf(m.Points))
					}
				}
				require.Contains(t, texts, "hull")
				require.Contains(t, texts, "220")
				require.True(t, texts["mast"].Bold, "it is selected")
				require.Contains(t, texts, "Bed 1 of 2  ·  25\u00a0% full  ·  2\u00a0pieces")
				require.Contains(t, texts, "Bed 2 of 2  ·  25\u00a0% full  ·  1\u00a0piece")
				require.Len(t, shapes["hull"], 2)
				require.Len(t, shapes["mast"], 1)
				hull, mast := shapes["hull"][0], shapes["mast"][0]
				require.InDelta(t, 100./40, hull.W()/hull.H(), 1e-9)
				require.InDelta(t, 25, hull.W()/mast.W(), 1e-6)
				require.Less(t, mast.Max.Y, hull.Min.Y, "what is farther back is higher up")
				require.InDelta(t, hull.W()/100, l.camera.Zoom, 1e-9, "print millimetres, as everywhere on the sheet")
				for id, boxes := range shapes {
					for _, r := range boxes {
						got, ok := At(v, size, r.Middle())
						if require.Equal(t, l.field.Holds(r.Middle()), ok); ok {
							require.Equal(t, id, got)
						}
					}
				}
				_, ok := At(v, size, Point{l.field.Min.X + 1, l.field.Min.Y + 1})
				require.False(t, ok)
				_, ok = Pick(v, size, hull.Middle())
				require.False(t, ok, "the kit is not there to be measured")
				if moved {
					continue
				}
				a, b := l.camera.rect(l.beds.plates[0]), l.camera.rect(l.beds.plates[1])
				require.False(t, a.Meets(b), "side by side")
				require.Equal(t, size.W > size.H, a.Min.Y == b.Min.Y, "one above the other where that is larger")
				for _, r := range []Rect{a, b} {
					require.True(t, l.field.Holds(r.Min) && l.field.Holds(r.Max), "%+v leaves the field", r)
				}
			}
		}
	}
}

// What is seen of a part fills its frame, turned, and what is not known is drawn by its hull; a
// bed with nothing on it, or none at all, is no trouble.
func TestDrawBedsByWhatIsSeen(t *testing.T) {
	one := pieceAt("hull", 60, 60, 100, 40)
	one.Seen, one.Yaw = image.NewNRGBA(image.Rect(0, 0, 100, 40)), math.Pi/2
	one.Frame = [4]geom.Vec2{{90, 30}, {90, 130}, {50, 130}, {50, 30}}
	v := onBeds(judge.Bed{Size: geom.Vec{220, 200, 250}}, []state.BedPiece{one})
	found := 0
	for _, m := range Draw(v, Size{800, 560}) {
		if m.Kind == Picture {
			found++
			require.Equal(t, math.Pi/2, m.Turn)
			require.InDelta(t, 0.4, m.Box.W()/m.Box.H(), 1e-9)
		}
	}
	require.Equal(t, 1, found)
	for _, p := range []*state.BedPlan{nil, {}, {Bed: v.Beds.Bed, Err: state.ErrNoFactor}} {
		v.Beds = p
		require.NotEmpty(t, Draw(v, Size{800, 560}))
		require.NotEmpty(t, Draw(v, Size{120, 120}))
		_, ok := At(v, Size{800, 560}, Point{400, 300})
		require.False(t, ok)
	}
}

// Where rectangles overlap, the outline says what was meant.
func TestPieceUnderAClick(t *testing.T) {
	one, other := pieceAt("front", 10, 10, 80, 80), pieceAt("back", 12, 12, 80, 80)
	one.Outline, other.Outline = one.Outline[:3], []geom.Vec2{{12, 12}, {92, 92}, {12, 92}} // below and above the diagonal
	v := onBeds(judge.Bed{Size: geom.Vec{100, 100, 250}}, []state.BedPiece{one, other})
	size := Size{800, 560}
	l := arrange(v, size)
	for id, at := range map[string]geom.Vec2{"front": {70, 30}, "back": {30, 70}} {
		got, ok := At(v, size, l.on(0, at))
		require.True(t, ok)
		require.Equal(t, id, got)
	}
	v = onBeds(judge.Bed{Size: geom.Vec{100, 100, 250}}, []state.BedPiece{one})
	got, _ := At(v, size, l.on(0, geom.Vec2{20, 80}))
	require.Equal(t, "front", got, "its rectangle")
}

func TestWrapped(t *testing.T) {
	const room = 20 * sizeLabel * 0.56
	require.Equal(t, []string{"one two three four", "five six seven eight", "short"}, wrapped([]string{"one two three four five six seven eight", "short"}, room))
	long := wrapped([]string{"a pneumonoultramicroscopicsilicovolcanoconiosis"}, room)
	require.Len(t, long, 2)
	require.LessOrEqual(t, len([]rune(long[1])), 20)
	require.Empty(t, wrapped(nil, room))
}
