package main

import (
	"math"

	"scantling/engine/geom"
)

// The hull is drawn as waterlines: closed rings from the stem along port to the stern and
// back along starboard, at levels from 0 at the keel to 1 at the deck's edge and a
// little more at the rail. x is forward from the middle, y to port, z up from the keel.

const (
	halfBeam  = 2100.0
	ringCount = 192 // points of a waterline, a multiple of 4
	shell     = 70.0
	bulwark   = 24.0 // thickness of the plate above the deck: 1.4 mm at the native ratio
	deckThick = 50.0
)

// smooth rises from 0 at a to 1 at b.
func smooth(a, b, x float64) float64 {
	t := max(0, min(1, (x-a)/(b-a)))
	return t * t * (3 - 2*t)
}

// deckAt is the height of the deck: the sheer.
func deckAt(x float64) float64 {
	fore, aft := max(0, (x+1000)/8000), max(0, (-x-1000)/6000)
	return 2050 + 900*fore*fore + 250*aft*aft
}

// railAt is how far the bulwark stands above the deck.
func railAt(x float64) float64 { return 650 + 270*smooth(1500, 6500, x) }

// onHull is the point of the hull's side at a level, t of the way from stern to stem.
func onHull(t, level float64) geom.Vec {
	stern := -4550 - 2350*smooth(0.40, 0.85, level)
	stem := 4750 + 1650*(1-math.Pow(1-math.Pow(min(level, 1), 0.75), 3)) + 330*level + 500*max(0, level-1)
	x := stern + t*(stem-stern)

	low := min(1, level)
	aft := 1.0
	if d := 1 - t/0.42; d > 0 {
		aft = math.Pow(1-math.Pow(d, 1.8+0.6*low), 0.95-0.45*math.Pow(low, 0.8))
	}
	fore := 1.0
	if d := (t - 0.5) / 0.5; d > 0 {
		fore = math.Pow(1-math.Pow(d, 1.45+0.75*level), 1.05-0.5*low)
	}

	// The section: from the keel's flat to the chine and on to the deck's edge.
	const keel = 0.045
	chine := chineAt(t)
	out := 0.94 - 0.22*math.Pow(math.Abs(2*t-1), 2.5)
	if level <= chine {
		out = keel + (out-keel)*math.Pow(level/chine, 0.92)
	} else {
		out += (1 - out) * math.Pow(min(1, (level-chine)/(1-chine)), 0.8)
	}
	return geom.Vec{x, halfBeam * aft * fore * out, level * deckAt(x)}
}

// chineAt is the level of the knuckle between bottom and side.
func chineAt(t float64) float64 { return 0.34 + 0.24*math.Pow(max(0, 2*t-1), 2) }

// along is t for point i of a ring: close together at stem and stern.
func along(i int) float64 { return (1 + math.Cos(2*math.Pi*float64(i)/ringCount)) / 2 }

// waterline is the ring on the hull at a level that may depend on t.
func waterline(level func(t float64) float64) []geom.Vec {
	ring := make([]geom.Vec, ringCount)
	for i := range ring {
		t := along(i)
		p := onHull(t, level(t))
		switch {
		case i == 0 || i == ringCount/2:
			p[1] = 0
		case i > ringCount/2:
			p[1] = -p[1]
		}
		ring[i] = p
	}
	return ring
}

// band is the ring that lies so far above the deck, a share of the bulwark's height more,
// and so far out from the hull's side.
func band(above, share, out float64) []geom.Vec {
	ring := waterline(func(t float64) float64 {
		x := onHull(t, 1)[0]
		return 1 + (above+share*railAt(x))/deckAt(x)
	})
	return spread(ring, out)
}

// spread moves a ring outwards in plan.
func spread(ring []geom.Vec, out float64) []geom.Vec {
	moved := make([]geom.Vec, len(ring))
	for i, p := range ring {
		before, after := ring[(i+len(ring)-1)%len(ring)], ring[(i+1)%len(ring)]
		d := after.Sub(before)
		normal := geom.Vec{d[1], -d[0], 0}
		moved[i] = p.Add(normal.Scale(out / normal.Len()))
		if p[1] == 0 {
			moved[i][1] = 0
		}
	}
	return moved
}

