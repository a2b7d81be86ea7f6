package survey

import (
	"context"
	"image"
	"math"

	"scantling/engine/geom"
	"scantling/engine/mesh"
)

// A plate is the samples of one strip of the picture with a pixel to spare all around:
// what is nearest at each.
type plate struct {
	view
	mesh   *mesh.Mesh
	facets []facet

	columns, rows int // samples
	top           int // sample row of the picture that is row 0 here
	depth         []float32
	seen          []uint32 // facet + 1, 0 for nothing; thinBit for what only a line shows
	ink           []uint8  // how dark the line here is, of 255
	thin          []uint32 // facets of this strip that may have slipped between the samples
}

// thinBit marks a sample that no facet covers but a thin one passes.
const thinBit = 1 << 31

func newPlate(v view, m *mesh.Mesh, facets []facet) *plate {
	p := &plate{view: v, mesh: m, facets: facets}
	p.columns = (v.width + 2) * grain
	p.rows = (min(stripRows, v.height) + 2) * grain
	p.depth = make([]float32, p.columns*p.rows)
	p.seen = make([]uint32, len(p.depth))
	p.ink = make([]uint8, len(p.depth))
	return p
}

// draw makes the rows of the picture from row on, which these facets touch. It leaves off
// when ctx has ended.
func (p *plate) draw(ctx context.Context, picture *image.NRGBA, row int, touching []uint32) {
	p.expose(ctx, row, touching)
	p.drawInk()
	for y := range min(stripRows, p.height-row) {
		p.develop(picture.Pix[(row+y)*picture.Stride:], y)
	}
}

// expose finds what is nearest at each sample of the strip.
func (p *plate) expose(ctx context.Context, row int, touching []uint32) {
	p.top = (row - 1) * grain
	clear(p.seen)
	clear(p.ink)
	p.thin = p.thin[:0]
	for k, i := range touching {
		if k%askEvery == 0 && ctx.Err() != nil {
			return
		}
		p.fill(i)
	}
	for _, i := range p.thin {
		p.line(i)
	}
}

// corners are those of facet i in samples of the plate.
func (p *plate) corners(i uint32) [3]geom.Vec {
	a, b, c := p.mesh.Triangle(int(i))
	corners := [3]geom.Vec{p.see(a), p.see(b), p.see(c)}
	for k := range corners {
		corners[k][0] += grain
		corners[k][1] -= float64(p.top)
	}
	return corners
}

// fill puts the facet on all samples whose middle it covers and where nothing is nearer.
func (p *plate) fill(i uint32) {
	c := p.corners(i)
	ab, ac := c[1].Sub(c[0]), c[2].Sub(c[0])
	twice := ab[0]*ac[1] - ab[1]*ac[0]
	longest := max(math.Hypot(ab[0], ab[1]), math.Hypot(ac[0], ac[1]), math.Hypot(ac[0]-ab[0], ac[1]-ab[1]))
	if math.Abs(twice) < 1.5*longest || longest == 0 { // less than one and a half samples high
		p.thin = append(p.thin, i)
	}
	if twice == 0 {
		return
	}
	if twice < 0 {
		c[1], c[2] = c[2], c[1]
		ab, ac = ac, ab
		twice = -twice
	}
	// z = c[0].z + slope·(x, y)
	slopeX := (ab[2]*ac[1] - ac[2]*ab[1]) / twice
	slopeY := (ac[2]*ab[0] - ab[2]*ac[0]) / twice
	low, high := min(c[0][2], c[1][2], c[2][2]), max(c[0][2], c[1][2], c[2][2])

	top := within(math.Ceil(min(c[0][1], c[1][1], c[2][1])-0.5), p.rows)
	bottom := within(math.Floor(max(c[0][1], c[1][1], c[2][1])-0.5)+1, p.rows)
	for y := top; y < bottom; y++ {
		middle := float64(y) + 0.5
		left, right := math.Inf(-1), math.Inf(1)
		for k := range c {
			from, to := &c[k], &c[(k+1)%3]
			dx, dy := to[0]-from[0], to[1]-from[1]
			// Inside is where dx·(y-from.y) - dy·(x-from.x) is positive or 0. The slack
			// keeps rounding from leaving gaps between neighbours.
			const slack = 1e-6
			switch {
			case dy > 0:
				right = min(right, from[0]+dx*(middle-from[1])/dy+slack)
			case dy < 0:
				left = max(left, from[0]+dx*(middle-from[1])/dy-slack)
			case dx*(middle-from[1]) < 0:
				right = math.Inf(-1)
			}
		}
		begin, end := within(math.Ceil(left-0.5), p.columns), within(math.Floor(right-0.5)+1, p.columns)
		at := y * p.columns
		z := c[0][2] + slopeX*(float64(begin)+0.5-c[0][0]) + slopeY*(middle-c[0][1])
		for x := begin; x < end; x++ {
			// Between the corners also where the facet stands nearly on edge.
			near := float32(max(low, min(high, z)))
			if p.seen[at+x] == 0 || near > p.depth[at+x] {
				p.depth[at+x] = near
				p.seen[at+x] = i + 1
			}
			z += slopeX
		}
	}
}

