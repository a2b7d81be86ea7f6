package main

import (
	"math"

	"scantling/engine/geom"
)

// What stands on the deck amidships: the deckhouse with its flat roof, and on that the
// wheelhouse, the funnel, the mast and the rail.

const houseTop = 2950.0 // the deckhouse's roof, level although the deck is not

// deckhouse is hollow and open below, with portholes of 300 mm (a nominal size of ISO 1751,
// from memory) along both sides.
func deckhouse() solid {
	const fore, aft, hy, corner, wall, eave = 2750.0, -3300.0, 1150.0, 380.0, 45.0, 45.0
	const n, pieces = 8, 10 // flats of a corner, of a side
	// The plan runs round from the fore end to port; sides have a point every 500 mm or so.
	plan := func(inset float64) []geom.Vec {
		var ring []geom.Vec
		hx := (fore-aft)/2 - inset
		for c, sign := range [4][2]float64{{1, 1}, {-1, 1}, {-1, -1}, {1, -1}} {
			r := corner - inset
			for i := range n + 1 {
				sin, cos := math.Sincos(math.Pi / 2 * (float64(c) + float64(i)/n))
				ring = append(ring, geom.Vec{(fore+aft)/2 + sign[0]*(hx-r) + r*cos, sign[1]*(hy-inset-r) + r*sin, 0})
			}
			if c%2 == 0 {
				from := ring[len(ring)-1]
				for k := 1; k < pieces; k++ {
					ring = append(ring, geom.Vec{from[0] - sign[0]*2*(hx-r)*float64(k)/pieces, from[1], 0})
				}
			}
		}
		return ring
	}
	lift := func(ring []geom.Vec, z func(x float64) float64) []geom.Vec {
		up := make([]geom.Vec, len(ring))
		for i, p := range ring {
			up[i] = geom.Vec{p[0], p[1], z(p[0])}
		}
		return up
	}
	// ridge presses a ring onto a line on the centre, shorter than the ring, so that no
	// triangle of the ends is pressed flat.
	ridge := func(ring []geom.Vec) []geom.Vec {
		line := folded(ring)
		for i := range line {
			line[i][0] = (fore+aft)/2 + 0.7*(line[i][0]-(fore+aft)/2)
		}
		return line
	}
	level := func(z float64) func(float64) float64 { return func(float64) float64 { return z } }

	outer := [][]geom.Vec{
		lift(plan(0), deckAt),
		lift(plan(0), func(x float64) float64 { return deckAt(x) + 120 }),
		lift(plan(0), level(houseTop-110)),
		lift(plan(0), level(houseTop-75)),
		lift(plan(-eave), level(houseTop-60)),
		lift(plan(-eave-5), level(houseTop-30)),
		lift(plan(-eave+10), level(houseTop)),
		lift(plan(250), level(houseTop)),
		ridge(lift(plan(250), level(houseTop))),
	}
	inner := [][]geom.Vec{
		lift(plan(wall), deckAt),
		lift(plan(wall), func(x float64) float64 { return deckAt(x) + 120 }),
		lift(plan(wall), level(houseTop-115)),
		lift(plan(wall), level(houseTop-100)),
		lift(plan(wall), level(houseTop-85)),
		lift(plan(wall), level(houseTop-75)),
		lift(plan(wall), level(houseTop-wall)),
		lift(plan(250), level(houseTop-wall)),
		ridge(lift(plan(250), level(houseTop-wall))),
	}
	return plate{outer: outer, inner: inner, ring: true, foldedHigh: true, cells: func(row, column int) cell {
		port := column - n                           // after the first corner
		starboard := column - n - pieces - n - 1 - n // after two more and the after end
		for _, side := range []int{port, starboard} {
			if row == 1 && (side == 1 || side == 3 || side == 6 || side == 8) {
				return 300 / 2
			}
		}
		return whole
	}}.solid()
}

