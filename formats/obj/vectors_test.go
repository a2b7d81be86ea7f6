package obj

import (
	"context"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/mesh"
	"scantling/formats/internal/fault"
)

const folder = "../../testdata/obj"

// vectors are the small files of testdata. Fewer than there were fail the test.
func vectors(t testing.TB) []string {
	t.Helper()
	names, err := filepath.Glob(filepath.Join(folder, "*.obj"))
	require.NoError(t, err)
	require.GreaterOrEqual(t, len(names), 51)
	return names
}

// want reads what a vector must give.
func want(t *testing.T, name string) map[string]string {
	t.Helper()
	content, err := os.ReadFile(strings.TrimSuffix(name, ".obj") + ".want")
	require.NoError(t, err)
	w := map[string]string{}
	for line := range strings.Lines(string(content)) {
		key, value, ok := strings.Cut(strings.TrimSuffix(line, "\n"), ":")
		require.True(t, ok, line)
		require.Contains(t, []string{"expect", "line", "why", "from", "encoding", "parts", "triangles", "area", "volume",
			"closed", "unit", "notes"}, key)
		w[key] = strings.TrimSpace(value)
	}
	require.NotEmpty(t, w["why"])
	require.NotEmpty(t, w["from"])
	return w
}

func TestVectors(t *testing.T) {
	for _, name := range vectors(t) {
		t.Run(filepath.Base(name), func(t *testing.T) {
			w := want(t, name)
			f, err := Open(context.Background(), name, nil)
			if w["expect"] != "ok" {
				code, line := codeOf(t, err)
				require.Equal(t, w["expect"], string(code))
				require.Equal(t, w["line"], strconv.Itoa(line))
				return
			}
			require.NoError(t, err)
			require.Equal(t, w["encoding"], f.Encoding())
			var names, triangles, closed, notes []string
			for i, p := range f.Parts() {
				names = append(names, p.Name)
				triangles = append(triangles, strconv.Itoa(p.Triangles))
				m, err := f.Mesh(context.Background(), i, nil)
				require.NoError(t, err)
				sameMeasures(t, p.Measures, mesh.MeasuresOf(m))
				topology, err := mesh.TopologyOf(context.Background(), m, nil)
				require.NoError(t, err)
				closed = append(closed, map[bool]string{true: "yes", false: "no"}[topology.Closed])
				unit := p.Unit.Name + map[bool]string{true: " declared", false: " assumed"}[p.Unit.Declared]
				require.Equal(t, w["unit"], unit)
				require.True(t, p.Surface)
			}
			for _, n := range f.Notes() {
				notes = append(notes, string(n.Code))
			}
			require.Equal(t, w["parts"], strings.Join(names, ", "))
			require.Equal(t, w["triangles"], strings.Join(triangles, ", "))
			require.Equal(t, w["closed"], strings.Join(closed, ", "))
			require.Equal(t, w["notes"], strings.Join(notes, ", "))
			areas, volumes := strings.Split(w["area"], ", "), strings.Split(w["volume"], ", ")
			require.Len(t, areas, len(names))
			require.Len(t, volumes, len(names))
			for i, p := range f.Parts() {
				area, err := strconv.ParseFloat(areas[i], 64)
				require.NoError(t, err)
				volume, err := strconv.ParseFloat(volumes[i], 64)
				require.NoError(t, err)
				require.InDelta(t, area, p.Area, 1e-12*area)
				require.InDelta(t, volume, p.Volume, 1e-12*volume)
			}
		})
	}
}

// A want without a vector is as wrong as a vector without a want.
func TestVectorsArePaired(t *testing.T) {
	vs := vectors(t)
	wants, err := filepath.Glob(filepath.Join(folder, "*.want"))
	require.NoError(t, err)
	require.Len(t, wants, len(vs))
}

// sameSurface compares what two ways measured, but for the volume: that of an open surface
// depends on where it is measured from. It gives the size.
func sameSurface(t testing.TB, a, b mesh.Measures) float64 {
	t.Helper()
	require.Equal(t, a.Triangles, b.Triangles)
	size := 0.0
	for axis := range 3 {
		s := a.Box.Max[axis] - a.Box.Min[axis]
		size = max(size, s)
		tolerance := 1e-6*s + 1e-7*math.Abs(a.Box.Max[axis]) // float32
		require.InDelta(t, a.Box.Min[axis], b.Box.Min[axis], tolerance)
		require.InDelta(t, a.Box.Max[axis], b.Box.Max[axis], tolerance)
	}
	require.InDelta(t, a.Area, b.Area, 1e-5*size*size)
	return size
}

// sameMeasures compares what two ways measured of a closed or flat surface.
func sameMeasures(t testing.TB, a, b mesh.Measures) {
	t.Helper()
	size := sameSurface(t, a, b)
	require.InDelta(t, a.Volume, b.Volume, 1e-5*size*size*size)
}

// Each small file, cut off anywhere, gives an answer or an error.
func TestEveryPrefix(t *testing.T) {
	path := filepath.Join(t.TempDir(), "part.obj")
	answers := 0
	for _, name := range vectors(t) {
		content, err := os.ReadFile(name)
		require.NoError(t, err)
		step := 1 + len(content)/300 // all of the small ones, enough of the others
		for n := 0; n < len(content); n += step {
			require.NoError(t, os.WriteFile(path, content[:n], 0o600))
			f, err := Open(context.Background(), path, nil)
			if err != nil {
				codeOf(t, err)
				continue
			}
			answers++
			require.Equal(t, string(content[:n]), rescaled(t, f, 1))
		}
	}
	require.Greater(t, answers, 100)
}

// What a factor does to each vector: nothing at 1, and exactly itself elsewhere.
func TestVectorsRescaled(t *testing.T) {
	for _, name := range vectors(t) {
		f, err := Open(context.Background(), name, nil)
		if err != nil {
			continue
		}
		content, err := os.ReadFile(name)
		require.NoError(t, err)
		require.Equal(t, string(content), rescaled(t, f, 1), name)

		twice, err := Open(context.Background(), save(t, "twice.obj", []byte(rescaled(t, f, 2))), nil)
		require.NoError(t, err, name)
		back, err := Open(context.Background(), save(t, filepath.Base(name), []byte(rescaled(t, twice, 0.5))), nil)
		require.NoError(t, err, name)
		require.Len(t, back.Parts(), len(f.Parts()))
		for i, p := range f.Parts() {
			require.Equal(t, p.Measures, back.Parts()[i].Measures, name)
			require.Equal(t, p.Box.Scale(2), twice.Parts()[i].Box, name)
			require.Equal(t, 8*p.Volume, twice.Parts()[i].Volume, name)
		}
		require.Equal(t, codes(f.Notes()), codes(back.Notes()), name)
	}
}

func codes(notes []fault.Note) []fault.NoteCode {
	var c []fault.NoteCode
	for _, n := range notes {
		c = append(c, n.Code)
	}
	slices.Sort(c)
	return c
}
