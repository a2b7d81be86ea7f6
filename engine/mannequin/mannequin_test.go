package mannequin

import (
	"context"
	"errors"
	"fmt"
	"image"
	"image/draw"
	"image/png"
	"math"
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/figure"
	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/engine/process"
	"scantling/engine/ratio"
	"scantling/engine/survey"
)

func scale(t testing.TB, typed string) ratio.Ratio {
	t.Helper()
	r, err := ratio.Parse(typed)
	require.NoError(t, err)
	return r
}

func limits(name string) process.Limits {
	for _, p := range process.Presets() {
		if p.Process.Name == name {
			return p.Process.Limits
		}
	}
	panic(name)
}

func made(t testing.TB, s Spec) Figure {
	t.Helper()
	f, err := Make(context.Background(), s, nil)
	require.NoError(t, err)
	return f
}

// Whatever is asked for, one closed body comes out that passes nowhere through itself.
func TestOneSoundBody(t *testing.T) {
	specs := []Spec{}
	for _, p := range figure.Poses() {
		specs = append(specs, Spec{Stature: 1750, Pose: p, Ratio: scale(t, "1:48"), Limits: limits("resin")})
	}
	if testing.Short() { // the one with the most ways through
		specs = specs[1:2]
	} else {
		specs = append(specs,
			Spec{Stature: 2200, Of: figure.Men, Ratio: scale(t, "1:12"), Limits: limits("resin")},
			Spec{Stature: 1628, Of: figure.Women, Pose: figure.Sits, Ratio: scale(t, "1:32"), Limits: limits("filament"), NoSeat: true},
			Spec{Stature: 900, Pose: figure.Sits, Ratio: scale(t, "1:87"), Limits: limits("filament")},
			Spec{Stature: 1100, Ratio: scale(t, "1:35"), Limits: limits("resin"), NoBase: true},
			Spec{Stature: 1750, Pose: figure.Reaches, Ratio: scale(t, "1:160"), Limits: limits("filament")},
			Spec{Stature: 1850, Pose: figure.Sits, Ratio: scale(t, "1:160"), Limits: limits("resin")},
			Spec{Stature: 1628, Of: figure.Women, Pose: figure.Reaches, Ratio: scale(t, "1:72"), Limits: limits("powder"), NoBase: true},
			Spec{Stature: 1750, Ratio: scale(t, "1:160"), Limits: limits("filament"), NoBase: true},
			Spec{Of: "girl-6", Pose: figure.Reaches, Ratio: scale(t, "1:24"), Limits: limits("other")},
		)
	}
	for _, s := range specs {
		t.Run(fmt.Sprintf("%s %s %s %g", s.Pose, s.Of, s.Ratio, s.Stature), func(t *testing.T) {
			f := made(t, s)
			m, err := survey.Of(context.Background(), f.Mesh, nil)
			require.NoError(t, err)
			require.True(t, m.Closed)
			require.Equal(t, 1, m.Shells)
			require.Equal(t, f.Genus, m.Genus)
			h := m.Health
			require.Zero(t, h.OpenEdges+h.CrowdedEdges+h.FlippedEdges+h.Degenerate+h.Doubled+h.Crossings)
			require.True(t, h.Complete)
			require.False(t, h.InsideOut)
			require.Zero(t, m.Box.Min[2])
			// A person of 1.75 m has about 70 litres, 0.013 of the stature cubed; children are
			// slighter by less. The plate and what is thicker than true come on top.
			tall := f.Stature * s.Ratio.Float()
			require.Greater(t, m.Volume, 0.011*tall*tall*tall)
			require.Less(t, m.Volume, 0.15*tall*tall*tall)
			require.LessOrEqual(t, f.Genus, 4, "between the legs, under the arms, before the seat")
			require.Greater(t, m.Triangles, 60_000)
			require.Less(t, m.Triangles, 350_000)
			t.Logf("%d triangles, genus %d, step %.3f, thicker %v, label %q, volume %.4f", m.Triangles, m.Genus, f.Step, f.Thicker, f.Label, m.Volume/tall/tall/tall)
		})
	}
}

