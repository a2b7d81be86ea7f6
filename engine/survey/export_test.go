package survey

import (
	"context"

	"scantling/engine/geom"
	"scantling/engine/mesh"
)

// probe is what Of measures with, and nothing measured yet.
func probe(ctx context.Context, m *mesh.Mesh) (*prober, mesh.Measures, error) {
	c, err := mesh.Connect(ctx, m, nil)
	if err != nil {
		return nil, mesh.Measures{}, err
	}
	tree, err := geom.NewTree(ctx, c.Mesh.Vertices, c.Mesh.Triangles)
	if err != nil {
		return nil, mesh.Measures{}, err
	}
	bulk := mesh.MeasuresOf(m)
	f, err := newSurface(ctx, c)
	if err != nil {
		return nil, mesh.Measures{}, err
	}
	return newProber(f, tree, bulk), bulk, nil
}

// Rounds finds only the bores and pegs of m, about its origin.
func Rounds(ctx context.Context, m *mesh.Mesh) (bores, pegs []Round, err error) {
	p, _, err := probe(ctx, m)
	if err != nil {
		return nil, nil, err
	}
	return p.rounds(ctx)
}

// HealthOf finds only what is wrong with m.
func HealthOf(ctx context.Context, m *mesh.Mesh) (Health, error) {
	p, bulk, err := probe(ctx, m)
	if err != nil {
		return Health{}, err
	}
	return p.health(ctx, bulk, func(float64) {})
}

// FacetsOf measures only the chords of m.
func FacetsOf(ctx context.Context, m *mesh.Mesh) (Facets, error) {
	p, _, err := probe(ctx, m)
	if err != nil {
		return Facets{}, err
	}
	return p.facets(ctx)
}

// Sparse surveys m at few samples, by area and by facets.
func Sparse(ctx context.Context, m *mesh.Mesh, samples int, report func(float64)) (Measurements, error) {
	return of(ctx, m, grade{least: samples, most: samples, facets: 1}, nil, report)
}

// Encode and Decode write and read what is kept.
func Encode(f Measurements) ([]byte, error)    { return encode(f) }
func Decode(data []byte) (Measurements, error) { return decode(data) }

func EncodeSight(s Sight) ([]byte, error)                    { return encodeSight(s) }
func DecodeSight(data []byte, lies geom.Turn) (Sight, error) { return decodeSight(data, lies) }
