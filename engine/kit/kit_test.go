package kit

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/geom"
	"scantling/engine/mesh"
)

func TestKitsAreSnapshots(t *testing.T) {
	k := Kit{}.With(Part{File: "a.stl", Name: "a"}, Part{File: "b.stl", Name: "b", Ticked: true}, Part{File: "b.stl", Index: 1})
	before := slices.Clone(k.Parts)
	ids := []string{k.Parts[0].ID, k.Parts[1].ID, k.Parts[2].ID}
	require.NotEqual(t, ids[0], ids[1])
	require.NotEqual(t, ids[1], ids[2])

	more := k.With(Part{File: "./a.stl"}, Part{File: "c.stl"}) // a is there already
	require.Len(t, more.Parts, 4)
	require.Equal(t, 1, more.Parts[3].Quantity)
	edited := k.WithPart(ids[0], func(p *Part) { p.Quantity = 9; p.ID = "lost" })
	require.Equal(t, 9, edited.Parts[0].Quantity)
	require.Equal(t, ids[0], edited.Parts[0].ID)
	fewer := k.Without(ids[0], "nobody")
	require.Len(t, fewer.Parts, 2)
	require.Equal(t, k, k.WithPart("nobody", func(p *Part) { p.Quantity = 9 }))
	require.Equal(t, before, k.Parts, "the kit itself never changed")

	back := fewer.With(Part{File: "a.stl"})
	require.Equal(t, ids[0], back.Parts[2].ID, "the same body has the same id again")
	p, ok := k.Part(ids[1])
	require.True(t, ok)
	require.Equal(t, []Part{p}, k.Ticked())
	_, ok = k.Part("nobody")
	require.False(t, ok)
}

func titled(s string) Kit { return Kit{Title: s} }

func TestHistory(t *testing.T) {
	h := NewHistory(titled("0"))
	require.False(t, h.Unsaved())
	_, _, ok := h.Undo()
	require.False(t, ok)
	h.Do("one", titled("1"))
	h.Do("two", titled("2"))
	require.True(t, h.Unsaved())
	require.Equal(t, "two", h.UndoName())
	require.Empty(t, h.RedoName())
	h.Saved()

	k, name, ok := h.Undo()
	require.Equal(t, []any{"1", "two", true}, []any{k.Title, name, ok})
	require.True(t, h.Unsaved())
	require.Equal(t, "one", h.UndoName())
	require.Equal(t, "two", h.RedoName())
	k, name, ok = h.Redo()
	require.Equal(t, []any{"2", "two", true}, []any{k.Title, name, ok})
	require.False(t, h.Unsaved(), "back at what is on disk")
	_, _, ok = h.Redo()
	require.False(t, ok)

	h.Undo()
	h.Do("other", titled("2b"))
	require.True(t, h.Unsaved(), "what is on disk can no longer be reached")
	h.Undo()
	h.Undo()
	require.True(t, h.Unsaved())
	h.Redo()
	k, _, _ = h.Redo()
	require.Equal(t, "2b", k.Title)
	require.True(t, h.Unsaved())
}

func TestTypingIsOneStep(t *testing.T) {
	h := NewHistory(titled(""))
	h.Type("change title", "title", titled("T"))
	h.Type("change title", "title", titled("Tu"))
	h.Type("change title", "title", titled("Tug"))
	k, _, _ := h.Undo()
	require.Empty(t, k.Title)
	require.False(t, h.Unsaved())
	k, _, _ = h.Redo()
	require.Equal(t, "Tug", k.Title)

	h.Type("change title", "title", titled("Tug b"))
	require.Equal(t, "Tug b", h.Kit().Title)
	k, _, _ = h.Undo()
	require.Equal(t, "Tug", k.Title, "after a redo a new step begins")
	h.Redo()

	for name, between := range map[string]func(){
		"pause":       h.Pause,
		"save":        h.Saved,
		"other field": func() { h.Type("change title", "other", titled("x")) },
		"other name":  func() { h.Type("change native", "title", titled("x")) },
		"step":        func() { h.Do("change title", titled("x")) },
	} {
		h.Type("change title", "title", titled("a"))
		steps := h.at
		between()
		h.Type("change title", "title", titled("b"))
		require.Greater(t, h.at, steps, name)
	}
	h.Type("t", "k", titled("a"))
	h.Saved()
	h.Type("t", "k", titled("b"))
	require.True(t, h.Unsaved())
	h.Undo()
	require.False(t, h.Unsaved())
}