// extent is the box of what of a mesh lies where keep says so, over the soles, in statures.
func extent(f Figure, r ratio.Ratio, keep func(p geom.Vec) bool) geom.Box {
	out := geom.EmptyBox()
	for i := range f.Mesh.Vertices {
		p := f.Mesh.Vertex(uint32(i))
		p[2] -= f.Sole
		if p = p.Scale(1 / (f.Stature * r.Float())); keep(p) {
			out = out.Add(p)
		}
	}
	return out
}

// Heights and breadths on the mesh itself, against the tables. 0.004 of the stature is 7 mm of a
// person.
func TestProportions(t *testing.T) {
	const within = 0.004
	r := scale(t, "1:10")
	mean := func(of figure.Population, m figure.Measure) float64 {
		v, ok := of.Measure(m)
		require.True(t, ok)
		tall, _ := of.Measure(figure.Stature)
		return v.Mean / tall.Mean
	}
	all := func(geom.Vec) bool { return true }
	for _, of := range []figure.Population{figure.Men, figure.Women} {
		if testing.Short() && of == figure.Men {
			continue
		}
		f := made(t, Spec{Of: of, Ratio: r, NoBase: true})
		require.InDelta(t, 1, extent(f, r, all).Max[2], 0.001, "crown")
		arm := extent(f, r, func(p geom.Vec) bool { return math.Abs(p[0]) > 0.135 && p[2] < 0.6 })
		require.InDelta(t, level(figure.Fingertip), arm.Min[2], within, "fingertips")
		shoulder := extent(f, r, func(p geom.Vec) bool { return math.Abs(p[0]) > 0.104 })
		require.InDelta(t, level(figure.Shoulder), shoulder.Max[2], 2*within, "shoulder")
		wide := extent(f, r, func(p geom.Vec) bool { return p[2] > 0.73 })
		require.InDelta(t, mean(of, figure.ShoulderBreadth), wide.Max[0]-wide.Min[0], 3*within, "over the deltoids")
		hips := extent(f, r, func(p geom.Vec) bool { return p[2] > 0.50 && p[2] < 0.54 && math.Abs(p[0]) < 0.125 })
		require.InDelta(t, mean(of, figure.HipBreadth), hips.Max[0]-hips.Min[0], 3*within, "hips, clothed")
		head := extent(f, r, func(p geom.Vec) bool { return p[2] > 0.90 })
		require.InDelta(t, mean(figure.Men, figure.HeadBreadth), head.Max[0]-head.Min[0], within, "head")
		require.InDelta(t, mean(figure.Men, figure.HeadLength), head.Max[1]-head.Min[1], within, "head, front to back")
		foot := extent(f, r, func(p geom.Vec) bool { return p[2] < 0.03 })
		require.InDelta(t, 0.152, foot.Max[1]-foot.Min[1], within, "foot")
		for _, l := range figure.Landmarks() {
			require.InDelta(t, level(l)*f.Stature, f.Landmarks[l], 1e-6, l)
		}

		f = made(t, Spec{Of: of, Pose: figure.Sits, Ratio: r, NoBase: true})
		require.InDelta(t, mean(of, figure.SeatHeight)+mean(of, figure.SittingHeight), extent(f, r, all).Max[2], 0.001, "crown over the floor")

		f = made(t, Spec{Of: of, Pose: figure.Reaches, Ratio: r, NoBase: true})
		long := level(figure.Shoulder) - level(figure.Fingertip)
		require.InDelta(t, level(figure.Shoulder)+long, extent(f, r, all).Max[2], within, "fingertips overhead")
		require.InDelta(t, -long, extent(f, r, all).Min[1], within, "fingertips in front")
	}
}

// Whoever is shorter than any adult that was measured is built as a child of that height.
func TestChildren(t *testing.T) {
	r := scale(t, "1:10")
	f := made(t, Spec{Stature: 1022, Ratio: r, NoBase: true})
	require.InDelta(t, 4, f.Child, 0.3)
	g := made(t, Spec{Of: "boy-4", Ratio: r, NoBase: true})
	require.Equal(t, 4.0, g.Child)
	require.InDelta(t, 1022.2, g.Stature, 0.01)
	require.InDelta(t, 0.1835*g.Stature, g.Stature-g.Landmarks[figure.Chin], 1e-6)
	require.InDelta(t, 1, extent(g, r, func(geom.Vec) bool { return true }).Max[2], 0.001)
	require.Zero(t, made(t, Spec{Stature: 1410, Ratio: scale(t, "1:100"), NoBase: true}).Child)
	require.Zero(t, made(t, Spec{Stature: 1300, Of: figure.Men, Ratio: scale(t, "1:100"), NoBase: true}).Child)
}