// wheelhouse has a door opening of 1981 × 762 mm (a door leaf of England and Wales) to
// starboard, and windows all round.
func wheelhouse() solid {
	const aft, fore, hy, wall, bulge = 350.0, 2450.0, 980.0, 60.0, 240.0
	const sill, doorHeight, doorWidth = houseTop + 120, 1981.0, 762.0
	levels := []float64{houseTop, sill, houseTop + 1130, houseTop + 1980, sill + doorHeight, houseTop + 2360}
	const ( // what a piece of wall holds
		plain = iota
		window
		door
	)
	type post struct {
		x, y float64
		next int // up to the next post
	}
	front := func(y float64) float64 { return fore + bulge*(1-y*y/(hy*hy)) }
	posts := []post{
		{aft, -hy, plain}, {500, -hy, door}, {500 + doorWidth, -hy, plain}, {1420, -hy, window}, {2270, -hy, plain}, // starboard
	}
	for _, p := range []struct {
		y    float64
		next int
	}{{-hy, plain}, {-885, window}, {-620, window}, {-345, plain}, {-285, window}, {-100, window}, {100, window}, {285, plain}, {345, window}, {620, window}, {885, plain}} {
		posts = append(posts, post{front(p.y), p.y, p.next})
	}
	posts = append(posts,
		post{fore, hy, plain}, post{2270, hy, window}, post{1420, hy, plain}, post{1262, hy, window}, post{500, hy, plain}, // port
		post{aft, hy, plain}, post{aft, 800, window}, post{aft, 160, plain}, post{aft, -160, window}, post{aft, -800, plain}) // aft

	var outer, inner [][]geom.Vec
	for _, z := range levels {
		var out, in []geom.Vec
		for _, p := range posts {
			q := geom.Vec{p.x, p.y, z}
			out = append(out, q)
			switch {
			case p.x == aft:
				q[0] += wall
			case p.x >= fore:
				q[0] -= wall
			}
			if math.Abs(p.y) == hy {
				q[1] -= math.Copysign(wall, p.y)
			}
			in = append(in, q)
		}
		outer, inner = append(outer, out), append(inner, in)
	}
	return plate{outer: outer, inner: inner, ring: true, cells: func(row, column int) cell {
		next := posts[column].next
		if next == window && row == 2 || next == door && row >= 1 && row <= 3 {
			return open
		}
		return whole
	}}.solid()
}

// roof is the wheelhouse's, cambered and with a brim all round.
func roof() solid {
	const base = houseTop + 2360
	ring := func(share, z float64) []geom.Vec {
		r := roundRect(1340, 1140, 520, z, 14)
		for i := range r {
			r[i] = geom.Vec{1530 + r[i][0]*share, r[i][1] * share, z}
		}
		return r
	}
	rings := [][]geom.Vec{ring(0.5, base), ring(0.985, base), ring(1, base+18), ring(1, base+62), ring(0.985, base+80)}
	for _, share := range []float64{0.95, 0.85, 0.7, 0.5, 0.25} {
		rings = append(rings, ring(share, base+80+130*(1-share*share)))
	}
	return loft(rings, true, true)
}

// funnel is oval, raked aft, open above down to a bottom, with a band and a whistle pipe.
func funnel() solid {
	rake := func(p geom.Vec) geom.Vec { return geom.Vec{p[0] - 0.11*p[2], p[1], p[2]} }
	stack := lathe(72,
		turning{0, 0}, turning{560, 0}, turning{560, 30}, turning{525, 50}, turning{505, 90}, turning{470, 950}, turning{480, 960},
		turning{474, 1330}, turning{464, 1340}, turning{452, 1800}, turning{500, 1820}, turning{512, 1850}, turning{500, 1880},
		turning{455, 1900}, turning{430, 1900}, turning{430, 1000}, turning{0, 1000},
	).at(func(p geom.Vec) geom.Vec { return rake(geom.Vec{p[0], p[1] * 0.74, p[2]}) })
	pipe := rod([]geom.Vec{{548, 0, 0}, {548, 0, 700}, {540, 0, 1400}, {535, 0, 1950}}, 16, func(int) float64 { return 38 }).at(rake)
	bell := lathe(24, turning{0, 1930}, turning{58, 1930}, turning{66, 1950}, turning{62, 2080}, turning{50, 2110}, turning{0, 2120}).
		by(535, 0, 0).at(rake)
	return joined(stack, pipe, bell).by(-1250, 0, houseTop)
}

// The mast is a pin whose peg stands in a socket. The gap is that of the model, between
// peg and hole all around, in millimetres at the native ratio.
const (
	mastX     = -80.0
	pegRadius = 35.0
	pegGap    = 0.2
)

// mast is a tapering pole with two lamps and a truck, 90 mm thick above its peg and 60 mm
// at its head.
func mast() solid {
	var profile []turning
	add := func(r, z float64) { profile = append(profile, turning{r, z}) }
	const foot, height = 160.0, 4700.0
	pole := func(z float64) float64 { return 45 - 15*(z-foot)/(height-foot) }
	add(0, 0)
	add(pegRadius-4, 0)
	add(pegRadius, 6)
	add(pegRadius, foot)
	add(pole(foot), foot)
	for _, lamp := range []float64{2600, 3350} {
		for _, p := range []turning{{0, 0}, {42, 14}, {46, 30}, {34, 42}, {38, 60}, {38, 130}, {34, 148}, {46, 160}, {40, 176}, {12, 205}, {0, 215}} {
			z := lamp + p.z
			add(pole(z)+p.r, z)
		}
	}
	add(pole(height), height)
	for i := range 9 {
		sin, cos := math.Sincos(math.Pi * (-0.3 + 0.8*float64(i)/8))
		if i == 8 {
			cos = 0
		}
		add(52*cos, height+45+52*sin)
	}
	return lathe(28, profile...).by(mastX, 0, houseTop+40)
}

