// Package sheet is the drawing in the middle of the window as a list of marks: lines, areas,
// pictures and writing, placed in device-independent pixels. It is a pure function of what
// the bench shows and of the size of the paper, knows no widget and no colour, and so can be
// tested by what it says and painted by anything.
package sheet

import (
	"image"

	"scantling/engine/survey"
)

// A Point is a place on the paper: x to the right, y down, device-independent pixels.
type Point struct{ X, Y float64 }

// A Rect is an upright rectangle on the paper.
type Rect struct{ Min, Max Point }

// W is the width.
func (r Rect) W() float64 { return r.Max.X - r.Min.X }

// H is the height.
func (r Rect) H() float64 { return r.Max.Y - r.Min.Y }

// Middle is the centre.
func (r Rect) Middle() Point { return Point{(r.Min.X + r.Max.X) / 2, (r.Min.Y + r.Max.Y) / 2} }

// Holds reports whether p lies in r, edges included.
func (r Rect) Holds(p Point) bool {
	return p.X >= r.Min.X && p.X <= r.Max.X && p.Y >= r.Min.Y && p.Y <= r.Max.Y
}

// Meets reports whether r and s have a point in common.
func (r Rect) Meets(s Rect) bool {
	return r.Min.X <= s.Max.X && s.Min.X <= r.Max.X && r.Min.Y <= s.Max.Y && s.Min.Y <= r.Max.Y
}

// grown is r with d more on every side.
func (r Rect) grown(d float64) Rect {
	return Rect{Point{r.Min.X - d, r.Min.Y - d}, Point{r.Max.X + d, r.Max.Y + d}}
}

// corners are those of r, clockwise from the upper left.
func (r Rect) corners() []Point {
	return []Point{r.Min, {r.Max.X, r.Min.Y}, r.Max, {r.Min.X, r.Max.Y}}
}

// A Kind says how a mark is put on the paper.
type Kind uint8

// The kinds of mark.
const (
	Line        Kind = iota // a polyline through Points
	Outline                 // a closed polyline through Points
	Area                    // the inside of the closed polyline through Points
	Picture                 // Shades stretched over Box
	Thicknesses             // Thick stretched over Box, in the patterns of its classes
	Pattern                 // the pattern of Class in Box
	Writing                 // Text at At
)

// An Ink is what a mark is drawn with; the painter has a colour for each.
type Ink uint8

// The inks.
const (
	Pen     Ink = iota // outlines of parts, frame, titles
	Thin               // dimensions, rulers, lesser writing
	Grid               // the faint squares behind everything
	Selects            // what is selected; such marks differ in form, too
	Figure             // the stand-in's inside
	BedLine            // the bed
	Margin             // the strips of the rulers
	Blank              // paper
)

// A Role is what a mark is there for.
type Role uint8

// The roles.
const (
	Ground        Role = iota // grid, frame, ground line
	PartShape                 // outline or silhouette of a part
	PartName                  // its name
	Width                     // a width dimension
	Height                    // a height dimension
	Selection                 // what shows the selected part
	StandIn                   // the human figure and what is written under it
	BedShape                  // the bed and what is written at it
	PrintRuler                // millimetres or inches of the print
	RealRuler                 // metres or feet of the subject, or the drawn size
	TitleBlock                // the block in the corner
	Hint                      // what to do next, what is not known
	PlotTick                  // a standard ratio, or a figure of the axis
	PlotBar                   // a measured ratio and what it may be off by
	PlotSum                   // what they give together
	Measuring                 // a measure and its ends
	FoundPlace                // where the marked finding is
	LadderBand                // between which ratios the kit prints
	LadderRung                // a standard ratio and its state
	LadderPart                // between which ratios the selected part prints
	LadderPointer             // the factor in force
	Handles                   // what the kit is scaled by
	ThickLegend               // what the patterns of thickness say
)

// An Align says which point of the writing lies at At; the baseline always passes through it.
type Align uint8

// The alignments.
const (
	Start Align = iota
	Centre
	End
)

// A Mark is one thing on the paper.
type Mark struct {
	Kind    Kind
	Ink     Ink
	Role    Role
	Clipped bool   // only what lies in the drawing's field is shown
	Part    string // id of the part that it belongs to

	Points []Point
	Width  float64 // of the pen
	Dashed bool

	Box    Rect
	Shades *image.NRGBA
	// Turn is by how much a Picture is turned about its middle, counter-clockwise, radians; Box is
	// what it covers then.
	Turn float64

	// Of Thicknesses: what is below the first bound is of class 0, and so on; what is below none
	// is of the class that has no pattern.
	Thick  *survey.Shading
	Bounds [3]float32
	Class  int // of Pattern

	Text    string
	Size    float64 // height of the writing
	At      Point
	Align   Align
	Upwards bool // turned to read from below to above
	Bold    bool
	Halo    bool // kept legible over what lies under it
}