// No limb is thinner than the process makes, and what is thicker than true is told.
func TestLimbsHold(t *testing.T) {
	for _, typed := range []string{"1:12", "1:87", "1:160"} {
		for _, name := range []string{"filament", "resin"} {
			if testing.Short() && (name == "resin" || typed != "1:160") {
				continue
			}
			s := Spec{Stature: 1750, Ratio: scale(t, typed), Limits: limits(name), NoBase: true}
			f := made(t, s)
			m, err := survey.Of(context.Background(), f.Mesh, nil)
			require.NoError(t, err)
			// Balls that touch a flat sole beside its edge are smaller. At 1:160 that is 6 % of the surface;
			// nothing else may be thinner.
			d := m.Thickness.Distribution
			require.Less(t, d.AreaBelow(0.99*s.Limits.Pin), 0.08*d.Area(), "%s %s", typed, name)
			for _, l := range Limbs() {
				require.GreaterOrEqual(t, f.Thicker[l], 1.0)
			}
			if typed == "1:160" {
				require.Greater(t, f.Thicker[Arms], 1.5)
			}
		}
	}
}

func TestSameAgain(t *testing.T) {
	s := Spec{Stature: 1750, Ratio: scale(t, "1:76.2"), Limits: limits("resin"), Pose: figure.Sits}
	require.Equal(t, made(t, s), made(t, s))
}

func TestWhatCannotBe(t *testing.T) {
	r := scale(t, "1:48")
	for _, c := range []struct {
		s    Spec
		want error
	}{
		{Spec{Stature: 899, Ratio: r}, ErrStature}, {Spec{Stature: 2201, Ratio: r}, ErrStature}, {Spec{Stature: math.NaN(), Ratio: r}, ErrStature},
		{Spec{Ratio: r}, ErrStature}, {Spec{Stature: 1750}, ErrRatio}, {Spec{Stature: 1750, Ratio: scale(t, "1:1000")}, ErrRatio},
		{Spec{Stature: 1750, Ratio: scale(t, "1:2")}, ErrRatio}, {Spec{Stature: 1750, Ratio: r, Pose: "flies"}, ErrPose},
	} {
		_, err := Make(context.Background(), c.s, nil)
		if !errors.Is(err, c.want) {
			t.Errorf("%+v: %v", c.s, err)
		}
	}
	ctx, stop := context.WithCancel(context.Background())
	stop()
	_, err := Make(ctx, Spec{Stature: 1750, Ratio: r}, nil)
	require.ErrorIs(t, err, context.Canceled)
}

// A steepBall overstates distances.
type steepBall struct{ egg }

func (b steepBall) distance(p geom.Vec) float64 { return 40 * b.egg.distance(p) }

// Where what is far away cannot be told by its distance, all is looked at, and the body is closed.
func TestLeapsAreClosed(t *testing.T) {
	f := field{groups: []group{{0, []piece{egg{geom.Vec{0, 0, -3}, geom.Vec{5, 5, 5}}, steepBall{egg{geom.Vec{2, 0, 3}, geom.Vec{4, 3, 5}}}}}}, floor: -100}
	box := f.groups[0].pieces[0].bounds().Union(f.groups[0].pieces[1].bounds())
	l := newLattice(box, 0.15)
	near, err := l.measure(context.Background(), &f, func(float64) {})
	require.NoError(t, err)
	m, err := l.surface(context.Background(), near, "two")
	require.NoError(t, err)
	closed, err := mesh.Closes(context.Background(), m)
	require.NoError(t, err)
	require.False(t, closed, "part of it was passed over")
	m, err = l.solid(context.Background(), &f, "two", func(float64) {})
	require.NoError(t, err)
	closed, err = mesh.Closes(context.Background(), m)
	require.NoError(t, err)
	require.True(t, closed)
}

