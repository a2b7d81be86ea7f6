package mannequin

import (
	"math"

	"scantling/engine/figure"
	"scantling/engine/geom"
)

// A body is being built: in statures, x to the left hand, f to the front, z up.
type body struct {
	tall            float64 // mm of the print
	step            float64 // of the lattice, mm
	least           float64 // half of what the process needs of a limb, in statures
	shoulders, hips float64 // breadths, as shares of men's
	seat, sitting   float64 // heights: of the seat, and over it, in statures
	child           float64 // age in years; 0 for adults
	knots           [][2]float64
	thicker         map[Limb]float64
	groups          []group
}

func newBody(s Spec) (*body, error) {
	b := &body{tall: s.Stature * s.Ratio.Float(), thicker: map[Limb]float64{}}
	for _, l := range Limbs() {
		b.thicker[l] = 1
	}
	b.step = b.tall / steps
	if s.Pose == figure.Sits { // the seat and its plate are large
		b.step *= 1.25
	}
	if pin := s.Limits.Pin; pin > 0 { // half of it, and what the flats of the surface take away
		b.least = (0.515*pin + b.step*b.step/(3.5*pin)) / b.tall
	}
	b.proportions(s)
	legs, arms := b.legs, b.arms
	switch s.Pose {
	case figure.Stands, "":
	case figure.Reaches:
		arms = b.reachingArms
	case figure.Sits:
		legs, arms = b.seatedLegs, b.seatedArms
		if !s.NoSeat {
			b.groups = append(b.groups, group{0, []piece{slab{b.boxOf(-seatHalf, -0.13, -0.05, seatHalf, 0.10, b.seat+0.004), 0.006 * b.tall}}})
		}
	default:
		return nil, ErrPose
	}
	b.trunk(s.Pose == figure.Sits)
	legs()
	arms()
	return b, nil
}

// contact is the seam where the body rests on something. Without it both would touch at an angle
// so narrow that the lattice made holes of it.
const contact = 0.024

// seatHalf is half the breadth of the block that a sitting figure sits on, in statures.
const seatHalf = 0.125

// proportions are those of a population, or of a child: of one by its table, or of anybody
// shorter than every adult that ANSUR II measured (1409 mm, women), of the age at which
// children are so tall on average.
func (b *body) proportions(s Spec) {
	of := s.Of
	age := 0.0
	if _, years, ok := of.Child(); ok {
		age = float64(years)
	} else if s.Stature < 1409 && of == "" {
		age = ageOf(s.Stature)
	}
	switch of {
	case figure.Men, figure.USMen, figure.GermanMen:
		of = figure.Men
	case figure.Women, figure.USWomen, figure.GermanWomen:
		of = figure.Women
	default:
		of = figure.Adults
	}
	share := func(of figure.Population, m figure.Measure) float64 {
		v, _ := of.Measure(m)
		tall, _ := of.Measure(figure.Stature)
		return v.Mean / tall.Mean
	}
	b.shoulders = share(of, figure.ShoulderBreadth) / share(figure.Men, figure.ShoulderBreadth)
	b.hips = share(of, figure.HipBreadth) / share(figure.Men, figure.HipBreadth)
	b.seat, b.sitting = share(of, figure.SeatHeight), share(of, figure.SittingHeight)
	head, sitting := childhood(age)
	b.child = age
	if age == 0 || age >= figure.OldestChild {
		b.child = 0
	}
	knee, hip, shoulder, chin := level(figure.Knee), level(figure.Hip), level(figure.Shoulder), level(figure.Chin)
	if b.child > 0 {
		lower := (1 - sitting) / (1 - b.sitting) // legs beside an adult's
		b.seat *= lower
		b.sitting = sitting
		shoulder -= head - (1 - chin)
		chin = 1 - head
		knee *= lower
		hip *= lower
	}
	b.knots = [][2]float64{
		{0, 0}, {level(figure.Ankle), level(figure.Ankle)}, {level(figure.Knee), knee}, {level(figure.Hip), hip},
		{level(figure.Shoulder), shoulder}, {level(figure.Chin), chin}, {1, 1},
	}
}

