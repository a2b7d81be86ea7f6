package lost

import (
	"context"
	"math"

	"scantling/engine/geom"
	"scantling/engine/mesh"
)

// halfFloat32 is half of the last digit of a float32 beside it. What is copied in float32 is known
// no better, also where all corners are rounded alike and nothing scatters: those of a box are.
const halfFloat32 = 1.0 / (1 << 24)

// boxTriangles are those of a box.
const boxTriangles = 12

// A matrix is three rows.
type matrix [3]geom.Vec

// alike is how far corners may be from where a factor along each axis puts them, root of the
// mean square beside the size of the copy, for both to be one model: half a per cent, for small
// copies are written with few decimals.
const alike = 5e-3

// moments are the sums over corresponding corners, about their means, in millimetres.
type moments struct {
	n      float64
	cross  matrix // Σ x yᵀ: rows by the original's axes
	own    matrix // Σ x xᵀ
	copied float64
}

// corners compares corner with corner. It is not like where they are not those of one model.
func corners(ctx context.Context, original, copied Body, report func(float64)) (Found, bool, error) {
	m, err := momentsOf(ctx, original, copied, report)
	if err != nil {
		return Found{}, false, err
	}
	if !(m.own[0][0]+m.own[1][1]+m.own[2][2] > 0) || !(m.copied > 0) {
		return Found{}, false, nil
	}
	turn := m.turn()
	f := Found{Method: ByCorners, Turned: turn != identity(), Corners: int(m.n)}
	// The copy turned back: its axes are the original's.
	cross := m.cross.times(turn)
	own := m.own[0][0] + m.own[1][1] + m.own[2][2]
	along := cross[0][0] + cross[1][1] + cross[2][2]
	s := along / own
	// What an even factor leaves, and what one along each axis leaves.
	even := max(0, m.copied-s*along)
	apart := m.copied
	least, most := math.Inf(1), 0.0
	for i := range f.Axes {
		if m.own[i][i] <= 1e-18*own {
			continue
		}
		f.Axes[i] = cross[i][i] / m.own[i][i]
		apart -= f.Axes[i] * cross[i][i]
		least, most = min(least, f.Axes[i]), max(most, f.Axes[i])
	}
	apart = max(0, apart)
	if !(least > 0) || math.Sqrt(apart/m.copied) > alike {
		return Found{}, false, nil
	}
	if turn.det() < 0 {
		return Found{}, false, ErrMirrored
	}
	f.Spread = most/least - 1
	// All boxes are one box, scaled unevenly: so few corners show no likeness by themselves.
	if a := original.Mesh; a.Len() <= boxTriangles && f.Spread > distorted {
		return Found{}, false, nil
	}
	f.Residual = math.Sqrt(even / m.n)
	noise := math.Sqrt(apart / m.n)
	// The factor along each axis is as sure as the least extended of them allows.
	unsure := 0.0
	for i := range f.Axes {
		if f.Axes[i] > 0 {
			unsure = max(unsure, noise/math.Sqrt(m.own[i][i])/f.Axes[i])
		}
	}
	f.Uneven = f.Spread > 1e-5+6*unsure
	// Text files round their corners, and those of one part all alike; so the noise is not
	// taken to average out over the corners.
	f.SD = max(noise/math.Sqrt(m.copied/m.n), halfFloat32)
	if f.Uneven {
		f.SD = max(f.SD, math.Log1p(f.Spread)/2)
	}
	if a, b := solidRatio(original.Part, copied.Part); a > 0 {
		f.Solid = math.Pow(a, 1/b)
	}
	return f, f.set(s), nil
}

