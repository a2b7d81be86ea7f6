package state_test

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/app/state"
	"scantling/engine/hardware"
	"scantling/engine/judge"
)

// The deck's twelve holes were drawn for M3 screws. The maker says otherwise of one, and of all
// that are alike; both can be undone, and the kit keeps them.
func TestBoresAreNamed(t *testing.T) {
	s, folder := onDisk(t)
	deck, err := filepath.Abs("../../assets/demo/deck.stl")
	require.NoError(t, err)
	s.Open([]string{deck})
	s.settle()
	s.Type(state.InNative, "1:17.3")
	s.Type(state.InTarget, "1:48")
	s.settle()
	p := s.part("deck")
	require.NotNil(t, p.Found)
	require.False(t, p.Found.Coarse)
	require.Len(t, p.Found.Bores, 12)
	require.Len(t, p.BoresAlike(3), 12)
	require.Nil(t, p.BoresAlike(12))
	use := func(bore int) judge.Use {
		u, ok := s.View().Judged.UseOf(p.ID, bore)
		require.True(t, ok)
		return u
	}
	require.Equal(t, "m3", use(3).Item.Key)
	require.False(t, use(3).Said)
	count := func(item string) (n int) {
		for _, f := range s.View().Judged.Findings {
			if f.Code == judge.BoreSmall && f.Item == item {
				n++
			}
		}
		return n
	}
	require.Equal(t, 12, count("m3"))

	s.NameBores(p.ID, []int{3}, "m2")
	require.Equal(t, state.StepBores, s.View().Undo)
	require.Equal(t, "m2", use(3).Item.Key)
	require.True(t, use(3).Said)
	require.Equal(t, 11, count("m3"))
	require.Equal(t, 1, count("m2"))
	m2, _ := hardware.Find("m2")
	for _, f := range s.View().Judged.Findings {
		if f.Item == "m2" {
			require.Equal(t, m2.Drill, f.Drill)
			require.False(t, f.Guess)
		}
	}
	s.NameBores(p.ID, p.BoresAlike(0), "")
	require.Zero(t, count("m3")+count("m2"))
	require.True(t, use(7).Said)
	require.Empty(t, use(7).Item.Key)
	s.Undo()
	require.Equal(t, 1, count("m2"), "in one step")
	s.ForgetBores(p.ID, []int{3})
	require.Equal(t, 12, count("m3"))
	s.Undo()

	path := filepath.Join(folder, "deck.scantling")
	s.SaveKit(path)
	s.settle()
	again, _ := onDisk(t)
	again.Open([]string{path})
	again.settle()
	u, ok := again.View().Judged.UseOf(again.part("deck").ID, 3)
	require.True(t, ok)
	require.Equal(t, "m2", u.Item.Key)

	before := s.View().Undo
	s.NameBores("nobody", []int{0}, "m2")
	s.NameBores(p.ID, []int{-1, 99}, "m2")
	require.Equal(t, before, s.View().Undo)
	_, ok = s.View().Judged.UseOf("nobody", 0)
	require.False(t, ok)
}
