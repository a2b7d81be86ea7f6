// Package units judges, from evidence, in what unit the parts of a kit were drawn. It only
// suggests: nothing here changes a part.
package units

import (
	"scantling/engine/geom"
	"scantling/engine/mesh"
)

// A Part is what is known of a part's numbers.
type Part struct {
	ID   string
	Box  geom.Box // in file units
	Unit mesh.Unit
}

// A Reason is one piece of evidence.
type Reason string

// The reasons.
const (
	Declared  Reason = "declared"   // the file says so
	Sizes     Reason = "sizes"      // its size beside that of the other parts
	Twin      Reason = "twin"       // another part of the kit has the same shape, another unit away
	Speck     Reason = "speck"      // taken as now, all of it is smaller than anything that prints
	Huge      Reason = "huge"       // taken as now, it is far larger than any bed
	InchLike  Reason = "inch-like"  // its numbers are eighths and sixteenths
	FromInch  Reason = "from-inch"  // its numbers are inches turned into millimetres
	ToInch    Reason = "to-inch"    // its numbers are round millimetres turned into this unit
	KitBeyond Reason = "kit-beyond" // taken as now, it lies far outside the rest of the kit
)

// Reasons are all reasons.
func Reasons() []Reason {
	return []Reason{Declared, Sizes, Twin, Speck, Huge, InchLike, FromInch, ToInch, KitBeyond}
}

// A Suggestion is another unit that a part was likelier drawn in.
type Suggestion struct {
	Part    string // id
	Unit    mesh.Unit
	Factor  float64  // the suggested unit over the present one: 25.4
	Reasons []Reason // what speaks for it, the weightiest first
	Weight  float64  // probability, 0.5 to 1, that it is this unit and not the present one
}