// inside is a ring within the hull's side, about so thick: always inside, also where the
// waterline is finer than the shell is thick.
func inside(ring []geom.Vec, thick float64) []geom.Vec {
	moved := make([]geom.Vec, len(ring))
	for i, p := range ring {
		wide, level := math.Abs(p[1]), p[2]/deckAt(p[0])
		q := geom.Vec{p[0] * (1 - 2.2*thick/6500), 0, 0}
		q[2] = level*deckAt(q[0]) + thick*max(0, 1-level)
		q[1] = p[1] * max(0.25, wide/(wide+thick)) // not so fine that both sides meet
		moved[i] = q
	}
	return moved
}

// folded is a ring pressed onto the centreline.
func folded(ring []geom.Vec) []geom.Vec {
	flat := make([]geom.Vec, len(ring))
	for i, p := range ring {
		flat[i] = geom.Vec{p[0], 0, p[2]}
	}
	return flat
}

func hull() solid {
	bottom := func(share float64) func(t float64) float64 {
		return func(t float64) float64 { return share * chineAt(t) }
	}
	side := func(share float64) func(t float64) float64 {
		return func(t float64) float64 { return chineAt(t) + share*(0.89-chineAt(t)) }
	}
	var rings [][]geom.Vec
	add := func(r []geom.Vec) { rings = append(rings, r) }

	// Up the outside.
	lower := []float64{0, 0.03, 0.12, 0.3, 0.5, 0.7, 0.86, 1}
	upper := []float64{0.15, 0.32, 0.5, 0.68, 0.85, 1}
	add(folded(waterline(bottom(0))))
	for _, k := range lower {
		add(waterline(bottom(k)))
	}
	for _, k := range upper {
		add(waterline(side(k)))
	}
	for _, r := range [][2]float64{{-205, 0}, {-195, 45}, {-165, 78}, {-125, 90}, {-85, 78}, {-55, 45}, {-45, 0}} { // rubbing strake
		add(band(r[0], 0, r[1]))
	}
	add(band(0, 0, 0))
	portLow := len(rings)
	const portFrom, portTo = 110, 300 // freeing ports, above the deck
	add(band(portFrom, 0, 0))
	add(band(portTo, 0, 0))
	// Over the rail.
	add(band(-55, 1, 0))
	add(band(-50, 1, 40))
	add(band(-10, 1, 45))
	add(band(0, 1, 35))
	add(band(0, 1, -bulwark-35))
	add(band(-10, 1, -bulwark-45))
	add(band(-50, 1, -bulwark-40))
	add(band(-55, 1, -bulwark))
	// Down the inside to the ledge on which the deck lies, and on to the keel.
	portHigh := len(rings)
	add(band(portTo, 0, -bulwark))
	add(band(portFrom, 0, -bulwark))
	add(band(-deckThick, 0, -bulwark))
	add(inside(band(-deckThick, 0, 0), 160))
	add(inside(band(-deckThick-60, 0, 0), 160))
	for i := len(upper) - 2; i >= 0; i-- {
		add(inside(waterline(side(upper[i])), shell))
	}
	for i := len(lower) - 1; i >= 0; i-- {
		add(inside(waterline(bottom(lower[i])), shell))
	}
	add(folded(inside(waterline(bottom(0)), shell)))

	return cutPorts(rings, portLow, portHigh)
}

// cutPorts lofts the hull's rings and cuts the freeing ports: where they are, the outer
// skin between rings low and low+1 and the inner one between high and high+1 are left out
// and joined through the plate.
func cutPorts(rings [][]geom.Vec, low, high int) solid {
	isPort := func(i int) bool {
		i = min(i, ringCount-1-i) // port and starboard alike
		for _, from := range []int{38, 46, 54, 62} {
			if i >= from && i < from+3 {
				return true
			}
		}
		return false
	}
	var s solid
	for j := range len(rings) - 1 {
		a, b := rings[j], rings[j+1]
		for i := range ringCount {
			k := (i + 1) % ringCount
			if (j != low && j != high) || !isPort(i) {
				s.quad(a[i], a[k], b[k], b[i])
				continue
			}
			if j == high {
				continue
			}
			// inner[0] is inside of a, inner[1] of b
			inner := [2][]geom.Vec{rings[high+1], rings[high]}
			s.quad(a[i], a[k], inner[0][k], inner[0][i])
			s.quad(inner[1][i], inner[1][k], b[k], b[i])
			if !isPort(i - 1) {
				s.quad(b[i], a[i], inner[0][i], inner[1][i])
			}
			if !isPort(i + 1) {
				s.quad(a[k], b[k], inner[1][k], inner[0][k])
			}
		}
	}
	return s.outward()
}

