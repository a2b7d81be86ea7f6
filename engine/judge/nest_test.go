package judge_test

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/geom"
	"scantling/engine/judge"
	"scantling/engine/process"
	"scantling/engine/survey"
)

// A lain is a kit of solid prisms with convex outlines, and how each rests.
type lain struct {
	parts []judge.Part
	hulls []survey.Hull
	rests []judge.Rest
}

// prism is a hull with that outline about the middle of its box, and a height.
func prism(outline []geom.Vec2, high float64) survey.Hull {
	box := geom.EmptyBox()
	for _, v := range outline {
		box = box.Add(geom.Vec{v[0], v[1], 0}).Add(geom.Vec{v[0], v[1], high})
	}
	h := survey.Hull{Size: box.Size()}
	var flat []geom.Vec2
	for _, v := range outline {
		for _, z := range []float64{0, high} {
			h.Points = append(h.Points, geom.Vec{v[0], v[1], z}.Sub(box.Centre()))
		}
		flat = append(flat, geom.Vec2{v[0] - box.Centre()[0], v[1] - box.Centre()[1]})
	}
	h.Footprint = geom.Hull2(flat)
	return h
}

// polygon is a polygon with so many corners about on an ellipse.
func polygon(r *rand.Rand, corners int, wide, deep float64) []geom.Vec2 {
	var out []geom.Vec2
	turn := 2 * math.Pi * r.Float64()
	for i := range corners {
		sin, cos := math.Sincos(turn + 2*math.Pi*(float64(i)+0.5*r.Float64())/float64(corners))
		out = append(out, geom.Vec2{wide / 2 * cos, deep / 2 * sin})
	}
	return out
}

// lainOf are random prisms: with three to twelve corners each, and boxes among them.
func lainOf(t testing.TB, r *rand.Rand, bed judge.Bed, n int, most float64) (l lain) {
	for i := range n {
		wide, deep := 4+most*r.Float64(), 4+most*r.Float64()
		outline := polygon(r, 3+r.IntN(10), wide, deep)
		if i%4 == 0 {
			outline = []geom.Vec2{{0, 0}, {wide, 0}, {wide, deep}, {0, deep}}
		}
		hull := prism(outline, 5)
		p := judge.Part{ID: fmt.Sprint(i), Quantity: 1, MM: 1, Size: hull.Size}
		require.NoError(t, p.Fit(context.Background(), bed, hull, judge.Yaw))
		l.parts, l.hulls = append(l.parts, p), append(l.hulls, hull)
	}
	return l
}

// restsFor are how the parts of a layout rest.
func (l *lain) restsFor(t testing.TB, bed judge.Bed, out judge.Layout) []judge.Rest {
	l.rests = make([]judge.Rest, len(l.parts))
	for _, p := range out.Placed {
		hull := l.hulls[p.Part]
		pose := bed.Narrow(hull).Pose
		if !p.Narrow {
			fit, err := bed.Fit(context.Background(), hull, p.Turning)
			require.NoError(t, err)
			pose = fit.Pose
		}
		l.rests[p.Part] = judge.RestOf(pose, hull)
	}
	return l.rests
}

// apart is how far two convex outlines are from each other, 0 where they meet.
func apart(a, b []geom.Vec2) float64 {
	// Either a side of one parts them, or they meet.
	parted := func(a, b []geom.Vec2) bool {
		for i, p := range a {
			q := a[(i+1)%len(a)]
			outside := true
			for _, v := range b {
				outside = outside && (q[0]-p[0])*(v[1]-p[1])-(q[1]-p[1])*(v[0]-p[0]) <= 0
			}
			if outside {
				return true
			}
		}
		return false
	}
	if !parted(a, b) && !parted(b, a) {
		return 0
	}
	least := math.Inf(1)
	for _, pair := range [2][2][]geom.Vec2{{a, b}, {b, a}} {
		for _, v := range pair[0] {
			for i, p := range pair[1] {
				q := pair[1][(i+1)%len(pair[1])]
				dx, dy := q[0]-p[0], q[1]-p[1]
				t := min(max(((v[0]-p[0])*dx+(v[1]-p[1])*dy)/(dx*dx+dy*dy), 0), 1)
				least = min(least, math.Hypot(v[0]-p[0]-t*dx, v[1]-p[1]-t*dy))
			}
		}
	}
	return least
}

