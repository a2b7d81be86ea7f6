package units

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/geom"
)

func box(x, y, z, dx, dy, dz float64) geom.Box {
	return geom.Box{Min: geom.Vec{x, y, z}, Max: geom.Vec{x + dx, y + dy, z + dz}}
}

// boat is a hull with a house, a mast and a funnel, z up.
func boat() []Placed {
	return []Placed{
		{ID: "hull", Box: box(0, -48, 0, 412, 96, 88), Up: geom.Z},
		{ID: "house", Box: box(210, -30, 84, 80, 60, 66), Up: geom.Z},
		{ID: "mast", Box: box(247, -3, 150, 6, 6, 180), Up: geom.Z},
		{ID: "funnel", Box: box(160, -12, 84, 24, 24, 60), Up: geom.Z},
	}
}

// drawnYUp is a part as it lies when its file, drawn with y up, is taken to have z up.
func drawnYUp(id string, lies geom.Box) Placed {
	back := geom.Turn{1, 3, -2} // from z up to y up
	wrong := back.Box(lies)
	return Placed{ID: id, Box: wrong, Up: geom.Z, Otherwise: []Standing{
		{Up: geom.Y, Box: lies}, {Up: geom.Y, Reversed: true, Box: geom.Turn{1, 3, -2}.Box(wrong)}, {Up: geom.X, Box: geom.Turn{-3, 2, 1}.Box(wrong)},
	}}
}

func TestStrays(t *testing.T) {
	require.Empty(t, Strays(boat()), "an assembly has none")
	require.Empty(t, Strays(nil))
	require.Empty(t, Strays(boat()[:2]), "of two nobody can say which is the stray")

	far := append(boat(), Placed{ID: "anchor", Box: box(5000, 0, 0, 10, 10, 10), Up: geom.Z})
	found := Strays(far)
	require.Len(t, found, 1)
	require.Equal(t, "anchor", found[0].Part)
	require.Equal(t, Far, found[0].Oddity)
	require.InDelta(t, 5000-412, found[0].Gap, 1e-9)
	far[4].Box = box(600, 0, 0, 10, 10, 10)
	require.Empty(t, Strays(far), "beside the others, as drawn to be printed")

	bollard := box(30, -40, 70, 12, 8, 14)
	turned := append(boat(), drawnYUp("bollard", bollard))
	found = Strays(turned)
	require.Len(t, found, 1)
	require.Equal(t, "bollard", found[0].Part)
	require.Equal(t, OtherUp, found[0].Oddity)
	require.Equal(t, Standing{Up: geom.Y, Box: bollard}, found[0].Better)
	turned[4].Otherwise = nil
	require.Empty(t, Strays(turned), "the maker has turned it")

	one := append(boat(), Placed{ID: "lamp", Box: box(248, -2, 300, 4, 4, 4), Up: geom.Y, Otherwise: []Standing{{Up: geom.Z, Box: box(0, 0, 0, 9e3, 1, 1)}}})
	found = Strays(one)
	require.Len(t, found, 1)
	require.Equal(t, Alone, found[0].Oddity)
	one[0].Up = geom.Y
	require.Empty(t, Strays(one), "two files may well be of another kind")
}

// However the kit is scaled and moved, the same parts are strays.
func TestStraysScale(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 200 {
		parts := boat()
		for i := range 3 {
			p := drawnYUp("p", box(r.Float64()*600-100, r.Float64()*200-100, r.Float64()*300, 1+r.Float64()*40, 1+r.Float64()*40, 1+r.Float64()*40))
			p.ID += string(rune('0' + i))
			if r.IntN(2) == 0 {
				p.Box = p.Box.Scale(3)
			}
			parts = append(parts, p)
		}
		want := Strays(parts)
		for i := range parts {
			parts[i].Box = parts[i].Box.Scale(8)
			for j := range parts[i].Otherwise {
				parts[i].Otherwise[j].Box = parts[i].Otherwise[j].Box.Scale(8)
			}
		}
		got := Strays(parts)
		require.Len(t, got, len(want))
		for i := range got {
			require.Equal(t, want[i].Part, got[i].Part)
			require.Equal(t, want[i].Oddity, got[i].Oddity)
			require.Equal(t, 8*want[i].Gap, got[i].Gap)
		}
	}
}