func level(l figure.Landmark) float64 {
	h, _ := l.Height()
	return h.Of
}

// ageOf is the age at which children are so tall on average, within the table.
func ageOf(stature float64) float64 {
	last := 0.0
	for years := figure.YoungestChild; years <= figure.OldestChild; years++ {
		p, _ := figure.Child(figure.BoysGirls, years)
		v, _ := p.Measure(figure.Stature)
		if v.Mean >= stature {
			if last == 0 {
				return float64(years)
			}
			return float64(years) - (v.Mean-stature)/(v.Mean-last)
		}
		last = v.Mean
	}
	return figure.OldestChild
}

// childhood is how high a child's head is from chin to crown, and how high it is sitting, as
// shares of its stature: 5 heads at 2 years, 6 at 6, 7 at 12, as artists count them. All from
// memory.
func childhood(age float64) (head, sitting float64) {
	table := [][3]float64{{2, 0.200, 0.575}, {6, 0.167, 0.550}, {12, 0.143, 0.525}, {18, 0.130, 0.523}}
	for i, row := range table[1:] {
		if before := table[i]; age <= row[0] {
			t := max(0, (age-before[0])/(row[0]-before[0]))
			return before[1] + t*(row[1]-before[1]), before[2] + t*(row[2]-before[2])
		}
	}
	last := table[len(table)-1]
	return last[1], last[2]
}

// z is where a height of the drawn adult's body is on this one, standing.
func (b *body) z(h float64) float64 {
	for i, k := range b.knots[1:] {
		if before := b.knots[i]; h <= k[0] {
			return before[1] + (h-before[0])*(k[1]-before[1])/(k[0]-before[0])
		}
	}
	return h
}

// upper is that of head and trunk, standing or sitting: a sitting body's lowest section is held by
// its seat.
func (b *body) upper(h float64, sits bool) float64 {
	if !sits {
		return b.z(h)
	}
	low := b.z(trunkLow)
	return b.seat + trunkUnder + (b.z(h)-low)*(b.sitting-trunkUnder)/(1-low)
}

const (
	trunkLow   = 0.495 // the lowest section of a sitting trunk
	trunkUnder = 0.018 // what closes it
)

// at is a point of the print.
func (b *body) at(x, f, z float64) geom.Vec { return geom.Vec{x * b.tall, -f * b.tall, z * b.tall} }

func (b *body) boxOf(x0, f0, z0, x1, f1, z1 float64) geom.Box {
	p, q := b.at(x0, f0, z0), b.at(x1, f1, z1)
	return geom.EmptyBox().Add(p).Add(q)
}

// thick is the half axes of a section, no less than the process needs.
func (b *body) thick(l Limb, a, c float64) (float64, float64) {
	b.thicker[l] = max(b.thicker[l], b.least/min(a, c))
	return max(a, b.least), max(c, b.least)
}

// headBy is how large the head is beside an adult's of that stature.
func (b *body) headBy() float64 { return (1 - b.z(level(figure.Chin))) / (1 - level(figure.Chin)) }