// deck is the plate inside the bulwarks, with holes for screws of M3 through the model's
// ledge: 3.4 mm, the medium clearance of ISO 273.
func deck() solid {
	const gap = 0.35 * native // to the bulwark, all around
	edge := band(0, 0, -bulwark-gap)
	const half = ringCount / 2
	var top, under [][]geom.Vec
	for i := range half + 1 {
		p := edge[i]
		wide := p[1]
		margin := min(190, 0.4*wide)
		var row, low []geom.Vec
		for _, y := range []float64{-wide, margin - wide, -0.35 * wide, 0.35 * wide, wide - margin, wide} {
			row = append(row, geom.Vec{p[0], y, p[2]})
			low = append(low, geom.Vec{p[0], y, p[2] - deckThick})
		}
		top, under = append(top, row), append(under, low)
	}
	return plate{outer: top, inner: under, cells: func(row, column int) cell {
		if (column == 0 || column == 4) && (row == 20 || row == 30 || row == 40 || row == 52 || row == 64 || row == 74) {
			return 3.4 / 2 * native
		}
		return whole
	}}.solid()
}

// bowFender is the thick rope pad around the stem.
func bowFender() solid {
	// From starboard over the stem to port.
	ring := band(-330, 1, 155)
	const reach, pieces = 26, 3
	var path []geom.Vec
	for i := -reach; i < reach; i++ {
		a, b := ring[(i+ringCount)%ringCount], ring[(i+1+ringCount)%ringCount]
		for k := range pieces {
			path = append(path, a.Add(b.Sub(a).Scale(float64(k)/pieces)))
		}
	}
	path = append(path, ring[reach])
	// The lay of the rope shows as rings; the ends taper.
	length := 0.0
	lengths := make([]float64, len(path))
	for i := 1; i < len(path); i++ {
		length += path[i].Sub(path[i-1]).Len()
		lengths[i] = length
	}
	return rod(path, 20, func(i int) float64 {
		end := min(lengths[i], length-lengths[i])
		round := math.Sqrt(1 - math.Pow(1-min(1, end/260), 2))
		return 12 + 128*round - 7*math.Abs(math.Sin(lengths[i]*math.Pi/95))
	})
}

// A place is where a copy of a thing stands and how it is turned about the upright.
type place struct {
	name    string
	at      geom.Vec
	degrees float64
}

// tyre is a car's tyre of 205/55R16 about the y axis: 632 mm across (from its marking:
// 16 × 25.4 + 2 × 0.55 × 205), 205 mm wide.
func tyre() solid {
	const outer, half, rim = 631.9 / 2, 205.0 / 2, 16 * 25.4 / 2
	profile := []turning{
		{rim, -half + 45}, {rim + 18, -half + 12}, {rim + 55, -half}, {outer - 40, -half + 6}, {outer - 12, -half + 22},
		{outer, -half + 45}, {outer, -34}, {outer - 9, -30}, {outer - 9, -20}, {outer, -16},
		{outer, 16}, {outer - 9, 20}, {outer - 9, 30}, {outer, 34}, {outer, half - 45},
		{outer - 12, half - 22}, {outer - 40, half - 6}, {rim + 55, half}, {rim + 18, half - 12}, {rim, half - 45},
		{rim + 22, half - 40}, {outer - 34, half - 45}, {outer - 22, half - 60}, {outer - 22, -half + 60}, {outer - 34, -half + 45}, {rim + 22, -half + 40},
	}
	return lathe(56, append(profile, profile[0])...).turned(geom.X, 90)
}

// tyrePlaces are three on each side, flat against the rubbing strake.
func tyrePlaces() []place {
	ring := band(-20, 0, 90+205.0/2+6)
	var places []place
	for _, spot := range []struct {
		name string
		i    int
	}{{"fore", 29}, {"middle", 44}, {"aft", 58}} {
		for side, name := range []string{"port", "starboard"} {
			i := spot.i
			if side == 1 {
				i = ringCount - i
			}
			d := ring[i-1].Sub(ring[i+1])
			places = append(places, place{"tyre " + name + " " + spot.name, ring[i], math.Atan2(d[1], d[0]) * 180 / math.Pi})
		}
	}
	return places
}
