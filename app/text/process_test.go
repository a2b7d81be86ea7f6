package text

import (
	"testing"

	"scantling/engine/process"
)

// However a process to begin with is shown, that writing stands for it.
func TestProcessTyped(t *testing.T) {
	for _, p := range process.Presets() {
		key := p.Process.Name
		if got := ProcessTyped("  " + ProcessName(key)); got != key {
			t.Errorf("%q stands for %q, want %q", ProcessName(key), got, key)
		}
	}
	for typed, want := range map[string]string{"resin IN a vat": "resin", " mine ": "mine", "resin": "resin", "": ""} {
		if got := ProcessTyped(typed); got != want {
			t.Errorf("%q stands for %q, want %q", typed, got, want)
		}
	}
}