// trunk adds the trunk with neck and head.
func (b *body) trunk(sits bool) {
	// Heights, half breadths, front and back, after the outlines of engine/figure.
	rows := [][4]float64{
		{0.466, 0.1010, 0.060, -0.068}, {0.495, 0.1000, 0.058, -0.070}, {0.520, 0.0990, 0.058, -0.070}, {0.555, 0.0965, 0.060, -0.064},
		{0.590, 0.0900, 0.060, -0.054}, {0.625, 0.0855, 0.061, -0.048}, {0.670, 0.0880, 0.065, -0.051}, {0.710, 0.0930, 0.069, -0.059},
		{0.740, 0.0985, 0.068, -0.064}, {0.770, 0.1065, 0.061, -0.065}, {0.795, 0.1120, 0.050, -0.061}, {0.812, 0.0990, 0.040, -0.055},
		{0.824, 0.0770, 0.032, -0.049}, {0.834, 0.0500, 0.026, -0.044}, {0.842, 0.0390, 0.021, -0.040},
	}
	under := 0.004
	if sits {
		rows = rows[1:]
		under = trunkUnder
	}
	n := 160
	t := &trunk{
		z0: b.upper(rows[0][0], sits) * b.tall, under: under * b.tall, over: 0.012 * b.tall, sections: make([]section, n+1),
	}
	low, high := rows[0][0], rows[len(rows)-1][0]
	top := b.upper(high, sits) * b.tall
	t.dz = (top - t.z0) / float64(n)
	for i := range t.sections {
		// Even steps of the print are not even steps of the drawing where a child is built.
		h := low + (high-low)*float64(i)/float64(n)
		if b.child > 0 {
			h = b.drawn(t.z0+t.dz*float64(i), low, high, sits)
		}
		r := curveAt(rows, h)
		by := 1.0
		switch { // from the hips' breadth to the shoulders', and to the neck's, which is as drawn
		case h < 0.75:
			by = b.hips + (b.shoulders-b.hips)*min(max((h-0.53)/(0.75-0.53), 0), 1)
		default:
			by = b.shoulders + (1-b.shoulders)*min(max((h-0.79)/(0.84-0.79), 0), 1)
		}
		t.sections[i] = section{
			max(r[1]*by, b.least) * b.tall, max((r[2]-r[3])/2, b.least) * b.tall, -(r[2] + r[3]) / 2 * b.tall,
		}
	}
	b.groups = append(b.groups, group{contact * b.tall, []piece{t}})

	a, c := b.thick(Neck, 0.0330, 0.0300)
	neckTop := b.upper(0.895, sits)
	b.groups = append(b.groups, group{0.02 * b.tall, []piece{newBone(b.at(0, -0.012, b.upper(0.815, sits)), b.at(0, 0.001, neckTop), geom.Vec{1, 0, 0},
		[2]float64{a * b.tall, a * b.tall}, [2]float64{c * b.tall, c * b.tall})}})

	k := b.headBy()
	crown := b.upper(1, sits)
	oval := func(f, down, x, depth, high float64) egg {
		return egg{b.at(0, f*k, crown-down*k), geom.Vec{x * k * b.tall, depth * k * b.tall, high * k * b.tall}}
	}
	skull := oval(-0.001, 0.0585, 0.0440, 0.0565, 0.0585)
	jaw := oval(0.0170, 0.0870, 0.0330, 0.0350, 0.0425)
	b.groups = append(b.groups, group{0.010 * b.tall, []piece{pair{skull, jaw, 0.030 * k * b.tall}}})
}

// drawn is the height of the drawn body that lies at a height of the print.
func (b *body) drawn(z, low, high float64, sits bool) float64 {
	for range 40 {
		middle := (low + high) / 2
		if b.upper(middle, sits)*b.tall < z {
			low = middle
		} else {
			high = middle
		}
	}
	return low
}

// curveAt is a smooth curve through rows, by their first number.
func curveAt(rows [][4]float64, h float64) [4]float64 {
	i := 0
	for i < len(rows)-2 && h > rows[i+1][0] {
		i++
	}
	t := min(max((h-rows[i][0])/(rows[i+1][0]-rows[i][0]), 0), 1)
	var out [4]float64
	for c := range out {
		slope := func(k int) float64 { // as wide steps say less, they count less
			if k == 0 || k == len(rows)-1 {
				return 0
			}
			return (rows[k+1][c] - rows[k-1][c]) / (rows[k+1][0] - rows[k-1][0])
		}
		d := rows[i+1][0] - rows[i][0]
		p, q, u, v := rows[i][c], rows[i+1][c], slope(i)*d, slope(i+1)*d
		out[c] = p + t*(u+t*(3*(q-p)-2*u-v+t*(2*(p-q)+u+v)))
	}
	return out
}

// A station is a section of a limb: its middle, and its half axes, in statures.
type station struct {
	x, f, z float64
	a, b    float64 // along the limb's side, and across it
}