// within is x as an index from 0 to n; NaN is 0.
func within(x float64, n int) int {
	if x >= float64(n) {
		return n
	}
	if x > 0 {
		return int(x)
	}
	return 0
}

// line puts the longest side of a thin facet on the plate where there is nothing beside it.
func (p *plate) line(i uint32) {
	c := p.corners(i)
	var from, to geom.Vec
	longest := -1.0
	for k := range c {
		a, b := c[k], c[(k+1)%3]
		if d := math.Hypot(b[0]-a[0], b[1]-a[1]); d > longest {
			longest, from, to = d, a, b
		}
	}
	run := 0 // the coordinate along which the line is stepped
	if math.Abs(to[1]-from[1]) > math.Abs(to[0]-from[0]) {
		run = 1
	}
	if from[run] > to[run] {
		from, to = to, from
	}
	size := [2]int{p.columns, p.rows}
	stride := [2]int{1, p.columns}
	across := 1 - run
	begin, end := within(math.Ceil(from[run]-0.5), size[run]), within(math.Floor(to[run]-0.5)+1, size[run])
	length := to[run] - from[run]
	speck := begin >= end // between two samples: one has it
	if speck {
		if !(from[run] >= 1 && from[run] < float64(size[run]-1)) {
			return
		}
		begin = int(from[run])
		end = begin + 1
	}
	for s := begin; s < end; s++ {
		share := 0.0
		if length > 0 {
			share = max(0, min(1, (float64(s)+0.5-from[run])/length))
		}
		side := math.Floor(from[across] + share*(to[across]-from[across]))
		// The spare pixel around the picture always leaves a neighbour.
		if !(side >= 1 && side < float64(size[across]-1)) {
			continue
		}
		at := s*stride[run] + int(side)*stride[across]
		if speck && (p.seen[at-stride[run]] != 0 || p.seen[at+stride[run]] != 0) {
			continue
		}
		if p.seen[at] == 0 && p.seen[at-stride[across]] == 0 && p.seen[at+stride[across]] == 0 {
			p.seen[at] = (i + 1) | thinBit
			p.depth[at] = float32(from[2] + share*(to[2]-from[2]))
		}
	}
}

// How dark lines are, of 255.
const (
	inkOutline = 235
	inkGap     = 215 // between what is near and what is far behind it
	inkCrease  = 120
)

