package ui

import (
	"fmt"
	"math"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/test"

	"scantling/app/sheet"
	"scantling/app/state"
	"scantling/app/state/statetest"
	"scantling/engine/geom"
)

// crowd is a kit of n parts side by side and behind one another.
func crowd(n int) state.View {
	v := tug()
	v.Parts = nil
	for i := range n {
		x, y, z := float64(i%25)*30, float64(i%4)*20, float64(i/25)*25
		b := geom.Box{Min: geom.Vec{x, y, z}, Max: geom.Vec{x + 20 + float64(i%7)*6, y + 20, z + 15 + float64(i%5)*8}}
		p := state.Part{ID: fmt.Sprint(i), Name: fmt.Sprintf("part %d", i), Quantity: 1, Ticked: true, State: state.Measured, Box: b}
		for side := range p.Silhouettes {
			p.Silhouettes[side] = ball(256, 192)
		}
		v.Parts = append(v.Parts, p)
	}
	v.Selected = "7"
	return v
}

// BenchmarkPaint300 redraws 300 parts after a change of the factor: marks and pixels.
func BenchmarkPaint300(b *testing.B) {
	for _, c := range []struct {
		name  string
		inRow bool
		zooms bool // each picture at another zoom, so that nothing scaled can be used again
	}{{"assembled", false, false}, {"in-row", true, false}, {"zooming", false, true}} {
		b.Run(c.name, func(b *testing.B) {
			v := crowd(300)
			v.Sheet.InRow = c.inRow
			size := sheet.Size{W: 1280, H: 800}
			camera := sheet.CameraOf(v, size)
			var p painter
			colours := paper()
			paint := func(i int) {
				if c.zooms {
					v.Sheet.Fit, v.Sheet.Zoom = false, camera.Zoom*math.Pow(1.001, float64(i%40))
					v.Sheet.PanX, v.Sheet.PanY = camera.PanX, camera.PanY
				}
				p.paint(sheet.Draw(v, size), sheet.Field(size), 1280, 800, 1, colours)
			}
			paint(0)
			b.ResetTimer()
			for i := range b.N {
				paint(i + 1)
			}
		})
	}
}

// BenchmarkWindow300 is a change of the factor of a 300-part kit on the window's goroutine:
// the bench's arithmetic and every pane, but not the sheet, which is painted aside.
func BenchmarkWindow300(b *testing.B) {
	test.NewTempApp(b)
	queue, disk := statetest.NewQueue(b), statetest.NewDisk()
	var paths []string
	for i := range 300 {
		path := at(fmt.Sprintf("part %d.stl", i))
		disk.Box(path, geom.Vec{float64(20 + i), 30, 40})
		paths = append(paths, path)
	}
	bench := state.New(state.Config{Post: queue.Post, Disk: disk, Preferences: statetest.NewPreferences(), Surveys: &surveys})
	win := test.NewTempWindow(b, canvas.NewRectangle(nil))
	w := New(bench, Env{Post: queue.Post}, win)
	win.Resize(fyne.NewSize(1280, 800))
	w.Open(paths)
	queue.Until("all are looked at", func() bool { return len(bench.View().Jobs) == 0 })
	bench.Type(state.InNative, "1:10")
	b.ResetTimer()
	for i := range b.N {
		bench.DragFactor(0.2 + float64(i%1000)*1e-4)
	}
}
