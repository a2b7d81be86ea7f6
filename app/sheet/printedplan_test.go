package sheet

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/app/state"
	"scantling/app/text"
	"scantling/engine/figure"
	"scantling/engine/mannequin"
	"scantling/engine/ratio"
)

// A figure to print is drawn at one scale from three sides that do not touch, with its heights
// and breadths as they are printed, all on the paper; before one was made, the paper is empty.
func TestDrawPrinted(t *testing.T) {
	r, err := ratio.Parse("1:48")
	require.NoError(t, err)
	spec := mannequin.Spec{Stature: 1750, Ratio: r, Pose: figure.Reaches}
	f, err := mannequin.Make(context.Background(), spec, nil)
	require.NoError(t, err)
	views, err := mannequin.ViewsOf(context.Background(), f.Mesh)
	require.NoError(t, err)
	tall := text.Bare(f.Landmarks[figure.Crown]*r.Float(), false)
	for _, s := range []Size{{700, 540}, {480, 440}, {300, 600}} {
		var boxes []Rect
		said := map[string]bool{}
		for _, m := range DrawPrinted(state.Printed{Spec: spec, Made: f, Views: views}, false, s) {
			for _, at := range append(m.Points, m.Box.Min, m.Box.Max, m.At) {
				require.True(t, Rect{Max: Point{s.W, s.H}}.Holds(at), "%v", m)
			}
			if m.Kind == Picture {
				boxes = append(boxes, m.Box)
			}
			said[m.Text] = true
		}
		require.Len(t, boxes, 3)
		require.InDelta(t, boxes[0].Max.Y, boxes[2].Max.Y, 1e-9)
		require.InDelta(t, boxes[0].H(), boxes[1].H(), 1e-9)
		require.Less(t, boxes[0].Max.X, boxes[1].Min.X)
		require.Less(t, boxes[1].Max.X, boxes[2].Min.X)
		for _, want := range append(text.PrintedViews(), tall, text.Bare(f.Size[0], false), text.Bare(f.Size[1], false), text.Bare(f.Size[2], false)) {
			require.True(t, said[want], want)
		}
	}
	require.Len(t, DrawPrinted(state.Printed{}, false, Size{700, 540}), 1)
	require.Len(t, DrawPrinted(state.Printed{Spec: spec, Made: f, Views: views}, false, Size{40, 30}), 1)
}
