package gltf

import (
	"context"
	"fmt"
	"path/filepath"
	"reflect"
	"slices"
	"testing"

	oracle "github.com/qmuntal/gltf"
	"github.com/qmuntal/gltf/modeler"
	"github.com/stretchr/testify/require"
)

// numbersOf are all numbers in what the library makes of an accessor.
func numbersOf(v reflect.Value) []float64 {
	switch v.Kind() {
	case reflect.Slice, reflect.Array:
		var list []float64
		for i := range v.Len() {
			list = append(list, numbersOf(v.Index(i))...)
		}
		return list
	case reflect.Float32:
		return []float64{v.Float()}
	case reflect.Int8, reflect.Int16:
		return []float64{float64(v.Int())}
	}
	return []float64{float64(v.Uint())}
}

// oracleData are the accessors of a document, as the library reads them. It leaves whatever
// was in memory where one is sparse over nothing, and gives matrices by rows.
func oracleData(t *testing.T, doc *oracle.Document) map[int][]float64 {
	all := map[int][]float64{}
	for i, a := range doc.Accessors {
		if a.BufferView == nil {
			continue
		}
		data, err := modeler.ReadAccessor(doc, a, nil)
		require.NoError(t, err)
		all[i] = numbersOf(reflect.ValueOf(data))
		if a.Type == oracle.AccessorMat4 {
			rows := slices.Clone(all[i])
			for k := range rows {
				all[i][k/16*16+k%4*4+k/4%4] = rows[k]
			}
		}
	}
	return all
}

// lengthsOf are the accessors that hold lengths, by the library's structs: true for all
// their numbers, false for column four of matrices.
func lengthsOf(doc *oracle.Document) map[int]bool {
	lengths := map[int]bool{}
	for _, m := range doc.Meshes {
		for _, p := range m.Primitives {
			if i, ok := p.Attributes[oracle.POSITION]; ok {
				lengths[i] = true
			}
			for _, target := range p.Targets {
				if i, ok := target[oracle.POSITION]; ok {
					lengths[i] = true
				}
			}
		}
	}
	for _, s := range doc.Skins {
		if s.InverseBindMatrices != nil {
			lengths[*s.InverseBindMatrices] = false
		}
	}
	for _, a := range doc.Animations {
		for _, c := range a.Channels {
			if c.Target.Path == oracle.TRSTranslation {
				lengths[a.Samplers[c.Sampler].Output] = true
			}
		}
	}
	return lengths
}

// The library reads the same numbers from the copy as from the source, but for the lengths,
// which are times the factor: rounded once, to the bit.
func TestCopiesByTheLibrary(t *testing.T) {
	const factor = 0.235
	baked, data := 0, 0
	for _, path := range vectorPaths(goodVectors()) {
		t.Run(filepath.Base(path), func(t *testing.T) {
			switch filepath.Base(path) {
			case "gpu-instancing.glb", "looks-and-cameras.gltf":
				return // lengths in extensions, which have their own test
			case "encoded-uri.gltf", "meshopt.glb", "trailing-bytes.glb", "foreign-chunk.glb":
				return // the library cannot open them
			}
			f := opened(t, path)
			before, err := oracle.Open(path)
			require.NoError(t, err)
			after, err := oracle.Open(copyOf(t, f, "copy"+filepath.Ext(path), factor))
			require.NoError(t, err)
			a, b := oracleData(t, before), oracleData(t, after)
			if f.plan.byRoot {
				require.Equal(t, a, b)
				sameButRoots(t, before, after, factor)
				return
			}
			baked++
			lengths := lengthsOf(before)
			for i, list := range a {
				all, some := lengths[i]
				for k, x := range list {
					if all || some && k%16 >= 12 && k%16 < 15 {
						x = float64(float32(x * factor))
						data++
					}
					require.Equal(t, x, b[i][k], "accessors[%d], number %d", i, k)
				}
				if len(before.Accessors[i].Min) == 0 {
					continue
				}
				n := len(before.Accessors[i].Min)
				low, high := bounds(float32Comp, n, b[i])
				// Bounds stand for float32 numbers (glTF 2.0, 3.6.2.5).
				for k := range n {
					require.Equal(t, float32(low[k]), float32(after.Accessors[i].Min[k]), "accessors[%d]", i)
					require.Equal(t, float32(high[k]), float32(after.Accessors[i].Max[k]), "accessors[%d]", i)
				}
			}
			require.Len(t, after.Nodes, len(before.Nodes))
			for i, n := range before.Nodes {
				for axis := range 3 {
					n.Translation[axis] *= factor
					n.Matrix[12+axis] *= factor
				}
				require.Equal(t, n, after.Nodes[i])
			}
			require.Equal(t, before.Scenes, after.Scenes)
		})
	}
	require.Greater(t, baked, 15)
	require.Greater(t, data, 500)
}

// sameButRoots proves that a document only differs by added roots.
func sameButRoots(t *testing.T, before, after *oracle.Document, factor float64) {
	require.Greater(t, len(after.Nodes), len(before.Nodes))
	require.Equal(t, before.Nodes, after.Nodes[:len(before.Nodes)])
	require.Equal(t, before.Accessors, after.Accessors)
	for i, s := range before.Scenes {
		var roots []int
		for _, n := range after.Scenes[i].Nodes {
			if n < len(before.Nodes) {
				require.NotNil(t, before.Nodes[n].Skin)
				roots = append(roots, n)
				continue
			}
			require.Equal(t, [3]float64{factor, factor, factor}, after.Nodes[n].Scale)
			roots = append(roots, after.Nodes[n].Children...)
		}
		require.ElementsMatch(t, s.Nodes, roots)
	}
}

// What we read is what the library reads, where a part is a mesh just moved.
func TestReadingByTheLibrary(t *testing.T) {
	for _, name := range []string{"cube.glb", "data-uri.gltf", "interleaved.glb", "sparse.glb", "indices-8.glb", "indices-32.glb", "no-indices.glb"} {
		path := filepath.Join(vectorFolder, name)
		doc, err := oracle.Open(path)
		require.NoError(t, err)
		p := doc.Meshes[0].Primitives[0]
		positions, err := modeler.ReadPosition(doc, doc.Accessors[p.Attributes[oracle.POSITION]], nil)
		require.NoError(t, err)
		m, err := opened(t, path).Mesh(context.Background(), 0, nil)
		require.NoError(t, err)
		require.Equal(t, positions, m.Vertices, name)
		if p.Indices != nil {
			indices, err := modeler.ReadIndices(doc, doc.Accessors[*p.Indices], nil)
			require.NoError(t, err)
			require.Equal(t, fmt.Sprint(indices), fmt.Sprint(numbersAsWhole(m.Triangles)))
		}
	}
}

func numbersAsWhole(triangles [][3]uint32) []uint32 {
	var list []uint32
	for _, t := range triangles {
		list = append(list, t[:]...)
	}
	return list
}
