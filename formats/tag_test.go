package formats

import (
	"bytes"
	"context"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/deliver"
	"scantling/formats/formattest"
	"scantling/formats/internal/fault"
)

// tagNoted is what a file says that it is a copy of.
func tagNoted(f File) string {
	for _, n := range f.Notes() {
		if n.Code == fault.ScaledCopy {
			return n.Detail
		}
	}
	return ""
}

// Every file that can be opened and has room for it, in every format and every format it can be
// changed to, says what it is a copy of; a copy of a copy says what that is; without a tag it says
// nothing; and a copy that changes nothing has the source's bytes, whatever the tag.
func TestTagsOfAllFormats(t *testing.T) {
	ctx := context.Background()
	const tag, other = "Scantling 1:48 x0.25 Harbour tug & \"tender\" <2>", "Scantling x3 corrected x1.004 x1.004 x1.002"
	tried := map[string]int{}
	written := func(s deliver.Source, c deliver.Change) (File, []byte) {
		folder := t.TempDir()
		name := "copy" + s.Extension()
		require.NoError(t, s.Rescale(ctx, formattest.Folder(folder), name, c, nil), s.Path())
		path := filepath.Join(folder, name)
		content, err := os.ReadFile(path)
		require.NoError(t, err)
		f, err := Open(ctx, path, nil)
		require.NoError(t, err)
		return f, content
	}
	var files []File
	require.NoError(t, filepath.WalkDir(filepath.Join("..", "testdata"), func(path string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() || !slices.Contains(Extensions(), strings.ToLower(filepath.Ext(path))) {
			return err
		}
		if info, err := e.Info(); err != nil || info.Size() > 200<<10 {
			return err
		}
		if f, err := Open(ctx, path, nil); err == nil {
			files = append(files, f)
		}
		return nil
	}))
	require.Greater(t, len(files), 40)
	for _, f := range files {
		kind := f.Format() + " " + f.Encoding()
		require.Empty(t, tagNoted(f), f.Path())
		before, err := os.ReadFile(f.Path())
		require.NoError(t, err)
		_, same := written(f, deliver.Change{Factor: 1, Tag: tag})
		require.True(t, bytes.Equal(before, same), "%s: factor 1 gives the same bytes", f.Path())
		plain, _ := written(f, deliver.Change{Factor: 0.25})
		copied, _ := written(f, deliver.Change{Factor: 0.25, Tag: tag})
		rest := slices.DeleteFunc(slices.Clone(copied.Notes()), func(n Note) bool { return n.Code == fault.ScaledCopy })
		require.True(t, slices.Equal(plain.Notes(), rest), "%s: %v", f.Path(), rest)
		for i, p := range plain.Parts() {
			require.Equal(t, p.Measures, copied.Parts()[i].Measures, f.Path())
			require.Equal(t, p.Name, copied.Parts()[i].Name, f.Path())
		}
		if tagNoted(copied) == "" {
			tried[kind+" without room"]++
			continue
		}
		tried[kind]++
		require.Equal(t, tag, tagNoted(copied), f.Path())
		again, _ := written(copied, deliver.Change{Factor: 3, Tag: other})
		require.Equal(t, other, tagNoted(again), f.Path())
		none, _ := written(again, deliver.Change{Factor: 3})
		require.Empty(t, tagNoted(none), f.Path())
		_, first := written(copied, deliver.Change{Factor: 2, Tag: other})
		require.LessOrEqual(t, bytes.Count(first, []byte(other)), 1, f.Path()) // none where it is packed
		require.NotContains(t, string(first), "Harbour tug", f.Path())
	}
	for _, kind := range []string{"stl binary", "stl ascii", "obj utf-8", "obj utf-16le", "gltf gltf", "gltf glb", "3mf zip"} {
		require.Positive(t, tried[kind], "%s: %v", kind, tried)
	}
	t.Log(tried)

	// Changes of format.
	for _, f := range files {
		if f.Format() != "stl" && f.Format() != "obj" {
			continue
		}
		for _, k := range []Kind{STL, STLASCII, OBJ, GLB, ThreeMF} {
			if k == kindOf(f) {
				continue
			}
			source, _ := As(f, k)
			copied, _ := written(source, deliver.Change{Factor: 0.25, Tag: tag})
			require.Equal(t, tag, tagNoted(copied), "%s as %s", f.Path(), k)
			untold, _ := written(source, deliver.Change{Factor: 0.25})
			require.Empty(t, tagNoted(untold))
		}
	}
}

