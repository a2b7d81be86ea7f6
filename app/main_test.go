package main

import (
	"os"
	"strings"
	"testing"

	"scantling/app/text"
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
