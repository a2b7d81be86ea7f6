package main

import (
	"math"

	"scantling/engine/geom"
)

// The tug's gear: what tows, what holds, what floats and what drives.

const (
	winchX     = -4450.0
	axleRadius = 45.0
	axleHeight = 560.0
	axleGap    = 0.25 // between axle and cheek, in millimetres at the native ratio
)

// winchFrame is a bed with two cheeks, each with a hole for the axle, and the motor.
func winchFrame() solid {
	bed := block(560, 640, 0, 70, 60, 12)
	cheek := func(y float64) solid {
		const thick = 60
		side := func(y float64) [][]geom.Vec {
			return [][]geom.Vec{
				{{-420, y, 60}, {420, y, 60}},
				{{-400, y, 230}, {400, y, 230}},
				{{-190, y, axleHeight - 150}, {190, y, axleHeight - 150}},
				{{-150, y, axleHeight + 150}, {150, y, axleHeight + 150}},
			}
		}
		return plate{outer: side(y - thick/2), inner: side(y + thick/2), cells: func(row, _ int) cell {
			if row == 2 {
				return cell(axleRadius + axleGap*native)
			}
			return whole
		}}.solid()
	}
	motor := lathe(32, turning{0, 0}, turning{120, 0}, turning{130, 10}, turning{130, 260}, turning{118, 275}, turning{0, 285}).
		turned(geom.X, -90).by(-270, 190, 215)
	tie := bar(18, 38, geom.Vec{300, -470, 190}, geom.Vec{300, 470, 190})
	return joined(bed, cheek(-460), cheek(460), motor, tie).by(winchX, 0, deckAt(winchX))
}

// winchDrum is the drum with its towing rope, on its axle.
func winchDrum() solid {
	const half, flange, rope, pitch = 380.0, 330.0, 235.0, 58.0
	profile := []turning{{0, -560}, {axleRadius - 5, -560}, {axleRadius, -555}, {axleRadius, -half - 32}, {80, -half - 30}, {flange, -half - 28}, {flange + 6, -half - 14}, {flange, -half}}
	for i := range 13 { // turns of rope
		middle := (float64(i) - 6) * pitch
		for _, a := range []float64{-90, -50, -18, 18, 50} {
			sin, cos := math.Sincos(a * math.Pi / 180)
			profile = append(profile, turning{rope + pitch/2*cos, middle + pitch/2*sin})
		}
	}
	profile = append(profile, turning{rope, 6.5 * pitch}, turning{flange, half}, turning{flange + 6, half + 14}, turning{flange, half + 28},
		turning{80, half + 30}, turning{axleRadius, half + 32}, turning{axleRadius, 555}, turning{axleRadius - 5, 560}, turning{0, 560})
	return lathe(52, profile...).turned(geom.X, 90).by(winchX, 0, deckAt(winchX)+axleHeight)
}

// hook is the towing hook on its post, behind the deckhouse.
func hook() solid {
	const x = -3570
	f := blend(24, cushion(geom.Vec{0, 0, 25}, geom.Vec{170, 200, 25}, 14), cone(geom.Vec{0, 0, 40}, geom.Vec{0, 0, 430}, 78, 62))
	f = blend(30, f, cone(geom.Vec{0, 0, 420}, geom.Vec{-110, 0, 440}, 60, 46))
	// The hook itself: from the eye aft, down and back up to its point.
	last := geom.Vec{-110, 0, 440}
	const steps = 24
	for i := range steps + 1 {
		share := float64(i) / steps
		sin, cos := math.Sincos((90 + 215*share) * math.Pi / 180)
		next := geom.Vec{-165 + 92*cos, 0, 350 + 92*sin}
		f = blend(3, f, cone(last, next, 44-14*share, 44-14*(share+1./steps)))
		last = next
	}
	return f.above(0.3).solid(geom.Vec{-330, -240, -24}, geom.Vec{210, 240, 530}, 15).by(x, 0, deckAt(x))
}

// bollardPlaces are a pair on each quarter and one forward.
func bollardPlaces() []place {
	var places []place
	for _, p := range []struct {
		name    string
		x, y    float64
		degrees float64
	}{{"bollard aft port", -5600, 850, -24}, {"bollard aft starboard", -5600, -850, 24}, {"bollard fore", 4650, 0, 90}} {
		places = append(places, place{p.name, geom.Vec{p.x, p.y, deckAt(p.x)}, p.degrees})
	}
	return places
}

