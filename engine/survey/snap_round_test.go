package survey

import (
	"math"
	"testing"

	"scantling/engine/geom"
)

// Corners lie off a circle by chance, so its middle is as uncertain as their scatter says.
func TestMiddleOfAnInexactCircle(t *testing.T) {
	const n, r = 40, 10.0
	var loop []geom.Vec
	state := uint32(7)
	for i := range n {
		state = state*1664525 + 1013904223
		off := (float64(state>>8)/(1<<24) - 0.5) * 0.1
		a := 2 * math.Pi * float64(i) / n
		loop = append(loop, geom.Vec{3 + (r+off)*math.Cos(a), -2 + (r+off)*math.Sin(a), 5})
	}
	got, ok := roundOf(loop)
	if !ok || math.Abs(got.radius-r) > 0.02 {
		t.Fatalf("%+v", got)
	}
	if off := got.centre.Sub(geom.Vec{3, -2, 5}).Len(); off > 3*got.sd || got.sd > 0.02 {
		t.Errorf("the middle is %g off and known to %g", off, got.sd)
	}
}
