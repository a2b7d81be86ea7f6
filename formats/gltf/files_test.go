package gltf

import (
	"context"
	"os"
	"path/filepath"
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/formats/internal/fault"
)

func TestLocalNames(t *testing.T) {
	for uri, want := range map[string]string{
		"a.bin": "a.bin", "./a.bin": "a.bin", "a/b.bin": "a/b.bin", "a%20b.bin": "a b.bin", "100%.bin": "100%.bin",
		"a..b.bin": "a..b.bin", "./1-48.bin": "1-48.bin", "a b.bin": "a b.bin", "%252e%252e/a.bin": "%2e%2e/a.bin",
	} {
		name, _, code := localName(uri)
		require.Empty(t, code, uri)
		require.Equal(t, want, name)
	}
	if name, _, code := localName("./1:48.bin"); runtime.GOOS == "windows" { // no file can have that name there
		require.Equal(t, fault.Outside, code)
	} else {
		require.Empty(t, code)
		require.Equal(t, "1:48.bin", name)
	}
	for uri, want := range map[string]fault.Code{
		"": fault.MissingFile, "..": fault.Outside, "a/../b.bin": fault.Outside, "a%00.bin": fault.Outside,
		"z:a.bin": fault.Outside, "FILE:a.bin": fault.Outside, "HTTP://x/y": fault.Network, "x-y+z.1:a": fault.Network, "%68ttp://x/y": fault.Network,
	} {
		_, _, code := localName(uri)
		require.Equal(t, want, code, uri)
	}
}

// sideCube is a document whose buffer is beside it, and the buffer.
func sideCube(uri string) (text, bin []byte) {
	s := newSketch()
	s.node(object{"mesh": s.cubeMesh(1, 2, 3)})
	return s.beside(uri), s.bin
}

func TestLinksStayInside(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("links need rights there")
	}
	text, bin := sideCube("a.bin")
	away := write(t, map[string][]byte{"b.bin": bin})
	folder := write(t, map[string][]byte{"a.gltf": text, "in/b.bin": bin})
	main := filepath.Join(folder, "a.gltf")
	link := filepath.Join(folder, "a.bin")
	for target, want := range map[string]fault.Code{
		filepath.Join(away, "b.bin"):                      fault.Outside,
		filepath.Join("..", filepath.Base(away), "b.bin"): fault.Outside,
		"nowhere":                    fault.MissingFile,
		filepath.Join("in", "b.bin"): "",
		"in":                         fault.Unreadable,
		"a.bin":                      fault.Unreadable, // itself
	} {
		require.NoError(t, os.Symlink(target, link))
		_, err := Open(context.Background(), main, nil)
		if want == "" {
			require.NoError(t, err)
		} else {
			require.Equal(t, want, code(t, err), target)
		}
		require.NoError(t, os.Remove(link))
	}
	// The folder itself may be reached through a link.
	require.NoError(t, os.WriteFile(link, bin, 0o644))
	other := filepath.Join(away, "link")
	require.NoError(t, os.Symlink(folder, other))
	opened(t, filepath.Join(other, "a.gltf"))
}

func TestOnlyTheCaseDiffers(t *testing.T) {
	text, bin := sideCube("Parts/Hull.BIN")
	folder := write(t, map[string][]byte{"a.gltf": text, "parts/hull.bin": bin})
	f := opened(t, filepath.Join(folder, "a.gltf"))
	if _, err := os.Stat(filepath.Join(folder, "Parts", "Hull.BIN")); err == nil {
		t.Skip("this file system does not tell")
	}
	require.Equal(t, []fault.Note{{Code: fault.CaseDiffers, Detail: "Parts/Hull.BIN is parts/hull.bin"}}, f.Notes())
	// The copy's file has the name that the document says.
	got := files(t, filepath.Dir(copyOf(t, f, "a.gltf", 2)))
	require.Contains(t, got, filepath.Join("Parts", "Hull.BIN"))

	require.NoError(t, os.WriteFile(filepath.Join(folder, "parts", "HULL.bin"), bin, 0o644))
	_, err := Open(context.Background(), filepath.Join(folder, "a.gltf"), nil)
	require.Equal(t, fault.MissingFile, code(t, err), "two to choose from")
}

func TestNamesThatWereNotEncoded(t *testing.T) {
	text, bin := sideCube("50%25 hull.bin")
	for _, name := range []string{"50% hull.bin", "50%25 hull.bin"} {
		folder := write(t, map[string][]byte{"a.gltf": text, name: bin})
		f := opened(t, filepath.Join(folder, "a.gltf"))
		require.Equal(t, []string{"50% hull.bin"}, f.Companions())
	}
}

// Letters of other languages are encoded as their UTF-8, or stand as they are.
func TestNamesInOtherLetters(t *testing.T) {
	for _, uri := range []string{"side%20f%C3%AFle%20%E8%88%B9.bin", "side%20fïle%20船.bin"} {
		text, bin := sideCube(uri)
		f := opened(t, filepath.Join(write(t, map[string][]byte{"a.gltf": text, "side fïle 船.bin": bin}), "a.gltf"))
		require.Equal(t, []string{"side fïle 船.bin"}, f.Companions())
		require.Equal(t, 12, f.Parts()[0].Triangles)
		require.Contains(t, files(t, filepath.Dir(copyOf(t, f, "a.gltf", 2))), "side fïle 船.bin")
	}
}

func TestNoFile(t *testing.T) {
	folder := t.TempDir()
	_, err := Open(context.Background(), filepath.Join(folder, "a.glb"), nil)
	require.Equal(t, fault.MissingFile, code(t, err))
	_, err = Open(context.Background(), folder, nil)
	require.Equal(t, fault.Unreadable, code(t, err))
}