// limb is a smooth chain of bones through stations.
func (b *body) limb(l Limb, side geom.Vec, s []station) []piece {
	const parts = 3
	point := func(k int) [5]float64 {
		q := s[min(max(k, 0), len(s)-1)]
		a, c := b.thick(l, q.a, q.b)
		return [5]float64{q.x, q.f, q.z, a, c}
	}
	var out []piece
	var last [5]float64
	for i := range len(s) - 1 {
		p0, p1, p2, p3 := point(i-1), point(i), point(i+1), point(i+2)
		if i == 0 {
			last = p1
		}
		for k := 1; k <= parts; k++ {
			t := float64(k) / parts
			var q [5]float64
			for c := range q {
				q[c] = p1[c] + t/2*(p2[c]-p0[c]+t*(2*p0[c]-5*p1[c]+4*p2[c]-p3[c]+t*(3*(p1[c]-p2[c])+p3[c]-p0[c])))
			}
			q[3], q[4] = max(q[3], b.least), max(q[4], b.least)
			out = append(out, newBone(b.at(last[0], last[1], last[2]), b.at(q[0], q[1], q[2]), side,
				[2]float64{last[3] * b.tall, q[3] * b.tall}, [2]float64{last[4] * b.tall, q[4] * b.tall}))
			last = q
		}
	}
	return out
}

// legs are those of a standing body.
func (b *body) legs() {
	for _, left := range []float64{1, -1} {
		hip := station{x: 0.0520 * b.hips * left, z: b.z(0.500)}
		knee := station{x: 0.0485 * b.hips * left, f: 0.003, z: b.z(level(figure.Knee))}
		ankle := station{x: 0.0480 * b.hips * left, f: 0.001, z: 0.062}
		b.leg(left, hip, knee, ankle)
	}
}

// seatedLegs have thighs on the seat and shins upright.
func (b *body) seatedLegs() {
	long := (b.z(level(figure.Hip)) - b.z(level(figure.Knee)))
	for _, left := range []float64{1, -1} {
		hip := station{x: 0.0540 * b.hips * left, f: -0.010, z: b.seat + 0.049}
		knee := station{x: 0.0720 * b.hips * left, f: -0.010 + long, z: b.seat + 0.034}
		ankle := station{x: 0.0700 * b.hips * left, f: long - 0.016, z: 0.062}
		b.leg(left, hip, knee, ankle)
	}
}

// leg goes from hip to ankle, trousers and shoe.
func (b *body) leg(left float64, hip, knee, ankle station) {
	// How far along, half axes to the side and across, and how far the middle lies to the front.
	rows := [][4]float64{
		{0, 0.0460, 0.0550, 0}, {0.23, 0.0440, 0.0510, 0.001}, {0.46, 0.0405, 0.0465, 0.002}, {0.72, 0.0350, 0.0410, 0.002},
		{1, 0.0300, 0.0365, 0}, {1.2, 0.0295, 0.0365, -0.003}, {1.39, 0.0285, 0.0355, -0.005}, {1.6, 0.0265, 0.0325, -0.005},
		{1.84, 0.0245, 0.0300, -0.003}, {2, 0.0245, 0.0300, -0.001},
	}
	seated := hip.z-knee.z < 0.1
	var s []station
	for _, r := range rows {
		q := between(hip, knee, r[0])
		q.b = r[2]
		if r[0] > 1 {
			q = between(knee, ankle, r[0]-1)
			q.f += r[3]
			q.b = r[2]
		} else if seated {
			q.b = min(r[2], 0.049) // flattened by the seat
		} else {
			q.f += r[3]
		}
		q.a = r[1] * (1 + (b.hips-1)*max(0, 1-r[0]))
		s = append(s, q)
	}
	seam := 0.010
	if seated {
		seam = contact
	}
	b.groups = append(b.groups, group{seam * b.tall, b.limb(Legs, geom.Vec{1, 0, 0}, s)})
	// A shoe from heel to toe, turned out a little. Its sole is where the floor cuts it.
	var shoe []station
	for _, r := range [][4]float64{ // to the front, half breadth, half height, middle
		{-0.026, 0.0205, 0.0210, 0.0170}, {0.000, 0.0215, 0.0290, 0.0260}, {0.030, 0.0225, 0.0270, 0.0200},
		{0.060, 0.0265, 0.0200, 0.0130}, {0.078, 0.0255, 0.0170, 0.0100}, {0.091, 0.0200, 0.0140, 0.0080},
	} {
		b.thick(Feet, r[1], r[2]) // as it is told, before the floor has its share
		shoe = append(shoe, station{ankle.x + left*0.14*r[0], ankle.f + r[0], max(r[3], 0.95*b.least), r[1], max(r[2], 1.1*b.least)})
	}
	b.groups = append(b.groups, group{0.006 * b.tall, b.limb(Feet, geom.Vec{1, 0, 0}, shoe)})
}

