package state_test

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/app/state"
	"scantling/engine/kit"
)

// sailGLTF is one triangle, as wide as that, whose corners lie in sail.bin and that is painted with
// sail.png.
func sailGLTF(wide float32) (text, bin []byte) {
	for _, x := range []float32{0, 0, 0, wide, 0, 0, 0, 2, 0} {
		bin = binary.LittleEndian.AppendUint32(bin, math.Float32bits(x))
	}
	return fmt.Appendf(nil, `{"asset":{"version":"2.0"},"scene":0,"scenes":[{"nodes":[0]}],"nodes":[{"mesh":0}],
		"meshes":[{"primitives":[{"attributes":{"POSITION":0}}]}],"images":[{"uri":"sail.png"}],
		"accessors":[{"bufferView":0,"componentType":5126,"count":3,"type":"VEC3","min":[0,0,0],"max":[4,2,0]}],
		"bufferViews":[{"buffer":0,"byteLength":36}],"buffers":[{"byteLength":36,"uri":"sail.bin"}]}`), bin
}

// What lies beside a model and goes with its copies is part of it: where that was changed since the
// kit was saved, it is pointed out, whether the shape hangs on it or not, until it is taken as it is.
func TestWhatLiesBesideIsLookedAt(t *testing.T) {
	s, folder := onDisk(t)
	write := func(name string, content []byte) {
		require.NoError(t, os.WriteFile(filepath.Join(folder, name), content, 0o644))
	}
	text, bin := sailGLTF(4)
	write("sail.gltf", text)
	write("sail.bin", bin)
	write("sail.png", []byte("red"))
	s.Open([]string{filepath.Join(folder, "sail.gltf")})
	s.settle()
	path := filepath.Join(folder, "boat.scantling")
	s.SaveKit(path)
	s.settle()
	require.NoError(t, s.View().Notice)
	reopened := func() []state.Changed {
		s.NewKit()
		s.OpenKit(path)
		s.settle()
		return s.View().Sources.Changed
	}
	require.Empty(t, reopened())

	write("sail.png", []byte("tan"))
	changed := reopened()
	require.Len(t, changed, 1)
	require.True(t, changed[0].Beside)
	require.False(t, changed[0].Change.Any())
	s.KeepOld()
	require.Empty(t, s.View().Sources.Changed)
	require.Len(t, reopened(), 1, "the next time it is told again")
	s.AcceptChanged()
	require.Empty(t, s.View().Sources.Changed)
	s.SaveKit("")
	s.settle()
	require.Empty(t, reopened())

	_, bin = sailGLTF(3)
	write("sail.bin", bin)
	changed = reopened()
	require.Len(t, changed, 1)
	require.True(t, changed[0].Beside)

	// A kit that was saved without knowing of them takes them as they are.
	k, err := kit.Load(path)
	require.NoError(t, err)
	require.NotEmpty(t, k.Parts[0].Beside)
	k = k.WithEach(func(p *kit.Part) { p.Beside = "" })
	require.NoError(t, kit.Save(path, k))
	require.Empty(t, reopened())
	s.SaveKit("")
	s.settle()
	saved, err := os.ReadFile(path)
	require.NoError(t, err)
	require.True(t, bytes.Contains(saved, []byte(`"beside"`)))
	require.NoError(t, os.Remove(filepath.Join(folder, "sail.png")))
	require.Empty(t, reopened())
	require.Equal(t, state.Failed, s.View().Parts[0].State, "one that is gone is told by name where the file is read")
	require.ErrorContains(t, s.View().Parts[0].Err, "sail.png")
}
