package main

import (
	"context"
	"io/fs"
	"math/big"
	"os"
	"path/filepath"

	"scantling/app/text"
	"scantling/assets"
	"scantling/engine/kit"
	"scantling/engine/ratio"
	"scantling/engine/ways"
)

// demoKit is what the demo begins with: the ratio at which its files were drawn, as their
// headers say, and a common one for harbour craft.
func demoKit() kit.Kit {
	native, _ := ratio.Of(big.NewRat(1, 1), big.NewRat(173, 10)) // positive, so there is no error
	target, _ := ratio.Of(big.NewRat(1, 1), big.NewRat(48, 1))
	return kit.Kit{Title: text.DemoTitle, Field: ratio.Ships, Way: ways.Way{Kind: ways.ByRatio, Native: native, Target: target}}
}

// unpackDemo puts the demo kit into the cache folder and names the folder. What lies there
// from another version is written over.
func unpackDemo(ctx context.Context) (string, error) {
	cache, err := os.UserCacheDir()
	if err != nil {
		cache = os.TempDir()
	}
	folder := filepath.Join(cache, "scantling", "demo-"+programVersion)
	demo := assets.Demo()
	err = fs.WalkDir(demo, ".", func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if ctx.Err() != nil {
			return ctx.Err()
		}
		to := filepath.Join(folder, filepath.FromSlash(path))
		if d.IsDir() {
			return os.MkdirAll(to, 0o755)
		}
		content, err := fs.ReadFile(demo, path)
		if err != nil {
			return err
		}
		return os.WriteFile(to, content, 0o644)
	})
	if err != nil {
		return "", err
	}
	return folder, nil
}
