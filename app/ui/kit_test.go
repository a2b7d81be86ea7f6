package ui

import (
	"fmt"
	"image"
	"image/color"
	"math"
	"math/big"

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

// tug is a view of a small kit at 1:48 whose silhouettes are shaded ellipses.
func tug() state.View {
	native, target := mustRatio(100, 1128), mustRatio(1, 48)
	v := state.View{Title: "Harbour tug", PartsUp: geom.Z, KitBox: geom.EmptyBox()}
	v.Result.Native, v.Result.Target, v.Result.Factor = native, target, ratio.FactorBetween(native, target)
	v.Sheet.Fit = true
	v.Bed.Size, v.Bed.Margin = geom.Vec{220, 220, 250}, 5
	add := func(name string, quantity int, b geom.Box) {
		p := state.Part{ID: fmt.Sprint(len(v.Parts)), Name: name, Quantity: quantity, Ticked: true, State: state.Measured,
			Box: b, Drawn: b.Size(), Print: b.Size().Scale(v.Result.Factor.Float()), Fits: true}
		for side := range p.Silhouettes {
			p.Silhouettes[side] = ball(320, 240)
		}
		v.Parts = append(v.Parts, p)
		v.KitBox = v.KitBox.Union(b)
	}
	add("hull", 1, geom.Box{Min: geom.Vec{0, -48, 0}, Max: geom.Vec{412, 48, 88}})
	add("deck plate", 1, geom.Box{Min: geom.Vec{20, -44, 80}, Max: geom.Vec{390, 44, 84}})
	add("wheelhouse", 1, geom.Box{Min: geom.Vec{210, -30, 84}, Max: geom.Vec{290, 30, 150}})
	add("funnel", 1, geom.Box{Min: geom.Vec{150, -14, 84}, Max: geom.Vec{180, 14, 160}})
	add("mast", 1, geom.Box{Min: geom.Vec{247, -3, 150}, Max: geom.Vec{253, 3, 330}})
	add("lifebuoy", 4, geom.Box{Min: geom.Vec{200, -34, 110}, Max: geom.Vec{216, -30, 126}})
	v.Parts[3].Silhouettes[state.Front] = nil // not known yet
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

func cameraOf(s *sheetView) sheet.Camera { return sheet.CameraOf(s.view, s.size()) }
