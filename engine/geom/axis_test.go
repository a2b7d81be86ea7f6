package geom

import (
	"encoding/json"
	"errors"
	"testing"
)

func TestAxisText(t *testing.T) {
	for a := X; a <= Z; a++ {
		text, err := json.Marshal(a)
		if want := `"` + a.String() + `"`; err != nil || string(text) != want {
			t.Errorf("%d is %s, %v, want %s", a, text, err, want)
		}
		back := Axis(9)
		if err := json.Unmarshal(text, &back); err != nil || back != a {
			t.Errorf("%s reads back as %d, %v", text, back, err)
		}
	}
	if a, err := ParseAxis("Y"); err != nil || a != Y {
		t.Errorf("Y is %s, %v", a, err)
	}
	for _, wrong := range []string{"", "w", "xy", "0", "Ｘ"} {
		if a, err := ParseAxis(wrong); !errors.Is(err, ErrAxis) {
			t.Errorf("%q is %s, %v", wrong, a, err)
		}
	}
	if _, err := json.Marshal(Axis(3)); !errors.Is(err, ErrAxis) {
		t.Errorf("axis 3: %v", err)
	}
}
