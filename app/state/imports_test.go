package state

import (
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// The bench stands above engine and formats and below every window: it knows no widget and
// no words.
func TestImports(t *testing.T) {
	files := 0
	err := filepath.WalkDir(".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return err
		}
		files++
		f, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.ImportsOnly)
		if err != nil {
			return err
		}
		for _, s := range f.Imports {
			name, err := strconv.Unquote(s.Path.Value)
			if err != nil {
				return err
			}
			standard := !strings.Contains(strings.SplitN(name, "/", 2)[0], ".") && !strings.HasPrefix(name, "scantling/")
			below := strings.HasPrefix(name, "scantling/engine/") || name == "scantling/formats" ||
				name == "scantling/app/state" && strings.HasPrefix(path, "statetest")
			if !standard && !below {
				t.Errorf("%s imports %q", path, name)
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if files < 10 {
		t.Fatalf("only %d files found", files)
	}
}
