package survey

import (
	"cmp"
	"math"
	"slices"

	"scantling/engine/geom"
)

// A shape says in how many directions a place is thin.
type shape uint8

const (
	thinInOne shape = iota // a wall, a slot
	thinInTwo              // a pin, a hole
	thick                  // as long and as broad as thick, or not thin this way
)

// shapeOf judges the width of a place by the chords square to it. Where the shortest is
// less than 2½ widths it is thin in two directions, and where the longest is less than two
// it is thin in none (common sense; no source). Where the shortest is well below the width,
// what is thin there is measured from other sides.
func shapeOf(width, shortest, longest float64) shape {
	switch {
	case shortest < 0.8*width:
		return thick
	case shortest >= 2.5*width:
		return thinInOne
	case longest >= 2*width:
		return thinInTwo
	}
	return thick
}

// A region is a connected piece of the middle of the material, or of the air, with about
// the same width, and the samples on both its sides.
type region struct {
	members []int32 // samples
	shape   shape
	area    float64
	least   float64
	typical float64 // half of the area has no more
	taper   float64 // half of the area has no more, radians
	even    bool    // half of the area has the same width within a twentieth
	beside  bool    // half of the area is beside something thinner
}

// passing reports whether a region is no place: something as long and broad as it is thick,
// an edge, no more than where something thin begins, or so small that it is an accident.
func (r *region) passing() bool {
	square := r.typical * r.typical
	switch {
	case r.shape == thick, r.beside && (!r.even || len(r.members) < 16):
		return true
	case r.shape == thinInTwo:
		return r.area < 2*square
	}
	return r.taper > edgeTaper || r.area < 8*square
}

// A cell is a cube of space and a band of widths, with the samples whose balls have their
// middles there.
type cell struct {
	cube    cube
	members []int32
	shape   shape
	least   float64
	area    float64
	taper   float64 // the mean over its area
	region  int     // from 1; 0 for none yet
}

// A cube is a place in the grid.
type cube [3]int32

// A cellKey is a cube and a band of widths.
type cellKey struct {
	cube cube
	band int32
}

const (
	bandRatio   = 1.25              // of the widths in a band
	regionRatio = 1.5               // of the widths in a region, unless it tapers
	evenTaper   = 2 * math.Pi / 180 // what tapers no more has even sides
	// A wall that tapers more than this is the edge of something thick: whatever the
	// limit, the strip where it is thinner is less than three limits broad.
	edgeTaper = 20 * math.Pi / 180
)

// regionsOf groups what was measured, least width first. side is that of the cubes, about
// how far apart the middles of neighbours may be; judge gives the shapes of places by one
// sample of each.
//
// The middles of balls lie half-way between both sides of a wall and on the axis of a pin,
// so that what belongs together is together there. From the thinnest cell that is left, a
// region takes in all neighbours of its shape up to half as thick again, and beyond that
// where they taper.
func regionsOf(samples []sample, reaches []reach, side float64, judge func(of []int32) ([]shape, error)) ([]*region, error) {
	cells := cellsOf(samples, reaches, side)
	ones := make([]int32, len(cells))
	for k, c := range cells {
		ones[k] = c.members[0]
	}
	shapes, err := judge(ones)
	if err != nil {
		return nil, err
	}
	grid := make(map[cube][]*cell, len(cells))
	for k, c := range cells {
		c.shape = shapes[k]
		grid[c.cube] = append(grid[c.cube], c)
	}
	var found []*region
	var queue []*cell
	number := 0
	for _, seed := range cells {
		if seed.region != 0 {
			continue
		}
		number++
		r := &region{shape: seed.shape, least: seed.least}
		beside := 0.0 // area of the cells that have thinner ones beside them
		seed.region = number
		queue = append(queue[:0], seed)
		for len(queue) > 0 {
			c := queue[len(queue)-1]
			queue = queue[:len(queue)-1]
			r.members = append(r.members, c.members...)
			r.area += c.area
			thinner := false
			around(c.cube, func(near cube) {
				for _, d := range grid[near] {
					switch {
					case d.region == number:
					case d.region != 0:
						thinner = true
					case d.shape == r.shape && (d.least <= regionRatio*r.least ||
						c.taper > evenTaper && d.taper > evenTaper && d.least-c.least < 0.75*side):
						d.region = number
						queue = append(queue, d)
					}
				}
			})
			if thinner {
				beside += c.area
			}
		}
		slices.Sort(r.members)
		r.measure(samples, reaches)
		r.beside = beside >= r.area/2
		if !r.passing() {
			found = append(found, r)
		}
	}
	return found, nil
}

// measure fills in what a region is like.
func (r *region) measure(samples []sample, reaches []reach) {
	widths := make([]weighed, len(r.members))
	tapers := make([]weighed, len(r.members))
	for k, i := range r.members {
		widths[k] = weighed{reaches[i].width, samples[i].area}
		tapers[k] = weighed{reaches[i].taper, samples[i].area}
	}
	r.typical, r.taper = median(widths, r.area), median(tapers, r.area)
	near := 0.0
	for _, w := range widths {
		if math.Abs(w.width-r.typical) <= 0.05*r.typical {
			near += w.area
		}
	}
	r.even = near >= r.area/2
}

// median is the width that half of the area does not exceed. It puts pieces in order.
func median(pieces []weighed, area float64) float64 {
	slices.SortFunc(pieces, func(a, b weighed) int { return cmp.Compare(a.width, b.width) })
	sum := 0.0
	for _, p := range pieces {
		if sum += p.area; sum >= area/2 {
			return p.width
		}
	}
	return pieces[len(pieces)-1].width
}

// cellsOf puts the samples that have a width into cells, the thinnest first.
func cellsOf(samples []sample, reaches []reach, side float64) []*cell {
	cells := make(map[cellKey]*cell, len(samples)/4)
	var order []*cell
	thinnest := side * 1e-3 // below this all widths are in one band
	for i := range samples {
		r := &reaches[i]
		if r.width < 0 {
			continue
		}
		var key cellKey
		for axis, x := range r.middle(&samples[i]) {
			key.cube[axis] = int32(max(min(math.Floor(x/side), 1<<30), -1<<30))
		}
		key.band = int32(math.Floor(math.Log(max(r.width/thinnest, 1)) / math.Log(bandRatio)))
		c := cells[key]
		if c == nil {
			c = &cell{cube: key.cube, least: r.width}
			cells[key] = c
			order = append(order, c)
		}
		c.members = append(c.members, int32(i))
		c.least = min(c.least, r.width)
		c.area += samples[i].area
		c.taper += r.taper * samples[i].area
	}
	for _, c := range order {
		c.taper /= c.area
	}
	slices.SortStableFunc(order, func(a, b *cell) int { return cmp.Compare(a.least, b.least) })
	return order
}

// around are a cube and the 26 that touch it.
func around(c cube, visit func(near cube)) {
	for x := int32(-1); x <= 1; x++ {
		for y := int32(-1); y <= 1; y++ {
			for z := int32(-1); z <= 1; z++ {
				visit(cube{c[0] + x, c[1] + y, c[2] + z})
			}
		}
	}
}

// where are the box and the middle of the samples of a region, weighed by area.
func (r *region) where(samples []sample, origin geom.Vec) (geom.Box, geom.Vec) {
	box, middle := geom.EmptyBox(), geom.Vec{}
	for _, i := range r.members {
		s := &samples[i]
		box = box.Add(s.at.Add(origin))
		middle = middle.Add(s.at.Scale(s.area / r.area))
	}
	return box, middle.Add(origin)
}
