// Package assets holds what the program carries with it: its icon and the demo kit, a
// harbour tug of our own invention. Both are drawn by the programs in icon and demo/make.
package assets

//go:generate go run scantling/assets/demo/make -to demo
//go:generate go run scantling/assets/icon -to icon.png

import (
	"embed"
	"io/fs"
	"path"
)

//go:embed icon.png
var icon []byte

//go:embed demo/*.stl demo/*.obj demo/*.mtl demo/*.glb
var demo embed.FS

// Icon is the program's icon: a PNG of 512 × 512 pixels.
func Icon() []byte { return icon }

// Demo is the folder of the demo kit: its model files and what belongs to them. All parts
// stand where they belong in the assembled tug. STL and OBJ files are in mm with z up, GLB
// files in metres with y up; x points forward in both.
func Demo() fs.FS {
	folder, err := fs.Sub(demo, "demo")
	if err != nil {
		panic(err) // the path is a constant
	}
	return folder
}

// DemoFiles are the names of the demo kit's model files, in order of name.
func DemoFiles() []string {
	entries, err := fs.ReadDir(demo, "demo")
	if err != nil {
		panic(err) // it is embedded
	}
	var names []string
	for _, e := range entries {
		if path.Ext(e.Name()) != ".mtl" {
			names = append(names, e.Name())
		}
	}
	return names
}
