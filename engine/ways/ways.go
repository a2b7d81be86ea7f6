// Package ways has the ways to a factor. A way holds what the maker knows, finds the
// factor from it, and says how; it can be stored in a kit and be taken up again.
package ways

import (
	"errors"
	"math"

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
	ByClues  Kind = "clues"  // objects of known size found in the files, and target ratio
	ByFigure Kind = "figure" // a figure in hand that the kit must suit, and native ratio
	ByLength Kind = "length" // one dimension must become a given print length
	ByBed    Kind = "bed"    // as large as the bed allows
	ByFactor Kind = "factor" // the factor itself
)

// Kinds are all ways, in the order in which they are shown.
func Kinds() []Kind { return []Kind{ByRatio, ByReal, ByClues, ByFigure, ByLength, ByBed, ByFactor} }

// A Way is what the maker knows. Only the fields that its kind names are used; the others
// keep what was typed before, so that switching back loses nothing.
type Way struct {
	Kind   Kind          `json:"kind"`
	Native ratio.Ratio   `json:"native,omitzero"` // ByRatio and ByFigure need it; the others use it, when known, to name the target
	Target ratio.Ratio   `json:"target,omitzero"` // ByRatio, ByReal, ByClues
	Real   ratio.Length  `json:"real,omitzero"`   // ByReal: the subject's true length along Along over the whole kit
	Length ratio.Length  `json:"length,omitzero"` // ByLength: what the dimension must become in print
	Along  geom.Axis     `json:"along"`           // ByReal, ByLength
	Part   string        `json:"part,omitempty"`  // ByLength: part id; empty means the assembled kit
	Bed    judge.Bed     `json:"bed,omitzero"`    // ByBed
	Turn   judge.Turning `json:"turn,omitzero"`   // ByBed: how a part may be turned to fit it
	Factor ratio.Factor  `json:"factor,omitzero"` // ByFactor

	Recovered Recovery `json:"recovered,omitzero"` // ByFactor: where the factor was found again

	NativeFrom NativeFrom `json:"nativeFrom,omitempty"` // where the native ratio comes from; empty: it is Native
	FullSize   ratio.Unit `json:"fullSize,omitempty"`   // FromFullSize: what the files' unit was in reality
	Parts      []string   `json:"parts,omitempty"`      // ByLength: ids of an assembly of parts; instead of Part where there are any
	Points     Points     `json:"points,omitzero"`      // ByLength: a measure between two points; instead of parts and axis where it is known
	Figure     Figure     `json:"figure,omitzero"`      // ByFigure
	Clues      []Clue     `json:"clues,omitempty"`      // ByClues, FromClues
}

// A NativeFrom says where the native ratio comes from.
type NativeFrom string

// Where the native ratio comes from.
const (
	FromGiven    NativeFrom = ""          // it was given
	FromReal     NativeFrom = "real"      // the real length of the subject
	FromClues    NativeFrom = "clues"     // clues
	FromFullSize NativeFrom = "full-size" // the files are drawn full size, in metres or feet say
)

// NativeSources are all that the native ratio may come from.
func NativeSources() []NativeFrom { return []NativeFrom{FromGiven, FromReal, FromClues, FromFullSize} }

// Points is a length measured between two points of the kit.
type Points struct {
	From  geom.Vec  `json:"from"` // kit axes, mm as drawn
	To    geom.Vec  `json:"to"`
	Along Direction `json:"along,omitempty"`
}

// Known is false for the zero value and wherever both points are one.
func (p Points) Known() bool { return p.Len() > 0 }

// Len is the length in millimetres as drawn.
func (p Points) Len() float64 { return Between(p.From, p.To, p.Along) }

// A Subject is what a way is applied to: the extents of a kit in millimetres as drawn.
type Subject struct {
	Kit    geom.Vec // size of the assembled kit, kit axes
	Parts  []SubjectPart
	UnitMM float64 // millimetres that one file unit was taken for; 0 where the parts differ in it
}

// A SubjectPart is one ticked part.
type SubjectPart struct {
	ID   string
	Name string
	Size geom.Vec // kit axes, mm as drawn
	Box  geom.Box // kit axes, mm as drawn; needed for an assembly of several parts
	Lies geom.Vec // as it lies on the bed: height along z, mm as drawn
	// Fit is how it fits the way's bed when it is turned as the way says; nil while that is not
	// known.
	Fit *judge.Fit
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
	Count  int         // parts of the assembly that was compared with (ByLength); 0 for one part or the whole kit
	Points bool        // the drawn length lies between two points (ByLength)
	Limits string      // id of the part that limits (ByBed)
	// Pending is set while it is not known yet how the part that limits fits when it is turned
	// (ByBed): what it does as it lies stands in for it, and the factor can only grow.
	Pending bool

	// Standard uncertainties, relative; 0 for what is exact. The target's is that of the ratio
	// at which the copies come out: by figure that of the figure's ratio, otherwise the native
	// one's.
	SD, NativeSD, TargetSD float64
	K                      float64 // what a standard uncertainty is multiplied by for 95 %; 0 where all is exact
}

// NativeEstimate is the native ratio with its uncertainty.
func (r Result) NativeEstimate() Estimate { return Estimate{r.Native, r.NativeSD, r.K} }

// TargetEstimate is the ratio of the copies with its uncertainty.
func (r Result) TargetEstimate() Estimate { return Estimate{r.Target, r.TargetSD, r.K} }

// FactorInterval is what holds the factor with 95 % probability; both ends are the factor
// itself where that is exact.
func (r Result) FactorInterval() (low, high float64) {
	f := r.Factor.Float()
	if r.SD == 0 {
		return f, f
	}
	up := math.Exp(r.SD * Estimate{K: r.K}.coverage())
	return f / up, f * up
}

// Disagreement is how far the factors of two results are apart, in standard uncertainties of
// their ratio: 0 for the same factor, +Inf for two exact ones that differ.
func Disagreement(a, b Result) float64 {
	if a.Factor.Equal(b.Factor) {
		return 0
	}
	d := math.Abs(math.Log(a.Factor.Float() / b.Factor.Float()))
	return d / math.Hypot(a.SD, b.SD)
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
	ErrAbsurd     = errors.New("the factor is beyond any use")
	ErrZero       = errors.New("a length of zero gives no factor")
	ErrNoKind     = errors.New("the way is not known")
	ErrMixedUnits = errors.New("the parts have different units")
	ErrNoFullSize = errors.New("the unit of a full-size drawing is not given")
)

// Least and Most bound a usable factor, and the ratios before and after it: beyond them
// float32 files lose their shape, and package ratio takes no ratio.
const (
	Least = 1e-9
	Most  = 1e9
)
