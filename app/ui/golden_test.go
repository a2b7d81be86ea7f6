package ui

import (
	"image"
	"image/color"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/app/sheet"
	"scantling/app/state"
	"scantling/app/text"
	"scantling/engine/process"
	"scantling/engine/survey"
)

// goldens are the pictures in testdata. SCANTLING_GOLDEN=update draws them anew.
func goldens() []string {
	return []string{"sheet-light", "sheet-row-dark", "sheet-empty", "thickness-light", "thickness-dark", "rule-dark", "window-light", "window-dark",
		"figure-light", "figure-dark", "clues-light", "clues-dark", "clues-small",
		"measured-light", "measuring-dark", "seated-light", "two-people-dark", "by-eye-light",
		"bed-light", "pose-light", "pose-dark",
		"part-light", "part-dark", "lost-light", "lost-dark", "process-light", "process-dark", "gauge-light", "gauge-dark", "printed-light", "printed-dark", "correction-light", "copies-dark",
		"pair-light", "pair-dark", "beds-light", "beds-dark", "save-beds-dark", "kit-light", "sources-light", "sources-dark", "recover-light", "made-light", "overtaken-dark"}
}

// A picture may differ from its golden one by this much: processors round differently, which
// shows at the edges of letters and lines.
const (
	farOff     = 24    // of 255: a pixel that differs by more in a channel is far off
	mostFarOff = 0.002 // share of pixels that may be far off
)

func golden(t *testing.T, name string, got image.Image) {
	t.Helper()
	require.Contains(t, goldens(), name)
	path := filepath.Join("testdata", name+".png")
	if os.Getenv("SCANTLING_GOLDEN") == "update" {
		writePNG(t, path, got)
		return
	}
	f, err := os.Open(path)
	require.NoError(t, err)
	defer f.Close()
	want, err := png.Decode(f)
	require.NoError(t, err)
	require.Equal(t, want.Bounds().Size(), got.Bounds().Size())
	off, b, c := 0, want.Bounds(), got.Bounds()
	for y := range b.Dy() {
		for x := range b.Dx() {
			p := color.NRGBAModel.Convert(want.At(b.Min.X+x, b.Min.Y+y)).(color.NRGBA)
			q := color.NRGBAModel.Convert(got.At(c.Min.X+x, c.Min.Y+y)).(color.NRGBA)
			d := max(math.Abs(float64(p.R)-float64(q.R)), math.Abs(float64(p.G)-float64(q.G)), math.Abs(float64(p.B)-float64(q.B)))
			if d > farOff {
				off++
			}
		}
	}
	if share := float64(off) / float64(b.Dx()*b.Dy()); share > mostFarOff {
		failed := filepath.Join("testdata", "failed", name+".png")
		writePNG(t, failed, got)
		t.Errorf("%s: %.2f %% of its pixels are far off; the new picture is %s", name, 100*share, failed)
	}
}

func writePNG(t *testing.T, path string, img image.Image) {
	t.Helper()
	require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
	f, err := os.Create(path)
	require.NoError(t, err)
	require.NoError(t, png.Encode(f, img))
	require.NoError(t, f.Close())
}

func paintSheet(v state.View, w, h int, scale float64, colours *palette) image.Image {
	var p painter
	size := sheet.Size{W: float64(w) / scale, H: float64(h) / scale}
	return p.paint(sheet.Draw(v, size), sheet.Field(size), w, h, scale, colours)
}

func TestGoldenSheet(t *testing.T) {
	v := tug()
	v.Selected = "2"
	golden(t, "sheet-light", paintSheet(v, 720, 520, 1, paper()))
	v.Sheet.InRow, v.Sheet.Side, v.Sheet.Inches = true, state.FromSide, true
	golden(t, "sheet-row-dark", paintSheet(v, 1200, 900, 1.5, blueprint()))
	golden(t, "sheet-empty", paintSheet(state.View{}, 560, 400, 1, paper()))
}

