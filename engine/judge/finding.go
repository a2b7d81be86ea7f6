package judge

import (
	"scantling/engine/geom"
)

// A Code says what a finding is about; app/text has the words.
type Code string

// The codes, in the order in which findings of one gravity and part are shown.
const (
	OffBed         Code = "off-bed"         // does not fit the bed as it lies
	WallThin       Code = "wall-thin"       //
	PinThin        Code = "pin-thin"        //
	GapCloses      Code = "gap-closes"      //
	EngravingFills Code = "engraving-fills" // too narrow or too shallow to show
	RaisedFades    Code = "raised-fades"    // what stands on a face is too narrow or too low to show
	HoleCloses     Code = "hole-closes"     // a bore too small to stay open
	BoreSmall      Code = "bore-small"      // for its screw, light, magnet or shaft
	BoreWide       Code = "bore-wide"       // for the same
	PegTight       Code = "peg-tight"       // does not go into its bore, or fuses with it
	PegLoose       Code = "peg-loose"       // falls out of its bore
	Overlap        Code = "overlap"         // two parts are drawn into each other
	FacetsShow     Code = "facets-show"     //
	TooSmall       Code = "too-small"       // to be handled
	SmallPart      Code = "small-part"      // a small child could swallow it
	Heavier        Code = "heavier"         // weight and load grow with the cube and the square
	Coarse         Code = "coarse"          // coordinates in steps that show
	UnitSuspect    Code = "unit-suspect"    // likelier drawn in another unit
	NotClosed      Code = "not-closed"      //
	InsideOut      Code = "inside-out"      //
	Tangled        Code = "tangled"         // facets pass through each other
	Crowded        Code = "crowded"         // edges with three facets or more, facets facing both ways
	Buried         Code = "buried"          // shells inside of another, or facing inwards
	Crumbs         Code = "crumbs"          // small loose pieces
	Degenerate     Code = "degenerate"      // facets without area, or there twice
)

// Codes are all codes, in order.
func Codes() []Code {
	return []Code{
		OffBed, WallThin, PinThin, GapCloses, EngravingFills, RaisedFades, HoleCloses, BoreSmall, BoreWide, PegTight, PegLoose, Overlap,
		FacetsShow, TooSmall, SmallPart, Heavier, Coarse, UnitSuspect,
		NotClosed, InsideOut, Tangled, Crowded, Buried, Crumbs, Degenerate,
	}
}

// A Gravity says how much a finding matters.
type Gravity uint8

// The gravities.
const (
	Note  Gravity = iota // good to know
	Look                 // look at it before printing
	Stops                // stops the print
)

// String is "note", "look" or "stops".
func (g Gravity) String() string {
	if g > Stops {
		return "?"
	}
	return [...]string{"note", "look", "stops"}[g]
}

// MarshalText is String.
func (g Gravity) MarshalText() ([]byte, error) { return []byte(g.String()), nil }

// A Direction says on which side of its GoneAt a finding is gone.
type Direction uint8

// The directions.
const (
	Never   Direction = iota // it is there at every factor
	Larger                   // gone at GoneAt and everything larger
	Smaller                  // gone at GoneAt and everything smaller
)

// A Remedy says what can be done besides choosing another factor; app/text has the words.
type Remedy string

// The remedies.
const (
	TurnIt     Remedy = "turn"      // about the vertical
	LayIt      Remedy = "lay"       // on another of its flat sides
	TiltIt     Remedy = "tilt"      //
	CutIt      Remedy = "cut"       // into pieces
	Thicken    Remedy = "thicken"   // draw it thicker in the model
	Replace    Remedy = "replace"   // by wire, rod or sheet
	Widen      Remedy = "widen"     // draw it wider
	Deepen     Remedy = "deepen"    // draw it deeper
	Heighten   Remedy = "heighten"  // draw it higher
	DrillOut   Remedy = "drill"     // to Drill
	Bush       Remedy = "bush"      // line the bore, or drill anew for a larger size
	Offset     Remedy = "offset"    // move the surfaces of peg or bore by Offset in diameter
	Refine     Remedy = "refine"    // export the model with more facets
	PrintMore  Remedy = "spare"     // print spares, on a plate or sprue
	KeepAway   Remedy = "keep-away" // from children under three
	Reckon     Remedy = "reckon"    // reckon strength anew before loading it
	Recut      Remedy = "recut"     // cut one part to the other
	Recentre   Remedy = "recentre"  // draw it nearer to the origin
	CheckUnit  Remedy = "unit"      // choose its unit
	Mend       Remedy = "mend"      // repair the mesh where it was made
	RemoveThem Remedy = "remove"    // delete loose pieces
)

