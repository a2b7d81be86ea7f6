package engine_test

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

// allowed is what a room of the engine may import besides the engine itself: what computes,
// and nothing that reaches files, windows, the clock or the net.
func allowed() []string {
	return []string{
		"bytes", "cmp", "container/heap", "context", "crypto/sha256", "encoding", "encoding/binary", "encoding/hex",
		"encoding/json", "errors", "fmt", "hash/fnv",
		"image", "image/color", "image/draw", "iter", "maps", "math", "math/big", "math/bits", "math/rand/v2", "path",
		"runtime", "runtime/debug", "slices", "sort", "strconv", "strings", "sync", "sync/atomic",
		"unicode", "unicode/utf16", "unicode/utf8",
	}
}

// delivering is what saving may import besides: for digests, and for names as file systems
// take them.
func delivering() []string {
	return []string{"github.com/cespare/xxhash/v2", "golang.org/x/sys/unix", "golang.org/x/text/cases", "golang.org/x/text/unicode/norm"}
}

// keeping is what surveying may import besides, to write down what is kept of it.
func keeping() []string { return []string{"compress/flate", "encoding/gob", "io"} }

// onDisk is what the rooms that may touch the disk, deliver, kit and cache, may import
// besides.
func onDisk() []string {
	return []string{"io", "io/fs", "os", "path/filepath", "syscall", "time"}
}

// mayImport reports whether a room of the engine may import the package.
func mayImport(room, name string) bool {
	switch {
	case name == "scantling/engine", strings.HasPrefix(name, "scantling/engine/"), slices.Contains(allowed(), name):
		return true
	case room == "deliver" && slices.Contains(delivering(), name):
		return true
	case room == "survey" && slices.Contains(keeping(), name):
		return true
	case room == "deliver", room == "kit", room == "cache":
		return slices.Contains(onDisk(), name)
	}
	return false
}

// The engine knows shapes and numbers; formats, files and windows are others' work.
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
		room, _, _ := strings.Cut(filepath.ToSlash(path), "/")
		for _, s := range f.Imports {
			name, err := strconv.Unquote(s.Path.Value)
			if err != nil {
				return err
			}
			if !mayImport(room, name) {
				t.Errorf("%s imports %q", path, name)
			}
		}
		return nil
	})
	if err != nil || files == 0 {
		t.Fatalf("%d files, %v", files, err)
	}
}

// The guard lets no room reach what is not its own.
func TestMayImport(t *testing.T) {
	for _, c := range []struct {
		room, name string
		want       bool
	}{
		{"ratio", "math/big", true}, {"judge", "scantling/engine/ratio", true}, {"kit", "os", true}, {"cache", "os", true}, {"survey", "os", false}, {"survey", "io", true}, {"deliver", "io/fs", true},
		{"ratio", "os", false}, {"mesh", "io", false}, {"judge", "path/filepath", false}, {"kit", "net/http", false},
		{"ways", "scantling/formats", false}, {"kit", "scantling/app/text", false}, {"mesh", "scantling/engineering", false},
		{"ratio", "fyne.io/fyne/v2", false},
	} {
		if mayImport(c.room, c.name) != c.want {
			t.Errorf("%s may import %s: %t", c.room, c.name, !c.want)
		}
	}
}
