package sheet

import (
	"image"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/app/state"
	"scantling/engine/mesh"
	"scantling/engine/process"
	"scantling/engine/survey"
)

// What is thin in print is told apart at any factor by the same measurements, with a legend
// that gives the limits of the process.
func TestThicknessIsLaidOverTheParts(t *testing.T) {
	v := at(t, tug(), 11.28, 48)
	v.Judged.Process = process.Presets()[0].Process
	v.Sheet.Thickness = true
	v.Parts[0].Silhouettes[state.Front] = image.NewNRGBA(image.Rect(0, 0, 1, 1))
	for i := range 2 {
		p := &v.Parts[i].Measured
		p.Surface, p.Triangles, p.Unit = true, 12, mesh.Unit{MM: 25.4}
	}
	shade := &survey.Shading{Width: 1, Height: 1, Thickness: []float32{6}}
	v.Parts[0].Shades[state.Front] = shade
	bounds := v.ThicknessBounds()
	for _, factor := range []float64{11.28 / 48, 11.28 / 96} {
		v = at(t, v, 11.28, 11.28/factor)
		found := 0
		for _, m := range Draw(v, someSize) {
			if m.Kind == Thicknesses {
				found++
				require.Same(t, shade, m.Thick)
				for i, b := range bounds {
					require.InEpsilon(t, b/factor/v.Parts[0].Measured.Unit.MM, m.Bounds[i], 1e-6)
				}
			}
		}
		require.Equal(t, 1, found)
	}
	says := strings.ReplaceAll(strings.Join(written(Draw(v, someSize), ThickLegend), "\n"), "\u00a0", " ")
	for _, want := range []string{"Thickness in print", "under 0.80 mm", "0.80 to 1.00 mm", "2.00 mm and more", "still to be measured"} {
		require.Contains(t, says, want)
	}
	v.Sheet.Thickness = false
	require.Empty(t, written(Draw(v, someSize), ThickLegend))
}
