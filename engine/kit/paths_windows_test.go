package kit

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// A kit's file has slashes; drives and other computers are told apart, upper and lower case not.
func TestPathsOfWindows(t *testing.T) {
	folder := `C:\Users\Ann\Kits`
	for _, c := range []struct{ file, stored, read string }{
		{`C:\Users\Ann\Kits\bow\hull.stl`, "bow/hull.stl", `C:\Users\Ann\Kits\bow\hull.stl`},
		{`c:\users\ann\kits\hull.stl`, "hull.stl", `C:\Users\Ann\Kits\hull.stl`},
		{`C:\Users\Ann\parts\hull.stl`, "../parts/hull.stl", `C:\Users\Ann\parts\hull.stl`},
		{`D:\parts\Größe 1.stl`, "D:/parts/Größe 1.stl", `D:\parts\Größe 1.stl`},
		{`\\server\share\parts\hull.stl`, "//server/share/parts/hull.stl", `\\server\share\parts\hull.stl`},
	} {
		require.Equal(t, c.stored, stored(c.file, folder))
		k := Kit{}.With(Part{File: c.file, Name: "hull"})
		raw, err := encode(k, folder)
		require.NoError(t, err)
		require.Contains(t, string(raw), `"`+c.stored+`"`)
		back, err := decode("k", folder, raw)
		require.NoError(t, err)
		require.Equal(t, c.read, back.Parts[0].File)
	}
	require.True(t, SamePath(`C:\Kits\Tug.scantling`, `c:/kits/tug.SCANTLING`))
	require.False(t, SamePath(`C:\Kits\Tug.scantling`, `D:\Kits\Tug.scantling`))
}