func between(p, q station, t float64) station {
	return station{x: p.x + (q.x-p.x)*t, f: p.f + (q.f-p.f)*t, z: p.z + (q.z-p.z)*t}
}

// armX is where something of an arm that is so far from the middle in a man is in this body: as
// much farther in as the shoulders are narrower.
func (b *body) armX(x, left float64) float64 { return (x + shoulderHalf*(b.shoulders-1)) * left }

// shoulderHalf is half the breadth over the deltoids of men, in statures: ANSUR II.
const shoulderHalf = 0.1453

// armBy is how long the arms are beside an adult's.
func (b *body) armBy() float64 { return b.z(level(figure.Shoulder)) / level(figure.Shoulder) }

// shoulder is where an arm begins, so that its top is as high as the shoulder's landmark.
func (b *body) shoulder(left float64, sits bool) station {
	return station{x: b.armX(0.1150, left), f: -0.004, z: b.upper(level(figure.Shoulder), sits) - 0.029}
}

// lengths are those of upper arm, forearm and hand, from the landmarks; the hand's is also
// what is left to the fingertips.
func (b *body) lengths() (upper, fore, hand float64) {
	k := b.armBy()
	return (level(figure.Shoulder) - level(figure.Elbow)) * k, (level(figure.Elbow) - level(figure.Wrist)) * k,
		(level(figure.Wrist) - level(figure.Fingertip)) * k
}

// arms hang beside the body.
func (b *body) arms() {
	for _, left := range []float64{1, -1} {
		b.hangingArm(left)
	}
}

func (b *body) hangingArm(left float64) {
	up, fore, hand := b.lengths()
	top := b.z(level(figure.Shoulder))
	b.arm(b.shoulder(left, false), station{x: b.armX(0.146, left), f: -0.008, z: top - up}, station{x: b.armX(0.165, left), f: 0.012, z: top - up - fore},
		station{x: b.armX(0.170, left), f: 0.028, z: top - up - fore - hand}, geom.Vec{1, 0, 0})
}

// reachingArms: the left one up, the right one forward.
func (b *body) reachingArms() {
	up, fore, hand := b.lengths()
	top := b.z(level(figure.Shoulder))
	b.arm(b.shoulder(1, false), station{x: b.armX(0.130, 1), f: 0.006, z: top + up}, station{x: b.armX(0.136, 1), f: 0.010, z: top + up + fore},
		station{x: b.armX(0.137, 1), f: 0.012, z: top + up + fore + hand}, geom.Vec{1, 0, 0})
	b.arm(b.shoulder(-1, false), station{x: b.armX(0.120, -1), f: up, z: top - 0.004}, station{x: b.armX(0.117, -1), f: up + fore, z: top},
		station{x: b.armX(0.113, -1), f: up + fore + hand, z: top - 0.004}, geom.Vec{1, 0, 0})
}

