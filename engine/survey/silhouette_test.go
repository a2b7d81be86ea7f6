package survey_test

import (
	"context"
	"errors"
	"image"
	"math"
	"runtime"
	"slices"
	"testing"

	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/engine/mesh/meshtest"
	"scantling/engine/survey"
)

var (
	front = survey.Look{Right: geom.Vec{0, 1, 0}, Up: geom.Vec{0, 0, 1}} // towards +x
	side  = survey.Look{Right: geom.Vec{1, 0, 0}, Up: geom.Vec{0, 0, 1}} // towards -y
	above = survey.Look{Right: geom.Vec{1, 0, 0}, Up: geom.Vec{0, 1, 0}} // towards +z
)

func silhouette(t *testing.T, m *mesh.Mesh, look survey.Look, box geom.Box, pixels int) *image.NRGBA {
	t.Helper()
	picture, err := survey.Silhouette(t.Context(), m, look, box, pixels)
	if err != nil {
		t.Fatal(err)
	}
	return picture
}

// covered is the covered area in pixels.
func covered(p *image.NRGBA) float64 {
	sum := 0
	for i := 3; i < len(p.Pix); i += 4 {
		sum += int(p.Pix[i])
	}
	return float64(sum) / 255
}

func grown(b geom.Box, by float64) geom.Box {
	d := geom.Vec{by, by, by}
	return geom.Box{Min: b.Min.Sub(d), Max: b.Max.Add(d)}
}

// What is covered is the projected area.
func TestCoverage(t *testing.T) {
	polygon := 48 * math.Sin(2*math.Pi/96) // area of a 96-gon in the unit circle
	for _, c := range []struct {
		name string
		mesh *mesh.Mesh
		look survey.Look
		area float64
	}{
		{"box from above", meshtest.Box(geom.Vec{-3, 1, 2}, geom.Vec{4, 3, 9}), above, 14},
		{"box from the side", meshtest.Box(geom.Vec{-3, 1, 2}, geom.Vec{4, 3, 9}), side, 49},
		{"box from the front", meshtest.Box(geom.Vec{-3, 1, 2}, geom.Vec{4, 3, 9}), front, 14},
		{"corner", meshtest.Corner(10), above, 50},
		{"tube from above", meshtest.Tube(10, 1, 3), above, polygon * (25 - 16)},
		{"tube from the side", meshtest.Tube(10, 1, 3), side, 30},
		{"inside out", meshtest.Flip(meshtest.Tube(10, 1, 3)), above, polygon * (25 - 16)},
		{"sphere", meshtest.Sphere(5, 30), side, math.Pi * 25},
		{"torus", meshtest.Torus(3, 1, 96, 48), above, polygon * (16 - 4)},
	} {
		t.Run(c.name, func(t *testing.T) {
			box := mesh.MeasuresOf(c.mesh).Box
			for _, b := range []geom.Box{box, grown(box, 0.7), grown(box, 3.1)} {
				picture := silhouette(t, c.mesh, c.look, b, 300)
				seen := b.Size()
				wide, high := seen.Dot(c.look.Right), seen.Dot(c.look.Up)
				perPixel := wide * high / float64(picture.Rect.Dx()*picture.Rect.Dy())
				if got := covered(picture) * perPixel; math.Abs(got-c.area) > 0.01*c.area {
					t.Errorf("covered %.4g in %v, want %.4g", got, b, c.area)
				}
			}
		})
	}
}

func TestPictureSpansTheBox(t *testing.T) {
	m := meshtest.Box(geom.Vec{0, 0, 0}, geom.Vec{40, 10, 20})
	for _, c := range []struct {
		look survey.Look
		box  geom.Box
		want image.Point
	}{
		{side, mesh.MeasuresOf(m).Box, image.Pt(200, 100)},
		{above, mesh.MeasuresOf(m).Box, image.Pt(200, 50)},
		{front, mesh.MeasuresOf(m).Box, image.Pt(100, 200)},
		{side, geom.Box{Min: geom.Vec{0, 0, 0}, Max: geom.Vec{1e6, 1, 1}}, image.Pt(200, 1)},
		{side, geom.Box{Min: geom.Vec{0, 0, 3}, Max: geom.Vec{40, 10, 3}}, image.Pt(200, 1)},
		{side, geom.Box{Min: geom.Vec{3, 0, 3}, Max: geom.Vec{3, 10, 3}}, image.Pt(200, 200)},
	} {
		if got := silhouette(t, m, c.look, c.box, 200).Rect.Size(); got != c.want {
			t.Errorf("%v of %v is %v pixels, want %v", c.look, c.box, got, c.want)
		}
	}

	// The box fills the right half and the upper third, to the pixel.
	picture := silhouette(t, m, side, geom.Box{Min: geom.Vec{-40, -5, -40}, Max: geom.Vec{40, 20, 20}}, 240)
	for y := range 180 {
		for x := range 240 {
			want := uint8(0)
			if x >= 120 && y < 60 {
				want = 255
			}
			if got := picture.NRGBAAt(x, y).A; got != want {
				t.Fatalf("alpha at %d, %d is %d, want %d", x, y, got, want)
			}
		}
	}
}

