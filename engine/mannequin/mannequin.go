// Package mannequin makes a human figure to print beside a model: closed, one body, nothing
// passing through itself, as tall and as proportioned as people are, no limb thinner than a
// process makes. It stands, sits or reaches, on a plate with the ratio on it in raised figures.
//
// Heights and lengths are engine/figure's landmarks and segments, breadths those of its
// populations. What lies between them is drawn by eye. It is plainly dressed, bareheaded, and
// has no features. Its children have proportions from memory: see childhood.
package mannequin

import (
	"context"
	"errors"
	"math"

	"scantling/engine/figure"
	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/engine/numeral"
	"scantling/engine/process"
	"scantling/engine/ratio"
)

// A Spec says what figure is wanted.
type Spec struct {
	Stature float64           // mm, of the real person; 0: the mean of the population
	Of      figure.Population // of its breadths; none: between men's and women's
	Pose    figure.Pose       // none: stands
	Ratio   ratio.Ratio       // at which it is printed
	Limits  process.Limits    // lengths that are 0 limit nothing
	NoBase  bool              // without the plate; whether it stands alone is not said
	NoSeat  bool              // without the block that a sitting figure sits on
}

// Statures that there are figures of, mm.
const (
	Shortest = 900.0
	Tallest  = 2200.0
)

// What Make refuses. app/text has the words.
var (
	ErrStature = errors.New("the stature is out of range")
	ErrPose    = errors.New("the pose is not known")
	ErrRatio   = errors.New("the figure would be too small or too large")
)

// A Limb is a piece of the body that may have been thickened.
type Limb string

// The limbs.
const (
	Arms  Limb = "arms"
	Hands Limb = "hands"
	Legs  Limb = "legs"
	Feet  Limb = "feet"
	Neck  Limb = "neck"
)

// Limbs are all limbs, in the order in which they are told of.
func Limbs() []Limb { return []Limb{Arms, Hands, Legs, Feet, Neck} }

// A Figure is what is printed. Lengths are millimetres of the print unless they say so.
type Figure struct {
	Mesh *mesh.Mesh // stands on z = 0 and faces −y
	Size geom.Vec   // of all of it
	// Sole is how high the soles stand: as high as the plate is thick.
	Sole float64
	// Stature is the real person's, mm.
	Stature float64
	// Landmarks are the heights over the soles, mm of the real person, that the joints and ends of
	// the body were made at; only of those that the pose keeps upright.
	Landmarks map[figure.Landmark]float64
	// Child is the age, in years, whose proportions it has; 0 for those of adults.
	Child float64
	// Thicker is how many times as thick as true each limb is where it is thinnest.
	Thicker map[Limb]float64
	// Label is what is raised on the plate, as large as LabelSize. It is left out where that is
	// wider than the plate may be, LabelRoom, and where no figures were asked for or there are none
	// for the ratio: then LabelSize is 0, too.
	Label     string
	LabelSize geom.Vec2
	LabelRoom float64
	Step      float64 // of the lattice: nothing smaller is made
	Genus     int     // ways through: between the legs over the plate, under the arms
}

// Make makes a figure; about how far it is it tells report, which may be nil. The errors are
// Err… and ctx's.
func Make(ctx context.Context, s Spec, report func(float64)) (Figure, error) {
	if report == nil {
		report = func(float64) {}
	}
	if s.Stature == 0 {
		if v, ok := s.Of.Measure(figure.Stature); ok {
			s.Stature = v.Mean
		}
	}
	if !(s.Stature >= Shortest && s.Stature <= Tallest) {
		return Figure{}, ErrStature
	}
	tall := s.Stature * s.Ratio.Float()
	if !(tall >= leastTall && tall <= mostTall) {
		return Figure{}, ErrRatio
	}
	b, err := newBody(s)
	if err != nil {
		return Figure{}, err
	}
	f := Figure{
		Stature: s.Stature, Child: b.child, Thicker: b.thicker, Landmarks: b.landmarks(s.Pose, s.Stature),
	}
	solid := field{groups: b.groups}
	box := b.box()
	if !s.NoBase {
		p := newPlate(b, s)
		f.Sole, f.Label, f.LabelSize, f.LabelRoom = p.thick, p.label, p.size, p.room
		box = box.Union(p.box)
		solid.groups = cut(b.groups, p.groups, -p.thick/2) // the soles reach into the plate
		solid.floor = -p.thick
		box.Min[2] = -p.thick
	} else {
		box.Min[2] = 0
	}
	// What is thick all over has more surface than a slender body.
	size := box.Size()
	area := 2 * (size[0]*size[1] + size[1]*size[2] + size[2]*size[0])
	l := newLattice(box, max(b.step, math.Sqrt(trianglesBy*area/mostTriangles)))
	f.Step = l.step
	m, err := l.solid(ctx, &solid, "figure", func(done float64) { report(0.7 * done) })
	if err != nil {
		return Figure{}, err
	}
	report(0.95)
	lift(m, solid.floor)
	f.Mesh, f.Size = m, mesh.MeasuresOf(m).Box.Size()
	f.Genus = 1 - (len(m.Vertices)-m.Len()/2)/2 // of one closed shell: V − E + F = V − F/2
	report(1)
	return f, nil
}

