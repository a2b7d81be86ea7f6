package main

import (
	"bytes"
	"image/color"
	"image/png"
	"testing"

	"scantling/assets"
)

// The icon in the assets is what draw draws. Processors may round a colour differently.
func TestIconIsAsDrawn(t *testing.T) {
	kept, err := png.Decode(bytes.NewReader(assets.Icon()))
	if err != nil {
		t.Fatal(err)
	}
	drawn := draw()
	if kept.Bounds() != drawn.Bounds() {
		t.Fatalf("kept %v, drawn %v", kept.Bounds(), drawn.Bounds())
	}
	for y := range side {
		for x := range side {
			k, d := color.NRGBAModel.Convert(kept.At(x, y)).(color.NRGBA), drawn.NRGBAAt(x, y)
			for _, c := range [][2]int{{int(k.R), int(d.R)}, {int(k.G), int(d.G)}, {int(k.B), int(d.B)}, {int(k.A), int(d.A)}} {
				if c[0] > c[1]+1 || c[1] > c[0]+1 {
					t.Fatalf("at %d, %d kept %v, drawn %v", x, y, k, d)
				}
			}
		}
	}
	if drawn.NRGBAAt(0, 0).A != 0 || drawn.NRGBAAt(side/2, side/2).A != 255 {
		t.Error("corners are not clear or the middle is")
	}
}