// momentsOf reads both meshes twice: for the means, and about them.
func momentsOf(ctx context.Context, original, copied Body, report func(float64)) (moments, error) {
	a, b := original.Mesh, copied.Mesh
	unitA, unitB := original.Part.Unit.MM, copied.Part.Unit.MM
	n := a.Len()
	var sumA, sumB [3]geom.Sum
	var m moments
	var meanA, meanB geom.Vec
	var cross, own [3][3]geom.Sum
	var all geom.Sum
	for pass := range 2 {
		for i := range n {
			if i%4096 == 0 {
				if err := ctx.Err(); err != nil {
					return m, err
				}
				report((float64(pass) + float64(i)/float64(n)) / 2)
			}
			x, y := triangle(a, i), triangle(b, i)
			for k := range x {
				p, q := x[k].Scale(unitA), y[k].Scale(unitB)
				if pass == 0 {
					for j := range p {
						sumA[j].Add(p[j])
						sumB[j].Add(q[j])
					}
					continue
				}
				p, q = p.Sub(meanA), q.Sub(meanB)
				all.Add(q.Dot(q))
				for r := range p {
					for c := range q {
						cross[r][c].Add(p[r] * q[c])
						own[r][c].Add(p[r] * p[c])
					}
				}
			}
		}
		m.n = 3 * float64(n)
		for j := range sumA {
			meanA[j], meanB[j] = sumA[j].Value()/m.n, sumB[j].Value()/m.n
		}
	}
	for r := range cross {
		for c := range cross {
			m.cross[r][c], m.own[r][c] = cross[r][c].Value(), own[r][c].Value()
		}
	}
	m.copied = all.Value()
	report(1)
	return m, nil
}

func triangle(m *mesh.Mesh, i int) [3]geom.Vec {
	a, b, c := m.Triangle(i)
	return [3]geom.Vec{a, b, c}
}

// turn is how the original is turned to lie as the copy does: by quarters where that explains the
// copy, by whatever fits best otherwise. It mirrors where only that does.
func (m moments) turn() matrix {
	best, bestTurn := math.Inf(-1), identity()
	for _, t := range quarterTurns() {
		fit := 0.0
		cross := m.cross.times(t)
		for k := range cross {
			// How much of the copy a factor along this axis explains.
			if m.own[k][k] > 0 && cross[k][k] > 0 {
				fit += cross[k][k] * cross[k][k] / m.own[k][k]
			}
		}
		if fit > best*(1+1e-9) {
			best, bestTurn = fit, t
		}
	}
	if m.copied-best <= alike*alike*m.copied {
		return bestTurn
	}
	if free, ok := polar(m.cross); ok {
		return free
	}
	return bestTurn
}

func identity() matrix { return matrix{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}} }

// quarterTurns are the 48 ways to set axes against axes: the identity, the other 23 turns, and
// then those that mirror.
func quarterTurns() []matrix {
	turns := []matrix{identity()}
	var mirrors []matrix
	for _, p := range [][3]int{{0, 1, 2}, {1, 2, 0}, {2, 0, 1}, {1, 0, 2}, {0, 2, 1}, {2, 1, 0}} {
		for signs := range 8 {
			var t matrix
			for r, c := range p {
				t[r][c] = 1 - 2*float64(signs>>r&1)
			}
			switch {
			case t.det() < 0:
				mirrors = append(mirrors, t)
			case t != identity():
				turns = append(turns, t)
			}
		}
	}
	return append(turns, mirrors...)
}

// polar is the turn from original to copy that fits best, when c is Σ x yᵀ: the orthogonal factor of
// cᵀ, by Newton's iteration (Higham, SIAM J. Sci. Stat. Comput. 7, 1986). It mirrors where c does,
// and is not ok for a flat model.
func polar(c matrix) (matrix, bool) {
	t := c.transposed()
	for range 60 {
		inverse, ok := t.inverse()
		if !ok {
			return t, false
		}
		next := inverse.transposed()
		moved := 0.0
		for r := range t {
			for k := range t {
				x := (t[r][k] + next[r][k]) / 2
				moved = max(moved, math.Abs(x-t[r][k]))
				t[r][k] = x
			}
		}
		if moved < 1e-15 {
			return t, true
		}
	}
	return t, math.Abs(math.Abs(t.det())-1) < 1e-9
}

func (m matrix) times(o matrix) (p matrix) {
	for r := range m {
		for c := range m {
			p[r][c] = m[r][0]*o[0][c] + m[r][1]*o[1][c] + m[r][2]*o[2][c]
		}
	}
	return p
}

func (m matrix) transposed() (t matrix) {
	for r := range m {
		for c := range m {
			t[c][r] = m[r][c]
		}
	}
	return t
}

func (m matrix) det() float64 { return m[0].Dot(m[1].Cross(m[2])) }

func (m matrix) inverse() (matrix, bool) {
	d := m.det()
	if d == 0 || d-d != 0 {
		return m, false
	}
	return matrix{m[1].Cross(m[2]).Scale(1 / d), m[2].Cross(m[0]).Scale(1 / d), m[0].Cross(m[1]).Scale(1 / d)}.transposed(), true
}
