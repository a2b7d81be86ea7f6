package formats

import (
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// Formats stand on the engine's shapes and on nothing above.
func TestImports(t *testing.T) {
	allowed := []string{
		"scantling/engine/geom", "scantling/engine/mesh", "scantling/engine/deliver", "scantling/formats",
		"github.com/cespare/xxhash/v2", "github.com/hschendel/stl", "github.com/qmuntal/gltf",
	}
	files := 0
	err := filepath.WalkDir(".", func(path string, d fs.DirEntry, err error) error {
		if d != nil && d.Name() == "formattest" { // for tests only
			return fs.SkipDir
		}
		if err != nil || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return err
		}
		files++
		f, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.ImportsOnly)
		if err != nil {
			return err
		}
		for _, s := range f.Imports {
			name, _ := strconv.Unquote(s.Path.Value)
			ours, _, _ := strings.Cut(name, "/")
			standard := ours != "scantling" && !strings.Contains(ours, ".")
			if !standard && !slices.ContainsFunc(allowed, func(a string) bool { return name == a || strings.HasPrefix(name, a+"/") }) {
				t.Errorf("%s imports %q", path, name)
			}
		}
		return nil
	})
	if err != nil || files < 10 {
		t.Fatal(err, files)
	}
}
