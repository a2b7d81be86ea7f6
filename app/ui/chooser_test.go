package ui

import (
	"context"
	"errors"
	"testing"

	"github.com/stretchr/testify/require"
)

// A told chooser gives the same answer whatever it is asked.
type told struct {
	path string
	err  error
}

func (f told) Files(context.Context, Ask) ([]string, error) { return []string{f.path}, f.err }
func (f told) Folder(context.Context, Ask) (string, error)  { return f.path, f.err }
func (f told) Save(context.Context, Ask) (string, error)    { return f.path, f.err }

// A dialog that does not start is no dead end; one that was cancelled is not asked again.
func TestChooserFallsBack(t *testing.T) {
	broken := errors.New("exit status 255")
	for name, c := range map[string]struct {
		first, second told
		want          string
		err           error
	}{
		"answered":  {told{"a", nil}, told{"b", nil}, "a", nil},
		"cancelled": {told{"", nil}, told{"b", nil}, "", nil},
		"broken":    {told{"", broken}, told{"b", nil}, "b", nil},
		"both":      {told{"", broken}, told{"", broken}, "", broken},
	} {
		e := either{c.first, c.second}
		got, err := e.Save(context.Background(), Ask{})
		require.Equal(t, c.want, got, name)
		require.Equal(t, c.err, err, name)
		got, err = e.Folder(context.Background(), Ask{})
		require.Equal(t, c.want, got, name)
		require.Equal(t, c.err, err, name)
		files, err := e.Files(context.Background(), Ask{})
		require.Equal(t, []string{c.want}, files, name)
		require.Equal(t, c.err, err, name)
	}
}
