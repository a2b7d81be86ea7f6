package ways

import (
	"regexp"
	"slices"
	"testing"

	"scantling/engine/ratio"
)

// Every object can be a clue: it has a size, a spread that is not most of it, a source and how
// well that is backed, and a key that only it has.
func TestObjects(t *testing.T) {
	keys := map[string]bool{}
	kebab := regexp.MustCompile(`^[a-z0-9]+(-[a-z0-9]+)*$`)
	backings := []ratio.Status{ratio.Seen, ratio.Computed, ratio.SeenSecondHand, ratio.CommonPractice, ratio.Memory}
	groups := map[Group]int{}
	for _, o := range Objects() {
		if !kebab.MatchString(o.Key) || keys[o.Key] {
			t.Errorf("key %q", o.Key)
		}
		keys[o.Key] = true
		groups[o.Group]++
		if !(o.MM > 0) || !(o.SD > 0) || o.SD > 0.15*o.MM || o.Source == "" || !slices.Contains(backings, o.Status) || !slices.Contains(Bases(), o.Basis) {
			t.Errorf("%+v", o)
		}
		if found, err := FindObject(o.Key); err != nil || found != o {
			t.Errorf("%s finds %s, %v", o.Key, found.Key, err)
		}
		if _, err := (Clue{Drawn: o.MM / 48, RealMM: o.MM, RealSD: o.SD}).Estimate(); err != nil {
			t.Errorf("%s: %v", o.Key, err)
		}
	}
	for _, g := range Groups() {
		if groups[g] == 0 {
			t.Errorf("nothing in %s", g)
		}
	}
	if len(groups) != len(Groups()) || len(keys) < 80 {
		t.Errorf("%d groups, %d objects", len(groups), len(keys))
	}
}

// A sample of the table against its sources.
func TestObjectValues(t *testing.T) {
	for _, c := range []struct {
		key    string
		mm, sd float64
	}{
		{"man-standing", 1756.2, 68.6}, {"woman-seated", 856.6, 33.1}, // ANSUR II
		{"person-standing", 1692.35, 92.1}, // half of each: √((68.6² + 64.2²)/2 + 63.85²)
		{"man-standing-in-shoes", 1781.2, 68.6},
		{"man-eye-height", 1630, 62.3}, // DIN 33402-2: (1735 - 1530)/(2 · 1.645)
		{"stair-riser", 185, 20.2},     // 150 to 220, half by √3
		{"guard-rail", 1067, 43.9},     // 42 ± 3 in
		{"rail-gauge", 1435, 5}, {"pallet-length", 1200, 1.73}, {"container-20-ft-length", 6058, 5.77}, {"bicycle-wheel", 672, 2.89},
		{"door-leaf", 2029.6, 52.3}, // of 1981, 1985, 2032, 2040, 2110
		{"car-tyre-205-55-16", 631.9, 7.3},
	} {
		o, err := FindObject(c.key)
		if err != nil {
			t.Error(err)
			continue
		}
		near(t, c.key, o.MM, c.mm, 0.05)
		near(t, c.key+", spread", o.SD, c.sd, 0.05)
	}
}