func TestAmend(t *testing.T) {
	h := NewHistory(Kit{})
	k := Kit{}.With(Part{File: "a.stl"})
	id := k.Parts[0].ID
	h.Do("add", k)
	h.Saved()
	h.Do("quantity", k.WithPart(id, func(p *Part) { p.Quantity = 2 }))
	h.Amend(func(k Kit) Kit { return k.WithPart(id, func(p *Part) { p.Digest = "d" }) })
	require.Equal(t, "d", h.Kit().Parts[0].Digest)
	before, _, _ := h.Undo()
	require.Equal(t, "d", before.Parts[0].Digest)
	require.False(t, h.Unsaved())
	require.Empty(t, k.Parts[0].Digest)
}

func TestHistoryIsBounded(t *testing.T) {
	h := NewHistory(titled("start"))
	for i := range 2*maxSteps + 7 {
		h.Do(fmt.Sprint(i), titled(fmt.Sprint(i)))
		if i == maxSteps+100 {
			h.Saved()
		}
	}
	require.Len(t, h.steps, maxSteps)
	require.Len(t, h.kits, maxSteps+1)
	undone := 0
	reached := false
	for {
		if _, _, ok := h.Undo(); !ok {
			break
		}
		undone++
		reached = reached || !h.Unsaved()
	}
	require.Equal(t, maxSteps, undone)
	require.Equal(t, fmt.Sprint(maxSteps+6), h.Kit().Title)
	require.True(t, reached)

	lost := NewHistory(titled("saved"))
	for i := range maxSteps + 1 {
		lost.Do("step", titled(fmt.Sprint(i)))
	}
	for {
		if _, _, ok := lost.Undo(); !ok {
			break
		}
		require.True(t, lost.Unsaved())
	}
	require.True(t, lost.Unsaved(), "the saved kit fell out at the far end")
}

// The history against a plain list of all kits that were.
func TestHistoryAgainstPlainList(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	h := NewHistory(titled("0"))
	past, future, saved := []string{"0"}, []string{}, "0"
	for i := range 5000 {
		switch r.IntN(4) {
		case 0, 1:
			if len(past) > maxSteps {
				continue
			}
			name := fmt.Sprint("after ", i)
			h.Do(name, titled(name))
			past, future = append(past, name), nil
		case 2:
			if _, _, ok := h.Undo(); ok {
				future = append(future, past[len(past)-1])
				past = past[:len(past)-1]
			} else {
				require.Len(t, past, 1)
			}
		case 3:
			if _, _, ok := h.Redo(); ok {
				past = append(past, future[len(future)-1])
				future = future[:len(future)-1]
			} else {
				require.Empty(t, future)
			}
		}
		if r.IntN(20) == 0 {
			h.Saved()
			saved = past[len(past)-1]
		}
		require.Equal(t, past[len(past)-1], h.Kit().Title)
		require.Equal(t, past[len(past)-1] != saved, h.Unsaved())
	}
}

func part(name string, up geom.Axis, mm float64, least, most geom.Vec) mesh.Part {
	return mesh.Part{Name: name, Up: up, Unit: mesh.Unit{MM: mm}, Measures: mesh.Measures{Triangles: 12, Box: geom.Box{Min: least, Max: most}}}
}