// Somebody's words and colours in the header of a binary STL stay, and so do extras of glTF that
// are no object.
func TestTagsLeaveRoomThatIsTaken(t *testing.T) {
	ctx := context.Background()
	dir := t.TempDir()
	write := func(name string, content []byte) File {
		path := filepath.Join(dir, name)
		require.NoError(t, os.WriteFile(path, content, 0o666))
		f, err := Open(ctx, path, nil)
		require.NoError(t, err)
		return f
	}
	facet := append(make([]byte, 12), []byte("\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x80\x3f\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x80\x3f\x00\x00\x00\x00\x00\x00")...)
	for _, header := range []string{"COLOR=\x10\x20\x30\xff", "bow, made by hand"} {
		stl := append(make([]byte, 80), 1, 0, 0, 0)
		copy(stl, header)
		f := write("facet.stl", append(stl, facet...))
		require.NoError(t, f.Rescale(ctx, formattest.Folder(dir), "copy.stl", deliver.Change{Factor: 2, Tag: "Scantling x2"}, nil))
		got, err := os.ReadFile(filepath.Join(dir, "copy.stl"))
		require.NoError(t, err)
		require.True(t, bytes.HasPrefix(got, []byte(header)))
	}
	const gltf = `{"asset":{"version":"2.0"EXTRAS},"scene":0,"scenes":[{"nodes":[0]}],"nodes":[{"mesh":0}],"meshes":[{"primitives":[{"attributes":{"POSITION":0}}]}],` +
		`"accessors":[{"bufferView":0,"componentType":5126,"count":3,"type":"VEC3","min":[0,0,0],"max":[1,1,0]}],"bufferViews":[{"buffer":0,"byteLength":36}],` +
		`"buffers":[{"byteLength":36,"uri":"data:application/octet-stream;base64,AAAAAAAAAAAAAAAAAACAPwAAAAAAAAAAAAAAAAAAgD8AAAAA"}]}`
	for extras, want := range map[string]string{
		``:                                      `"extras":{"scantling":{"copy":"Scantling x2"}}`,
		`,"extras":{}`:                          `"extras":{"scantling":{"copy":"Scantling x2"}}`,
		`,"extras":{"by":"me"}`:                 `"extras":{"by":"me","scantling":{"copy":"Scantling x2"}}`,
		`,"extras":["by me"]`:                   `"extras":["by me"]}`,
		`,"extras":{"scantling":7,"by":[1]}`:    `"extras":{"scantling":{"copy":"Scantling x2"},"by":[1]}`,
		`,"extras":{"scantling":{"copy":"x"}} `: `"extras":{"scantling":{"copy":"Scantling x2"}} `,
	} {
		f := write("facet.gltf", []byte(strings.Replace(gltf, "EXTRAS", extras, 1)))
		require.NoError(t, f.Rescale(ctx, formattest.Folder(dir), "copy.gltf", deliver.Change{Factor: 2, Tag: "Scantling x2"}, nil))
		got, err := os.ReadFile(filepath.Join(dir, "copy.gltf"))
		require.NoError(t, err)
		require.Contains(t, string(got), want, extras)
		_, err = Open(ctx, filepath.Join(dir, "copy.gltf"), nil)
		require.NoError(t, err)
	}
}
