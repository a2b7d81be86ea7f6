package sheet

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/gauge"
	"scantling/engine/process"
)

// Every step has its number on the plan, lies within its strip and the paper, and is hit there;
// what was read is marked with a bar, and the strip in hand with a thicker rim.
func TestGaugePlan(t *testing.T) {
	g, err := gauge.Make(process.Presets()[0].Process)
	require.NoError(t, err)
	p := NewGaugePlan(g)
	size := Size{198, 420}
	marks := p.Draw(gauge.Holes, map[gauge.Kind][]float64{gauge.Walls: {0.6}, gauge.Pins: {7}}, size)
	numbers, read, thick := map[string]int{}, 0, 0
	for _, m := range marks {
		for _, at := range append(m.Points, m.At) {
			require.True(t, Rect{Max: Point{size.W, size.H}}.Holds(at), "%v", m)
		}
		switch {
		case m.Kind == Writing && m.Part != "":
			numbers[m.Part+" "+m.Text]++
			require.Equal(t, m.Part == "walls" && m.Text == "0.6", m.Bold)
		case m.Role == Selection:
			read++
		case m.Kind == Outline && m.Width > 1:
			thick++
			require.Equal(t, "holes", m.Part)
		}
	}
	require.Len(t, numbers, len(g.Steps))
	require.Equal(t, 1, read)
	require.Equal(t, 1, thick)
	for _, step := range g.Steps {
		require.Equal(t, 1, numbers[fmt.Sprint(step.Kind, " ", step.MM)], "%v", step)
		got, ok := p.Hit(p.at(step.At[0], step.At[1], size), size)
		require.True(t, ok)
		require.Equal(t, step, got)
		got, ok = p.Hit(p.at(step.At[0], step.At[1]-gaugeRoom/2-gaugeLabel, size), size)
		require.True(t, ok, "its number, too")
		require.Equal(t, step, got)
	}
	_, ok := p.Hit(Point{size.W - 8, 200}, size)
	require.False(t, ok, "the bar is no step")
	_, ok = p.Hit(Point{}, Size{})
	require.False(t, ok)
	require.NotPanics(t, func() { p.Draw("", nil, Size{}) })
}
