// Package ways has the ways to a factor. A way holds what the maker knows, finds the
// factor from it, and says how; it can be stored in a kit and be taken up again.
package ways

import (
	"errors"

	"scantling/engine/geom"
	"scantling/engine/judge"
	"scantling/engine/ratio"
)

// A Kind names a way.
type Kind string

// The ways, in the order in which they are shown.
const (
	ByRatio  Kind = "ratio"  // native and target ratio
	ByReal   Kind = "real"   // true length of the subject over an axis of the kit, and target ratio
	ByLength Kind = "length" // one dimension must become a given print length
	ByBed    Kind = "bed"    // as large as the bed allows
	ByFactor Kind = "factor" // the factor itself
)

// Kinds are all ways, in the order in which they are shown.
func Kinds() []Kind { return []Kind{ByRatio, ByReal, ByLength, ByBed, ByFactor} }

// A Way is what the maker knows. Only the fields that its kind names are used; the others
// keep what was typed before, so that switching back loses nothing.
type Way struct {
	Kind   Kind         `json:"kind"`
	Native ratio.Ratio  `json:"native,omitzero"` // ByRatio needs it; the others use it, when known, to name the target
	Target ratio.Ratio  `json:"target,omitzero"` // ByRatio, ByReal
	Real   ratio.Length `json:"real,omitzero"`   // ByReal: the subject's true length along Along over the whole kit
	Length ratio.Length `json:"length,omitzero"` // ByLength: what the dimension must become in print
	Along  geom.Axis    `json:"along"`           // ByReal, ByLength
	Part   string       `json:"part,omitempty"`  // ByLength: part id; empty means the assembled kit
	Bed    judge.Bed    `json:"bed,omitzero"`    // ByBed
	Factor ratio.Factor `json:"factor,omitzero"` // ByFactor
}

// A Subject is what a way is applied to: the extents of a kit in millimetres as drawn.
type Subject struct {
	Kit   geom.Vec // size of the assembled kit, kit axes
	Parts []SubjectPart
}

// A SubjectPart is one ticked part.
type SubjectPart struct {
	ID   string
	Name string
	Size geom.Vec // kit axes, mm as drawn
	Lies geom.Vec // as it lies on the bed: height along z, mm as drawn
}

// A Result is the factor with all that is needed to explain it. app/text makes the sentence.
type Result struct {
	Factor ratio.Factor
	Native ratio.Ratio // given or worked out; may be unknown
	Target ratio.Ratio // native × factor; unknown when native is
	Drawn  float64     // mm: the drawn length that the way compared with (ByReal, ByLength, ByBed)
	Part   string      // name of the part that was compared with or that limits; empty for the whole kit
	Along  geom.Axis   // the axis compared along or limiting
	Limit  float64     // mm: the room along that axis (ByBed)
}

// What stands in the way of a factor. app/text has the words.
var (
	ErrNeedNative = errors.New("native ratio not given")
	ErrNeedTarget = errors.New("target ratio not given")
	ErrNeedReal   = errors.New("real length not given")
	ErrNeedLength = errors.New("print length not given")
	ErrNeedFactor = errors.New("factor not given")
	ErrNeedBed    = errors.New("bed not given")
	ErrNoParts    = errors.New("no part is ticked")
	ErrNoPart     = errors.New("the part is not in the kit")
	ErrNoExtent   = errors.New("no extent along that axis")
	ErrBedTaken   = errors.New("the margins leave no room on the bed")
	ErrAbsurd     = errors.New("the factor is beyond any use")
	ErrZero       = errors.New("a length of zero gives no factor")
	ErrNoKind     = errors.New("the way is not known")
)

// Least and Most bound a usable factor, and the ratios before and after it: beyond them
// float32 files lose their shape, and package ratio takes no ratio.
const (
	Least = 1e-9
	Most  = 1e9
)
