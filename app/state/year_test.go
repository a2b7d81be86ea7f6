package state_test

import (
	"crypto/sha256"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/app/state"
	"scantling/app/state/statetest"
	"scantling/engine/geom"
	"scantling/formats"
)

// A year of a kit: made, saved, its copies at 1:48, a part added, a part changed outside. Each
// time another window has it open; every copy is at the one factor, only what is new or changed
// is saved again, and no source changes by any of it.
func TestAYearOfAKit(t *testing.T) {
	if testing.Short() {
		t.Skip("takes long")
	}
	folder, out := t.TempDir(), t.TempDir()
	for _, name := range []string{"deck.stl", "mast.stl", "funnel.stl", "bollards.stl", "cowls.glb", "helm.obj"} {
		content, err := os.ReadFile(filepath.Join("../../assets/demo", name))
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(filepath.Join(folder, name), content, 0o644))
	}
	sources := func() map[string][32]byte {
		all := map[string][32]byte{}
		paths, err := filepath.Glob(filepath.Join(folder, "*.*"))
		require.NoError(t, err)
		for _, p := range paths {
			if filepath.Ext(p) == ".scantling" {
				continue
			}
			content, err := os.ReadFile(p)
			require.NoError(t, err)
			all[p] = sha256.Sum256(content)
		}
		return all
	}
	path := filepath.Join(folder, "tug.scantling")
	prefs := statetest.NewPreferences()
	open := func() *scene {
		s := &scene{t: t, queue: statetest.NewQueue(t), prefs: prefs}
		s.Bench = state.New(state.Config{Post: s.queue.Post, Disk: state.Real(), Preferences: prefs, Surveys: &surveys})
		return s
	}
	// save plans and saves; saved are the copies that were written, unchanged those that were left.
	save := func(s *scene) (saved, unchanged []string) {
		s.PlanCopies()
		s.SetCopyFolder(out)
		s.SetOverwrite(true)
		s.settle()
		require.NoError(t, s.View().Copies.Err)
		s.SaveCopies()
		s.settle()
		for _, o := range s.View().Saved {
			require.NoError(t, o.Err)
			require.True(t, o.Verified || o.Unchanged, o.Path)
			if o.Unchanged {
				unchanged = append(unchanged, filepath.Base(o.Path))
			} else {
				saved = append(saved, filepath.Base(o.Path))
			}
		}
		s.SaveKit("")
		s.settle()
		require.NoError(t, s.View().Notice)
		return saved, unchanged
	}

	// Made and saved.
	one := open()
	one.Open([]string{folder})
	one.settle()
	one.Rename("Harbour tug")
	one.Type(state.InNative, "1:17.3")
	one.Type(state.InTarget, "1:48")
	one.SaveKit(path)
	one.settle()
	before := sources()
	saved, unchanged := save(one)
	require.Len(t, saved, 6)
	require.Empty(t, unchanged)
	require.Equal(t, before, sources())

	// A part is added next year.
	require.NoError(t, os.WriteFile(filepath.Join(folder, "anchor.stl"), boxSTL(t, geom.Vec{48, 24, 9.6}), 0o644))
	two := open()
	two.OpenKit(path)
	two.settle()
	require.Empty(t, two.View().Sources.Changed)
	two.Open([]string{filepath.Join(folder, "anchor.stl")})
	two.settle()
	factor := two.View().Result.Factor.Float()
	require.InDelta(t, 17.3/48, factor, 1e-15)
	require.InDelta(t, 48*factor, two.part("anchor").Print[0], 1e-9)
	saved, unchanged = save(two)
	require.Equal(t, []string{"anchor-1-48.stl"}, saved)
	require.Len(t, unchanged, 6)

	// A part is changed outside.
	require.NoError(t, os.WriteFile(filepath.Join(folder, "funnel.stl"), boxSTL(t, geom.Vec{75, 48, 130}), 0o644))
	before = sources()
	three := open()
	three.OpenKit(path)
	three.settle()
	require.Len(t, three.View().Sources.Changed, 1)
	require.Equal(t, three.part("funnel").ID, three.View().Sources.Changed[0].ID)
	three.AcceptChanged()
	saved, unchanged = save(three)
	require.Equal(t, []string{"funnel-1-48.stl"}, saved)
	require.Len(t, unchanged, 6)
	require.Equal(t, before, sources())

	// All that lies there is the kit at the one factor, as the list of copies says.
	four := open()
	four.OpenKit(path)
	four.settle()
	require.Empty(t, four.View().Sources.Changed)
	newest := map[string]bool{}
	for _, m := range four.View().Made {
		if newest[m.Path()] {
			continue
		}
		newest[m.Path()] = true
		require.True(t, m.Factor.Equal(four.View().Result.Factor))
		f, err := formats.Open(t.Context(), m.Path(), nil)
		require.NoError(t, err)
		for i, p := range f.Parts() {
			for _, q := range four.View().Parts {
				if q.ID == m.Parts[min(i, len(m.Parts)-1)] && len(m.Parts) == len(f.Parts()) {
					want := q.Measured.Box.Size().Scale(factor)
					for axis, size := range p.Box.Size() {
						require.InDelta(t, want[axis], size, 1e-4*want.Len(), "%s %s", m.Path(), p.Name)
					}
				}
			}
		}
	}
	require.Len(t, newest, 7)
}
