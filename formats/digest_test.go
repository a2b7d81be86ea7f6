package formats

import (
	"context"
	"encoding/binary"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// A content names the triangles: of the same bytes the same, of any other another, and of what a
// side file may change none.
func TestContent(t *testing.T) {
	content := func(name string, data []byte) string {
		f, err := Open(context.Background(), saved(t, name, data), nil)
		require.NoError(t, err)
		return Content(f, 0)
	}
	first := content("hull.obj", []byte(tetrahedronOBJ))
	require.NotEmpty(t, first)
	require.Equal(t, first, content("other.obj", []byte(tetrahedronOBJ)))
	require.NotEqual(t, first, content("hull.obj", []byte(tetrahedronOBJ+"\n")))
	f, err := Open(context.Background(), saved(t, "hull.obj", []byte(tetrahedronOBJ)), nil)
	require.NoError(t, err)
	require.NotEqual(t, first, Content(f, 1))

	folder := t.TempDir()
	var side []byte
	for _, x := range []float32{0, 0, 0, 1, 0, 0, 0, 1, 0} {
		side = binary.LittleEndian.AppendUint32(side, math.Float32bits(x))
	}
	require.NoError(t, os.WriteFile(filepath.Join(folder, "hull.bin"), side, 0o644))
	path := filepath.Join(folder, "hull.gltf")
	require.NoError(t, os.WriteFile(path, fmt.Appendf(nil, `{"asset":{"version":"2.0"},"scene":0,"scenes":[{"nodes":[0]}],"nodes":[{"mesh":0}],
		"meshes":[{"primitives":[{"attributes":{"POSITION":0}}]}],"buffers":[{"uri":"hull.bin","byteLength":%d}],"bufferViews":[{"buffer":0,"byteLength":%d}],
		"accessors":[{"bufferView":0,"componentType":5126,"count":3,"type":"VEC3","min":[0,0,0],"max":[1,1,0]}]}`, len(side), len(side)), 0o644))
	f, err = Open(context.Background(), path, nil)
	require.NoError(t, err)
	require.Equal(t, []string{"hull.bin"}, f.Companions())
	require.Empty(t, Content(f, 0))
}

// What lies beside a file has a digest of its own that tells names, contents and what is gone.
func TestBeside(t *testing.T) {
	ctx := context.Background()
	dir := t.TempDir()
	write := func(name, content string) {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte(content), 0o666))
	}
	write("hull.obj", "mtllib hull.mtl\n"+tetrahedronOBJ)
	write("hull.mtl", "newmtl oak\nmap_Kd oak.png\n")
	write("oak.png", "brown")
	write("lone.obj", tetrahedronOBJ)
	beside := func(name string) string {
		f, err := Open(ctx, filepath.Join(dir, name), nil)
		require.NoError(t, err)
		sum, err := Beside(ctx, f)
		require.NoError(t, err)
		return sum
	}
	require.Empty(t, beside("lone.obj"))
	first := beside("hull.obj")
	require.Regexp(t, "^xxh64:[0-9a-f]{16}$", first)
	require.Equal(t, first, beside("hull.obj"))
	write("oak.png", "green")
	second := beside("hull.obj")
	require.NotEqual(t, first, second)
	f, err := Open(ctx, filepath.Join(dir, "hull.obj"), nil)
	require.NoError(t, err)
	require.NoError(t, os.Remove(filepath.Join(dir, "oak.png")))
	gone, err := Beside(ctx, f)
	require.NoError(t, err)
	require.NotEqual(t, second, gone)
	write("oak.png", "green")
	require.Equal(t, second, beside("hull.obj"))
	stopped, cancel := context.WithCancel(ctx)
	cancel()
	_, err = Beside(stopped, f)
	require.ErrorIs(t, err, context.Canceled)
}