// Leaving out what is far away changes nothing that is near.
func TestNearIsEnough(t *testing.T) {
	for _, p := range figure.Poses() {
		s := Spec{Stature: 1750, Ratio: scale(t, "1:60"), Pose: p, Limits: limits("resin")}
		b, err := newBody(s)
		require.NoError(t, err)
		f := field{groups: b.groups}
		l := newLattice(b.box(), b.tall/40)
		every := 1
		if !testing.Short() { // as fine as figures are made
			l, every = newLattice(b.box(), b.step), 13
		}
		_, err = l.measure(context.Background(), &f, func(float64) {})
		require.NoError(t, err)
		for i, v := range l.values {
			if i%every != 0 {
				continue
			}
			if want := f.at(l.place(i)); (want < 0) != (v < 0) {
				t.Fatalf("%s: %g at %v, %g with all pieces", p, v, l.place(i), want)
			}
		}
	}
}

// The views show the figure at one scale, in front of nothing, to their edges.
func TestViews(t *testing.T) {
	s := Spec{Stature: 1750, Ratio: scale(t, "1:48"), Limits: limits("resin")}
	f := made(t, s)
	v, err := ViewsOf(context.Background(), f.Mesh)
	require.NoError(t, err)
	size := mesh.MeasuresOf(f.Mesh).Box.Size()
	for _, c := range []struct {
		img  *image.NRGBA
		wide float64
	}{{v.Front, size[0]}, {v.Side, size[1]}} {
		b := c.img.Bounds()
		require.InDelta(t, c.wide*v.PerMM, b.Dx(), 1)
		require.InDelta(t, size[2]*v.PerMM, b.Dy(), 1)
		on := 0
		for i := 3; i < len(c.img.Pix); i += 4 {
			if c.img.Pix[i] == 255 {
				on++
			}
		}
		share := float64(on) / float64(b.Dx()*b.Dy())
		require.Greater(t, share, 0.2)
		require.Less(t, share, 0.8)
		require.Zero(t, c.img.NRGBAAt(2, 2).A)
		foot := c.img.NRGBAAt(b.Dx()/2, b.Dy()-2) // of the base
		require.Equal(t, uint8(255), foot.A)
	}
	ctx, stop := context.WithCancel(context.Background())
	stop()
	_, err = ViewsOf(ctx, f.Mesh)
	require.ErrorIs(t, err, context.Canceled)
	if dir := os.Getenv("SCANTLING_LOOK"); dir != "" {
		look(t, dir)
	}
}

// look draws figures to be looked at.
func look(t *testing.T, dir string) {
	sheet := image.NewNRGBA(image.Rect(0, 0, 1500, 1200))
	draw.Draw(sheet, sheet.Bounds(), image.White, image.Point{}, draw.Src)
	n := 0
	for _, s := range []Spec{
		{Stature: 1750, Ratio: scale(t, "1:24")}, {Stature: 1750, Ratio: scale(t, "1:24"), Pose: figure.Sits}, {Stature: 1750, Ratio: scale(t, "1:24"), Pose: figure.Reaches},
		{Of: figure.Women, Ratio: scale(t, "1:48")}, {Stature: 1000, Ratio: scale(t, "1:48"), Pose: figure.Sits}, {Stature: 1750, Ratio: scale(t, "1:160")},
	} {
		s.Limits = limits("resin")
		f := made(t, s)
		for _, yaw := range []float64{0, 0.6, math.Pi / 2} {
			size := mesh.MeasuresOf(f.Mesh).Box.Size()
			img := picture(f.Mesh, yaw, 0.15, min(370/(size[2]+0.2*size[1]), 240/size[0], 240/size[1]))
			draw.Draw(sheet, image.Rect(n%6*250, n/6*400, n%6*250+250, n/6*400+400), img, image.Point{}, draw.Over)
			n++
		}
	}
	to, err := os.Create(dir + "/look.png")
	require.NoError(t, err)
	require.NoError(t, png.Encode(to, sheet))
	require.NoError(t, to.Close())
}

func BenchmarkMake(b *testing.B) {
	for _, p := range figure.Poses() {
		b.Run(string(p), func(b *testing.B) {
			s := Spec{Stature: 1750, Ratio: scale(b, "1:48"), Limits: limits("resin"), Pose: p}
			n := 0
			for b.Loop() {
				n = made(b, s).Mesh.Len()
			}
			b.ReportMetric(float64(n), "triangles")
		})
	}
}
