// Package process says how a part comes into being: by which process, how fine that is, of
// what material, how it is filled, and by how much it shrinks.
//
// The numbers are limits for judging, not settings of a machine. All can be changed by the
// maker; those to begin with are in Presets, each with where it comes from. A limit of 0 is
// no limit: nothing is judged by it.
package process

import (
	"errors"
	"math"
	"slices"

	"scantling/engine/geom"
)

// A Kind is a family of processes, as ISO/ASTM 52900 names them.
type Kind string

// The kinds.
const (
	Extrusion Kind = "material-extrusion"
	Vat       Kind = "vat-photopolymerisation"
	PowderBed Kind = "powder-bed"
	Other     Kind = "other"
)

// Kinds are all kinds.
func Kinds() []Kind { return []Kind{Extrusion, Vat, PowderBed, Other} }

// A Process is one way to print, under the name that the maker gave it.
type Process struct {
	Name     string   `json:"name"`
	Kind     Kind     `json:"kind"`
	Limits   Limits   `json:"limits"`
	Fill     Fill     `json:"fill"`
	Material Material `json:"material"`
	// Correction is what copies are multiplied by besides the factor, where it is On.
	Correction Correction `json:"correction"`
}

// Limits are how fine a process is, all in millimetres of the print.
type Limits struct {
	WallSupported float64 `json:"wall_supported"` // thinnest wall that is held at two sides or more: none thinner comes out
	WallFree      float64 `json:"wall_free"`      // thinnest wall that is held at one side
	Pin           float64 `json:"pin"`            // thinnest pin that stands and survives handling
	Gap           float64 `json:"gap"`            // narrowest gap that stays open
	Hole          float64 `json:"hole"`           // least bore that stays open
	EngravedWidth float64 `json:"engraved_width"`
	EngravedDepth float64 `json:"engraved_depth"`
	RaisedWidth   float64 `json:"raised_width"`
	RaisedHeight  float64 `json:"raised_height"`
	Tight         float64 `json:"tight"` // least difference of diameters at which a peg goes into its bore
	Loose         float64 `json:"loose"` // difference of diameters at which it slides easily
	Layer         float64 `json:"layer"`
	Finest        float64 `json:"finest"` // nozzle, pixel or spot: nothing narrower is made at all
	Facet         float64 `json:"facet"`  // distance between facet and curve that shows
}

// A Fill says what is inside: a skin all around of so many millimetres, and the share of the
// rest that is material. Solid is {0, 1}; hollow has a share of 0.
type Fill struct {
	Skin   float64 `json:"skin"`
	Infill float64 `json:"infill"`
}

// Solid is all material.
func Solid() Fill { return Fill{Infill: 1} }

// Shells is the fill of extruded parts: so many lines beside each other, each so wide, and
// an infill.
func Shells(lines int, widthMM, infill float64) Fill { return Fill{float64(lines) * widthMM, infill} }

// Hollow is the fill of a part that is hollowed.
func Hollow(wallMM float64) Fill { return Fill{Skin: wallMM} }

// A Material is what a part is made of.
type Material struct {
	Name    string  `json:"name"`
	Density float64 `json:"density"`         // g/cm³
	PriceKG float64 `json:"price_per_kg"`    // 0 where it is not known
	Money   string  `json:"money,omitempty"` // what the price is counted in, as the maker writes it
	// Shrinkage is by how much a part comes out shorter along x, y and z, as a share of its
	// length in the copy: 0.004 is 0.4 %. It takes effect only through a Correction.
	Shrinkage geom.Vec `json:"shrinkage"`
}

// A Field is one number of a process that can be changed.
type Field string

// The fields: those of Limits, Fill, Material and Correction, lengths in millimetres.
const (
	WallSupported Field = "wall-supported"
	WallFree      Field = "wall-free"
	Pin           Field = "pin"
	Gap           Field = "gap"
	Hole          Field = "hole"
	EngravedWidth Field = "engraved-width"
	EngravedDepth Field = "engraved-depth"
	RaisedWidth   Field = "raised-width"
	RaisedHeight  Field = "raised-height"
	Tight         Field = "tight"
	Loose         Field = "loose"
	Layer         Field = "layer"
	Finest        Field = "finest"
	Facet         Field = "facet"
	Skin          Field = "skin"
	Infill        Field = "infill"  // share, 0 to 1
	Density       Field = "density" // g/cm³
	Price         Field = "price"   // per kg
	ShrinkageX    Field = "shrinkage-x"
	ShrinkageY    Field = "shrinkage-y"
	ShrinkageZ    Field = "shrinkage-z"
	CorrectionX   Field = "correction-x" // what lengths are multiplied by; 0 stands for 1
	CorrectionY   Field = "correction-y"
	CorrectionZ   Field = "correction-z"
)

