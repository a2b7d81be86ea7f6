package judge

import (
	"math"
	"sort"

	"scantling/engine/process"
	"scantling/engine/survey"
)

// A Bulk is how much material a part has within any depth below its surface, in millimetres
// as drawn. BulkOf makes it.
type Bulk struct {
	volume float64
	depths []float64 // rising, from 0
	within []float64 // the volume within each of them
}

const (
	bulkGroups = 24 // of thicknesses
	bulkSteps  = 6  // of depths between those of two groups
)

// BulkOf works it out from the distribution of the thickness. mm is how long the unit is. It
// is the zero Bulk, of which nothing is known, for a part that is not closed.
//
// Method: of each thickness 2r there is a share w of the surface times r by the volume; a
// plate has 1 of one, a rod 1 and 2, a block 1 of each of its sides, a ball 3. The
// thinnest, up to 1 in all, are walls: what is left of them at depth d is 1 − d/r. The rest are
// their rims, which shorten them by (1 − d/r)^w. So plates, rods, tubes, blocks and balls come
// out exactly, and so does the first layer of any body.
func BulkOf(found *survey.Measurements, mm float64) Bulk {
	b := Bulk{volume: found.Volume * mm * mm * mm}
	area := found.Area * mm * mm
	if !found.Closed || !(b.volume > 0) || !(area > 0) {
		return Bulk{}
	}
	pieces := groups(found.Thickness.Distribution, mm)
	measured := 0.0
	for _, p := range pieces {
		measured += p.area
	}
	if !(measured > 0) { // as thick as a ball of its volume and surface would be
		pieces, measured = []piece{{radius: 3 * b.volume / area, area: area}}, area
	}
	walls := make([]float64, len(pieces)) // shares of the volume
	rims := make([]float64, len(pieces))
	left := 1.0
	for i, p := range pieces {
		w := p.area * area / measured * p.radius / b.volume
		walls[i] = min(left, w)
		rims[i] = w - walls[i]
		left -= walls[i]
	}
	walls[len(walls)-1] += left
	from := 0.0
	for _, to := range pieces {
		for step := range bulkSteps {
			b.note(from+(to.radius-from)*float64(step)/bulkSteps, pieces, walls, rims)
		}
		from = to.radius
	}
	b.note(from, pieces, walls, rims)
	return b
}

// note works out the volume within a depth.
func (b *Bulk) note(depth float64, pieces []piece, walls, rims []float64) {
	inner, shorter := 0.0, 1.0
	for i, p := range pieces {
		share := max(0, 1-depth/p.radius)
		inner += walls[i] * share
		if rims[i] > 0 {
			shorter *= math.Pow(share, rims[i])
		}
	}
	b.depths = append(b.depths, depth)
	b.within = append(b.within, b.volume*(1-inner*shorter))
}

// A piece of surface with the radius of the balls below it.
type piece struct{ radius, area float64 }

// groups puts together what has about the same thickness.
func groups(d survey.Distribution, mm float64) []piece {
	var out []piece
	before, group, weighed := 0.0, 0.0, 0.0
	for i, w := range d.Widths {
		area := (d.Areas[i] - before) * mm * mm
		before = d.Areas[i]
		group += area
		weighed += area * w * mm / 2
		if (group >= d.Areas[len(d.Areas)-1]*mm*mm/bulkGroups || i == len(d.Widths)-1) && weighed > 0 {
			out = append(out, piece{weighed / group, group})
			group, weighed = 0, 0
		}
	}
	return out
}

// Known reports whether the part has a volume.
func (b Bulk) Known() bool { return b.volume > 0 }

// Within is the volume within a depth below the surface, mm³ as drawn.
func (b Bulk) Within(depth float64) float64 {
	if !(depth > 0) || !b.Known() {
		return 0
	}
	k := sort.SearchFloat64s(b.depths, depth) // the first that is no less
	if k == len(b.depths) {
		return b.volume
	}
	share := (depth - b.depths[k-1]) / (b.depths[k] - b.depths[k-1])
	return b.within[k-1] + share*(b.within[k]-b.within[k-1])
}

// Material is how much material the part takes in print at a factor, mm³.
func (b Bulk) Material(f float64, fill process.Fill) float64 {
	rest := b.volume
	if fill.Infill < 1 {
		skin := b.Within(fill.Skin / f)
		rest = skin + fill.Infill*(b.volume-skin)
	}
	return rest * f * f * f
}

// A Weight is what the kit weighs and costs at a factor, every part as often as it is printed.
// Supports, rafts and what is thrown away are not in it.
type Weight struct {
	Grams   float64
	Solid   float64 // grams, were it printed solid
	Cost    float64 // 0 where the price is not known
	Unknown int     // parts that are not weighed: not closed, or not surveyed
}

// Weight weighs the kit at a factor. The volume is that of the mesh; what an infill saves is
// an estimate (see BulkOf).
func (c *Case) Weight(f float64) Weight {
	var w Weight
	for i := range c.Parts {
		one := c.WeightOf(i, f)
		n := float64(c.Parts[i].pieces())
		w.Grams += n * one.Grams
		w.Solid += n * one.Solid
		w.Unknown += one.Unknown
	}
	w.Cost = w.Grams / 1000 * c.Terms.Process.Material.PriceKG
	return w
}

// WeightOf weighs one piece of a part.
func (c *Case) WeightOf(part int, f float64) Weight {
	b, p := c.Parts[part].Bulk, c.Terms.Process
	if !b.Known() {
		return Weight{Unknown: 1}
	}
	const mm3 = 1000 // in a cm³
	grams := b.Material(f, p.Fill) / mm3 * p.Material.Density
	return Weight{
		Grams: grams, Solid: b.volume * f * f * f / mm3 * p.Material.Density,
		Cost: grams / 1000 * p.Material.PriceKG,
	}
}
