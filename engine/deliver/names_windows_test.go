package deliver

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestFoldersOnDrives(t *testing.T) {
	for _, c := range []struct{ paths, want []string }{
		{[]string{`C:\kit\hull.stl`, `c:\KIT\bow\fender.stl`}, []string{"", "bow"}},
		{[]string{`C:\kit\hull.stl`, `D:\kit\mast.stl`}, []string{"C-/kit", "D-/kit"}},
		{[]string{`\\server\share\kit\hull.stl`, `\\Server\Share\kit\bow\fender.stl`}, []string{"", "bow"}},
		{[]string{`C:\kit\hull.stl`, `\\server\share\mast.stl`}, []string{"C-/kit", "server/share"}},
		{[]string{`C:/kit/con/hull.stl`, `C:\kit\mast.stl`}, []string{"_con", ""}},
	} {
		var copies []Copy
		for _, p := range c.paths {
			copies = append(copies, Copy{Source: &model{path: p}})
		}
		Folders(copies)
		for i, want := range c.want {
			require.Equal(t, want, copies[i].Folder, c.paths)
		}
	}
}
