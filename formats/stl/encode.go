package stl

import (
	"context"
	"encoding/binary"
	"io"
	"iter"
	"math"
	"strings"

	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/formats/internal/fault"
	"scantling/formats/internal/number"
)

// flushBytes is how much is gathered before it is written, and how often ctx is asked.
const flushBytes = 1 << 20

// EncodeBinary writes meshes, all coordinates multiplied by factor and then posed, as the one
// list of triangles that binary STL has. header is cut or filled to 80 bytes. Normals are computed.
// The error is an *fault.Error without a file name, ctx's, or w's.
func EncodeBinary(ctx context.Context, w io.Writer, header string, meshes []*mesh.Mesh, factor float64, pose geom.Pose, report func(float64)) error {
	return EncodeBodies(ctx, w, header, count(meshes), alike(meshes, factor, pose), report)
}

// A Body is one thing in its place.
type Body struct {
	Mesh   *mesh.Mesh
	Factor float64   // what every length is multiplied by
	Pose   geom.Pose // after that
}

// EncodeBodies is EncodeBinary of bodies that come one after another, so that no more than one
// need be in memory. They must have so many triangles in all as is announced: fault.Changed
// says that they have not.
func EncodeBodies(ctx context.Context, w io.Writer, header string, triangles int, bodies iter.Seq2[Body, error], report func(float64)) error {
	if int64(triangles) > math.MaxUint32 {
		return &fault.Error{Code: fault.TooLarge, Byte: -1, Detail: "more triangles than binary STL can count"}
	}
	var head [headerBytes]byte
	if len(header) >= 5 && strings.EqualFold(header[:5], "solid") {
		header = " " + header // or readers may take the file for a text
	}
	copy(head[:80], header)
	binary.LittleEndian.PutUint32(head[80:], uint32(triangles))
	return encode(ctx, w, head[:], triangles, bodies, report, format{
		facet: func(dst []byte, m *mesh.Mesh, normal geom.Vec, corners [3]geom.Vec) []byte {
			for _, v := range [4]geom.Vec{normal, corners[0], corners[1], corners[2]} {
				for _, x := range v {
					dst = binary.LittleEndian.AppendUint32(dst, math.Float32bits(float32(x)))
				}
			}
			return append(dst, 0, 0)
		},
	})
}

// EncodeASCII writes meshes, all coordinates multiplied by factor and then posed, as one
// solid each; tag, if there is one, stands behind the name of the first.
// Normals are computed. Errors are as for EncodeBinary.
func EncodeASCII(ctx context.Context, w io.Writer, tag string, meshes []*mesh.Mesh, factor float64, pose geom.Pose, report func(float64)) error {
	return encode(ctx, w, nil, count(meshes), alike(meshes, factor, pose), report, format{
		begin: func(dst []byte, m *mesh.Mesh) []byte {
			dst = appendTagged(append(dst, "solid"...), []byte(suffix(m.Name)), tag)
			tag = ""
			return append(dst, '\n')
		},
		facet: func(dst []byte, m *mesh.Mesh, normal geom.Vec, corners [3]geom.Vec) []byte {
			dst = append(dst, "facet normal"...)
			for _, x := range normal {
				dst = number.Append32(append(dst, ' '), float32(x))
			}
			dst = append(dst, "\n outer loop\n"...)
			for _, v := range corners {
				dst = append(dst, "  vertex"...)
				for _, x := range v {
					dst = append(dst, ' ')
					if m.Origin == (geom.Vec{}) {
						dst = number.Append32(dst, float32(x))
					} else { // float32 may be too coarse so far out
						dst = number.Append64(dst, x)
					}
				}
				dst = append(dst, '\n')
			}
			return append(dst, " endloop\nendfacet\n"...)
		},
		end: func(dst []byte, m *mesh.Mesh) []byte { return append(dst, "endsolid"+suffix(m.Name)+"\n"...) },
	})
}

// A format is what distinguishes the two encodings; begin and end may be nil.
type format struct {
	begin, end func(dst []byte, m *mesh.Mesh) []byte
	facet      func(dst []byte, m *mesh.Mesh, normal geom.Vec, corners [3]geom.Vec) []byte
}

// alike are meshes that all stand in one pose.
func alike(meshes []*mesh.Mesh, factor float64, pose geom.Pose) iter.Seq2[Body, error] {
	return func(yield func(Body, error) bool) {
		for _, m := range meshes {
			if !yield(Body{m, factor, pose}, nil) {
				return
			}
		}
	}
}

func count(meshes []*mesh.Mesh) (total int) {
	for _, m := range meshes {
		total += m.Len()
	}
	return total
}

// encode writes head and then the bodies, of so many triangles in all.
func encode(ctx context.Context, w io.Writer, head []byte, total int, bodies iter.Seq2[Body, error], report func(float64), to format) error {
	dst := append(make([]byte, 0, flushBytes+flushBytes/8), head...)
	done := 0
	flush := func() error {
		if err := ctx.Err(); err != nil {
			return err
		}
		if _, err := w.Write(dst); err != nil {
			return err
		}
		dst = dst[:0]
		if report != nil && total > 0 {
			report(float64(done) / float64(total))
		}
		return nil
	}
	for b, err := range bodies {
		if err != nil {
			return err
		}
		m, factor, pose := b.Mesh, b.Factor, b.Pose
		if to.begin != nil {
			dst = to.begin(dst, m)
		}
		for i := range m.Len() {
			a, b, c := m.Triangle(i)
			corners := [3]geom.Vec{a.Scale(factor), b.Scale(factor), c.Scale(factor)}
			n := normal(a, b, c)
			if pose.Known() {
				n = pose.Normal(n)
				for k, v := range corners {
					corners[k] = pose.Apply(v)
				}
			}
			for _, v := range corners {
				if most := max(math.Abs(v[0]), math.Abs(v[1]), math.Abs(v[2])); !(most <= math.MaxFloat32) {
					return &fault.Error{Code: fault.TooLarge, Byte: -1, Detail: m.Name}
				}
			}
			dst = to.facet(dst, m, n, corners)
			done++
			if len(dst) >= flushBytes {
				if err := flush(); err != nil {
					return err
				}
			}
		}
		if to.end != nil {
			dst = to.end(dst, m)
		}
	}
	if done != total {
		return &fault.Error{Code: fault.Changed, Byte: -1}
	}
	return flush()
}

// normal is the unit normal of a triangle, zero where it has none.
func normal(a, b, c geom.Vec) geom.Vec {
	n := b.Sub(a).Cross(c.Sub(a))
	if l := n.Len(); l > 0 {
		return n.Scale(1 / l)
	}
	return geom.Vec{}
}
