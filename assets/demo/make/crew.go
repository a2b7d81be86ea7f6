package main

import (
	"math"

	"scantling/engine/geom"
)

// stature is the helmsman's, from the soles of his boots to the top of his cap.
const stature = 1750.0

const helmX = 1150.0 // where he stands

// helmsman stands at the wheel with both hands on it. His joints are at the heights and
// breadths of Drillis and Contini (1966), as Winter's Biomechanics and Motor Control of
// Human Movement has them, in shares of stature.
func helmsman() solid {
	at := func(share float64) float64 { return share * stature }
	ankle, knee, hip, shoulder, chin := at(0.039), at(0.285), at(0.530), at(0.818), at(0.870)
	upperArm, forearm := at(0.186), at(0.146)
	shoulders, hips := at(0.259)/2, at(0.191)/2

	// Both sides are the same, so one is drawn and y is taken without its sign.
	v := func(x, y, z float64) geom.Vec { return geom.Vec{x, y, z} }
	shoulderAt := v(-5, shoulders-52, shoulder-18)
	elbow := v(shoulderAt[0]+0.42*upperArm, shoulderAt[1]+0.17*upperArm, shoulderAt[2]-0.89*upperArm)
	wrist := v(elbow[0]+0.93*forearm, elbow[1]-0.28*forearm, elbow[2]+0.24*forearm)
	hand := v(wrist[0]+58, wrist[1]-12, wrist[2]+16)

	trousers := blend(26,
		egg(v(0, 0, hip+40), v(124, hips+4, 120)),
		cone(v(0, hips-80, hip-20), v(10, 104, knee), 101, 76),
		cone(v(10, 104, knee), v(-8, 118, ankle+95), 76, 68))
	jersey := blend(38,
		egg(v(10, 0, at(0.60)), v(136, hips+2, 150)),
		egg(v(8, 0, at(0.715)), v(136, at(0.174)/2+26, 190)),
		cone(v(-6, 0, shoulder-2), shoulderAt, 70, 60),
		cone(v(-4, 0, shoulder), v(6, 0, chin-18), 64, 58))
	arm := blend(14,
		cone(shoulderAt, elbow, 62, 47),
		cone(elbow, wrist, 48, 36))
	fist := blend(16,
		cone(wrist, hand, 32, 34),
		cone(v(hand[0]+8, hand[1]-26, hand[2]+26), v(hand[0]+10, hand[1]+22, hand[2]-18), 25, 27))
	boots := blend(12,
		cone(v(-8, 118, ankle+150), v(-14, 119, ankle), 78, 62),
		cone(v(-36, 119, 42), v(132, 134, 36), 54, 50)).above(0.4)
	head := blend(14,
		egg(v(10, 0, chin+at(0.130)/2+4), v(at(0.114)/2-2, at(0.088)/2, at(0.130)/2-2)),
		cone(v(0, 0, shoulder+20), v(8, 0, chin+40), 56, 56),
		cone(v(100, 0, at(0.936)-12), v(117, 0, at(0.936)-40), 11, 15),
		egg(v(56, 0, chin+24), v(46, 56, 52)), // a beard
		egg(v(2, at(0.088)/2+2, at(0.936)-22), v(20, 9, 32)))
	cap := blend(10,
		egg(v(0, 0, stature-46), v(112, 94, 46)),
		cushion(v(10, 0, stature-74), v(94, 76, 22), 20),
		egg(v(98, 0, stature-84), v(62, 66, 12)))

	half := blend(10, blend(24, jersey, arm), trousers, boots, fist)
	body := blend(6, half, head, cap)
	folded := field(func(p geom.Vec) float64 { return body(v(p[0], math.Abs(p[1]), p[2])) })
	return folded.solid(v(-181, -345, -26), v(500, 345, stature+26), 15).by(helmX, 0, houseTop)
}

// chair is the skipper's: seat 450 mm above the floor, on one leg.
func chair() solid {
	const seat = 450.0
	f := blend(26,
		puck(geom.Vec{0, 0, 24}, 210, 24, 16),
		cone(geom.Vec{0, 0, 30}, geom.Vec{0, 0, seat - 60}, 44, 38))
	f = blend(16, f, cushion(geom.Vec{0, 0, seat - 42}, geom.Vec{220, 215, 42}, 36))
	back := func(p geom.Vec) float64 { // leans aft a little and is hollow to the sitter
		lean := (p[2] - seat) * 0.14
		hollow := p[1] * p[1] / 1500
		return 0.9 * cushion(geom.Vec{-192, 0, seat + 190}, geom.Vec{28, 200, 215}, 26)(geom.Vec{p[0] + lean - hollow, p[1], p[2]})
	}
	f = blend(12, f, back)
	for _, y := range []float64{-205, 205} { // arm rests
		f = blend(12, f, cone(geom.Vec{130, y, seat - 30}, geom.Vec{130, y, seat + 190}, 20, 20))
		f = blend(12, f, cone(geom.Vec{150, y, seat + 200}, geom.Vec{-205, y, seat + 200}, 24, 22))
	}
	return f.above(0.4).solid(geom.Vec{-301, -277, -22}, geom.Vec{277, 277, seat + 440}, 16.5).by(helmX-330, 560, houseTop)
}

// helm is the steering stand with its wheel and the compass on top.
func helm() (stand, wheel solid) {
	const x, height = helmX + 440, 1050.0
	stand = joined(
		loft([][]geom.Vec{
			roundRect(130, 190, 40, 0, 6), roundRect(130, 190, 40, 70, 6), roundRect(100, 150, 40, 90, 6), roundRect(85, 120, 40, 900, 6),
			roundRect(120, 150, 50, 960, 6), roundRect(120, 150, 50, 1180, 6), roundRect(100, 130, 50, 1200, 6),
		}, true, true).by(210, 0, 0),
		lathe(32, turning{0, 1190}, turning{95, 1190}, turning{95, 1230}, turning{80, 1275}, turning{50, 1305}, turning{0, 1315}).by(210, 0, 0),
	).by(x, 0, houseTop)

	const rim, spokes = 215.0, 8
	var ring []geom.Vec
	for i := range 65 {
		sin, cos := math.Sincos(2 * math.Pi * float64(i%64) / 64)
		ring = append(ring, geom.Vec{0, rim * cos, rim * sin})
	}
	wheel = joined(
		bar(14, 17, ring...),
		lathe(24, turning{0, -20}, turning{44, -20}, turning{50, -10}, turning{50, 18}, turning{24, 24}, turning{24, 120}, turning{0, 120}).turned(geom.Y, 90))
	for i := range spokes {
		sin, cos := math.Sincos(2 * math.Pi * (float64(i) + 0.5) / spokes)
		out := func(r float64) geom.Vec { return geom.Vec{0, r * cos, r * sin} }
		radii := []float64{9, 11, 9, 9, 14, 15, 8}
		wheel = append(wheel, rod([]geom.Vec{out(30), out(120), out(190), out(235), out(255), out(300), out(318)}, 12, func(i int) float64 { return radii[i] })...)
	}
	return stand, wheel.by(x, 0, houseTop+height)
}