// drawInk marks what differs from its right or lower neighbour: lines of two samples.
func (p *plate) drawInk() {
	for y := 1; y < p.rows-2; y++ {
		for x := 1; x < p.columns-2; x++ {
			at := y*p.columns + x
			if here := p.seen[at]; here != p.seen[at+1] {
				p.mark(at, at+1, 0)
			}
			if here := p.seen[at]; here != p.seen[at+p.columns] {
				p.mark(at, at+p.columns, 1)
			}
		}
	}
}

// mark darkens two neighbours, b to the right of a (along 0) or below it (along 1), as
// far as what is seen there differs.
func (p *plate) mark(a, b, along int) {
	switch step := b - a; {
	case p.seen[a] == 0:
		p.darken(b, inkOutline)
		p.darken(b+step, inkOutline)
	case p.seen[b] == 0:
		p.darken(a, inkOutline)
		p.darken(a-step, inkOutline)
	default:
		if ink := p.difference(a, b, along); ink > 0 {
			p.darken(a, ink)
			p.darken(b, ink)
		}
	}
}

func (p *plate) darken(at int, ink uint8) {
	if p.seen[at] != 0 {
		p.ink[at] = max(p.ink[at], ink)
	}
}

// difference is the ink that two neighbouring samples call for.
func (p *plate) difference(a, b, along int) uint8 {
	na, nb := p.facetAt(a).normal, p.facetAt(b).normal
	// From one facet to the next the depth changes as one of them or the other slopes, or
	// in between. Half a pixel off is no slope but a gap; where the surface falls away so
	// steeply that facets are passed over between the samples, as much again is allowed.
	da, db := slope(na, along), slope(nb, along)
	gap := 0.5*grain + max(da, -da, db, -db)
	if d := p.depth[b] - p.depth[a]; d < min(da, db)-gap || d > max(da, db)+gap {
		return inkGap
	}
	const cosCrease = 0.78 // 39 degrees: coarse round things have no lines, chamfers have
	if na[0]*nb[0]+na[1]*nb[1]+na[2]*nb[2] < cosCrease {
		return inkCrease
	}
	return 0
}

func (p *plate) facetAt(at int) *facet { return &p.facets[p.seen[at]&^thinBit-1] }

// slope is how much nearer a plane comes from one sample to the next.
func slope(normal [3]float32, along int) float32 {
	const steepest = 1e3
	if normal[2] < 1/steepest {
		return float32(math.Copysign(steepest, -float64(normal[along])))
	}
	return -normal[along] / normal[2]
}

// develop makes a row of pixels; y counts the strip's rows from 0.
func (p *plate) develop(row []uint8, y int) {
	for x := range p.width {
		covered, thin, grey := 0, 0, 0
		for sy := range grain {
			at := ((y+1)*grain+sy)*p.columns + (x+1)*grain
			for s := at; s < at+grain; s++ {
				if p.seen[s] == 0 {
					continue
				}
				covered++
				thin += int(p.seen[s] / thinBit)
				shade, ink := int(p.shade(s)), int(p.ink[s])
				const black = 38 // the darkest line
				grey += (shade*(255-ink) + black*ink) / 255
			}
		}
		if covered == 0 {
			continue
		}
		value := uint8(grey / covered)
		// What is too thin to cover a sample counts twice, or it would be too faint to see.
		alpha := uint8(255 * min(grain*grain, covered+thin) / (grain * grain))
		row[4*x], row[4*x+1], row[4*x+2], row[4*x+3] = value, value, value, alpha
	}
}

// shade is the grey of a sample's facet under a wide light from the upper left in front;
// what is farther off is a little darker.
func (p *plate) shade(at int) uint8 {
	const right, down, toward = -0.40, -0.60, 0.69 // to the light, unit length within 0.2 %
	n := p.facetAt(at).normal
	lit := 0.5 + 0.5*(right*n[0]+down*n[1]+toward*n[2])
	far := min(1, max(0, 0.5-p.depth[at]/p.deep)) // 0 at the near side of the box, 1 at the far one
	return uint8((88 + 150*lit) * (1 - 0.2*far))
}
