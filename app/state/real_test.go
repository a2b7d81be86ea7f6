package state_test

import (
	"bytes"
	"encoding/binary"
	"errors"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/app/state"
	"scantling/app/state/statetest"
	"scantling/engine/deliver"
	"scantling/engine/geom"
	"scantling/engine/process"
	"scantling/engine/ways"
	"scantling/formats"
)

// boxSTL is a closed box from the origin as binary STL.
func boxSTL(t *testing.T, size geom.Vec) []byte {
	t.Helper()
	disk := statetest.NewDisk()
	m, err := disk.Box("box.stl", size).Mesh(t.Context(), 0, nil)
	require.NoError(t, err)
	var b bytes.Buffer
	b.Write(make([]byte, 80))
	require.NoError(t, binary.Write(&b, binary.LittleEndian, uint32(m.Len())))
	for i := range m.Len() {
		facet := [12]float32{}
		p, q, r := m.Triangle(i)
		for k, v := range []geom.Vec{p, q, r} {
			for axis, c := range v {
				facet[3+3*k+axis] = float32(c)
			}
		}
		require.NoError(t, binary.Write(&b, binary.LittleEndian, facet))
		b.Write([]byte{0, 0})
	}
	return b.Bytes()
}

// onDisk is a bench on the real disk, with a folder of two good models, a bad one and what
// is no model.
func onDisk(t *testing.T) (s *scene, folder string) {
	folder = t.TempDir()
	write := func(name string, content []byte) {
		path := filepath.Join(folder, filepath.FromSlash(name))
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
		require.NoError(t, os.WriteFile(path, content, 0o644))
	}
	hull := boxSTL(t, geom.Vec{412, 96, 88})
	write("hull.stl", hull)
	write("rig/mast.stl", boxSTL(t, geom.Vec{6, 6, 180}))
	write("rig/cut.stl", hull[:200])
	write("rig/readme.txt", []byte("no model"))
	write(".hidden/old.stl", hull)
	s = &scene{t: t, queue: statetest.NewQueue(t), prefs: statetest.NewPreferences()}
	s.Bench = state.New(state.Config{Post: s.queue.Post, Disk: state.Real(), Preferences: s.prefs, Surveys: &surveys})
	return s, folder
}

func TestARealFolder(t *testing.T) {
	s, folder := onDisk(t)
	s.Open([]string{folder})
	s.settle()
	require.NoError(t, s.View().Notice)
	require.Equal(t, []string{"hull", "cut", "mast"}, s.names())
	require.Equal(t, state.Failed, s.part("cut").State)
	var fault *formats.Error
	require.ErrorAs(t, s.part("cut").Err, &fault)
	require.EqualValues(t, "truncated", fault.Code)
	hull := s.part("hull")
	require.Equal(t, geom.Vec{412, 96, 88}, hull.Drawn)
	require.NoError(t, hull.LookErr)
	require.True(t, hull.Topology.Closed)
	require.InDelta(t, 412*96*88, hull.Measured.Volume, 1e-3)
}

func TestARealSave(t *testing.T) {
	s, folder := onDisk(t)
	s.Open([]string{folder})
	s.settle()
	before, err := os.ReadFile(filepath.Join(folder, "hull.stl"))
	require.NoError(t, err)
	s.Type(state.InNative, "1:12")
	s.Type(state.InTarget, "1:48")
	out := filepath.Join(folder, "out")
	for _, as := range []formats.Kind{"", formats.OBJ, formats.GLB} {
		s.PlanCopies()
		s.SetCopyFolder(out)
		s.SetCopyFormat(as)
		require.NoError(t, s.View().Copies.Err)
		s.SaveCopies()
		s.settle()
		require.Len(t, s.View().Saved, 2)
		for _, o := range s.View().Saved {
			require.NoError(t, o.Err, "as %q", as)
			require.True(t, o.Verified)
		}
	}
	copied, err := os.ReadFile(filepath.Join(out, "hull-1-48.stl"))
	require.NoError(t, err)
	require.Len(t, copied, len(before))
	longest := float32(0)
	for at := 84; at < len(copied); at += 50 {
		for corner := 12; corner < 48; corner += 4 {
			longest = max(longest, math.Float32frombits(binary.LittleEndian.Uint32(copied[at+corner:])))
		}
	}
	require.InDelta(t, 103, longest, 1e-5)
	after, err := os.ReadFile(filepath.Join(folder, "hull.stl"))
	require.NoError(t, err)
	require.Equal(t, before, after, "a source stays as it is")

	s.PlanCopies() // what has not changed is left alone, as the kit's list of copies has it
	require.Equal(t, formats.GLB, s.View().Copies.As, "as it was chosen the last time")
	s.SetCopyFormat("")
	s.queue.Until("the folder is looked up", func() bool { return s.View().Copies.Names[0].Exists })
	require.True(t, s.View().Copies.Names[0].Unchanged)
	s.SaveCopies()
	s.settle()
	require.NoError(t, s.View().Saved[0].Err)
	require.True(t, s.View().Saved[0].Unchanged)

	copied[len(copied)-1] ^= 1
	require.NoError(t, os.WriteFile(filepath.Join(out, "hull-1-48.stl"), copied, 0o666))
	s.PlanCopies() // and nothing else is replaced unless that is said
	s.queue.Until("the folder is looked up", func() bool { return s.View().Copies.Names[0].Exists })
	require.False(t, s.View().Copies.Names[0].Unchanged)
	s.SaveCopies()
	s.settle()
	require.Error(t, s.View().Saved[0].Err)
}

