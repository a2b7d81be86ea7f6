package formats

import (
	"context"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/deliver"
	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/formats/formattest"
)

// A tall wedge: unlike in all directions, so that no turn can be taken for another.
const wedgeOBJ = "# a wedge\no wedge\nvn 0 0 -1\nvn 0 0.6 0.8 # slope\nv 0 0 0\nv 1 0 0\nv 0 2 0\nv 0 0 4 0.5 0.5 0.5\n" +
	"f 1//1 3 2\nf 1 2 4\nf 1 4 3\nf 2//2 3 4\n"

// leant leans by 30° about x, shifts, and is exact in nothing.
func leant() geom.Pose {
	s, c := math.Sincos(math.Pi / 6)
	return geom.Pose{Rows: [3]geom.Vec{{1, 0, 0}, {0, c, -s}, {0, s, c}}, Shift: geom.Vec{10, 20, 30}}
}

func posedText(t *testing.T, name, content string, c deliver.Change) string {
	t.Helper()
	f, err := Open(context.Background(), saved(t, name, []byte(content)), nil)
	require.NoError(t, err)
	return string(contentOf(t, f, c))
}

func contentOf(t *testing.T, s deliver.Source, c deliver.Change) []byte {
	t.Helper()
	folder := t.TempDir()
	require.NoError(t, s.Rescale(context.Background(), formattest.Folder(folder), "copy"+s.Extension(), c, nil))
	b, err := os.ReadFile(filepath.Join(folder, "copy"+s.Extension()))
	require.NoError(t, err)
	return b
}

// A posed copy is the same text with other numbers in vertices and normals.
func TestPosedText(t *testing.T) {
	upright := deliver.Change{Factor: 2, Pose: geom.Upright(geom.Y)} // (x, y, z) to (x, -z, y)
	upright.Pose.Shift = geom.Vec{0, 0, 5}
	require.Equal(t, "# a wedge\no wedge\nvn 0 1 0\nvn 0 -0.8 0.6 # slope\nv 0 0 5\nv 2 0 5\nv 0 0 9\nv 0 -8 5 0.5 0.5 0.5\n"+
		"f 1//1 3 2\nf 1 2 4\nf 1 4 3\nf 2//2 3 4\n", posedText(t, "wedge.obj", wedgeOBJ, upright))
	const facet = "solid A colour=3\n  facet normal 0 0.6 0.80\n    outer loop\n      vertex 1 2 3\n      vertex\t4  5 6\n      vertex 1 2 3\n" +
		"    endloop\n  endfacet\n  facet normal nan 0 0\n    outer loop\n      vertex 1 2 3\n      vertex 4 5 6\n      vertex 1 2 3.5\n    endloop\n  endfacet\nendsolid A\n"
	require.Equal(t, "solid A colour=3\n  facet normal 0 -0.8 0.6\n    outer loop\n      vertex 2 -6 9\n      vertex\t8  -12 15\n      vertex 2 -6 9\n"+
		"    endloop\n  endfacet\n  facet normal nan 0 0\n    outer loop\n      vertex 2 -6 9\n      vertex 8 -12 15\n      vertex 2 -7 9\n    endloop\n  endfacet\nendsolid A\n",
		posedText(t, "wedge.stl", facet, upright))
	for name, content := range map[string]string{"wedge.obj": wedgeOBJ, "wedge.stl": facet} {
		require.Equal(t, content, posedText(t, name, content, deliver.Change{Factor: 1, Pose: geom.Upright(geom.Z)}))
	}
}

// What a pose does not touch in glTF stays; the pose is a node above all others.
func TestPosedGLTF(t *testing.T) {
	content, err := os.ReadFile("../testdata/gltf/looks-and-cameras.gltf")
	require.NoError(t, err)
	// Stood upright and turned by a quarter about z: with y up, about y.
	quarter := geom.Upright(geom.Y).Then(geom.Pose{Rows: [3]geom.Vec{{0, -1, 0}, {1, 0, 0}, {0, 0, 1}}, Shift: geom.Vec{1, 2, 3}})
	got := posedText(t, "looks.gltf", string(content), deliver.Change{Factor: 1, Pose: quarter})
	const node = `,{"name":"Pose","children":[0,1],"matrix":[0,0,-1,0,0,1,0,0,1,0,0,0,1,3,-2,1]}`
	require.Equal(t, 1, strings.Count(got, node), got)
	rest := strings.Replace(strings.Replace(got, node, "", 1), `"scenes": [{"nodes": [2]`, `"scenes": [{"nodes": [0,1]`, 1)
	require.Equal(t, strings.ReplaceAll(string(content), "[0, 1]", "[0,1]"), strings.ReplaceAll(rest, "[0, 1]", "[0,1]"))
	require.Equal(t, string(content), posedText(t, "looks.gltf", string(content), deliver.Change{Factor: 1, Pose: geom.Upright(geom.Y)}),
		"y up, seen with z up, is how glTF stands already")
}

