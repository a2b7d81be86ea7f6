package threemf

import (
	"bytes"
	"compress/flate"
	"context"
	"encoding/xml"
	"errors"
	"io"
	"iter"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/formats/internal/fault"
)

// bodies are meshes at one factor.
func bodies(factor float64, pose geom.Pose, meshes ...*mesh.Mesh) iter.Seq2[Body, error] {
	return func(yield func(Body, error) bool) {
		for _, m := range meshes {
			if !yield(Body{Mesh: m, Factor: factor, Pose: pose}, nil) {
				return
			}
		}
	}
}

func encoded(t *testing.T, about About, list iter.Seq2[Body, error]) []byte {
	t.Helper()
	var b bytes.Buffer
	last := 0.0
	require.NoError(t, Encode(context.Background(), &b, about, 2, list, func(done float64) {
		require.True(t, done >= last && done <= 1)
		last = done
	}))
	require.Equal(t, 1.0, last)
	return b.Bytes()
}

// soup is a tetrahedron, each corner of each triangle by itself, about an origin.
func soup(name string, origin geom.Vec) *mesh.Mesh {
	at := [4][3]float32{{0, 0, 0}, {1, 0, 0}, {0, 1, 0}, {0, 0, 1}}
	var list [][3]float32
	for _, t := range [][3]int{{0, 2, 1}, {0, 1, 3}, {0, 3, 2}, {1, 2, 3}} {
		for _, k := range t {
			list = append(list, at[k])
		}
	}
	m, err := mesh.New(name, origin, list, nil)
	if err != nil {
		panic(err)
	}
	return m
}

func TestEncode(t *testing.T) {
	empty, err := mesh.New("nothing", geom.Vec{}, nil, nil)
	require.NoError(t, err)
	about := About{Title: "Harbour tug <1:48> & \"more\"", Factor: 1. / 3, Ratio: "1:48"}
	pose := geom.Pose{Rows: geom.Upright(geom.Y).Rows, Shift: geom.Vec{0, 0, 5}}
	list := []*mesh.Mesh{soup("bow & \x01 <stern>\n", geom.Vec{}), empty, soup("mast", geom.Vec{1e6, 0.1, 0})}
	b := encoded(t, about, bodies(0.5, pose, list...))
	require.Equal(t, b, encoded(t, about, bodies(0.5, pose, list...)), "the same again")
	f := opened(t, b)
	require.Empty(t, f.Notes())
	require.Len(t, f.Parts(), 2)
	require.Equal(t, "bow &   <stern>", f.Parts()[0].Name)
	require.Equal(t, mesh.Unit{Name: "mm", MM: 1, Declared: true}, f.Parts()[0].Unit)
	for i, m := range []*mesh.Mesh{list[0], list[2]} {
		p := f.Parts()[i]
		want := pose.Box(mesh.MeasuresOf(m).Box.Scale(0.5))
		for axis := range 3 {
			require.InDelta(t, want.Min[axis], p.Box.Min[axis], 1e-9)
			require.InDelta(t, want.Max[axis], p.Box.Max[axis], 1e-9)
		}
		require.InDelta(t, 1./48, p.Volume, 1e-12)
		got, err := f.Mesh(context.Background(), i, nil)
		require.NoError(t, err)
		require.Len(t, got.Vertices, 4, "welded")
	}
	var said struct {
		Metadata []struct {
			Name  string `xml:"name,attr"`
			Value string `xml:",chardata"`
		} `xml:"metadata"`
	}
	text := textOf(t, b, "3D/3dmodel.model")
	require.NoError(t, xml.Unmarshal([]byte(text), &said))
	require.Contains(t, text, `xmlns:scantling="`+aboutURI+`"`)
	got := map[string]string{}
	for _, m := range said.Metadata {
		got[m.Name] = m.Value
	}
	require.Equal(t, map[string]string{"Title": about.Title, "Application": "Scantling", "scantling:factor": "0.3333333333333333", "scantling:ratio": "1:48"}, got)
	require.NotContains(t, textOf(t, encoded(t, About{}, bodies(1, geom.Pose{}, list...)), "3D/3dmodel.model"), "scantling:")
}

