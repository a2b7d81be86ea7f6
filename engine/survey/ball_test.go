package survey

import (
	"math/rand/v2"
	"testing"

	"scantling/engine/geom"
	"scantling/engine/mesh/meshtest"
)

// A bounded ray ends where an unbounded one does, or nowhere if that is too far: also where shells
// that stand in others are passed over on the way.
func TestABoundedRayEndsWhereItWould(t *testing.T) {
	m := meshtest.Joined(meshtest.Box(geom.Vec{-9, -9, -9}, geom.Vec{9, 9, 9}), meshtest.Box(geom.Vec{-3, -3, -3}, geom.Vec{3, 3, 3}), meshtest.Torus(20, 6, 40, 24))
	p, _, err := probe(t.Context(), m)
	if err != nil {
		t.Fatal(err)
	}
	if !p.nested {
		t.Fatal("no shell may stand in another")
	}
	random := rand.New(rand.NewPCG(17, 4))
	met, short := 0, 0
	for range 4000 {
		unit := func() geom.Vec {
			return toUnit(geom.Vec{random.NormFloat64(), random.NormFloat64(), random.NormFloat64()})
		}
		from, along, facing := unit().Scale(25*random.Float64()), unit(), p.exits()
		if random.IntN(2) == 0 {
			facing = -facing
		}
		most := 40 * random.Float64()
		want, ok := p.exit(from, along, facing)
		if ok && want.At >= most {
			want, ok = geom.Hit{}, false
			short++
		}
		if got, found := p.exitWithin(from, along, most, facing); found != ok || got.At != want.At {
			t.Fatalf("%v %v within %v: %v %v, want %v %v", from, along, most, got, found, want, ok)
		}
		if ok {
			met++
		}
	}
	if met < 500 || short < 500 {
		t.Fatalf("%d met, %d too far: nothing was tried", met, short)
	}
}
