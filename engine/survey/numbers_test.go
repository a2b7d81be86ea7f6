package survey_test

import (
	"context"
	"fmt"
	"runtime"
	"runtime/debug"
	"sync/atomic"
	"testing"

	"scantling/engine/mesh"
	"scantling/engine/mesh/meshtest"
	"scantling/engine/survey"
)

// large is a ring, or a hollow one, of about so many triangles.
func large(triangles int, hollow bool) *mesh.Mesh {
	side := func(n int) int {
		k := 1
		for 2*k*k < n {
			k++
		}
		return k
	}
	if !hollow {
		n := side(triangles)
		return meshtest.Torus(20, 6, n, n)
	}
	n := side(triangles / 2)
	return meshtest.Joined(meshtest.Torus(20, 6, n, n), meshtest.Flip(meshtest.Torus(20, 5, n, n)))
}

// peak is how much more memory is in use at most while Of surveys m, as far as is seen each
// time that it reports, with garbage taken away soon.
func peak(t testing.TB, m *mesh.Mesh) uint64 {
	t.Helper()
	defer debug.SetGCPercent(debug.SetGCPercent(5))
	runtime.GC()
	var before runtime.MemStats
	runtime.ReadMemStats(&before)
	var most atomic.Uint64
	look := func(float64) {
		var now runtime.MemStats
		runtime.ReadMemStats(&now)
		if now.HeapAlloc > before.HeapAlloc {
			most.Store(max(most.Load(), now.HeapAlloc-before.HeapAlloc))
		}
	}
	if _, err := survey.InSteps(context.Background(), m, func(survey.Measurements) { look(0) }, look); err != nil {
		t.Fatal(err)
	}
	return most.Load()
}

// Beside the mesh a survey needs no more than 150 bytes a triangle, and some megabytes for
// the samples, of which there are no more for larger parts.
func TestMemory(t *testing.T) {
	if testing.Short() {
		t.Skip("takes long, and the race detector has memory of its own")
	}
	m := large(400000, true)
	const samples = 48 << 20
	if got, limit := peak(t, m), uint64(150*m.Len()+samples); got > limit {
		t.Errorf("%d bytes for %d triangles, %.0f each", got, m.Len(), float64(got)/float64(m.Len()))
	}
}

func BenchmarkSurvey(b *testing.B) {
	for _, n := range []int{200000, 1000000} {
		for _, hollow := range []bool{false, true} {
			m := large(n, hollow)
			b.Run(fmt.Sprintf("hollow=%t/%d", hollow, n), func(b *testing.B) {
				first := 0.0
				for b.Loop() {
					began := b.Elapsed()
					if _, err := survey.InSteps(b.Context(), m, func(survey.Measurements) { first = (b.Elapsed() - began).Seconds() }, nil); err != nil {
						b.Fatal(err)
					}
				}
				b.ReportMetric(first, "s/first")
				b.ReportMetric(float64(peak(b, m))/float64(m.Len()), "peakB/tri")
			})
		}
	}
}

func BenchmarkShade(b *testing.B) {
	m := large(200000, false)
	field := surveyed(b, m).Field
	box := mesh.MeasuresOf(m).Box
	for b.Loop() {
		if _, err := survey.Shade(b.Context(), m, field, above, box, 768); err != nil {
			b.Fatal(err)
		}
	}
}