// A wedge from nothing to 12 mm, and a bar of one thickness, in the four patterns.
func TestGoldenThickness(t *testing.T) {
	v := tug()
	v.Judged.Process = process.Presets()[0].Process
	v.Sheet.Thickness = true
	for i := range v.Parts {
		p := &v.Parts[i]
		p.Measured.Surface, p.Measured.Triangles, p.Measured.Unit.MM = true, 12, 1
		shade := &survey.Shading{Width: 100, Height: 1}
		for x := range 100 {
			shade.Thickness = append(shade.Thickness, float32(x)*0.12)
		}
		p.Shades[state.Front] = shade
	}
	golden(t, "thickness-light", paintSheet(v, 720, 520, 1, paper()))
	golden(t, "thickness-dark", paintSheet(v, 1440, 1040, 2, blueprint()))
}

func TestGoldenRule(t *testing.T) {
	var p painter
	golden(t, "rule-dark", p.paint(sheet.Rule(0.235, sheet.Size{W: 300, H: 36}), sheet.Rect{}, 600, 72, 2, blueprint()))
}

func TestGoldenWindow(t *testing.T) {
	s := loaded(t, "look", "light", "field", "ships")
	s.at48()
	s.bench.Select(s.part("house").ID)
	s.canvas().Unfocus()
	golden(t, "window-light", s.canvas().Capture())
	s.key(text.LookDark)
	golden(t, "window-dark", s.canvas().Capture())
}

func TestPaintingIsTheSameEachTime(t *testing.T) {
	v := tug()
	var p painter
	size := sheet.Size{W: 400, H: 300}
	colours := paper()
	first := p.paint(sheet.Draw(v, size), sheet.Field(size), 400, 300, 1, colours)
	again := p.paint(sheet.Draw(v, size), sheet.Field(size), 400, 300, 1, colours)
	require.Equal(t, first.Pix, again.Pix, "kept sprites and letters change nothing")
	var q painter
	require.Equal(t, first.Pix, q.paint(sheet.Draw(v, size), sheet.Field(size), 400, 300, 1, colours).Pix)
}

// However far the sheet is zoomed or moved, it is painted and nothing breaks.
func TestPaintingAtAnyZoom(t *testing.T) {
	v := tug()
	v.Sheet.Fit = false
	v.Sheet.Bed = true
	size := sheet.Size{W: 300, H: 240}
	colours := paper()
	for _, zoom := range []float64{1e-4, 0.01, 1, 50, 1e3, 1e5} {
		for _, pan := range []float64{-1e6, 0, 20, 1e7} {
			v.Sheet.Zoom, v.Sheet.PanX, v.Sheet.PanY = zoom, pan, 10
			var p painter
			img := p.paint(sheet.Draw(v, size), sheet.Field(size), 300, 240, 1, colours)
			require.Equal(t, uint8(255), img.Pix[3])
		}
	}
}

func TestNoGoldenPictureIsStale(t *testing.T) {
	found, err := filepath.Glob("testdata/*.png")
	require.NoError(t, err)
	want := map[string]bool{}
	for _, name := range goldens() {
		want[filepath.Join("testdata", name+".png")] = true
	}
	for _, f := range found {
		require.Contains(t, want, f, "no test draws it")
	}
	require.Len(t, found, len(want))
}

// In the program the sheet is painted aside, and what changes meanwhile is painted next.
func TestSheetIsPaintedAside(t *testing.T) {
	s := loaded(t)
	s.env.Here = false
	view := s.sheet.view
	view.frame = nil
	view.picture(300, 200)
	require.True(t, view.busy)
	s.bench.SetSide(state.Top)
	s.bench.SetInRow(true)
	require.True(t, view.again, "two changes melt into one more picture")
	s.queue.Until("it is painted", func() bool { return !view.busy })
	require.Equal(t, image.Pt(300, 200), view.frame.Rect.Size())
	last := view.frame
	view.redraw()
	s.queue.Until("it is painted again", func() bool { return !view.busy })
	require.Equal(t, last.Pix, view.frame.Pix, "the last picture was up to date")
}
