// Package figure has the human body in numbers: how tall people are and how much they
// differ, how long each piece of a body is beside the whole, and what people wear. All of it
// is published, and each number has its source beside it. Lengths are millimetres.
package figure

import (
	"errors"

	"scantling/engine/ratio"
)

// A Value is a published mean and how much people differ about it.
type Value struct {
	Mean   float64 // mm
	SD     float64 // mm: standard deviation over the population
	Source string
	Status ratio.Status
}

// A Share is a length of the body as a share of the stature.
type Share struct {
	Of     float64
	SD     float64 // standard deviation over people, of the share itself
	Source string
	Status ratio.Status
}

// A Population is a group of people that a table tells of.
type Population string

// The populations.
const (
	Men         Population = "men"          // ANSUR II
	Women       Population = "women"        // ANSUR II
	Adults      Population = "adults"       // as many men as women of ANSUR II
	USMen       Population = "us-men"       // the public of the United States
	USWomen     Population = "us-women"     //
	GermanMen   Population = "german-men"   // DIN 33402-2
	GermanWomen Population = "german-women" //
)

// Populations are all populations, in the order in which they are shown.
func Populations() []Population {
	return []Population{Men, Women, Adults, USMen, USWomen, GermanMen, GermanWomen}
}

// A Measure is a length of the body that is measured on people.
type Measure string

// The measures. Heights are above the floor, or above the seat of a sitting person.
const (
	Stature          Measure = "stature"
	EyeHeight        Measure = "eye-height"
	ShoulderHeight   Measure = "shoulder-height" // acromion
	ElbowHeight      Measure = "elbow-height"
	HipHeight        Measure = "hip-height" // trochanterion
	CrotchHeight     Measure = "crotch-height"
	WristHeight      Measure = "wrist-height"
	KneeHeight       Measure = "knee-height" // middle of the kneecap
	SittingHeight    Measure = "sitting-height"
	EyeHeightSitting Measure = "eye-height-sitting"
	SeatHeight       Measure = "seat-height" // popliteal
	HandLength       Measure = "hand-length"
	FootLength       Measure = "foot-length"
	Span             Measure = "span" // arms stretched out
	ShoulderBreadth  Measure = "shoulder-breadth"
	HipBreadth       Measure = "hip-breadth"
	HeadLength       Measure = "head-length"
	HeadBreadth      Measure = "head-breadth"
)

// Measures are all measures.
func Measures() []Measure {
	return []Measure{
		Stature, EyeHeight, ShoulderHeight, ElbowHeight, HipHeight, CrotchHeight, WristHeight, KneeHeight, SittingHeight,
		EyeHeightSitting, SeatHeight, HandLength, FootLength, Span, ShoulderBreadth, HipBreadth, HeadLength, HeadBreadth,
	}
}

// A Posture is how a figure holds itself, and so what its height is the height of.
type Posture string

// The postures.
const (
	Standing    Posture = "standing"     // sole to crown
	Seated      Posture = "seated"       // seat to crown
	SeatedFloor Posture = "seated-floor" // sole to crown of a sitting figure
	Bent        Posture = "bent"         // segments, measured one by one from joint to joint and added
)

// Postures are all postures, in the order in which they are shown.
func Postures() []Posture { return []Posture{Standing, Seated, SeatedFloor, Bent} }

// A Segment is a piece of the body from joint to joint.
type Segment string

// The segments. The first four, added, are the whole body from sole to crown.
const (
	LowerLeg Segment = "lower-leg" // sole to knee
	Thigh    Segment = "thigh"     // knee to hip
	Trunk    Segment = "trunk"     // hip to shoulder
	HeadNeck Segment = "head-neck" // shoulder to crown, or to the eyes
	Head     Segment = "head"      // chin to crown
	UpperArm Segment = "upper-arm"
	Forearm  Segment = "forearm"
	Hand     Segment = "hand"
	Foot     Segment = "foot" // its length
)

// Segments are all segments, in the order in which they are shown.
func Segments() []Segment {
	return []Segment{LowerLeg, Thigh, Trunk, HeadNeck, Head, UpperArm, Forearm, Hand, Foot}
}

// What the functions refuse. app/text has the words.
var (
	ErrPosture    = errors.New("the posture is not known")
	ErrSegment    = errors.New("the segment of the body is not known")
	ErrNoSegments = errors.New("no segment of the body is named")
	ErrTwice      = errors.New("a segment of the body is named twice")
)

// What people wear adds to their height, in millimetres. Both second hand: shoes by ISO 3411:2007
// as an occupational handbook reports it, hat and helmet by an online anthropometry course.
const (
	Shoes  = 25.0
	Hat    = 25.0
	Helmet = 35.0
)
