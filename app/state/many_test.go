package state_test

import (
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scantling/app/state"
	"scantling/app/state/statetest"
	"scantling/engine/cache"
	"scantling/engine/geom"
	"scantling/engine/kit"
	"scantling/formats"
)

// ringSTL is a closed ring with a bore as binary STL, of 2·around·across triangles.
func ringSTL(at geom.Vec, radius float64, around, across int) []byte {
	point := func(i, j int) geom.Vec {
		a, b := 2*math.Pi*float64(i%around)/float64(around), 2*math.Pi*float64(j%across)/float64(across)
		r := radius * (1 + 0.3*math.Cos(b))
		return at.Add(geom.Vec{r * math.Cos(a), r * math.Sin(a), 0.3 * radius * math.Sin(b)})
	}
	var b bytes.Buffer
	b.Write(make([]byte, 80))
	b.Write(binary.LittleEndian.AppendUint32(nil, uint32(2*around*across)))
	facet := func(corners ...geom.Vec) {
		b.Write(make([]byte, 12))
		for _, c := range corners {
			for _, x := range c {
				b.Write(binary.LittleEndian.AppendUint32(nil, math.Float32bits(float32(x))))
			}
		}
		b.Write([]byte{0, 0})
	}
	for i := range around {
		for j := range across {
			facet(point(i, j), point(i+1, j), point(i+1, j+1))
			facet(point(i, j), point(i+1, j+1), point(i, j+1))
		}
	}
	return b.Bytes()
}

// kitOf puts a kit of n rings on the disk and says where it is.
func kitOf(t testing.TB, folder string, n, around, across int) string {
	t.Helper()
	var k kit.Kit
	for i := range n {
		path := filepath.Join(folder, "parts", fmt.Sprintf("ring-%03d.stl", i))
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
		at := geom.Vec{float64(i%20) * 30, float64(i/20) * 30, 0}
		require.NoError(t, os.WriteFile(path, ringSTL(at, 8+float64(i%9), around, across), 0o644))
		old := time.Now().Add(-time.Hour)
		require.NoError(t, os.Chtimes(path, old, old))
		digest, err := formats.Digest(t.Context(), path)
		require.NoError(t, err)
		k = k.With(kit.Part{File: path, Name: fmt.Sprint("ring ", i), Ticked: true, Digest: digest})
	}
	path := filepath.Join(folder, "rings.scantling")
	require.NoError(t, kit.Save(path, k))
	return path
}

// Opening of a kit of 300 parts: until the kit is on the bench, until every part's size is known,
// and until nothing is left to be done, in milliseconds. What was found out about the parts is
// kept from a first run.
func BenchmarkOpen300(b *testing.B) {
	folder := b.TempDir()
	path := kitOf(b, folder, 300, 50, 25)
	store := cache.New(filepath.Join(folder, "kept"), 512<<20)
	var on, rows, all time.Duration
	runs := -1
	for b.Loop() {
		q := statetest.NewQueue(b)
		bench := state.New(state.Config{Post: q.Post, Disk: state.Real(), Preferences: statetest.NewPreferences(), Surveys: store})
		start := time.Now()
		bench.OpenKit(path)
		q.Until("the kit is on the bench", func() bool { return len(bench.View().Parts) == 300 })
		loaded := time.Since(start)
		q.Until("every size is known", func() bool {
			for _, p := range bench.View().Parts {
				if p.State != state.Measured {
					return false
				}
			}
			return true
		})
		measured := time.Since(start)
		for left := 300; left >= 0; left -= 20 { // the first run takes minutes
			q.Until("more is known of the parts", func() bool { return bench.View().Judged.Waiting <= left })
		}
		q.Until("nothing is left to do", func() bool { return len(bench.View().Jobs) == 0 })
		if runs++; runs > 0 { // the first one fills what is kept
			on, rows, all = on+loaded, rows+measured, all+time.Since(start)
		}
	}
	if runs > 0 {
		ms := func(d time.Duration) float64 { return float64(d.Milliseconds()) / float64(runs) }
		b.ReportMetric(ms(on), "ms-kit")
		b.ReportMetric(ms(rows), "ms-rows")
		b.ReportMetric(ms(all), "ms-all")
	}
}

// A file that was read before is not read again until it has another size or time; what it was
// remembered for is never taken for what it is now.
func TestRememberedFiles(t *testing.T) {
	folder := t.TempDir()
	path := kitOf(t, folder, 2, 8, 6)
	store := cache.New(filepath.Join(folder, "kept"), 1<<20)
	open := func(d state.Disk) *scene {
		s := &scene{t: t, queue: statetest.NewQueue(t), prefs: statetest.NewPreferences()}
		s.Bench = state.New(state.Config{Post: s.queue.Post, Disk: d, Preferences: s.prefs, Surveys: store})
		s.OpenKit(path)
		s.settle()
		return s
	}
	counted := &counting{Disk: state.Real()}
	first := open(counted)
	require.Len(t, counted.opened, 2)
	counted.opened = nil
	// Nothing is read again, not even to look at the parts: the disk would refuse.
	blind := &counting{Disk: state.Real(), refuse: true}
	again := open(blind)
	for _, name := range []string{"ring 0", "ring 1"} {
		a, b := first.part(name), again.part(name)
		require.Equal(t, state.Measured, b.State)
		require.Equal(t, a.Measured, b.Measured)
		require.Equal(t, a.Bytes, b.Bytes)
		require.NoError(t, b.LookErr)
		require.Equal(t, a.Silhouettes, b.Silhouettes)
		require.Equal(t, a.Hull, b.Hull)
		require.Equal(t, a.Topology, b.Topology)
		require.Equal(t, a.Snaps, b.Snaps)
	}
	require.Empty(t, blind.opened)
	// The file is replaced by another of the same size and time: nobody can tell, until it is read.
	ring := filepath.Join(folder, "parts", "ring-000.stl")
	info, err := os.Stat(ring)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(ring, ringSTL(geom.Vec{}, 99, 8, 6), 0o644))
	require.NoError(t, os.Chtimes(ring, info.ModTime(), info.ModTime()))
	fooled := open(state.Real())
	fooled.Type(state.InFactor, "0.5")
	fooled.ChooseWay("factor")
	fooled.PlanCopies()
	fooled.SetCopyFolder(filepath.Join(folder, "out"))
	fooled.SaveCopies()
	fooled.settle()
	var fault *formats.Error
	require.ErrorAs(t, fooled.View().Saved[0].Err, &fault, "no copy of what is not known")
	require.EqualValues(t, "changed", fault.Code)
	// With another time it is read.
	require.NoError(t, os.Chtimes(ring, time.Now().Add(-2*time.Hour), time.Now().Add(-2*time.Hour)))
	require.True(t, open(state.Real()).part("ring 0").Differs)
}

// A counting disk counts what is opened, or refuses to open anything.
type counting struct {
	state.Disk
	mu     sync.Mutex
	opened []string
	refuse bool
}

func (d *counting) Open(ctx context.Context, path string, report func(float64)) (formats.File, error) {
	d.mu.Lock()
	d.opened = append(d.opened, path)
	d.mu.Unlock()
	if d.refuse {
		return nil, fs.ErrPermission
	}
	return d.Disk.Open(ctx, path, report)
}