// soundNest checks that everything of a layout is laid again, on the plate, and that the hulls keep
// the gap.
func soundNest(t *testing.T, bed judge.Bed, l lain, was, out judge.Layout, f, gap float64, correct geom.Vec) {
	t.Helper()
	type piece struct{ part, piece int }
	laid := map[piece]bool{}
	outlines := make([][][]geom.Vec2, out.Beds)
	room := bed.Usable()
	for _, p := range out.Placed {
		require.False(t, laid[piece{p.Part, p.Piece}])
		laid[piece{p.Part, p.Piece}] = true
		spot := bed.Lay(p, l.rests[p.Part], f, correct)
		box := geom.EmptyBox()
		for _, v := range spot.Outline {
			box = box.Add(geom.Vec{v[0], v[1], 0})
			away := geom.Vec2{v[0] - bed.Size[0]/2, v[1] - bed.Size[1]/2}
			if bed.Round {
				require.LessOrEqual(t, math.Hypot(away[0], away[1]), room[0]/2+1e-9)
			}
			require.LessOrEqual(t, math.Abs(away[0]), room[0]/2+1e-9)
			require.LessOrEqual(t, math.Abs(away[1]), room[1]/2+1e-9)
		}
		for a := range 2 {
			require.InDelta(t, spot.Low[a], box.Min[a], 1e-9)
			require.InDelta(t, p.Size[a], box.Size()[a], 1e-9)
		}
		for _, other := range outlines[p.Bed] {
			require.GreaterOrEqual(t, apart(spot.Outline, other), gap+2*bed.Brim-1e-9)
		}
		outlines[p.Bed] = append(outlines[p.Bed], spot.Outline)
	}
	require.Len(t, out.Placed, len(was.Placed))
	for bed := range outlines {
		require.NotEmpty(t, outlines[bed], "no bed without anything on it")
	}
	require.LessOrEqual(t, out.Least, out.Beds)
	require.LessOrEqual(t, out.Beds, was.Beds)
	require.Equal(t, was.Left, out.Left)
}

// Random kits: sound, never more beds than as rectangles, and fewer in all; few fewer on a
// rectangle, and most on a round plate, of which rectangles fill the square alone.
func TestNest(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 8))
	for _, c := range []struct {
		bed   judge.Bed
		saves float64 // at least this share of the beds; measured 2 % and 30 %
	}{
		{judge.Bed{Size: geom.Vec{160, 120, 100}, Margin: 5}, 0.01},
		{judge.Bed{Size: geom.Vec{160, 160, 100}, Margin: 3, Brim: 1, Round: true}, 0.2},
	} {
		packed, nested, least := 0, 0, 0
		for k := range 12 {
			l := lainOf(t, r, c.bed, 16+9*k, 60)
			terms := judge.Terms{Turning: judge.Yaw}
			if k%3 == 0 {
				terms.Process.Correction = process.Correction{On: true, Scale: geom.Vec{1.01, 0.99, 1.02}}
			}
			correct := terms.Process.Correction.Factors()
			kit := judge.New(l.parts, nil, terms)
			was := kit.Pack(c.bed, 0.9, 2)
			rests := l.restsFor(t, c.bed, was)
			out, err := kit.Nest(t.Context(), was, c.bed, 0.9, 2, rests)
			require.NoError(t, err)
			soundNest(t, c.bed, l, was, out, 0.9, 2, correct)
			again, err := kit.Nest(t.Context(), was, c.bed, 0.9, 2, rests)
			require.NoError(t, err)
			require.Equal(t, out, again)
			packed, nested, least = packed+was.Beds, nested+out.Beds, least+out.Least
		}
		t.Logf("%d beds as rectangles, %d closer, %d at least by area", packed, nested, least)
		require.LessOrEqual(t, float64(nested), (1-c.saves)*float64(packed))
	}
}