const (
	leastTall = 4.0   // mm: smaller is a crumb
	mostTall  = 600.0 // mm
	// Triangles are about as many as trianglesBy times the surface of the box around a body, in
	// squares of a step: measured.
	trianglesBy   = 5.7
	mostTriangles = 250_000
	steps         = 150.0 // of the lattice, as high as the body stands: about 200,000 triangles
)

// lift puts a mesh, whose lowest points are where they were cut, on z = 0.
func lift(m *mesh.Mesh, floor float64) {
	for i := range m.Vertices {
		z := float64(m.Vertices[i][2]) - floor
		if math.Abs(z) < 1e-4 {
			z = 0
		}
		m.Vertices[i][2] = float32(z)
	}
}

// A cutOff is a piece without what is lower than its floor.
type cutOff struct {
	of    piece
	floor float64
}

func (c cutOff) distance(p geom.Vec) float64 { return max(c.of.distance(p), c.floor-p[2]) }

// cut is the body without what would come out under the plate, and the plate.
func cut(body, plate []group, floor float64) []group {
	var out []group
	for _, g := range body {
		h := group{seam: g.seam}
		for _, q := range g.pieces {
			h.pieces = append(h.pieces, cutOff{q, floor})
		}
		out = append(out, h)
	}
	return append(out, plate...)
}

// A plate is what the figure stands on, with the ratio.
type plate struct {
	thick  float64
	box    geom.Box
	groups []group
	label  string
	size   geom.Vec2 // of the label, or of the one that has no room
	room   float64   // for its breadth
}

// newPlate is as large as what stands on it, with a margin, and a strip in front for the ratio.
func newPlate(b *body, s Spec) plate {
	tall := b.tall
	p := plate{thick: max(0.025*tall, s.Limits.WallFree, 4*s.Limits.Layer, 0.6)}
	margin := max(0.03*tall, 0.5*s.Limits.WallFree)
	foot := b.footprint()
	for a := range 2 {
		foot.Min[a] -= margin
		foot.Max[a] += margin
	}
	stroke := max(s.Limits.RaisedWidth, s.Limits.Finest, 2.5*b.step)
	rise := max(s.Limits.RaisedHeight, stroke/2)
	label := s.Ratio.String()
	wide, ok := numeral.Wide(label)
	p.room = max(foot.Max[0]-foot.Min[0], mostPlate*tall) - 2*margin
	if ok {
		p.size = geom.Vec2{float64(wide) * stroke, numeral.Rows * stroke}
	}
	if ok && p.size[0] <= p.room {
		p.label = label
		half := max(foot.Max[0]-foot.Min[0], p.size[0]+2*margin) / 2
		foot.Min[0], foot.Max[0] = -half, half
		low := geom.Vec2{-p.size[0] / 2, foot.Min[1] - p.size[1]}
		foot.Min[1] = low[1] - margin
		g := group{}
		numeral.Each(label, func(column, row int) {
			x, y := low[0]+float64(column)*stroke, low[1]+float64(row)*stroke
			// Strokes overlap a little, so that no seam is left between them.
			over := 0.02 * stroke
			g.pieces = append(g.pieces, slab{geom.Box{
				Min: geom.Vec{x - over, y - over, -p.thick / 2},
				Max: geom.Vec{x + stroke + over, y + stroke + over, rise},
			}, 0})
		})
		p.groups = append(p.groups, g)
	}
	p.box = geom.Box{Min: geom.Vec{foot.Min[0], foot.Min[1], -p.thick}, Max: geom.Vec{foot.Max[0], foot.Max[1], rise}}
	// It reaches below the floor, which cuts it, so that its underside is flat to the edge.
	ground := group{contact * tall, []piece{tile{p.box.Min, geom.Vec{foot.Max[0], foot.Max[1], 0}, min(0.05*tall, 3*p.thick)}}}
	p.groups = append([]group{ground}, p.groups...) // the figures keep their edges
	return p
}

// mostPlate is how wide a plate may be made for its label, in statures.
const mostPlate = 0.48

// A tile is a plate with round corners, seen from above, that reaches down without end.
type tile struct {
	low, high geom.Vec
	round     float64
}

func (t tile) distance(p geom.Vec) float64 {
	var out geom.Vec2
	deepest := math.Inf(-1)
	for a := range 2 {
		d := math.Abs(p[a]-(t.low[a]+t.high[a])/2) - ((t.high[a]-t.low[a])/2 - t.round)
		out[a] = max(d, 0)
		deepest = max(deepest, d)
	}
	sides := math.Hypot(out[0], out[1]) + min(deepest, 0) - t.round
	return max(sides, p[2]-t.high[2])
}

func (c cutOff) bounds() geom.Box { return c.of.bounds() }

func (t tile) bounds() geom.Box { return geom.Box{Min: t.low, Max: t.high} }
