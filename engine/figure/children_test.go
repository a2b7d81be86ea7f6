package figure

import (
	"math"
	"testing"
)

// The published percentiles of single months on both sides of a birthday bracket the table.
func TestChildren(t *testing.T) {
	for _, c := range []struct {
		who                   Childhood
		years                 int
		below, above, p5, p95 float64 // 50th percentile half a month before and after; mm
	}{
		{Boys, 8, 1276.320, 1281.237, 1185.8, 1375.5},
		{Girls, 8, 1273.522, 1278.263, 1183.3, 1376.4},
		{Boys, 12, 1487.917, 1493.088, 1371.0, 1615.8},
		{Girls, 16, 1625.287, 1625.690, 1519.2, 1732.2},
	} {
		p, ok := Child(c.who, c.years)
		if !ok {
			t.Fatalf("no %s of %d", c.who, c.years)
		}
		v, ok := p.Measure(Stature)
		if !ok || v.Mean < c.below || v.Mean > c.above {
			t.Errorf("%s: %v, %v", p, v, ok)
		}
		if got := 2 * normal95 * v.SD; math.Abs(got-(c.p95-c.p5)) > 0.2 {
			t.Errorf("%s: percentiles %.1f apart, want %.1f", p, got, c.p95-c.p5)
		}
		if _, ok := p.Measure(EyeHeight); ok {
			t.Errorf("%s: only the stature is in the table", p)
		}
		who, years, ok := p.Child()
		if who != c.who || years != c.years || !ok {
			t.Errorf("%s: %s %d %v", p, who, years, ok)
		}
	}
	for who := range map[Childhood]bool{Boys: true, Girls: true, BoysGirls: true} {
		last := 0.0
		for years := YoungestChild; years <= OldestChild; years++ {
			p, _ := Child(who, years)
			v, _ := p.Measure(Stature)
			if v.Mean <= last || v.SD < 0.03*v.Mean || v.SD > 0.06*v.Mean || v.Source == "" {
				t.Errorf("%s: %+v after %g", p, v, last)
			}
			last = v.Mean
		}
	}
	for _, bad := range []Population{"boy-1", "boy-19", "boy-08", "boy", "uncle-8", "men", "us-men", "boy--8", "boy-8-9"} {
		if _, _, ok := bad.Child(); ok {
			t.Errorf("%s is taken for children", bad)
		}
	}
}
