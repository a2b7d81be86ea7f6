package ui

import (
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math"
	"math/big"
	"os"
	"testing"

	"scantling/app/sheet"
	"scantling/app/state"
	"scantling/engine/geom"
	"scantling/engine/ratio"
)

func mustRatio(model, real int64) ratio.Ratio {
	r, err := ratio.Of(big.NewRat(model, 1), big.NewRat(real, 1))
	if err != nil {
		panic(err)
	}
	return r
}

// tug is a view of a small kit with drawn-up silhouettes: ellipses and boxes.
func tug() state.View {
	native, target := mustRatio(100, 1128), mustRatio(1, 48)
	v := state.View{Title: "Harbour tug", PartsUp: geom.Z}
	v.Result.Native, v.Result.Target, v.Result.Factor = native, target, ratio.FactorBetween(native, target)
	v.Sheet.Fit = true
	v.Bed.Size, v.Bed.Margin = geom.Vec{220, 220, 250}, 5
	add := func(name string, q int, x0, y0, z0, x1, y1, z1 float64) {
		b := geom.Box{Min: geom.Vec{x0, y0, z0}, Max: geom.Vec{x1, y1, z1}}
		p := state.Part{ID: fmt.Sprint(len(v.Parts)), Name: name, Quantity: q, Ticked: true, State: state.Measured, Box: b, Drawn: b.Size(),
			Print: b.Size().Scale(v.Result.Factor.Float()), Fits: true}
		p.Measured.Triangles = 12000
		for side := range p.Silhouettes {
			p.Silhouettes[side] = ball(160, 120)
		}
		v.Parts = append(v.Parts, p)
	}
	add("hull", 1, 0, -48, 0, 412, 48, 88)
	add("deck plate", 1, 20, -44, 80, 390, 44, 84)
	add("wheelhouse", 1, 210, -30, 84, 290, 30, 150)
	add("funnel", 1, 150, -14, 84, 180, 14, 160)
	add("mast", 1, 247, -3, 150, 253, 3, 330)
	add("winch", 1, 330, -12, 84, 356, 12, 104)
	add("lifebuoy", 4, 200, -34, 110, 216, -30, 126)
	add("bollard", 6, 370, -20, 84, 376, -14, 98)
	for _, p := range v.Parts {
		v.KitBox = v.KitBox.Union(p.Box)
	}
	return v
}

// ball is a shaded ellipse that fills a picture.
func ball(w, h int) *image.NRGBA {
	m := image.NewNRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			u, v := (float64(x)+0.5)/float64(w)*2-1, (float64(y)+0.5)/float64(h)*2-1
			if d := u*u + v*v; d < 1 {
				g := uint8(90 + 150*max(0, math.Sqrt(1-d)*0.8-u*0.25-v*0.35))
				m.SetNRGBA(x, y, color.NRGBA{g, g, g, 255})
			}
		}
	}
	return m
}

func dump(t *testing.T, name string, v state.View, w, h int, scale float64, p *palette) {
	t.Helper()
	size := sheet.Size{W: float64(w) / scale, H: float64(h) / scale}
	var painter painter
	img := painter.paint(sheet.Draw(v, size), sheet.Field(size), w, h, scale, p)
	f, err := os.Create("/tmp/ui/" + name + ".png")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if err := png.Encode(f, img); err != nil {
		t.Fatal(err)
	}
}

func TestDump(t *testing.T) {
	v := tug()
	dump(t, "front", v, 640, 600, 1, paper())
	v.Selected = "2"
	dump(t, "front2", v, 1280, 1000, 2, blueprint())
	v.Sheet.Side = state.FromSide
	dump(t, "side", v, 640, 600, 1, paper())
	v.Sheet.InRow = true
	dump(t, "row", v, 640, 600, 1, paper())
	v.Sheet.InRow, v.Sheet.Bed, v.Sheet.Side = false, true, state.Top
	dump(t, "top", v, 640, 600, 1, blueprint())
	dump(t, "empty", state.View{}, 640, 600, 1, paper())
}
