package geom

import "math"

// A Pose is where something is put: turned about the origin, then shifted. The zero value is
// no pose at all and leaves everything where it is. Where the entries of Rows are 0, 1 and
// -1, turning is exact.
type Pose struct {
	// Rows are the new x, y and z directions, each as what it takes of the old ones. They are
	// square to each other, and of length 1 but where the pose stretches.
	Rows  [3]Vec
	Shift Vec
}

// Upright is the quarter turn that lays an axis on z, as the axes of kits are turned: for y
// it takes (x, y, z) to (x, -z, y).
func Upright(up Axis) Pose {
	switch up {
	case X:
		return Pose{Rows: [3]Vec{{0, 0, -1}, {0, 1, 0}, {1, 0, 0}}}
	case Y:
		return Pose{Rows: [3]Vec{{1, 0, 0}, {0, 0, -1}, {0, 1, 0}}}
	}
	return Pose{Rows: [3]Vec{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}}
}

// Known is false for the zero value.
func (p Pose) Known() bool { return p != Pose{} }

// Moves reports whether p puts anything elsewhere.
func (p Pose) Moves() bool { return p.Known() && p != Upright(Z) }

// poseSlack is how far a pose may be from what it stands for: a thousandth of a micrometre on
// a metre.
const poseSlack = 1e-9

// stretchMost is how much a pose may stretch, or its reverse.
const stretchMost = 2

// Sound reports whether p is no pose, or a finite one that neither shears nor mirrors, and
// stretches by no more than twice or half.
func (p Pose) Sound() bool {
	if !p.Known() {
		return true
	}
	by := p.Stretch()
	var unit [3]Vec
	for i, r := range p.Rows {
		if !(by[i] <= stretchMost && by[i] >= 1./stretchMost) { // no NaN is
			return false
		}
		unit[i] = r.Scale(1 / by[i])
	}
	off := unit[0].Cross(unit[1]).Sub(unit[2]).Len()
	for i, r := range unit {
		off = max(off, math.Abs(r.Dot(unit[(i+1)%3])))
	}
	return off <= poseSlack && p.Shift.Finite()
}

// Stretch is what p multiplies lengths along the new axes by: 1, 1, 1 where it keeps shapes.
func (p Pose) Stretch() Vec {
	by := Vec{1, 1, 1}
	if !p.Known() {
		return by
	}
	for i, r := range p.Rows {
		if long := r.Len(); !(math.Abs(long-1) <= poseSlack) {
			by[i] = long
		}
	}
	return by
}

// Stretched is p, and after it all lengths along the axes multiplied.
func (p Pose) Stretched(by Vec) Pose {
	if !p.Known() {
		p = Upright(Z)
	}
	for i := range p.Rows {
		p.Rows[i] = p.Rows[i].Scale(by[i])
		p.Shift[i] *= by[i]
	}
	return p
}

// KeepsBoxes reports whether p turns by quarter turns only, so that boxes stay boxes.
func (p Pose) KeepsBoxes() bool {
	for _, r := range p.Rows {
		if (r[0] != 0 && r[1] != 0) || (r[1] != 0 && r[2] != 0) || (r[2] != 0 && r[0] != 0) {
			return false
		}
	}
	return true
}

// Normal turns the normal of a surface, of any length, which it keeps: what is stretched along
// an axis has normals that lean away from it.
func (p Pose) Normal(n Vec) Vec {
	if !p.Known() {
		return n
	}
	var out Vec
	for i, r := range p.Rows {
		out[i] = r.Dot(n) / r.Dot(r)
	}
	if was, is := n.Len(), out.Len(); math.Abs(is-was) > poseSlack*was {
		out = out.Scale(was / is)
	}
	return out
}

// Turn turns a direction.
func (p Pose) Turn(v Vec) Vec {
	if !p.Known() {
		return v
	}
	return Pose{Rows: p.Rows}.Apply(v)
}

// Apply puts a point in its place. No coordinate that it gives is a negative zero.
func (p Pose) Apply(v Vec) Vec {
	if !p.Known() {
		return v
	}
	var out Vec
	for i, r := range p.Rows {
		out[i] = float64(r[0]*v[0]) + float64(r[1]*v[1]) + float64(r[2]*v[2]) + p.Shift[i]
	}
	return out
}

// Box is the bounds of what b becomes; what is empty stays so.
func (p Pose) Box(b Box) Box {
	out := EmptyBox()
	if b.Empty() {
		return out
	}
	for i := range 8 {
		corner := b.Min
		for axis := range corner {
			if i>>axis&1 != 0 {
				corner[axis] = b.Max[axis]
			}
		}
		out = out.Add(p.Apply(corner))
	}
	return out
}

// Then is p and after it q.
func (p Pose) Then(q Pose) Pose {
	switch {
	case !p.Known():
		return q
	case !q.Known():
		return p
	}
	out := Pose{Shift: q.Apply(p.Shift)}
	for column := range 3 {
		turned := q.Turn(Vec{p.Rows[0][column], p.Rows[1][column], p.Rows[2][column]})
		for row := range turned {
			out.Rows[row][column] = turned[row]
		}
	}
	return out
}

// Inverse undoes p.
func (p Pose) Inverse() Pose {
	var out Pose
	for row, r := range p.Rows {
		for column, x := range r {
			out.Rows[column][row] = x
		}
	}
	if p.Known() {
		out.Shift = out.Apply(p.Shift).Scale(-1)
	}
	return out
}

// Scale is p where all lengths are multiplied by f.
func (p Pose) Scale(f float64) Pose { return Pose{p.Rows, p.Shift.Scale(f)} }
