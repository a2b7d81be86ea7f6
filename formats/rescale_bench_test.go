package formats_test

import (
	"context"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scantling/engine/deliver"
	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/formats"
	"scantling/formats/formattest"
	"scantling/formats/gltf"
	"scantling/formats/obj"
	"scantling/formats/stl"
	"scantling/formats/threemf"
)

// BenchmarkSave1M saves a rescaled copy of a million triangles as the program does, under a
// temporary name, synced and renamed, and takes turns with cp and sync of the same file,
// which is the limit that the disk sets. It reports the medians of both, and by how many
// times the copy takes longer.
func BenchmarkSave1M(b *testing.B) {
	var vertices [][3]float32
	formattest.Plate(1_000_000, func(_ [3]float32, corners [3][3]float32) {
		vertices = append(vertices, corners[:]...)
	})
	plate, err := mesh.New("plate", geom.Vec{}, vertices, nil)
	require.NoError(b, err)
	plates := []*mesh.Mesh{plate}
	// About an origin, so that a text says more than float32 holds.
	off, err := mesh.New("plate", geom.Vec{1. / 3, 1. / 7, 1. / 11}, vertices, nil)
	require.NoError(b, err)
	ctx := context.Background()
	for _, c := range []struct {
		name   string
		encode func(io.Writer) error
	}{
		{"plate-binary.stl", func(w io.Writer) error { return stl.EncodeBinary(ctx, w, "a plate", plates, 1, geom.Pose{}, nil) }},
		{"plate-text.stl", func(w io.Writer) error { return stl.EncodeASCII(ctx, w, "", plates, 1, geom.Pose{}, nil) }},
		{"plate.obj", func(w io.Writer) error { return obj.Encode(ctx, w, plates, 1, geom.Pose{}, nil) }},
		{"plate-float64.obj", func(w io.Writer) error { return obj.Encode(ctx, w, []*mesh.Mesh{off}, 1, geom.Pose{}, nil) }},
		{"plate.glb", func(w io.Writer) error { return gltf.EncodeGLB(ctx, w, "", plates, 0.001, geom.Pose{}, nil) }},
		{"plate.3mf", func(w io.Writer) error {
			body := func(yield func(threemf.Body, error) bool) { yield(threemf.Body{Mesh: plate, Factor: 1}, nil) }
			return threemf.Encode(ctx, w, threemf.About{}, 1, body, nil)
		}},
	} {
		b.Run(c.name, func(b *testing.B) {
			path := filepath.Join(b.TempDir(), c.name)
			out, err := os.Create(path)
			require.NoError(b, err)
			require.NoError(b, c.encode(out))
			require.NoError(b, out.Sync())
			require.NoError(b, out.Close())
			source, err := formats.Open(ctx, path, nil)
			require.NoError(b, err)
			b.SetBytes(source.Bytes())

			folder := b.TempDir()
			var ours, cp []time.Duration
			for i := 0; b.Loop(); i++ {
				began := time.Now()
				outcomes, err := deliver.Run(ctx,
					[]deliver.Copy{{Source: source, Name: fmt.Sprint(i, c.name), Factor: 0.2173913, PerUnit: 1}},
					deliver.Options{Folder: folder}, nil)
				ours = append(ours, time.Since(began))
				require.NoError(b, err)
				require.NoError(b, outcomes[0].Err)

				b.StopTimer()
				other := filepath.Join(folder, "cp-"+fmt.Sprint(i, c.name))
				began = time.Now()
				require.NoError(b, exec.Command("cp", path, other).Run())
				require.NoError(b, exec.Command("sync", other).Run())
				cp = append(cp, time.Since(began))
				require.NoError(b, os.Remove(other))
				require.NoError(b, os.Remove(outcomes[0].Path))
				b.StartTimer()
			}
			slices.Sort(ours)
			slices.Sort(cp)
			a, l := ours[len(ours)/2], cp[len(cp)/2]
			b.ReportMetric(a.Seconds()*1e3, "ms/save")
			b.ReportMetric(l.Seconds()*1e3, "ms/cp+sync")
			b.ReportMetric(a.Seconds()/l.Seconds(), "×cp+sync")
		})
	}
}
