package survey

import (
	"encoding/binary"
	"errors"
	"math"

	"scantling/engine/geom"
)

// A Field is the thickness at points spread over the surface, kept small: places to a
// 65535th of the part's box, directions to half a degree, thickness in single precision.
type Field struct {
	box    geom.Box // file coordinates
	points []fieldPoint
}

// A fieldPoint is a sample.
type fieldPoint struct {
	at     [3]uint16
	normal [3]int8 // outwards, 127 long
	width  float32 // negative where nothing faces back
}

// fieldMost bounds the points of a field.
const fieldMost = 60000

// Len counts the points.
func (f *Field) Len() int { return len(f.points) }

// fieldOf keeps samples in a box about origin: all, or every second or third of many.
func fieldOf(box geom.Box, origin geom.Vec, samples []sample, reaches []reach) Field {
	if len(samples) == 0 {
		return Field{}
	}
	step := (len(samples) + fieldMost - 1) / fieldMost
	f := Field{points: make([]fieldPoint, 0, len(samples)/step+1)}
	size := box.Size()
	for i := 0; i < len(samples); i += step {
		s := &samples[i]
		one := fieldPoint{width: float32(reaches[i].width)}
		for k := range 3 {
			if size[k] > 0 {
				one.at[k] = uint16(math.Round(65535 * min(max((s.at[k]-box.Min[k])/size[k], 0), 1)))
			}
			one.normal[k] = int8(math.Round(127 * s.normal[k]))
		}
		f.points = append(f.points, one)
	}
	f.box = geom.Box{Min: box.Min.Add(origin), Max: box.Max.Add(origin)}
	return f
}

// place is where a point is, in file coordinates.
func (f *Field) place(p *fieldPoint) geom.Vec {
	var at geom.Vec
	for k := range at {
		at[k] = f.box.Min[k] + (f.box.Max[k]-f.box.Min[k])*(float64(p.at[k])*(1.0/65535))
	}
	return at
}

// errField is for what no field was written as.
var errField = errors.New("not a field")

// fieldBytes and pointBytes are how long a field without points and a point are written.
const (
	fieldBytes = 6*8 + 4
	pointBytes = 3*2 + 3 + 4
)

// append writes f to the end of to.
func (f *Field) append(to []byte) []byte {
	for _, v := range [2]geom.Vec{f.box.Min, f.box.Max} {
		for _, x := range v {
			to = binary.LittleEndian.AppendUint64(to, math.Float64bits(x))
		}
	}
	to = binary.LittleEndian.AppendUint32(to, uint32(len(f.points)))
	for _, p := range f.points {
		for k := range 3 {
			to = binary.LittleEndian.AppendUint16(to, p.at[k])
		}
		to = append(to, byte(p.normal[0]), byte(p.normal[1]), byte(p.normal[2]))
		to = binary.LittleEndian.AppendUint32(to, math.Float32bits(p.width))
	}
	return to
}

// fieldFrom reads what append wrote, and nothing else.
func fieldFrom(b []byte) (Field, error) {
	var f Field
	if len(b) < fieldBytes {
		return f, errField
	}
	for i, v := range [2]*geom.Vec{&f.box.Min, &f.box.Max} {
		for k := range v {
			v[k] = math.Float64frombits(binary.LittleEndian.Uint64(b[8*(3*i+k):]))
		}
	}
	n := binary.LittleEndian.Uint32(b[fieldBytes-4:])
	if b = b[fieldBytes:]; n > fieldMost || len(b) != int(n)*pointBytes || !f.box.Min.Finite() || !f.box.Max.Finite() {
		return Field{}, errField
	}
	if n > 0 {
		f.points = make([]fieldPoint, n)
	}
	for i := range f.points {
		p := &f.points[i]
		for k := range 3 {
			p.at[k] = binary.LittleEndian.Uint16(b[2*k:])
			p.normal[k] = int8(b[6+k])
		}
		if p.width = math.Float32frombits(binary.LittleEndian.Uint32(b[9:])); p.width != p.width {
			return Field{}, errField
		}
		b = b[pointBytes:]
	}
	return f, nil
}
