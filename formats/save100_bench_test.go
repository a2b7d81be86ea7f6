package formats_test

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scantling/engine/deliver"
	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/formats"
	"scantling/formats/formattest"
	"scantling/formats/stl"
)

// BenchmarkSave100 saves copies of 100 parts of 100,000 triangles each, half a gigabyte, in one
// run, and takes turns with cp and sync of the same files. It reports the medians of both, by how
// many times saving takes longer, and the most memory that the process held while it saved, read
// back to verify or not.
func BenchmarkSave100(b *testing.B) {
	ctx := context.Background()
	var corners [][3]float32
	formattest.Plate(100_000, func(_ [3]float32, c [3][3]float32) { corners = append(corners, c[:]...) })
	plate, err := mesh.New("plate", geom.Vec{}, corners, nil)
	require.NoError(b, err)
	in := b.TempDir()
	var content bytes.Buffer
	require.NoError(b, stl.EncodeBinary(ctx, &content, "a plate", []*mesh.Mesh{plate}, 1, geom.Pose{}, nil))
	var copies []deliver.Copy
	var paths []string
	for i := range 100 {
		path := filepath.Join(in, fmt.Sprintf("part-%03d.stl", i))
		require.NoError(b, os.WriteFile(path, content.Bytes(), 0o666))
		copies = append(copies, deliver.Copy{Name: filepath.Base(path), Factor: 0.2173913, PerUnit: 1, Tag: "Scantling x0.2173913"})
		paths = append(paths, path)
	}
	size := int64(100 * content.Len())
	corners, plate, content = nil, nil, bytes.Buffer{}
	for _, c := range []struct {
		name   string
		verify deliver.Open
	}{
		{"saved", nil},
		{"verified", formats.ReadBack},
	} {
		b.Run(c.name, func(b *testing.B) {
			b.SetBytes(size)
			var ours, cp []time.Duration
			most := 0.0
			for b.Loop() {
				b.StopTimer()
				for i, path := range paths { // a file that was saved before knows more of itself
					f, err := formats.Open(ctx, path, nil)
					require.NoError(b, err)
					copies[i].Source = f
				}
				b.StartTimer()
				forgetPeak()
				out := filepath.Join(b.TempDir(), "ours")
				began := time.Now()
				outcomes, err := deliver.Run(ctx, copies, deliver.Options{Folder: out, Verify: c.verify}, nil)
				ours = append(ours, time.Since(began))
				most = max(most, peakMB())
				require.NoError(b, err)
				for _, o := range outcomes {
					require.NoError(b, o.Err)
				}
				require.NoError(b, os.RemoveAll(out))

				b.StopTimer()
				other := filepath.Join(b.TempDir(), "cp")
				require.NoError(b, os.Mkdir(other, 0o777))
				began = time.Now()
				require.NoError(b, exec.Command("cp", append(slices.Clone(paths), other)...).Run())
				names, err := filepath.Glob(filepath.Join(other, "*"))
				require.NoError(b, err)
				require.NoError(b, exec.Command("sync", names...).Run())
				cp = append(cp, time.Since(began))
				require.NoError(b, os.RemoveAll(other))
				b.StartTimer()
			}
			slices.Sort(ours)
			slices.Sort(cp)
			a, l := ours[len(ours)/2], cp[len(cp)/2]
			b.ReportMetric(a.Seconds(), "s/save")
			b.ReportMetric(l.Seconds(), "s/cp+sync")
			b.ReportMetric(l.Seconds()/a.Seconds(), "×speed-of-cp")
			b.ReportMetric(most, "MB-peak")
		})
	}
}

// forgetPeak makes the system count the most memory anew, where it can.
func forgetPeak() { _ = os.WriteFile("/proc/self/clear_refs", []byte("5"), 0) }

// peakMB is the most memory that the process held, 0 where the system does not say.
func peakMB() float64 {
	status, err := os.ReadFile("/proc/self/status")
	if err != nil {
		return 0
	}
	for line := range strings.Lines(string(status)) {
		if rest, ok := strings.CutPrefix(line, "VmHWM:"); ok {
			kb, _ := strconv.ParseFloat(strings.Fields(rest)[0], 64)
			return kb / 1024
		}
	}
	return 0
}