// What lies as close as can be stays as it is, what fills a plate to its edge has it alone, and a
// stopped search gives nothing.
func TestNestAtTheEdges(t *testing.T) {
	bed := judge.Bed{Size: geom.Vec{100, 100, 50}}
	kit := func(outlines ...[]geom.Vec2) (lain, *judge.Case) {
		l := lain{}
		for i, o := range outlines {
			hull := prism(o, 5)
			p := judge.Part{ID: fmt.Sprint(i), Quantity: 2, MM: 1, Size: hull.Size}
			require.NoError(t, p.Fit(t.Context(), bed, hull, judge.AsItLies))
			l.parts, l.hulls = append(l.parts, p), append(l.hulls, hull)
		}
		return l, judge.New(l.parts, nil, judge.Terms{})
	}
	rect := func(w, d float64) []geom.Vec2 { return []geom.Vec2{{0, 0}, {w, 0}, {w, d}, {0, d}} }
	l, c := kit(rect(100, 50))
	was := c.Pack(bed, 1, 0)
	out, err := c.Nest(t.Context(), was, bed, 1, 0, l.restsFor(t, bed, was))
	require.NoError(t, err)
	require.Equal(t, was.Placed, out.Placed)
	l, c = kit(rect(60, 55))
	was = c.Pack(bed, 1, 0)
	out, err = c.Nest(t.Context(), was, bed, 1, 0, l.restsFor(t, bed, was))
	require.NoError(t, err)
	require.Equal(t, was, out, "two such rectangles go on no plate, whatever their area")

	// Two triangles make a square; as rectangles each has a bed.
	l, c = kit([]geom.Vec2{{0, 0}, {96, 0}, {0, 96}})
	was = c.Pack(bed, 1, 0.5)
	require.Equal(t, 2, was.Beds)
	out, err = c.Nest(t.Context(), was, bed, 1, 0.5, l.restsFor(t, bed, was))
	require.NoError(t, err)
	require.Equal(t, 1, out.Beds)
	require.Equal(t, 1, out.Least)
	require.True(t, out.Nested)
	soundNest(t, bed, l, was, out, 1, 0.5, geom.Vec{1, 1, 1})
	require.NotEqual(t, out.Placed[0].Half, out.Placed[1].Half, "one is turned by a half")

	// The large ones fill a bed each.
	l, c = kit(rect(100, 99.99), rect(70, 70), []geom.Vec2{{0, 0}, {96, 0}, {0, 96}})
	was = c.Pack(bed, 1, 0.5)
	out, err = c.Nest(t.Context(), was, bed, 1, 0.5, l.restsFor(t, bed, was))
	require.NoError(t, err)
	soundNest(t, bed, l, was, out, 1, 0.5, geom.Vec{1, 1, 1})
	require.Equal(t, 6, was.Beds)
	require.Equal(t, 5, out.Beds)

	stopped, cancel := context.WithCancel(t.Context())
	cancel()
	_, err = c.Nest(stopped, was, bed, 1, 0.5, l.rests)
	require.ErrorIs(t, err, context.Canceled)
	out, err = c.Nest(t.Context(), judge.Layout{}, bed, 1, 0.5, nil)
	require.NoError(t, err)
	require.Equal(t, judge.Layout{}, out)
}

func BenchmarkNest300(b *testing.B) {
	for _, bed := range []judge.Bed{{Size: geom.Vec{220, 220, 250}, Margin: 5}, {Size: geom.Vec{220, 220, 250}, Margin: 5, Round: true}} {
		l := lainOf(b, rand.New(rand.NewPCG(300, 3)), bed, 300, 60)
		kit := judge.New(l.parts, nil, judge.Terms{Turning: judge.Yaw})
		was := kit.Pack(bed, 1, 2)
		rests := l.restsFor(b, bed, was)
		b.Run(fmt.Sprint("round=", bed.Round), func(b *testing.B) {
			var out judge.Layout
			for b.Loop() {
				out, _ = kit.Nest(context.Background(), was, bed, 1, 2, rests)
			}
			b.ReportMetric(float64(was.Beds), "beds-as-rectangles")
			b.ReportMetric(float64(out.Beds), "beds")
			b.ReportMetric(float64(out.Least), "least")
		})
	}
}
