package stl

import (
	"bytes"
	"context"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/deliver"
	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/formats/formattest"
	"scantling/formats/internal/fault"
)

const oneFacet = "facet normal 0 0 1\nouter loop\nvertex 0 0 0\nvertex 1 0 0\nvertex 0 1 0\nendloop\nendfacet\n"

// rewritten is the copy of a text, and what it says when it is opened.
func rewritten(t *testing.T, text string, c deliver.Change) (copied string, f *File) {
	t.Helper()
	folder := t.TempDir()
	path := filepath.Join(folder, "source.stl")
	require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
	f, err := Open(t.Context(), path, nil)
	require.NoError(t, err, "%q", text)
	require.NoError(t, f.Rescale(t.Context(), formattest.Folder(folder), "copy.stl", c, nil))
	content, err := os.ReadFile(filepath.Join(folder, "copy.stl"))
	require.NoError(t, err)
	f, err = Open(t.Context(), filepath.Join(folder, "copy.stl"), nil)
	require.NoError(t, err, "%q", content)
	return string(content), f
}

func tagIn(f *File) string {
	for _, n := range f.Notes() {
		if n.Code == fault.ScaledCopy {
			return n.Detail
		}
	}
	return ""
}

// The tag stands behind the name, whatever blanks and line ends are around, and when it is taken
// away the line is what it was; the name of the part is the same all the while.
func TestTextTags(t *testing.T) {
	const tag, other = "Scantling 1:48 x0.25 Harbour tug", "Scantling x3"
	end := "endsolid hull\n"
	for _, c := range []struct{ before, after, name string }{
		{"solid hull\n", "solid hull " + tag + "\n", "hull"},
		{"solid hull \t\r\n", "solid hull " + tag + " \t\r\n", "hull"},
		{"solid\n", "solid " + tag + "\n", "copy"},
		{"solid  \n", "solid " + tag + "  \n", "copy"},
		{"\n\nSOLID  the hull, port\r", "\n\nSOLID  the hull, port " + tag + "\r", "the hull, port"},
		{"\ufeffsolid Rumpf größer\n", "\ufeffsolid Rumpf größer " + tag + "\n", "Rumpf größer"},
		{"solid hull ", "solid hull " + tag + " ", "hull"}, // all in one line
		{"solid ", "solid " + tag + " ", "copy"},
		{"solid Scantling of oak\n", "solid Scantling of oak " + tag + "\n", "Scantling of oak"},
	} {
		text := c.before + oneFacet + end
		if !strings.HasSuffix(c.before, "\n") && !strings.HasSuffix(c.before, "\r") {
			text = c.before + strings.ReplaceAll(oneFacet+end, "\n", " ")
		}
		named := func(f *File) {
			require.Len(t, f.Parts(), 1)
			require.Equal(t, c.name, f.Parts()[0].Name)
		}
		tagged, f := rewritten(t, text, deliver.Change{Factor: 2, Tag: tag})
		require.True(t, strings.HasPrefix(tagged, c.after+"facet"), "%q", tagged)
		require.Equal(t, tag, tagIn(f))
		named(f)
		again, f := rewritten(t, tagged, deliver.Change{Factor: 2, Tag: other})
		require.Equal(t, other, tagIn(f))
		require.Contains(t, again, strings.Replace(c.after, tag, other, 1))
		named(f)
		none, f := rewritten(t, again, deliver.Change{Factor: 0.25})
		require.Empty(t, tagIn(f))
		require.Equal(t, text, none)
		named(f)
		same, f := rewritten(t, tagged, deliver.Change{Factor: 1, Tag: other})
		require.Equal(t, tagged, same)
		require.Equal(t, tag, tagIn(f))
	}
}

// Of several solids the first has the tag; a text without the word solid has no room for one, nor
// has an endless name.
func TestTextTagsHaveOnePlace(t *testing.T) {
	const tag = "Scantling x2"
	two := "solid a\n" + oneFacet + "endsolid a\nsolid b Scantling x9\n" + oneFacet + "endsolid b\n"
	copied, f := rewritten(t, two, deliver.Change{Factor: 2, Tag: tag})
	require.Equal(t, 1, strings.Count(copied, tag))
	require.Equal(t, tag, tagIn(f))
	require.Equal(t, "b Scantling x9", f.Parts()[1].Name)

	empty := "solid nothing\nendsolid\nsolid b\n" + oneFacet + "endsolid b\n"
	_, f = rewritten(t, empty, deliver.Change{Factor: 2, Tag: tag})
	require.Equal(t, tag, tagIn(f))
	require.Equal(t, "b", f.Parts()[0].Name)

	for _, text := range []string{oneFacet, "solid " + strings.Repeat("n", mostNamed) + "\n" + oneFacet + "endsolid\n"} {
		copied, f = rewritten(t, text, deliver.Change{Factor: 2, Tag: tag})
		require.NotContains(t, copied, tag)
		require.Empty(t, tagIn(f))
	}
}

// No title breaks the file: what would be taken for a facet, another line or no text is left out,
// and what is said stays true.
func TestTextTagsOfHostileTitles(t *testing.T) {
	words := []string{"facet", "normal", "0", "1 0", "outer loop", "vertex 1 2 3", "endloop", "endfacet", "endsolid", "solid", "Scantling x2", "\n", "\r", "\x00", "\x7f", "\u0085", "\xff", "Boot", " ", "facet normal -1", "0 endloop endfacet ", strings.Repeat("n", 500)}
	r := rand.New(rand.NewPCG(5, 5))
	for n := range 400 {
		title := ""
		for range r.IntN(6) {
			title += words[r.IntN(len(words))]
			if r.IntN(3) > 0 {
				title += " "
			}
		}
		if n < len(words) {
			title = words[n]
		}
		tag := "Scantling 1:48 x0.5 " + title
		_, f := rewritten(t, "solid hull\n"+oneFacet+"endsolid hull\n", deliver.Change{Factor: 0.5, Tag: tag})
		said, ok := deliver.ParseTag(tagIn(f))
		require.True(t, ok, "%q", title)
		require.Equal(t, 0.5, said.Factor)
		require.Equal(t, "hull", f.Parts()[0].Name)
		require.Len(t, f.Parts(), 1)

		m, err := mesh.New(title, geom.Vec{}, [][3]float32{{0, 0, 0}, {1, 0, 0}, {0, 1, 0}}, nil)
		require.NoError(t, err)
		var b bytes.Buffer
		require.NoError(t, EncodeASCII(context.Background(), &b, tag, []*mesh.Mesh{m, m}, 0.5, geom.Pose{}, nil))
		path := filepath.Join(t.TempDir(), "made.stl")
		require.NoError(t, os.WriteFile(path, b.Bytes(), 0o600))
		f, err = Open(t.Context(), path, nil)
		require.NoError(t, err, "%q", b.String())
		require.Len(t, f.Parts(), 2)
		said, ok = deliver.ParseTag(tagIn(f))
		require.True(t, ok, "%q", b.String())
		if !strings.Contains(title, "Scantling x2") {
			require.Equal(t, 0.5, said.Factor)
		}
	}
}