// Fields are all fields, in the order in which they are shown.
func Fields() []Field {
	return []Field{
		WallSupported, WallFree, Pin, Gap, Hole, EngravedWidth, EngravedDepth, RaisedWidth, RaisedHeight,
		Tight, Loose, Layer, Finest, Facet, Skin, Infill, Density, Price, ShrinkageX, ShrinkageY, ShrinkageZ,
		CorrectionX, CorrectionY, CorrectionZ,
	}
}

// Number is where the process keeps a field; nil for one that is none of Fields.
func (p *Process) Number(f Field) *float64 {
	l, m := &p.Limits, &p.Material
	switch f {
	case WallSupported:
		return &l.WallSupported
	case WallFree:
		return &l.WallFree
	case Pin:
		return &l.Pin
	case Gap:
		return &l.Gap
	case Hole:
		return &l.Hole
	case EngravedWidth:
		return &l.EngravedWidth
	case EngravedDepth:
		return &l.EngravedDepth
	case RaisedWidth:
		return &l.RaisedWidth
	case RaisedHeight:
		return &l.RaisedHeight
	case Tight:
		return &l.Tight
	case Loose:
		return &l.Loose
	case Layer:
		return &l.Layer
	case Finest:
		return &l.Finest
	case Facet:
		return &l.Facet
	case Skin:
		return &p.Fill.Skin
	case Infill:
		return &p.Fill.Infill
	case Density:
		return &m.Density
	case Price:
		return &m.PriceKG
	case ShrinkageX:
		return &m.Shrinkage[0]
	case ShrinkageY:
		return &m.Shrinkage[1]
	case ShrinkageZ:
		return &m.Shrinkage[2]
	case CorrectionX:
		return &p.Correction.Scale[0]
	case CorrectionY:
		return &p.Correction.Scale[1]
	case CorrectionZ:
		return &p.Correction.Scale[2]
	}
	return nil
}

// What Check refuses.
var (
	ErrKind       = errors.New("is no kind of process")
	ErrLimit      = errors.New("must be zero or more millimetres, and less than a metre")
	ErrOrder      = errors.New("must not be less than the limit that it goes beyond")
	ErrShare      = errors.New("must be between 0 and 1")
	ErrDensity    = errors.New("must be more than 0 and no more than 25 g/cm³")
	ErrPrice      = errors.New("must be zero or more")
	ErrShrinkage  = errors.New("must be between -0.2 and 0.2")
	ErrCorrection = errors.New("must be between 0.8 and 1.25 along each axis")
)

// A FieldError says which number of a process is wrong, and how.
type FieldError struct {
	Field Field // empty where it is the kind
	Err   error
}

func (e *FieldError) Error() string {
	if e.Field == "" {
		return e.Err.Error()
	}
	return string(e.Field) + ": " + e.Err.Error()
}

// Unwrap is what is wrong.
func (e *FieldError) Unwrap() error { return e.Err }

// most is the least length in millimetres that is no limit of a printer any more.
const most = 1000

// heaviest is denser than any metal but osmium and its neighbours, g/cm³.
const heaviest = 25

// Check says what is wrong with a process, nil when parts can be judged by it. The error is a
// *FieldError.
func (p Process) Check() error {
	if !slices.Contains(Kinds(), p.Kind) {
		return &FieldError{"", ErrKind}
	}
	for _, f := range Fields() {
		v := *p.Number(f)
		switch f {
		case Infill:
			if !(v >= 0 && v <= 1) {
				return &FieldError{f, ErrShare}
			}
		case Density:
			if !(v > 0 && v <= heaviest) {
				return &FieldError{f, ErrDensity}
			}
		case Price:
			if !(v >= 0 && v <= math.MaxFloat64) {
				return &FieldError{f, ErrPrice}
			}
		case ShrinkageX, ShrinkageY, ShrinkageZ:
			if !(math.Abs(v) <= mostShrinkage) {
				return &FieldError{f, ErrShrinkage}
			}
		case CorrectionX, CorrectionY, CorrectionZ:
			if v != 0 && !(v >= leastScale && v <= mostScale) {
				return &FieldError{f, ErrCorrection}
			}
		default:
			if !(v >= 0 && v < most) {
				return &FieldError{f, ErrLimit}
			}
		}
	}
	for _, pair := range [][2]Field{{WallSupported, WallFree}, {Tight, Loose}} {
		low, high := *p.Number(pair[0]), *p.Number(pair[1])
		if high > 0 && high < low {
			return &FieldError{pair[1], ErrOrder}
		}
	}
	return nil
}
