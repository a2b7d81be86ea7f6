package obj

import (
	"context"
	"os"
	"path/filepath"
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/deliver"
	"scantling/formats/internal/fault"
)

// lay writes files into a fresh folder, and opens boat/part.obj in it.
func lay(t *testing.T, files map[string]string) *File {
	t.Helper()
	root := t.TempDir()
	for name, content := range files {
		at := filepath.Join(root, filepath.FromSlash(name))
		require.NoError(t, os.MkdirAll(filepath.Dir(at), 0o700))
		require.NoError(t, os.WriteFile(at, []byte(content), 0o600))
	}
	f, err := Open(context.Background(), filepath.Join(root, "boat", "part.obj"), nil)
	require.NoError(t, err)
	return f
}

// sideNotes are those about side files.
func sideNotes(f *File) []fault.Note {
	var notes []fault.Note
	for _, n := range f.Notes() {
		if n.Code != fault.UnitAssumed {
			notes = append(notes, n)
		}
	}
	return notes
}

func TestCompanions(t *testing.T) {
	f := lay(t, map[string]string{
		"boat/part.obj": "mtllib one.mtl two words.mtl sub/three.mtl\nmtllib one.mtl\n" + tetra,
		"boat/one.mtl": "newmtl a\nKd 1 1 1\nmap_Kd wood.png\n map_Ka -s 1 1 1 -o 0 0 -mm 0 1 -clamp on my wood.png\r\n" +
			"bump -bm 2 sub\\bump.png\ndisp wood.png\nmap_aat on\nKa spectral metal.rfl 1.0\nmap_Ks\n# map_Kd none.png\n",
		"boat/two words.mtl":    "refl -type sphere sky.png\nnorm \\\nnormal.png\nMAP_KD \"my wood.png\"\n",
		"boat/sub/three.mtl":    "map_d near.png\nmap_Ns ../wood.png\ndecal -blendu off top.png\n",
		"boat/wood.png":         "1",
		"boat/my wood.png":      "2",
		"boat/sub/bump.png":     "3",
		"boat/sky.png":          "4",
		"boat/normal.png":       "5",
		"boat/sub/near.png":     "6",
		"boat/top.png":          "7",
		"boat/metal.rfl":        "8",
		"boat/nobody asks.png":  "9",
		"boat/another part.mtl": "map_Kd nobody asks.png",
	})
	want := []string{"one.mtl", "wood.png", "my wood.png", "sub/bump.png", "metal.rfl", "two words.mtl", "sky.png", "normal.png",
		"sub/three.mtl", "sub/near.png", "top.png"}
	require.Equal(t, want, f.Companions())
	require.Empty(t, sideNotes(f))

	s := newShelf()
	require.NoError(t, f.Rescale(context.Background(), s, "copy.obj", deliver.Change{Factor: 0.5}, nil))
	require.Equal(t, append(want, "copy.obj"), s.order, "side files first")
	for name, source := range s.carried {
		require.Equal(t, filepath.Join(filepath.Dir(f.Path()), filepath.FromSlash(name)), source)
	}

	// One that has gone since fails nothing.
	require.NoError(t, os.Remove(filepath.Join(filepath.Dir(f.Path()), "sky.png")))
	s = newShelf()
	require.NoError(t, f.Rescale(context.Background(), s, "copy.obj", deliver.Change{Factor: 0.5}, nil))
	require.NotContains(t, s.carried, "sky.png")
	require.Len(t, s.carried, len(want)-1)
}

