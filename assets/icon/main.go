// Icon draws the program's icon: the end of a timber beside the same end made smaller, the
// rays along which it shrinks, and a rule below.
//
//	go run ./assets/icon [-to file]
package main

import (
	"bytes"
	"flag"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math"
	"os"
	"path/filepath"
)

func main() {
	to := flag.String("to", filepath.Join("assets", "icon.png"), "the picture to write")
	flag.Parse()
	var out bytes.Buffer
	err := png.Encode(&out, draw())
	if err == nil {
		err = os.WriteFile(*to, out.Bytes(), 0o644)
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

const side = 512

// A paint is a colour that covers a share of what is under it; premultiplied, from 0 to 1.
type paint struct{ r, g, b, a float64 }

func (p paint) over(q paint) paint {
	k := 1 - p.a
	return paint{p.r + q.r*k, p.g + q.g*k, p.b + q.b*k, p.a + q.a*k}
}

func hex(rgb uint32, share float64) paint {
	c := func(shift uint) float64 { return float64(rgb>>shift&0xff) / 255 * share }
	return paint{c(16), c(8), c(0), share}
}

// draw takes 5 × 5 samples a pixel.
func draw() *image.NRGBA {
	const grain = 5
	picture := image.NewNRGBA(image.Rect(0, 0, side, side))
	for y := range side {
		for x := range side {
			var sum paint
			for k := range grain * grain {
				p := at(float64(x)+(float64(k%grain)+0.5)/grain, float64(y)+(float64(k/grain)+0.5)/grain)
				sum.r += p.r
				sum.g += p.g
				sum.b += p.b
				sum.a += p.a
			}
			if sum.a == 0 {
				continue
			}
			level := func(c float64) uint8 { return uint8(math.Round(255 * c / sum.a)) }
			picture.SetNRGBA(x, y, color.NRGBA{level(sum.r), level(sum.g), level(sum.b), uint8(math.Round(255 * sum.a / grain / grain))})
		}
	}
	return picture
}

// Where the rays meet, on the line on which both ends stand.
const (
	centreX, ground = 470.0, 345.0
	left, edge      = 52.0, 226.0 // the large end's left side and its size
	small           = 0.42        // of the large one
)

// at is the picture's paint at a point, y down.
func at(x, y float64) paint {
	if box(x-side/2, y-side/2, 244, 244, 104) > 0 {
		return paint{}
	}
	p := hex(0x16324f, 1)

	// The rule: every fifth tick is long.
	if x >= left-2 && x <= centreX+2 {
		tick, off := math.Modf((x-left)/18.17 + 0.5)
		length := 22.0
		if int(tick)%5 == 0 {
			length = 44
		}
		if math.Abs(off-0.5)*18.17 < 2.2 && y > ground+8 && y < ground+16+length {
			p = hex(0xf2e6cf, 0.92)
		}
	}
	if math.Abs(y-ground-8) < 4 && x > left-4 && x < centreX+4 {
		p = hex(0xf2e6cf, 1)
	}

	// The rays, from the far corners of the large end to where they meet.
	dx, dy := centreX-left, edge
	if d := (x-left)*dy - (y-(ground-edge))*dx; math.Abs(d)/math.Hypot(dx, dy) < 3 && x > left+edge/2 && x < centreX {
		p = hex(0xf2a65a, 1).over(p)
	}
	p = timber((x-left)/edge, (ground-y)/edge, edge).over(p)
	return timber((x-centreX+(centreX-left)*small)/(edge*small), (ground-y)/(edge*small), edge*small).over(p)
}

// timber is a beam's end with u to the right and v up, each from 0 to 1; size is in pixels.
func timber(u, v, size float64) paint {
	d := box((u-0.5)*size, (v-0.5)*size, size/2, size/2, size*0.05)
	if d > 0 {
		return paint{}
	}
	if d > -max(5, size*0.03) {
		return hex(0x7a4a22, 1)
	}
	// Growth rings about a pith low on the right, wider outwards and a little wavy, with
	// a check running from it.
	x, y := u-0.66, v-0.30
	r, turn := math.Hypot(x, y*1.08), math.Atan2(y, x)
	r *= 1 + 0.018*math.Sin(3*turn) + 0.012*math.Sin(5*turn+1)
	wood := hex(0xe7bd84, 1)
	if ring := math.Sqrt(r) * 7.2; ring-math.Floor(ring) < 0.30 {
		wood = hex(0xb97b40, 1)
	}
	if along, across := -x*0.8+y*0.6, x*0.6+y*0.8; along > 0 && along < 0.42 && math.Abs(across) < 0.016*(1-along/0.42) || r < 0.022 {
		wood = hex(0x5b3516, 1)
	}
	return wood
}

// box is how far a point lies outside a rounded box about the origin; negative inside.
func box(x, y, hx, hy, r float64) float64 {
	qx, qy := math.Abs(x)-hx+r, math.Abs(y)-hy+r
	return math.Hypot(max(qx, 0), max(qy, 0)) + min(max(qx, qy), 0) - r
}
