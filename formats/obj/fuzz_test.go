package obj

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
	"scantling/formats/internal/fault"
)

// FuzzOpen: whatever a file holds, opening it gives an *fault.Error or a file that can be
// read, is the same bytes at a factor of 1, and at another factor is the same model, larger
// or smaller. Which of these it is does not depend on how the file is cut into pieces.
func FuzzOpen(f *testing.F) {
	names, err := filepath.Glob(filepath.Join(vectors, "*.obj"))
	require.NoError(f, err)
	require.NotEmpty(f, names)
	for _, name := range names {
		content, err := os.ReadFile(name)
		require.NoError(f, err)
		f.Add(content)
	}
	f.Add([]byte("o a\nv 1 2 3\nf 1 1 1\no b\nf -1 -1 -1 -1\ng\nf 1\\\n 1\\\r\n1#\n"))
	f.Add([]byte(strings.Repeat("#\n", 200) + "v 1 2 3\n\x00\nf 1 1 1\n"))
	f.Add([]byte(strings.Repeat("#\n", 200) + "\x00\nv 1 2 3\nf 1 1 1\n"))
	f.Add([]byte("v 1e71 0 0\nv 0 1 0\nv 0 0 1\nf 1 2 3\n"))
	f.Fuzz(func(t *testing.T, content []byte) {
		ctx := context.Background()
		path := filepath.Join(t.TempDir(), "part.obj")
		require.NoError(t, os.WriteFile(path, content, 0o600))
		file, err := open(ctx, path, tuning{size: 256}, nil)
		inOne, again := Open(ctx, path, nil)
		if err != nil {
			code, line := codeOf(t, err)
			sameCode, sameLine := codeOf(t, again)
			require.Equal(t, code, sameCode)
			require.Equal(t, line, sameLine)
			return
		}
		require.NoError(t, again)
		require.Equal(t, len(inOne.Parts()), len(file.Parts()))
		require.Equal(t, inOne.wide, file.wide)
		for i, p := range inOne.Parts() {
			require.Equal(t, p.Name, file.Parts()[i].Name)
			require.Equal(t, p.Triangles, file.Parts()[i].Triangles)
			require.Equal(t, p.Box, file.Parts()[i].Box)
		}
		require.Equal(t, string(content), rescaled(t, file, 1))
		for i, p := range file.Parts() {
			m, err := file.Mesh(ctx, i, nil)
			if err != nil {
				code, _ := codeOf(t, err)
				require.Equal(t, fault.TooLarge, code)
				return
			}
			require.Equal(t, p.Triangles, m.Len())
		}

		const factor = 0.235
		s := newShelf()
		if err := file.Rescale(ctx, s, "copy.obj", deliver.Change{Factor: factor}, nil); err != nil {
			code, _ := codeOf(t, err)
			require.Equal(t, fault.TooLarge, code)
			return
		}
		copied, err := Open(ctx, save(t, "part.obj", s.files["copy.obj"].Bytes()), nil)
		require.NoError(t, err)
		require.Len(t, copied.Parts(), len(file.Parts()))
		for i, p := range copied.Parts() {
			sameAt(t, file.Parts()[i], p, factor)
		}
		s = newShelf()
		require.NoError(t, file.Rescale(ctx, s, "copy.obj", deliver.Change{Factor: factor, Pose: geom.Upright(geom.Y)}, nil))
		posed, err := Open(ctx, save(t, "part.obj", s.files["copy.obj"].Bytes()), nil)
		require.NoError(t, err)
		require.Len(t, posed.Parts(), len(file.Parts()))
	})
}

// sameAt compares a part with its copy: a coordinate may be off by what float32 rounds.
func sameAt(t *testing.T, source, copied mesh.Part, factor float64) {
	t.Helper()
	require.Equal(t, source.Name, copied.Name)
	require.Equal(t, source.Unit, copied.Unit)
	require.Equal(t, source.Triangles, copied.Triangles)
	for axis := range 3 {
		for _, c := range [][2]float64{
			{source.Box.Min[axis], copied.Box.Min[axis]},
			{source.Box.Max[axis], copied.Box.Max[axis]},
		} {
			require.InDelta(t, c[0]*factor, c[1], math.Abs(c[0])*factor*0x1p-23+math.SmallestNonzeroFloat32)
		}
	}
}