// Right, up and toward are what the picture's sides and light say they are.
func TestWays(t *testing.T) {
	marker := meshtest.Box(geom.Vec{8, 4, 1}, geom.Vec{9, 5, 2})
	box := geom.Box{Max: geom.Vec{10, 10, 10}}
	for _, c := range []struct {
		right, up geom.Vec
		at        image.Point
	}{
		{geom.Vec{1, 0, 0}, geom.Vec{0, 0, 1}, image.Pt(85, 85)},
		{geom.Vec{-1, 0, 0}, geom.Vec{0, 0, 1}, image.Pt(15, 85)},
		{geom.Vec{0, 1, 0}, geom.Vec{0, 0, 1}, image.Pt(45, 85)},
		{geom.Vec{0, -1, 0}, geom.Vec{0, 0, -1}, image.Pt(55, 15)},
		{geom.Vec{1, 0, 0}, geom.Vec{0, 1, 0}, image.Pt(85, 55)},
		{geom.Vec{0, 0, 1}, geom.Vec{-1, 0, 0}, image.Pt(15, 85)},
	} {
		picture := silhouette(t, marker, survey.Look{Right: c.right, Up: c.up}, box, 100)
		if got := picture.NRGBAAt(c.at.X, c.at.Y).A; got != 255 || math.Abs(covered(picture)-100) > 1 {
			t.Errorf("right %v, up %v: alpha %d at %v, %v covered", c.right, c.up, got, c.at, covered(picture))
		}
	}
}

// Of two plates the nearer one is seen, whichever comes first.
func TestNearerHidesFarther(t *testing.T) {
	flat := meshtest.Box(geom.Vec{0, 0, 0}, geom.Vec{10, 1, 10})
	ramp := meshtest.Made("ramp", [][3]float32{{0, 5, 0}, {10, 5, 0}, {10, 9, 10}, {0, 9, 10}}, [][3]uint32{{0, 1, 2}, {0, 2, 3}})
	box := geom.Box{Max: geom.Vec{10, 10, 10}}
	only := silhouette(t, flat, side, box, 50).NRGBAAt(25, 25) // from -y, flat is the nearer
	for _, m := range []*mesh.Mesh{meshtest.Joined(flat, ramp), meshtest.Joined(ramp, flat)} {
		if got := silhouette(t, m, side, box, 50).NRGBAAt(25, 25); got != only {
			t.Errorf("from the flat one's side the middle is %v, want %v", got, only)
		}
		back := survey.Look{Right: geom.Vec{-1, 0, 0}, Up: geom.Vec{0, 0, 1}}
		if got, alone := silhouette(t, m, back, box, 50).NRGBAAt(25, 25), silhouette(t, ramp, back, box, 50).NRGBAAt(25, 25); got != alone || got == only {
			t.Errorf("from the ramp's side the middle is %v, want %v", got, alone)
		}
	}
}

