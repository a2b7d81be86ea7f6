package main

import (
	"bytes"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"scantling/app/text"
	"scantling/assets"
)

// The packaging tools read FyneApp.toml; the program must say the same of itself.
func TestIdentityIsThatOfThePackage(t *testing.T) {
	content, err := os.ReadFile("../FyneApp.toml")
	if err != nil {
		t.Fatal(err)
	}
	got := map[string]string{}
	for _, line := range strings.Split(string(content), "\n") {
		if key, value, ok := strings.Cut(line, "="); ok {
			got[strings.TrimSpace(key)] = strings.Trim(strings.TrimSpace(value), `"`)
		}
	}
	for key, want := range map[string]string{"ID": programID, "Name": text.Program, "Version": programVersion} {
		if got[key] != want {
			t.Errorf("FyneApp.toml has %s = %q, the program %q", key, got[key], want)
		}
	}
}

// The demo kit begins at the ratio that its files say they were drawn at, and unpacks to
// files that are there in full.
func TestDemoKit(t *testing.T) {
	t.Setenv("XDG_CACHE_HOME", t.TempDir())
	t.Setenv("HOME", t.TempDir())
	t.Setenv("LocalAppData", t.TempDir())
	folder, err := unpackDemo(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range assets.DemoFiles() {
		got, err := os.ReadFile(filepath.Join(folder, name))
		if err != nil {
			t.Fatal(err)
		}
		want, err := fs.ReadFile(assets.Demo(), name)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(got, want) {
			t.Errorf("%s is not what is embedded", name)
		}
	}
	hull, err := os.ReadFile(filepath.Join(folder, "hull.stl"))
	if err != nil {
		t.Fatal(err)
	}
	if says := "drawn at " + demoKit().Way.Native.String(); !bytes.Contains(hull[:80], []byte(says)) {
		t.Errorf("the hull's header is %q, without %q", hull[:80], says)
	}
}
