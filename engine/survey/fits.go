package survey

import (
	"cmp"
	"context"
	"math"
	"slices"
	"sort"

	"scantling/engine/geom"
)

const (
	alignedCos = 0.9994 // of 2°: so far may the axes of a peg and its bore differ
	fitShare   = 0.25   // of the bore: a peg that differs by more is not one for it
	fitsMost   = 2000   // are told
	fitLeast   = 0.05   // of the bore's diameter: a peg that is less deep in it is at its mouth
	faceMost   = 1500   // places of a part at which it is asked what it faces
	facedCos   = -0.9   // faces that look at each other within 26°
	oppositeOf = -0.98  // two ways that are opposite within 11°
	lateral    = 0.5    // as a share of the thickness between: how far beside each other
)

// rounds are the pegs of one part of a pair that stand in the bores of the other.
func (k *kit) rounds(ctx context.Context, pairs []pair) ([]Fit, error) {
	bores, pegs := make([][]Round, len(k.parts)), make([][]Round, len(k.parts))
	for i, p := range k.parts {
		bores[i], pegs[i] = k.placedRounds(i, p.Bores), k.placedRounds(i, p.Pegs)
	}
	fits := []Fit{}
	for _, p := range pairs {
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		for _, way := range [2]pair{p, {p[1], p[0]}} {
			inner, outer := way[0], way[1]
			for b, bore := range bores[outer] {
				// Both lists go from the thinnest to the thickest.
				first := sort.Search(len(pegs[inner]), func(i int) bool { return pegs[inner][i].Diameter >= (1-fitShare)*bore.Diameter })
				for i := first; i < len(pegs[inner]) && pegs[inner][i].Diameter <= (1+fitShare)*bore.Diameter; i++ {
					if f, ok := fit(pegs[inner][i], bore); ok && len(fits) < fitsMost {
						f.Inner, f.Outer, f.Peg, f.Bore = inner, outer, i, b
						fits = append(fits, f)
					}
				}
			}
		}
	}
	return fits, nil
}

// placedRounds are bores or pegs of a part in the kit.
func (k *kit) placedRounds(i int, rounds []Round) []Round {
	s, zero := k.scales[i], k.parts[i].Place(geom.Vec{})
	placed := slices.Clone(rounds)
	for n := range placed {
		r := &placed[n]
		r.Axis = toUnit(k.parts[i].Place(r.Axis).Sub(zero))
		r.Centre = k.parts[i].Place(r.Centre)
		r.Diameter, r.Flats, r.Depth = r.Diameter*s, r.Flats*s, r.Depth*s
	}
	return placed
}

// fit reports whether the peg stands in the bore.
func fit(peg, bore Round) (Fit, bool) {
	clearance := bore.Diameter - peg.Diameter
	off := peg.Centre.Sub(bore.Centre)
	along := off.Dot(bore.Axis)
	aside := off.Sub(bore.Axis.Scale(along)).Len()
	low, high := max(-bore.Depth/2, along-peg.Depth/2), min(bore.Depth/2, along+peg.Depth/2)
	if math.Abs(peg.Axis.Dot(bore.Axis)) < alignedCos ||
		aside > max(math.Abs(clearance), 0.05*bore.Diameter) || !(high-low > fitLeast*bore.Diameter) {
		return Fit{}, false
	}
	return Fit{
		Clearance: clearance,
		Flats:     bore.Flats - peg.Diameter,
		Length:    high - low,
		Axis:      bore.Axis,
		Centre:    bore.Centre.Add(bore.Axis.Scale((low + high) / 2)),
	}, true
}

// A faced place of a part looks at another part.
type faced struct {
	at, normal geom.Vec
	gap        float64
}

