package state

import (
	"math"

	"scantling/engine/geom"
	"scantling/engine/ways"
)

// A Snap says what a measured point lies on.
type Snap uint8

// The snaps.
const (
	FreePoint Snap = iota // nothing: where the pointer was
	OnVertex              // a corner of the mesh, an edge's end
	OnExtreme             // the outermost point of a part's silhouette on one side
	OnCentre              // the middle of a round opening or edge
)

// Snaps lists every snap.
func Snaps() []Snap { return []Snap{FreePoint, OnVertex, OnExtreme, OnCentre} }

// A MeasurePoint is one end of a measure.
type MeasurePoint struct {
	At   geom.Vec // kit axes, mm as drawn
	Part string   // id of the part that it lies on, or ""
	Snap Snap
	SD   float64 // standard uncertainty of where it lies, mm as drawn
}

// A Measure is a length between two points of the kit, taken on the sheet. Points, Part and
// SD are what it gives; the rest is how it was taken.
type Measure struct {
	Points ways.Points // kit axes, mm as drawn
	Part   string      // id of the part that both points lie on, or ""
	SD     float64     // standard uncertainty of the length, mm as drawn

	On    bool           // the sheet measures: what is clicked sets points
	Begun bool           // the first point is set, the second is to come
	Along ways.Direction // which way is measured; free is straight, as it is seen
	Ends  [2]MeasurePoint
	Side  Side        // where the sheet looked from
	Up    geom.Axis   // of the kit then
	boxes [2]geom.Box // of the parts that the ends lie on, to see when they change
}

// Known is false until both points are set, and where they are one.
func (m Measure) Known() bool { return !m.Begun && m.Points.Known() }

// To is the measure from its first point to another one, taken along a direction. A free
// measure is as long as the sheet shows it: what lies nearer to the eye or farther off does
// not count.
func (m Measure) To(p MeasurePoint, along ways.Direction) Measure {
	m.Begun = false
	m.Ends[1] = p
	from, to := m.Ends[0].At, p.At
	if along == ways.Free {
		right, above := m.Side.Look(m.Up)
		eye := right.Cross(above)
		to = to.Sub(eye.Scale(to.Sub(from).Dot(eye)))
	}
	m.Points = ways.Points{From: from, To: to, Along: along}
	m.Part = ""
	if m.Ends[0].Part == p.Part {
		m.Part = p.Part
	}
	m.SD = math.Hypot(m.Ends[0].SD, p.SD)
	return m
}

// StartMeasure lets the sheet measure: the next two points that are set are a measure.
func (b *Bench) StartMeasure() {
	if m := &b.view.Measure; !m.On {
		m.On, m.Begun = true, false
		if !b.view.Sheet.ShowsKit() {
			b.showKit()
			b.view.Sheet.Fit = true
		}
		b.change()
	}
}

// MeasureFrom sets the first point of a new measure.
func (b *Bench) MeasureFrom(p MeasurePoint) {
	if !p.At.Finite() {
		return
	}
	b.view.Measure = Measure{On: true, Begun: true, Along: b.view.Measure.Along, Ends: [2]MeasurePoint{p},
		Side: b.view.Sheet.Side, Up: b.view.PartsUp}
	b.change()
}

// MeasureTo sets the second point, where the first is set; along is the direction of this
// one measure.
func (b *Bench) MeasureTo(p MeasurePoint, along ways.Direction) {
	m := &b.view.Measure
	if !m.Begun || !p.At.Finite() {
		return
	}
	*m = m.To(p, along)
	for i, e := range m.Ends {
		m.boxes[i] = b.boxOf(e.Part)
	}
	b.change()
}

// SetMeasureAlong chooses which way is measured, also for the measure that is on the sheet.
func (b *Bench) SetMeasureAlong(along ways.Direction) {
	m := &b.view.Measure
	m.Along = along
	if m.Points != (ways.Points{}) {
		*m = m.To(m.Ends[1], along)
	}
	b.change()
}

// ClearMeasure takes the measure off the sheet, which measures no more.
func (b *Bench) ClearMeasure() {
	b.view.Measure = Measure{Along: b.view.Measure.Along}
	b.change()
}

// DropMeasure takes back the points that are set; the sheet measures on.
func (b *Bench) DropMeasure() {
	b.view.Measure = Measure{On: b.view.Measure.On, Along: b.view.Measure.Along}
	b.change()
}

// checkMeasure drops a measure on parts that are gone or no longer lie where they lay.
func (b *Bench) checkMeasure() {
	m := &b.view.Measure
	if !m.Begun && m.Points == (ways.Points{}) {
		return
	}
	stale := m.Up != b.view.PartsUp
	for i, e := range m.Ends {
		if m.Begun && i == 1 {
			break
		}
		if box := b.boxOf(e.Part); e.Part != "" && (box.Empty() || !m.Begun && box != m.boxes[i]) {
			stale = true
		}
	}
	if stale {
		*m = Measure{On: m.On, Along: m.Along}
	}
}

// boxOf is a measured part's box as drawn, empty for any other.
func (b *Bench) boxOf(id string) geom.Box {
	for i := range b.view.Parts {
		if p := &b.view.Parts[i]; p.ID == id && p.State == Measured {
			return p.Box
		}
	}
	return geom.EmptyBox()
}