func TestARealKit(t *testing.T) {
	s, folder := onDisk(t)
	s.Open([]string{folder})
	s.settle()
	s.Type(state.InNative, "1:12")
	s.Type(state.InTarget, "1:87.1")
	s.Tick(s.part("mast").ID, false)
	path := filepath.Join(folder, "tug.scantling")
	s.SaveKit(path)
	s.settle()
	require.NoError(t, s.View().Notice)
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	require.NotContains(t, string(text), folder, "paths are relative to the kit")
	require.NoError(t, os.Remove(filepath.Join(folder, "rig", "mast.stl")))

	s.NewKit()
	s.OpenKit(path)
	s.settle()
	require.Equal(t, []string{"hull", "cut", "mast"}, s.names())
	require.Equal(t, "1:87.1", s.View().Typed[state.InTarget])
	require.Equal(t, "1:12", s.View().Typed[state.InNative])
	require.Equal(t, state.Failed, s.part("mast").State, "a file that is gone stays a part of the kit")
	require.False(t, s.part("mast").Ticked)
	require.False(t, s.View().Unsaved)
	require.Equal(t, state.Measured, s.part("hull").State)
}

func TestAFolderThatIsNone(t *testing.T) {
	s, folder := onDisk(t)
	s.Open([]string{folder})
	s.settle()
	s.Type(state.InFactor, "0.5")
	s.ChooseWay(ways.ByFactor)
	s.PlanCopies()
	s.SetCopyFolder(filepath.Join(folder, "hull.stl"))
	s.SaveCopies()
	s.settle()
	var refused *deliver.Error
	require.True(t, errors.As(s.View().Notice, &refused) || len(s.View().Saved) > 0 && errors.As(s.View().Saved[0].Err, &refused))
	require.Equal(t, deliver.NoFolder, refused.Code)
}

// The correction of the process is off until the maker turns it on; then copies have it, say
// so, and the kit remembers.
func TestARealCorrection(t *testing.T) {
	s, folder := onDisk(t)
	s.Open([]string{folder})
	s.settle()
	s.Tick(s.part("mast").ID, false)
	s.Type(state.InNative, "1:12")
	s.Type(state.InTarget, "1:48")
	out := filepath.Join(folder, "out")
	save := func() deliver.Outcome {
		s.PlanCopies()
		s.SetCopyFolder(out)
		s.SetOverwrite(true)
		s.SaveCopies()
		s.settle()
		require.NoError(t, s.View().Saved[0].Err)
		require.True(t, s.View().Saved[0].Verified)
		return s.View().Saved[0]
	}
	s.CorrectCopies(true)
	require.False(t, s.View().Judged.Process.Correction.On, "there is nothing to correct by")
	for f, typed := range map[process.Field]string{process.ShrinkageX: "0.4 %", process.ShrinkageY: "0.4%", process.ShrinkageZ: "0.002"} {
		require.NoError(t, s.TypeProcess(f, typed))
	}
	s.CorrectShrinkage()
	by := geom.Vec{1 / 0.996, 1 / 0.996, 1 / 0.998}
	c := s.View().Judged.Process.Correction
	require.False(t, c.On)
	require.InDelta(t, 0, c.Scale.Sub(by).Len(), 1e-12)
	require.Equal(t, geom.Vec{1, 1, 1}, save().Copy.Correction)
	s.CorrectCopies(true)
	o := save()
	require.Equal(t, c.Scale, o.Copy.Correction)
	f, err := formats.Open(t.Context(), o.Path, nil)
	require.NoError(t, err)
	size := f.Parts()[0].Box.Size()
	for axis, drawn := range [3]float64{412, 96, 88} {
		require.InEpsilon(t, drawn/4*by[axis], size[axis], 1e-6)
	}
	head, err := os.ReadFile(o.Path)
	require.NoError(t, err)
	require.Contains(t, string(head[:80]), "corrected x1.004")
	require.Equal(t, geom.Vec{103, 24, 22}, s.part("hull").Print, "the size of the finished print stays")
	require.ErrorIs(t, s.TypeProcess(process.CorrectionX, "2"), process.ErrCorrection)

	path := filepath.Join(folder, "tug.scantling")
	s.SaveKit(path)
	s.settle()
	again, _ := onDisk(t)
	again.Open([]string{path})
	again.settle()
	require.Equal(t, process.Correction{On: true, Scale: c.Scale}, again.View().Judged.Process.Correction)
	s.Undo()
	require.False(t, s.View().Judged.Process.Correction.On)
}