func TestLight(t *testing.T) {
	at := func(m *mesh.Mesh, look survey.Look) uint8 {
		p := silhouette(t, m, look, mesh.MeasuresOf(m).Box, 90)
		return p.NRGBAAt(p.Rect.Dx()/2, p.Rect.Dy()/2).R
	}
	roof := meshtest.Made("roof", [][3]float32{{0, 0, 0}, {9, 0, 0}, {9, 9, 9}, {0, 9, 9}}, [][3]uint32{{0, 1, 2}, {0, 2, 3}})
	under := meshtest.Moved(roof, func(v geom.Vec) geom.Vec { v[1] = 9 - v[1]; return v })
	if lit, dark := at(roof, side), at(under, side); lit <= dark+20 {
		t.Errorf("what leans back to the light is %d, what leans away %d", lit, dark)
	}
	// A box has lines along its outline, none across its face.
	p := silhouette(t, meshtest.Cube(9), side, mesh.MeasuresOf(meshtest.Cube(9)).Box, 90)
	if edge, face := p.NRGBAAt(0, 45).R, p.NRGBAAt(20, 45).R; edge+40 > face || p.NRGBAAt(45, 45).R != face {
		t.Errorf("outline %d, face %d, diagonal %d", edge, face, p.NRGBAAt(45, 45).R)
	}
	// A step of a tenth of the size shows as a line, and what lies back is a little darker.
	step := meshtest.Joined(meshtest.Box(geom.Vec{0, 1, 0}, geom.Vec{5, 2, 10}), meshtest.Box(geom.Vec{5, 0, 0}, geom.Vec{10, 2, 10}))
	p = silhouette(t, step, side, mesh.MeasuresOf(step).Box, 90)
	back, line, near := p.NRGBAAt(20, 45).R, min(p.NRGBAAt(44, 45).R, p.NRGBAAt(45, 45).R), p.NRGBAAt(70, 45).R
	if line+30 > back || back >= near || near > back+40 {
		t.Errorf("step %d between %d behind and %d in front", line, back, near)
	}
}

// A rod of a hundredth of a pixel shows along its whole length, upright and aslant.
func TestThinPartsShow(t *testing.T) {
	for _, lean := range []float64{0, 0.013, 0.3, 0.77} {
		rod := meshtest.Moved(meshtest.Prism(0.0005, 9.9, 6), func(v geom.Vec) geom.Vec { return geom.Vec{5.03 + v[0] + lean*(v[2]-5), v[1], v[2]} })
		box := geom.Box{Min: geom.Vec{0, -1, 0}, Max: geom.Vec{10, 1, 10}}
		for name, m := range map[string]*mesh.Mesh{"rod": rod, "rod by a box": meshtest.Joined(rod, meshtest.Cube(1))} {
			picture := silhouette(t, m, side, box, 200)
			for y := 3; y < 180; y++ {
				sum := 0
				for x := range 200 {
					sum += int(picture.NRGBAAt(x, y).A)
				}
				if sum < 255/3 {
					t.Fatalf("%s leaning %v: alpha %d in row %d", name, lean, sum, y)
				}
			}
		}
	}
	sheet := meshtest.Box(geom.Vec{0, 0, 0}, geom.Vec{10, 10, 0})
	if got := covered(silhouette(t, sheet, side, mesh.MeasuresOf(sheet).Box, 50)); got < 25 {
		t.Errorf("a sheet on edge covers %v of 50 pixels", got)
	}
	speck := meshtest.Box(geom.Vec{3.3, 3.3, 3.3}, geom.Vec{3.301, 3.301, 3.301})
	if got := covered(silhouette(t, speck, side, geom.Box{Max: geom.Vec{10, 10, 10}}, 20)); got == 0 || got > 1 {
		t.Errorf("a speck covers %v pixels", got)
	}
}

// The joint between two triangles is covered once, with no gap.
func TestNoGaps(t *testing.T) {
	for seed := range uint64(5) {
		sphere := meshtest.Jitter(meshtest.Sphere(5, 40), 0.02, seed)
		picture := silhouette(t, sphere, side, geom.Box{Min: geom.Vec{-2, -2, -2}, Max: geom.Vec{2, 2, 2}}, 400)
		if got := covered(picture); got != 400*400 {
			t.Errorf("seed %d: %v of %v pixels covered", seed, got, 400*400)
		}
	}
}

func TestOddTriangles(t *testing.T) {
	box := geom.Box{Max: geom.Vec{10, 10, 10}}
	const huge = math.MaxFloat32
	whole := func(p *image.NRGBA) bool { return covered(p) == float64(p.Rect.Dx()*p.Rect.Dy()) }

	wall := meshtest.Made("wall", [][3]float32{{-1e7, 5, -1e7}, {3e7, 5, -1e7}, {-1e7, 5, 3e7}}, [][3]uint32{{0, 1, 2}})
	if p := silhouette(t, wall, side, box, 64); !whole(p) {
		t.Errorf("a wall far beyond the box covers %v", covered(p))
	}
	for name, m := range map[string]*mesh.Mesh{
		"nothing":       {},
		"to the right":  meshtest.Box(geom.Vec{11, 0, 0}, geom.Vec{12, 10, 10}),
		"to the left":   meshtest.Box(geom.Vec{-2, 0, 0}, geom.Vec{-1, 10, 10}),
		"above":         meshtest.Box(geom.Vec{0, 0, 11}, geom.Vec{10, 10, 12}),
		"below":         meshtest.Box(geom.Vec{0, 0, -12}, geom.Vec{10, 10, -11}),
		"far away":      meshtest.Box(geom.Vec{1e30, 0, 1e30}, geom.Vec{2e30, 1, 2e30}),
		"beyond floats": {Origin: geom.Vec{1e308, 0, 1e308}, Vertices: [][3]float32{{0, 0, 0}, {1, 0, 0}, {0, 0, 1}}},
	} {
		if got := covered(silhouette(t, m, side, box, 64)); got != 0 {
			t.Errorf("%s: %v pixels covered", name, got)
		}
	}
	// These need only not fail: no picture of them is right or wrong.
	for _, v := range [][][3]float32{
		{{huge, huge, huge}, {-huge, -huge, -huge}, {huge, -huge, huge}},
		{{5, 5, 5}, {5, 5, 5}, {5, 5, 5}},
		{{0, 0, 0}, {5, 5, 5}, {10, 10, 10}},
		{{0, 0, 0}, {huge, 0, 0}, {0, 0, 1e-30}},
	} {
		silhouette(t, meshtest.Made("", v, nil), side, box, 64)
	}
}

