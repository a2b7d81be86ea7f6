package ui

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/go-text/typesetting/fontscan"
	"github.com/stretchr/testify/require"
	"golang.org/x/image/font/gofont/goregular"
)

// A font of the computer's is used where it can be set; anything else is as if it were not there.
func TestFontsOfTheComputer(t *testing.T) {
	folder := t.TempDir()
	put := func(name string, data []byte) fontscan.Location {
		path := filepath.Join(folder, name)
		require.NoError(t, os.WriteFile(path, data, 0o644))
		return fontscan.Location{File: path}
	}
	f, file := readFont(put("whole.ttf", goregular.TTF))
	require.NotNil(t, f)
	defer file.Close() // or the folder cannot be removed everywhere
	i, err := f.GlyphIndex(nil, 'ß')
	require.NoError(t, err)
	require.NotZero(t, i)

	beyond := put("whole.ttf", goregular.TTF)
	beyond.Index = 3
	for name, at := range map[string]fontscan.Location{
		"cut short": put("cut.ttf", goregular.TTF[:300]),
		"no font":   put("none.ttf", []byte("solid hull")),
		"empty":     put("empty.ttf", nil),
		"gone":      {File: filepath.Join(folder, "gone.ttf")},
		"no member": beyond,
	} {
		f, _ := readFont(at)
		require.Nil(t, f, name)
	}
}