// From every format to every format, in a pose and in none, a copy is where the source is
// put, and deliver finds it so. A copy that stands elsewhere is found out.
func TestPosesAreDelivered(t *testing.T) {
	ctx := context.Background()
	open := ReadBack
	wedge, err := Open(ctx, saved(t, "wedge.obj", []byte(wedgeOBJ)), nil)
	require.NoError(t, err)
	kinds := []Kind{STL, STLASCII, OBJ, GLB}
	const factor = 0.235
	for _, from := range kinds {
		f := wedge
		if from != OBJ {
			f = converted(t, wedge, from, 1)
		}
		for _, to := range kinds {
			for _, pose := range []geom.Pose{{}, geom.Upright(geom.X), leant()} {
				source, perUnit := As(f, to)
				c := deliver.Copy{Source: source, Name: "wedge" + source.Extension(), Factor: factor, PerUnit: perUnit, Pose: pose}
				outcomes, err := deliver.Run(ctx, []deliver.Copy{c}, deliver.Options{Folder: t.TempDir(), Verify: open}, nil)
				require.NoError(t, err)
				require.NoError(t, outcomes[0].Err, "%s to %s, %v", from, to, pose)
				require.True(t, outcomes[0].Verified)

				g, err := Open(ctx, outcomes[0].Path, nil)
				require.NoError(t, err)
				m, err := f.Mesh(ctx, 0, nil)
				require.NoError(t, err)
				n, err := g.Mesh(ctx, 0, nil)
				require.NoError(t, err)
				require.Equal(t, m.Len(), n.Len())
				up := geom.Upright(f.Parts()[0].Up)
				if pose.Known() {
					up = pose
				}
				up = up.Then(geom.Upright(g.Parts()[0].Up).Inverse())
				for i := range m.Len() {
					a, b, c := m.Triangle(i)
					x, y, z := n.Triangle(i)
					for _, v := range [][2]geom.Vec{{a, x}, {b, y}, {c, z}} {
						want := up.Apply(v[0].Scale(factor)).Scale(perUnit)
						require.InDelta(t, 0, want.Sub(v[1]).Len(), 0x1p-21*40*perUnit, "%s to %s, %v", from, to, pose)
						if up.KeepsBoxes() && perUnit == 1 {
							for axis := range want {
								require.Equal(t, float32(want[axis]), float32(v[1][axis]))
							}
						}
					}
				}
				top, err := mesh.TopologyOf(ctx, n, nil)
				require.NoError(t, err)
				require.True(t, top.Closed)
				require.Greater(t, g.Parts()[0].Volume, 0.0)

				// The same file is not what another pose would give.
				other := c
				other.Pose = geom.Upright(geom.Y).Then(leant())
				other.Pose.Shift[0] += 1e-4
				other.Source = stands{source, contentOf(t, source, deliver.Change{Factor: factor, Pose: pose})}
				outcomes, err = deliver.Run(ctx, []deliver.Copy{other}, deliver.Options{Folder: t.TempDir(), Verify: open}, nil)
				require.NoError(t, err)
				var e *deliver.Error
				require.ErrorAs(t, outcomes[0].Err, &e)
				require.Equal(t, deliver.Verify, e.Code)
			}
		}
	}
}

// stands is a source that writes the same copy whatever it is asked.
type stands struct {
	deliver.Source
	content []byte
}

func (s stands) Rescale(_ context.Context, to deliver.Sink, name string, _ deliver.Change, _ func(float64)) error {
	w, err := to.Create(name)
	if err != nil {
		return err
	}
	if _, err := w.Write(s.content); err != nil {
		return err
	}
	return w.Close()
}

// What is no rigid pose is refused, whoever asks for it.
func TestNoRigidPose(t *testing.T) {
	wedge, err := Open(context.Background(), saved(t, "wedge.obj", []byte(wedgeOBJ)), nil)
	require.NoError(t, err)
	mirror := geom.Pose{Rows: [3]geom.Vec{{-1, 0, 0}, {0, 1, 0}, {0, 0, 1}}}
	for _, k := range []Kind{OBJ, STL, GLB} {
		source, _ := As(wedge, k)
		var e *Error
		require.ErrorAs(t, source.Rescale(context.Background(), formattest.Folder(t.TempDir()), "copy", deliver.Change{Factor: 1, Pose: mirror}, nil), &e)
		outcomes, err := deliver.Run(context.Background(), []deliver.Copy{{Source: source, Name: "copy", Factor: 1, PerUnit: 1, Pose: mirror}},
			deliver.Options{Folder: t.TempDir()}, nil)
		require.NoError(t, err)
		require.Error(t, outcomes[0].Err)
	}
}