// embraced finds where one part of a pair stands between two faces of the other: the least
// room that it has there, whichever of the two is the inner one.
func (k *kit) embraced(ctx context.Context, p pair, touch float64) []Fit {
	var fits []Fit
	for _, way := range [2]pair{p, {p[1], p[0]}} {
		inner, outer := way[0], way[1]
		places, spacing := k.faces(ctx, inner, outer)
		slices.SortStableFunc(places, func(a, b faced) int { return cmp.Compare(a.gap, b.gap) })
		best := Fit{Clearance: math.Inf(1)}
		for i, a := range places {
			if a.gap >= best.Clearance || ctx.Err() != nil {
				break
			}
			for _, b := range places[i+1:] {
				room := a.gap + b.gap
				if room >= best.Clearance {
					break
				}
				if a.normal.Dot(b.normal) > oppositeOf {
					continue
				}
				across := a.at.Sub(b.at)
				thick := across.Dot(a.normal)
				if aside := across.Sub(a.normal.Scale(thick)).Len(); !(thick > touch) || aside > max(lateral*thick, 3*spacing) || room > fitShare*(thick+room) {
					continue
				}
				best = Fit{Clearance: room, Flats: room, Axis: a.normal, Centre: a.at.Add(b.at).Scale(0.5)}
			}
		}
		if !math.IsInf(best.Clearance, 1) {
			best.Inner, best.Outer, best.Peg, best.Bore = inner, outer, -1, -1
			fits = append(fits, best)
		}
	}
	return fits
}

// faces are places of inner, spread evenly, whose normals meet a face of outer within the
// limit that looks back, and how far apart they are.
func (k *kit) faces(ctx context.Context, inner, outer int) (places []faced, spacing float64) {
	from, to := &k.near[inner], &k.near[outer]
	around := widened(k.boxes[outer], k.limit)
	area := 0.0
	for i := range from.facets {
		if t := &from.facets[i]; meet(&around, t) {
			area += t[1].Sub(t[0]).Cross(t[2].Sub(t[0])).Len() / 2
		}
	}
	if !(area > 0) {
		return nil, 0
	}
	row := 0.5
	for n, i := range from.tree.Order() {
		if n%256 == 0 && ctx.Err() != nil {
			return nil, 0
		}
		t := &from.facets[i]
		twice := t[1].Sub(t[0]).Cross(t[2].Sub(t[0]))
		if !meet(&around, t) || twice.Len() == 0 {
			continue
		}
		before := math.Floor(row)
		row += twice.Len() / 2 / area * faceMost
		normal := toUnit(twice)
		for j := range int(math.Floor(row) - before) {
			u, v := onTriangle(j, int(i))
			at := t[0].Add(t[1].Sub(t[0]).Scale(u)).Add(t[2].Sub(t[0]).Scale(v))
			if gap, ok := to.gap(at, normal, k.limit); ok {
				places = append(places, faced{at, normal, gap})
			}
		}
	}
	return places, math.Sqrt(area / faceMost)
}

// gap is the way from a place along a unit vector to the first facet that faces it.
func (f *facetsNear) gap(at, along geom.Vec, most float64) (float64, bool) {
	slack := 1e-6 * f.tree.Box().Size().Len() // the tree's corners are rounded
	hit, ok := f.tree.Ray(geom.Ray{From: at.Sub(f.middle), Along: along, Least: -slack, Most: most, Facing: geom.Front})
	if !ok {
		return 0, false
	}
	t := &f.facets[hit.Triangle]
	normal := toUnit(t[1].Sub(t[0]).Cross(t[2].Sub(t[0])))
	cos := normal.Dot(along)
	if cos > facedCos {
		return 0, false
	}
	return max(0, t[0].Sub(at).Dot(normal)/cos), true
}

// notRound are those of the fits that are not a round one over again: of two parts that
// have one, and of two ways in which one can stand in the other only the closer.
func (k *kit) notRound(round []Fit, p pair, fits []Fit) []Fit {
	for _, f := range round {
		if f.Peg >= 0 && (pair{f.Inner, f.Outer} == p || pair{f.Outer, f.Inner} == p) {
			return nil
		}
	}
	if len(fits) == 2 && fits[1].Clearance < fits[0].Clearance {
		fits = fits[1:]
	}
	return fits[:min(1, len(fits))]
}

func sortFits(fits []Fit) {
	slices.SortStableFunc(fits, func(a, b Fit) int {
		return cmp.Or(a.Inner-b.Inner, a.Outer-b.Outer, a.Peg-b.Peg, a.Bore-b.Bore)
	})
}