// seatedArms have the hands on the thighs.
func (b *body) seatedArms() {
	up, fore, hand := b.lengths()
	long := b.z(level(figure.Hip)) - b.z(level(figure.Knee))
	for _, left := range []float64{1, -1} {
		s := b.shoulder(left, true)
		thigh := b.seat + 0.088 // its upper side
		w := station{x: 0.100 * b.hips * left, f: long - 0.060, z: thigh + 0.008}
		// The elbow hangs where both bones reach, as low as they allow, a little outwards.
		from, to := geom.Vec{s.x, s.f, s.z + 0.029}, geom.Vec{w.x, w.f, w.z}
		d := to.Sub(from)
		apart := d.Len()
		if apart > 0.995*(up+fore) { // too far for these arms: nearer
			d = d.Scale(0.995 * (up + fore) / apart)
			to = from.Add(d)
			apart = d.Len()
			w = station{x: to[0], f: to[1], z: to[2]}
		}
		x := (up*up - fore*fore + apart*apart) / (2 * apart)
		off := math.Sqrt(max(up*up-x*x, 0))
		out := geom.Vec{0.45 * left, -0.55, -0.75}
		out = out.Sub(d.Scale(out.Dot(d) / d.Dot(d)))
		e := from.Add(d.Scale(x / apart)).Add(out.Scale(off / out.Len()))
		b.arm(s, station{x: e[0], f: e[1], z: e[2]}, w, station{x: w.x - 0.018*left, f: w.f + 0.95*hand, z: w.z - 0.24*hand}, geom.Vec{0, 0, 1})
	}
}

// arm goes from the shoulder to the fingertips; the hand is thin along palm.
func (b *body) arm(s, e, w, tip station, palm geom.Vec) {
	rows := [][3]float64{ // how far along, half axes to the side and across
		{0, 0.0290, 0.0330}, {0.25, 0.0258, 0.0320}, {0.5, 0.0232, 0.0275}, {0.8, 0.0210, 0.0240}, {1, 0.0195, 0.0215},
		{1.3, 0.0190, 0.0210}, {1.65, 0.0165, 0.0180}, {1.97, 0.0150, 0.0160},
	}
	var sleeve []station
	for _, r := range rows {
		q := between(s, e, r[0])
		if r[0] > 1 {
			q = between(e, w, r[0]-1)
		}
		q.a, q.b = r[1], r[2]
		sleeve = append(sleeve, q)
	}
	b.groups = append(b.groups, group{0.016 * b.tall, b.limb(Arms, geom.Vec{1, 0, 0}, sleeve)})
	var hand []station
	end := max(0.0075, b.least)
	long := geom.Vec{tip.x - w.x, tip.f - w.f, tip.z - w.z}.Len()
	for _, r := range [][3]float64{{0, 0.0115, 0.0130}, {0.25, 0.0120, 0.0185}, {0.5, 0.0110, 0.0215}, {0.78, 0.0090, 0.0180}, {1, 0.0075, 0.0115}} {
		q := between(w, tip, r[0]*max(0.2, 1-end/long))
		q.a, q.b = r[1], r[2]
		hand = append(hand, q)
	}
	seam := 0.004
	if palm[2] != 0 { // it lies on a thigh
		seam = contact
	}
	b.groups = append(b.groups, group{seam * b.tall, b.limb(Hands, palm, hand)})
}

// landmarks are the heights over the soles that the body was made at, mm of the real person.
func (b *body) landmarks(p figure.Pose, stature float64) map[figure.Landmark]float64 {
	out := map[figure.Landmark]float64{}
	for _, l := range figure.Landmarks() {
		h := b.z(level(l))
		if p == figure.Sits {
			switch l {
			case figure.Shoulder, figure.Chin, figure.Eyes, figure.Crown, figure.Chest:
				h = b.upper(level(l), true)
			case figure.Sole, figure.Ankle:
			case figure.Knee:
				h = b.seat + 0.034
			default:
				continue
			}
		}
		out[l] = h * stature
	}
	return out
}

// box is all that the body takes, and more.
func (b *body) box() geom.Box {
	out := geom.EmptyBox()
	for _, g := range b.groups {
		for _, p := range g.pieces {
			out = out.Union(p.bounds())
		}
	}
	return out
}

// footprint is where the body stands, seen from above.
func (b *body) footprint() geom.Box {
	out := geom.EmptyBox()
	for _, g := range b.groups {
		for _, q := range g.pieces {
			if low := q.bounds(); low.Min[2] < 0.01*b.tall {
				out = out.Union(low)
			}
		}
	}
	return out
}