// bollard is two posts on a plate with a bar through both.
func bollard() solid {
	all := block(400, 140, -20, 30, 60, 8)
	for _, x := range []float64{-215, 215} {
		all = append(all, lathe(22,
			turning{0, 20}, turning{92, 20}, turning{80, 50}, turning{76, 430}, turning{98, 455}, turning{98, 485}, turning{60, 512}, turning{0, 520},
		).by(x, 0, 0)...)
	}
	return append(all, bar(14, 24, geom.Vec{-390, 0, 300}, geom.Vec{390, 0, 300})...)
}

// lifebuoy is 720 mm across and 460 mm inside (the LSA Code has at most 800 and at least
// 400), with four bands and a grab line of 12 mm (at least 9.5 mm by UK SI 1992/2359). It
// hangs on the rail to starboard.
func lifebuoy() solid {
	const outer, tube, n, m = 360.0, 65.0, 96, 28
	var rings [][]geom.Vec
	inBand := func(i int) bool { return (i+n/8)%(n/4) < 9 && (i+n/8)%(n/4) > 0 }
	for i := range n {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / n)
		r := tube
		if inBand(i) {
			r += 7
		}
		ring := make([]geom.Vec, m)
		for k := range ring {
			s, c := math.Sincos(2 * math.Pi * float64(k) / m)
			d := outer - tube + r*c
			ring[k] = geom.Vec{d * cos, r * s, d * sin}
		}
		rings = append(rings, ring)
	}
	all := loft(append(rings, rings[0]), false, false)
	var line []geom.Vec // held at the bands
	for i := range 65 {
		sin, cos := math.Sincos(2 * math.Pi * (float64(i%64)/64 + 0.0156))
		r := outer + 2 + 34*math.Abs(math.Sin(2*math.Pi*float64(i%64)/32))
		line = append(line, geom.Vec{r * cos, 0, r * sin})
	}
	all = append(all, bar(10, 6, line...)...)
	return all.by(-2280, -1050-20-72, houseTop+560)
}

const shaftHeight = 640.0

// propeller has four blades, turning to the right seen from aft.
func propeller() solid {
	all := lathe(40,
		turning{0, -330}, turning{30, -322}, turning{70, -285}, turning{105, -220}, turning{118, -140}, turning{118, 60}, turning{100, 70}, turning{70, 75}, turning{70, 190}, turning{0, 190},
	)
	blade := func() solid {
		const n, sections = 24, 12
		var rings [][]geom.Vec
		for j := range sections {
			share := float64(j) / (sections - 1)
			r := 100 + 400*share
			chord := 330*math.Sqrt(math.Sin(math.Pi*min(0.96, 0.22+0.76*share))) + 20
			thick := 58 - 40*share
			pitch := math.Atan2(900/(2*math.Pi), r)
			skew := -60 * share * share
			ring := make([]geom.Vec, n)
			for k := range ring {
				s, c := math.Sincos(2 * math.Pi * float64(k) / n)
				a, b := chord/2*c+skew, thick/2*s
				// The section lies on a cylinder about the shaft.
				around, ahead := a*math.Cos(pitch)-b*math.Sin(pitch), a*math.Sin(pitch)+b*math.Cos(pitch)
				sin, cos := math.Sincos(around / r)
				ring[k] = geom.Vec{r * sin, r * cos, ahead - 40}
			}
			rings = append(rings, ring)
		}
		return loft(rings, true, true)
	}()
	for k := range 4 {
		all = append(all, blade.turned(geom.Z, 90*float64(k))...)
	}
	return all.turned(geom.Y, 90).by(-4800, 0, shaftHeight)
}

// rudder is a foil on its stock.
func rudder() solid {
	foil := func(z, fore, aft, thick float64) []geom.Vec {
		const n = 36
		ring := make([]geom.Vec, n)
		for i := range ring {
			s, c := math.Sincos(2 * math.Pi * float64(i) / n)
			x := (1 - c) / 2 // 0 at the leading edge
			y := 1.35 * thick * math.Sqrt(x) * (1 - x) * math.Copysign(1, s)
			if i == 0 || i == n/2 {
				y = 0
			}
			ring[i] = geom.Vec{fore + (aft-fore)*x, y, z}
		}
		return ring
	}
	blade := loft([][]geom.Vec{
		foil(140, -5390, -5900, 70), foil(160, -5350, -5940, 110), foil(700, -5300, -5970, 130), foil(1120, -5270, -5960, 130), foil(1140, -5290, -5940, 100),
	}, true, true)
	stock := lathe(24, turning{0, 0}, turning{52, 0}, turning{52, 180}, turning{0, 180}).by(-5420, 0, 1090)
	return joined(blade, stock)
}
