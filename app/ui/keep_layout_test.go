package ui

import (
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/test"
	"github.com/stretchr/testify/require"
)

// A side that is kept is no smaller than wanted while there is room, larger in a large window, and
// as large as the maker has dragged it from then on.
func TestASideIsKept(t *testing.T) {
	test.NewTempApp(t)
	split := container.NewVSplit(canvas.NewRectangle(nil), canvas.NewRectangle(nil))
	k := &keep{split: split, end: true, wanted: 128, grows: 0.16, most: 0.3}
	high := func(room float32) float32 {
		k.Layout([]fyne.CanvasObject{split}, fyne.NewSize(1000, room))
		return k.side() * room
	}
	require.InDelta(t, 128, high(780), 0.1)
	require.InDelta(t, 224, high(1400), 0.1)
	require.InDelta(t, 90, high(300), 0.1)
	require.InDelta(t, 128, high(780), 0.1)
	split.Offset = 1 - 200.0/780
	require.InDelta(t, 200, high(1400), 0.1)
	require.InDelta(t, 200, high(780), 0.1)
}