func TestBadCompanions(t *testing.T) {
	f := lay(t, map[string]string{
		"boat/part.obj": "mtllib a.mtl\nmtllib /etc/passwd\nmtllib ..\\secret.mtl C:\\secret.mtl\nmtllib part.obj\n" + tetra,
		"boat/a.mtl": "map_Kd none.png\nmap_Ka ../secret.png\nmap_Ks https://example.invalid/x.png\nbump \\\\server\\x.png\n" +
			"disp sub\ndecal a.mtl/x.png\nrefl file:///etc/passwd\nmap_Kd none.png\nmap_Kd sub/../../secret.png\n",
		"boat/sub/x": "",
		"secret.png": "s",
		"secret.mtl": "s",
	})
	require.Equal(t, []string{"a.mtl"}, f.Companions())
	require.Equal(t, []fault.Note{
		{Code: fault.MissingCompanion, Detail: "none.png"},
		{Code: fault.OutsideCompanion, Detail: "../secret.png"},
		{Code: fault.NetworkCompanion, Detail: "https://example.invalid/x.png"},
		{Code: fault.NetworkCompanion, Detail: `\\server\x.png`},
		{Code: fault.MissingCompanion, Detail: "sub"},
		{Code: fault.MissingCompanion, Detail: "a.mtl/x.png"},
		{Code: fault.NetworkCompanion, Detail: "file:///etc/passwd"},
		{Code: fault.OutsideCompanion, Detail: "sub/../../secret.png"},
		{Code: fault.OutsideCompanion, Detail: "/etc/passwd"},
		{Code: fault.OutsideCompanion, Detail: `..\secret.mtl`},
		{Code: fault.OutsideCompanion, Detail: `C:\secret.mtl`},
	}, sideNotes(f))
}

func TestCompanionsOfAnotherCase(t *testing.T) {
	f := lay(t, map[string]string{
		"boat/part.obj":       "mtllib PAINT/Hull.MTL\n" + tetra,
		"boat/paint/hull.mtl": "map_Kd Wood.PNG\n",
		"boat/paint/wood.png": "1",
	})
	if _, err := os.Stat(filepath.Join(filepath.Dir(f.Path()), "PAINT")); err == nil {
		t.Skip("names here are the same in upper and lower case")
	}
	require.Equal(t, []string{"paint/hull.mtl", "paint/wood.png"}, f.Companions())
	require.Equal(t, []fault.Note{
		{Code: fault.CaseDiffers, Detail: "PAINT/Hull.MTL → paint/hull.mtl"},
		{Code: fault.CaseDiffers, Detail: "Wood.PNG → paint/wood.png"},
	}, sideNotes(f))
}

// A link out of the folder is a way out of it.
func TestCompanionsBehindLinks(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("links need rights there")
	}
	root := t.TempDir()
	boat := filepath.Join(root, "boat")
	require.NoError(t, os.Mkdir(boat, 0o700))
	require.NoError(t, os.WriteFile(filepath.Join(root, "secret.mtl"), []byte("map_Kd wood.png\n"), 0o600))
	require.NoError(t, os.WriteFile(filepath.Join(boat, "paint.mtl"), nil, 0o600))
	require.NoError(t, os.Symlink(filepath.Join("..", "secret.mtl"), filepath.Join(boat, "out.mtl")))
	require.NoError(t, os.Symlink("paint.mtl", filepath.Join(boat, "in.mtl")))
	require.NoError(t, os.Symlink("nothing.mtl", filepath.Join(boat, "broken.mtl")))
	path := filepath.Join(boat, "part.obj")
	require.NoError(t, os.WriteFile(path, []byte("mtllib out.mtl in.mtl broken.mtl\n"+tetra), 0o600))
	f, err := Open(context.Background(), path, nil)
	require.NoError(t, err)
	require.Equal(t, []string{"in.mtl"}, f.Companions())
	require.Equal(t, []fault.Note{
		{Code: fault.OutsideCompanion, Detail: "out.mtl"},
		{Code: fault.MissingCompanion, Detail: "broken.mtl"},
	}, sideNotes(f))
}

// However many names a library holds, only so many are looked for.
func TestCompanionsWithoutEnd(t *testing.T) {
	library := ""
	for i := range 2 * maxCompanions {
		library += "map_Kd " + string(rune('a'+i%26)) + string(rune('0'+i/26%10)) + string(rune('0'+i/260)) + ".png\n"
	}
	f := lay(t, map[string]string{"boat/part.obj": "mtllib a.mtl\n" + tetra, "boat/a.mtl": library})
	require.Less(t, len(f.Notes()), maxCompanions+10)
}