func TestFrame(t *testing.T) {
	hull := part("hull", geom.Z, 1, geom.Vec{-200, -50, 0}, geom.Vec{200, 50, 90})
	deck := part("deck", geom.Z, 10, geom.Vec{-10, -4, 9}, geom.Vec{10, 4, 9.5})
	// As long as hull, its height along y, drawn in metres.
	house := part("house", geom.Y, 1000, geom.Vec{-0.05, 0.09, -0.03}, geom.Vec{0.05, 0.15, 0.02})
	pole := part("pole", geom.X, 1, geom.Vec{0, 1, 2}, geom.Vec{100, 3, 5})

	t.Run("alike", func(t *testing.T) {
		f := FrameOf([]mesh.Part{hull, deck})
		require.Equal(t, geom.Z, f.Up)
		require.Equal(t, hull.Box, f.Box(hull))
		require.Equal(t, geom.Box{Min: geom.Vec{-100, -40, 90}, Max: geom.Vec{100, 40, 95}}, f.Box(deck))
		require.Equal(t, geom.Vec{400, 100, 95}, f.KitBox([]mesh.Part{hull, deck}).Size())
	})
	t.Run("all y up", func(t *testing.T) {
		f := FrameOf([]mesh.Part{house, house})
		require.Equal(t, geom.Y, f.Up)
		require.Equal(t, house.Box.Scale(1000), f.Box(house))
		requireNear(t, geom.Vec{100, 50, 60}, Lies(house))
	})
	t.Run("mixed", func(t *testing.T) {
		f := FrameOf([]mesh.Part{hull, house, pole})
		require.Equal(t, geom.Z, f.Up)
		require.Equal(t, hull.Box, f.Box(hull))
		b := f.Box(house)
		requireNear(t, geom.Vec{-50, -20, 90}, b.Min)
		requireNear(t, geom.Vec{50, 30, 150}, b.Max)
		require.Equal(t, geom.Box{Min: geom.Vec{-5, 1, 0}, Max: geom.Vec{-2, 3, 100}}, f.Box(pole))
		for _, p := range []mesh.Part{hull, house, pole} {
			requireNear(t, f.Box(p).Size(), Lies(p)) // standing up, they lie as they stand
		}
	})
	t.Run("turns mirror nothing", func(t *testing.T) {
		f := FrameOf([]mesh.Part{hull, house})
		for _, p := range []mesh.Part{hull, house, pole} {
			x, y, z := f.Point(p, geom.Vec{1, 0, 0}), f.Point(p, geom.Vec{0, 1, 0}), f.Point(p, geom.Vec{0, 0, 1})
			require.InDelta(t, math.Pow(p.Unit.MM, 3), x.Cross(y).Dot(z), 1e-9)
			require.Equal(t, p.Unit.MM, f.Point(p, [3]geom.Vec{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}[p.Up])[2], "up is up")
		}
		require.False(t, math.Signbit(f.Point(house, geom.Vec{})[1]))
	})
	t.Run("nothing", func(t *testing.T) {
		f := FrameOf(nil)
		require.True(t, f.KitBox(nil).Empty())
		empty := mesh.Part{Measures: mesh.Measures{Box: geom.EmptyBox()}, Unit: mesh.Unit{MM: 1}, Up: geom.Y}
		require.True(t, FrameOf([]mesh.Part{hull, empty}).Box(empty).Empty())
		require.Equal(t, geom.Vec{}, Lies(empty))
		require.Equal(t, hull.Box, FrameOf([]mesh.Part{hull, empty}).KitBox([]mesh.Part{hull, empty}))
	})
	t.Run("subject", func(t *testing.T) {
		s := SubjectOf([]Body{{"h", "hull", hull}, {"w", "house", house}})
		requireNear(t, geom.Vec{400, 100, 150}, s.Kit)
		require.Equal(t, "w", s.Parts[1].ID)
		require.Equal(t, "house", s.Parts[1].Name)
		requireNear(t, geom.Vec{100, 50, 60}, s.Parts[1].Size)
		requireNear(t, geom.Vec{100, 50, 60}, s.Parts[1].Lies)
	})
}

func requireNear(t *testing.T, want, got geom.Vec) {
	t.Helper()
	for i := range want {
		require.InDelta(t, want[i], got[i], 1e-9)
	}
}