// mastSocket is a flanged foot with the hole for the mast's peg.
func mastSocket() solid {
	const hole = pegRadius + pegGap*native
	return lathe(40,
		turning{0, 0}, turning{165, 0}, turning{165, 20}, turning{155, 28}, turning{100, 40}, turning{84, 60}, turning{80, 192},
		turning{74, 200}, turning{hole, 200}, turning{hole, 34}, turning{0, 34},
	).by(mastX, 0, houseTop)
}

// rail runs round the after part of the deckhouse's roof, 1000 mm high (the least of the
// Load Line Convention's regulation 25, from memory), of 40 mm tube.
func rail() solid {
	const height, radius, fore, aft, hy, corner = 1000.0, 20.0, -350.0, -3190.0, 1050.0, 300.0
	path := func(z float64) []geom.Vec {
		line := []geom.Vec{{fore, -hy, z}}
		bend := func(cy, from float64) {
			for i := range 9 {
				sin, cos := math.Sincos((from - 90*float64(i)/8) * math.Pi / 180)
				line = append(line, geom.Vec{aft + corner + corner*cos, cy + corner*sin, z})
			}
		}
		bend(-hy+corner, 270)
		bend(hy-corner, 180)
		return append(line, geom.Vec{fore, hy, z})
	}
	all := joined(
		rod(path(houseTop+height-radius), 14, func(int) float64 { return radius }),
		rod(path(houseTop+520), 12, func(int) float64 { return radius * 0.7 }))
	foot := func(x, y float64) {
		all = append(all, lathe(14,
			turning{0, 0}, turning{46, 0}, turning{46, 12}, turning{radius, 22}, turning{radius, height - radius}, turning{0, height - radius},
		).by(x, y, houseTop)...)
	}
	for _, y := range []float64{-hy, hy} {
		for i := range 5 {
			foot(fore-20+(aft+corner-fore+20)*float64(i)/4, y)
		}
	}
	foot(aft, -430)
	foot(aft, 430)
	return all
}

// cowl is a ventilator: a pipe that bends forward into a wide mouth, hollow down to its neck.
func cowl() solid {
	const n, radius, height, bend = 36, 95.0, 620.0, 150.0
	ring := func(turn, r, ahead float64) []geom.Vec {
		sin, cos := math.Sincos(turn * math.Pi / 180)
		middle := geom.Vec{bend - bend*cos + ahead*sin, 0, height + bend*sin + ahead*cos}
		points := make([]geom.Vec, n)
		for i := range points {
			s, c := math.Sincos(2 * math.Pi * float64(i) / n)
			points[i] = middle.Add(geom.Vec{cos * c, s, -sin * c}.Scale(r))
		}
		return points
	}
	rings := [][]geom.Vec{
		circle(n, 140, 140, 0), circle(n, 140, 140, 15), circle(n, radius, radius, 28), circle(n, radius, radius, 240),
		circle(n, radius+9, radius+9, 246), circle(n, radius+9, radius+9, 285), circle(n, radius, radius, 292),
	}
	steps := []struct{ turn, r, ahead float64 }{
		{0, radius, 0}, {20, radius + 14, 0}, {40, radius + 34, 0}, {58, radius + 62, 10}, {75, radius + 92, 25}, {90, radius + 116, 45}, {90, radius + 122, 85},
	}
	for _, s := range steps {
		rings = append(rings, ring(s.turn, s.r, s.ahead))
	}
	rings = append(rings, ring(90, radius+130, 92), ring(90, radius+130, 104), ring(90, radius+104, 104))
	for i := len(steps) - 2; i >= 0; i-- {
		rings = append(rings, ring(steps[i].turn, steps[i].r-18, steps[i].ahead))
	}
	return loft(rings, true, true)
}

func cowlPlaces() []place {
	return []place{
		{"cowl port", geom.Vec{-2450, 520, houseTop}, 0},
		{"cowl starboard", geom.Vec{-2450, -520, houseTop}, 0},
	}
}

// searchlight stands on the wheelhouse's roof: a drum on a foot.
func searchlight() solid {
	const top = houseTop + 2360 + 80 + 130
	foot := lathe(24, turning{0, -30}, turning{110, -30}, turning{110, 12}, turning{36, 34}, turning{30, 190}, turning{0, 190})
	drum := lathe(36,
		turning{0, -150}, turning{70, -140}, turning{130, -100}, turning{150, -40}, turning{150, 150}, turning{164, 156}, turning{164, 186},
		turning{140, 190}, turning{132, 150}, turning{0, 135},
	).turned(geom.Y, 84).by(0, 0, 270)
	return joined(foot, drum).at(func(p geom.Vec) geom.Vec { return p.Scale(0.8) }).by(1750, 0, top)
}
