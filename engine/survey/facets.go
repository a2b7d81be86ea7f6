package survey

import (
	"context"
	"math"

	"scantling/engine/geom"
	"scantling/engine/mesh"
)

// Facets say how far the flat facets lie from the curve that they stand for.
type Facets struct {
	// Chords are the greatest distances between facets and curve, over the facets that
	// are bent against a neighbour by no more than 31°; the rest is flat, and not counted.
	Chords Distribution `json:"chords"`
	// Worst is the greatest of them, and Where the middle of that facet.
	Worst float64  `json:"worst"`
	Where geom.Vec `json:"where"`
}

// leastBend is that below which neighbours count as flat: about 1/30°, the sine of it.
const leastBend = 6e-4

// facets measures the chords.
//
// Method: the corners of a facet lie on the curve, whose normals there are the means of the
// facets around. The quadratic surface through the corners with those normals stands
// highest over the facet at the middle of a side or in the middle: for a ball and a tube
// that is the sagitta up to terms of the fourth order. A flat face between two fillets has
// bent normals too, but is no worse than the fillets: no facet counts as worse than the
// worst of those that it is bent against.
func (p *prober) facets(ctx context.Context) (Facets, error) {
	n := p.Mesh.Len()
	heights := make([]float32, n)
	grain := p.grain()
	chunks := (n + askEvery - 1) / askEvery
	over := func(do func(k, from, to int)) error {
		return inParallel(ctx, chunks, func() func(k int) {
			return func(k int) { do(k, k*askEvery, min(n, (k+1)*askEvery)) }
		})
	}
	err := over(func(_, from, to int) {
		for i := from; i < to; i++ {
			heights[i] = float32(p.bulge(i))
		}
	})
	if err != nil {
		return Facets{}, err
	}
	type piece struct {
		chords []weighed
		worst  float64
		at     int
	}
	pieces := make([]piece, chunks)
	err = over(func(k, from, to int) {
		f := &pieces[k]
		var chords []weighed
		for i := from; i < to; i++ {
			chord := float64(min(heights[i], p.bulgeBeside(i, heights)))
			if chord <= 2*grain { // it is rounding that bends it
				continue
			}
			chords = append(chords, weighed{chord, p.twice(i).Len() / 2})
			if chord > f.worst {
				f.worst, f.at = chord, i
			}
		}
		f.chords = distributionOf(chords).pieces()
	})
	if err != nil {
		return Facets{}, err
	}
	var all []weighed
	var found Facets
	for _, f := range pieces {
		all = append(all, f.chords...)
		if f.worst > found.Worst {
			a, b, c := p.corners(f.at)
			found.Worst = f.worst
			found.Where = a.Add(b).Add(c).Scale(1.0 / 3).Add(p.Mesh.Origin)
		}
	}
	found.Chords = distributionOf(all)
	return found, nil
}

// bulge is how far the curve stands from triangle i, at most; 0 where it is flat.
func (p *prober) bulge(i int) float64 {
	bent, curved := p.bends(i)
	if !curved {
		return 0
	}
	var corner [3]geom.Vec
	corner[0], corner[1], corner[2] = p.corners(i)
	most, sum := 0.0, 0.0
	for k := range 3 {
		next := (k + 1) % 3
		// Twice the height of the side's curve over its middle, times four.
		rise := bent[next].Sub(bent[k]).Dot(corner[next].Sub(corner[k]))
		most = max(most, math.Abs(rise)/8)
		sum += rise
	}
	return max(most, math.Abs(sum)/18)
}

// bulgeBeside is the greatest bulge of the triangles that triangle i is bent against.
func (p *prober) bulgeBeside(i int, heights []float32) float32 {
	if heights[i] == 0 {
		return 0
	}
	own, most := p.normal(i), float32(0)
	for _, j := range p.Across[i] {
		if j == mesh.None {
			continue
		}
		if m := p.normal(int(j)); m.Dot(own) > smoothCos && m.Cross(own).Len() > leastBend {
			most = max(most, heights[j])
		}
	}
	return most
}
