package kit

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// Sessions are told apart however coarse the clock is, and in folders of any name.
func TestSessionsAreToldApart(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "open [1]")
	var all []*Session
	for range 100 {
		s := NewSession(folder, nil)
		require.NoError(t, s.Keep(Note{Title: "Tug", Parts: len(all)}))
		all = append(all, s)
	}
	others := all[0].Others()
	require.Len(t, others, 99)
	for _, o := range others {
		require.True(t, o.Open)
	}
	for _, s := range all {
		s.End()
	}
	require.Empty(t, all[0].Others())
}
