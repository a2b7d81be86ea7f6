package assets_test

import (
	"bytes"
	"image/png"
	"io/fs"
	"path"
	"slices"
	"testing"

	"scantling/assets"
)

func TestDemo(t *testing.T) {
	names := assets.DemoFiles()
	if len(names) < 12 || !slices.IsSorted(names) {
		t.Errorf("%d model files: %v", len(names), names)
	}
	kinds := map[string]int{}
	for _, name := range names {
		content, err := fs.ReadFile(assets.Demo(), name)
		if err != nil || len(content) == 0 {
			t.Errorf("%s: %d bytes, %v", name, len(content), err)
			continue
		}
		kind := path.Ext(name)
		if kind == ".stl" && bytes.HasPrefix(content, []byte("solid ")) {
			kind = "text " + kind
		}
		kinds[kind]++
		if kind == ".obj" && !bytes.Contains(content, []byte("\nmtllib tug.mtl\n")) {
			t.Errorf("%s does not name its paints", name)
		}
	}
	for _, kind := range []string{".stl", "text .stl", ".obj", ".glb"} {
		if kinds[kind] == 0 {
			t.Errorf("no %s file among %v", kind, names)
		}
	}
	if _, err := fs.Stat(assets.Demo(), "tug.mtl"); err != nil {
		t.Error(err)
	}
}

func TestIcon(t *testing.T) {
	config, err := png.DecodeConfig(bytes.NewReader(assets.Icon()))
	if err != nil || config.Width != 512 || config.Height != 512 {
		t.Errorf("icon is %d × %d, %v", config.Width, config.Height, err)
	}
}