// The corners of each triangle differ, and none is lost.
func TestEncodeThinTriangles(t *testing.T) {
	m, err := mesh.New("thin", geom.Vec{}, [][3]float32{{0, 0, 0}, {1, 0, 0}, {0, 1, 0}}, [][3]uint32{{0, 1, 2}, {0, 0, 1}, {1, 0, 1}, {0, 1, 1}, {2, 2, 2}})
	require.NoError(t, err)
	b := encoded(t, About{}, bodies(1, geom.Pose{}, m))
	require.Equal(t, 5, opened(t, b).Parts()[0].Triangles)
	var plain plainModel
	require.NoError(t, xml.Unmarshal([]byte(textOf(t, b, "3D/3dmodel.model")), &plain))
	for _, c := range plain.Objects[0].Triangles {
		require.True(t, c.A != c.B && c.B != c.C && c.C != c.A, "%v", c)
	}
}

func TestEncodeRefuses(t *testing.T) {
	ctx := context.Background()
	m := soup("a", geom.Vec{})
	code := func(err error) fault.Code {
		var e *fault.Error
		require.ErrorAs(t, err, &e)
		return e.Code
	}
	require.Equal(t, fault.NoTriangles, code(Encode(ctx, io.Discard, About{}, 0, bodies(1, geom.Pose{}), nil)))
	require.Equal(t, fault.TooLarge, code(Encode(ctx, io.Discard, About{}, 1, bodies(1e39, geom.Pose{}, m), nil)))
	require.Equal(t, fault.TooLarge, code(Encode(ctx, io.Discard, About{}, 1, bodies(1e30, geom.Pose{}, soup("far", geom.Vec{1e20, 0, 0})), nil)))
	mine := errors.New("mine")
	err := Encode(ctx, io.Discard, About{}, 1, func(yield func(Body, error) bool) { yield(Body{}, mine) }, nil)
	require.Equal(t, mine, err)
	require.ErrorIs(t, Encode(ctx, &fullFile{fullSink{10, mine}}, About{}, 1, bodies(1, geom.Pose{}, m), nil), mine)
	done, cancel := context.WithCancel(ctx)
	cancel()
	require.Equal(t, context.Canceled, Encode(done, io.Discard, About{}, 1, bodies(1, geom.Pose{}, m), nil))
}

// What is packed in blocks unpacks to what was written, however it was written.
func TestDeflater(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 0))
	text := make([]byte, 3*block+12345)
	for i := range text {
		text[i] = "0123456789.- \n\"<x=>"[r.IntN(19)]
	}
	var first []byte
	for _, n := range []int{0, 1, block - 1, block, block + 1, len(text)} {
		for _, run := range []int{7777, block, math.MaxInt} {
			var b bytes.Buffer
			d := newDeflater(&b)
			for rest := text[:n]; len(rest) > 0; {
				k := min(run, len(rest))
				m, err := d.Write(rest[:k])
				require.NoError(t, err)
				require.Equal(t, k, m)
				rest = rest[k:]
			}
			require.NoError(t, d.Close())
			if run == 7777 {
				first = b.Bytes()
			}
			require.True(t, bytes.Equal(first, b.Bytes()), "%d bytes: it depends on how they come", n)
			back, err := io.ReadAll(flate.NewReader(&b))
			require.NoError(t, err)
			require.True(t, bytes.Equal(text[:n], back))
		}
	}
	full := errors.New("full")
	d := newDeflater(&fullFile{fullSink{0, full}})
	for range 20 {
		if _, err := d.Write(text); err != nil {
			require.Equal(t, full, err)
			break
		}
	}
	require.Equal(t, full, d.Close())
}

func TestNamesReadBack(t *testing.T) {
	for name, want := range map[string]string{"hull": "hull", " a\tb ": "a b", "\x00": "part", "a\xffb": "a\ufffdb", "⚓": "⚓", strings.Repeat("long ", 60): strings.TrimSpace(strings.Repeat("long ", 51))} {
		require.Equal(t, want, opened(t, encoded(t, About{}, bodies(1, geom.Pose{}, soup(name, geom.Vec{})))).Parts()[0].Name)
	}
}