// Remedies are all remedies.
func Remedies() []Remedy {
	return []Remedy{
		TurnIt, LayIt, TiltIt, CutIt, Thicken, Replace, Widen, Deepen, Heighten, DrillOut, Bush, Offset, Refine, PrintMore, KeepAway,
		Reckon, Recut, Recentre, CheckUnit, Mend, RemoveThem,
	}
}

// A Place is where in a part something is: file units, the file's coordinates. What is between
// two parts may be told in the kit's, in millimetres as drawn.
type Place struct {
	Centre geom.Vec
	Size   geom.Vec // of its box; zero for a point
	InKit  bool
}

// A Finding is one judged fact about a part at one factor.
type Finding struct {
	Code    Code
	Gravity Gravity
	Part    int   // index in the Case's parts; -1 for the whole kit
	Other   int   // the second part, of PegTight and PegLoose that with the bore, and of Overlap; otherwise -1
	Where   Place // Whole is set where it is about no place
	Whole   bool
	// Value is what it is at this factor and Limit what it is held against: millimetres of
	// the print, but for Heavier (how many times as heavy as drawn, against 1), SmallPart
	// (the factor at which it just goes into the cylinder is 1: value is factor by that),
	// UnitSuspect (how many times as long the likelier unit is), Overlap (both 0), and the
	// faults of a mesh, where it counts them and Limit is 0.
	Value, Limit float64
	// GoneAt is the exact factor from which on it is gone, towards Larger or Smaller ones; 0
	// where that is Never. Just on the other side of it the finding is there.
	GoneAt float64
	Gone   Direction
	Remedy Remedy
	Item   string // key of the hardware, of BoreSmall and BoreWide
	Guess  bool   // Item was guessed by the bore's size as drawn
	// Drill is what to open a bore to, of BoreSmall; 0 where that is not all that it takes.
	Drill float64
	// Offset is by how much, in diameter, the bore must grow, or the peg become thinner, for an
	// easy fit, of PegTight; how much it must shrink, of PegLoose. Millimetres of the print.
	Offset float64
	Aside  string // the maker's reason for setting it aside; empty where it counts
}

// An Aside is a finding that the maker has set aside. It knows the finding by what it is about
// and where, so that it holds when a part was surveyed again.
type Aside struct {
	Code   Code
	Part   string   // its id; empty for the whole kit
	At     geom.Vec // where in the part, file units; the origin for what has no place
	Reason string   // never empty
}

// asideReach is how far a place may move, as a share of the part's diagonal, and still be the
// same: surveys of the same part agree much closer. Judged, no source.
const asideReach = 0.02

// covers reports whether it is about this finding of a part of that id and diagonal.
func (a Aside) covers(f *Finding, id string, diagonal float64) bool {
	if a.Code != f.Code || a.Part != id {
		return false
	}
	return f.Whole || f.Where.Centre.Sub(a.At).Len() <= max(asideReach*diagonal, f.Where.Size.Len()/2)
}

// AsideOf is what sets a finding aside. id is that of its part.
func AsideOf(f Finding, id, reason string) Aside {
	a := Aside{Code: f.Code, Part: id, Reason: reason}
	if !f.Whole {
		a.At = f.Where.Centre
	}
	return a
}

// A Named bore is one of which the maker has said what it is for.
type Named struct {
	Part string   // its id
	At   geom.Vec // the middle of the bore, file units
	Item string   // key of package hardware; empty for nothing bought
}