func TestSilhouetteRefuses(t *testing.T) {
	cube := meshtest.Cube(1)
	good := mesh.MeasuresOf(cube).Box
	x, y := geom.Vec{1, 0, 0}, geom.Vec{0, 1, 0}
	for _, c := range []struct {
		name   string
		look   survey.Look
		box    geom.Box
		pixels int
		want   error
	}{
		{"no look", survey.Look{}, good, 10, survey.ErrLook},
		{"same direction twice", survey.Look{Right: x, Up: x}, good, 10, survey.ErrLook},
		{"aslant", survey.Look{Right: geom.Vec{0.6, 0.8, 0}, Up: geom.Vec{0, 0, 1}}, good, 10, survey.ErrLook},
		{"too long", survey.Look{Right: x.Scale(2), Up: y}, good, 10, survey.ErrLook},
		{"not a number", survey.Look{Right: geom.Vec{math.NaN(), 0, 0}, Up: y}, good, 10, survey.ErrLook},
		{"empty box", side, geom.EmptyBox(), 10, survey.ErrBox},
		{"endless box", side, geom.Box{Max: geom.Vec{math.Inf(1), 1, 1}}, 10, survey.ErrBox},
		{"too wide a box", side, geom.Box{Min: geom.Vec{-1e308, 0, 0}, Max: geom.Vec{1e308, 1, 1}}, 10, survey.ErrBox},
		{"too small a box", side, geom.Box{Max: geom.Vec{5e-324, 0, 0}}, 10, survey.ErrBox},
		{"no pixels", side, good, 0, survey.ErrPixels},
		{"too many pixels", side, good, survey.MaxPixels + 1, survey.ErrPixels},
	} {
		if _, err := survey.Silhouette(t.Context(), cube, c.look, c.box, c.pixels); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", c.name, err, c.want)
		}
	}
}

func TestSilhouetteStops(t *testing.T) {
	ctx, stop := context.WithCancel(t.Context())
	stop()
	m := meshtest.Sphere(5, 20)
	if p, err := survey.Silhouette(ctx, m, side, mesh.MeasuresOf(m).Box, 100); !errors.Is(err, context.Canceled) || p != nil {
		t.Errorf("stopped beforehand: %v, %v", p, err)
	}
}

func TestSameOnAnyNumberOfProcessors(t *testing.T) {
	m := meshtest.Joined(meshtest.Jitter(meshtest.Torus(3, 1, 100, 50), 0.05, 1), meshtest.Sphere(2, 20))
	box := mesh.MeasuresOf(m).Box
	was := runtime.GOMAXPROCS(1)
	defer runtime.GOMAXPROCS(was)
	alone := silhouette(t, m, above, box, 300)
	runtime.GOMAXPROCS(4)
	if together := silhouette(t, m, above, box, 300); !slices.Equal(alone.Pix, together.Pix) {
		t.Error("four workers draw another picture than one")
	}
}

func BenchmarkSilhouette(b *testing.B) {
	for _, c := range []struct {
		name string
		mesh *mesh.Mesh
	}{
		{"200k", meshtest.Soup(meshtest.Torus(30, 10, 500, 200))},
		{"1M", meshtest.Soup(meshtest.Torus(30, 10, 1000, 500))},
	} {
		box := mesh.MeasuresOf(c.mesh).Box
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := survey.Silhouette(b.Context(), c.mesh, above, box, 900); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
