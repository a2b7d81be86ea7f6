package units

import (
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"testing"

	"scantling/engine/geom"
	"scantling/engine/mesh"
)

func part(id string, size geom.Vec) Part {
	return Part{ID: id, Box: geom.Box{Max: size}, Unit: mesh.Unit{Name: "mm", MM: 1}}
}

// tug is an invented kit in millimetres, its parts from a hull to a bollard.
func tug() []Part {
	return []Part{
		part("hull", geom.Vec{412.3, 96.1, 88.2}), part("deckhouse", geom.Vec{120.4, 70.2, 61.7}), part("wheelhouse", geom.Vec{72.1, 61.3, 51.9}),
		part("mast", geom.Vec{6.2, 6.2, 180.3}), part("funnel", geom.Vec{31.1, 31.1, 64.2}), part("bollard", geom.Vec{9.1, 5.2, 7.3}),
	}
}

func TestARightKitIsLeftAlone(t *testing.T) {
	if got := Judge(tug(), 220); got != nil {
		t.Errorf("%+v", got)
	}
	// Whatever the parts of one kit, within a factor of a hundred of each other: seldom a word.
	rnd := rand.New(rand.NewPCG(25, 4))
	said, all := 0, 0
	for range 500 {
		var parts []Part
		for i := range 8 {
			s := 5 * math.Exp(math.Log(60)*rnd.Float64())
			parts = append(parts, part(strconv.Itoa(i), geom.Vec{s, s * (0.1 + 0.9*rnd.Float64()), s * (0.1 + 0.9*rnd.Float64())}))
		}
		said, all = said+len(Judge(parts, 220)), all+len(parts)
	}
	if said*100 > all {
		t.Errorf("%d of %d right parts suspected", said, all)
	}
}

func TestWrongUnits(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(parts []Part) []Part
		part   string
		unit   string
		reason Reason
	}{
		{"drawn in metres", func(p []Part) []Part { p[2].Box = p[2].Box.Scale(0.001); return p }, "wheelhouse", "m", Sizes},
		{"drawn in metres, a small one", func(p []Part) []Part { p[5].Box = p[5].Box.Scale(0.001); return p }, "bollard", "m", Speck},
		{"drawn in inches, in sixteenths", func(p []Part) []Part {
			p[2].Box = geom.Box{Min: geom.Vec{-1.4375, -1.1875, 0.0625}, Max: geom.Vec{1.4375, 1.1875, 2.1875}}
			return p
		}, "wheelhouse", "in", InchLike},
		{"a twin in inches", func(p []Part) []Part {
			return append(p, part("port deckhouse", geom.Vec{120.4 / 25.4, 70.2 / 25.4, 61.7 / 25.4}))
		}, "port deckhouse", "in", Twin},
		{"a twin in centimetres", func(p []Part) []Part { return append(p, part("b", geom.Vec{12.04, 7.02, 6.17})) }, "b", "cm", Twin},
		{"a twin in feet", func(p []Part) []Part {
			return append(p, part("b", geom.Vec{120.4 / 304.8, 70.2 / 304.8, 61.7 / 304.8}))
		}, "b", "ft", Twin},
		{"inches turned into millimetres, taken for inches", func(p []Part) []Part {
			p[2].Unit.Name, p[2].Unit.MM = "in", 25.4
			p[2].Box = geom.Box{Min: geom.Vec{-1.4375, -1.1875, 0.0625}, Max: geom.Vec{1.4375, 1.1875, 2.1875}}.Scale(25.4)
			return p
		}, "wheelhouse", "mm", FromInch},
		{"millimetres exported in inches", func(p []Part) []Part {
			p[2].Box = geom.Box{Min: geom.Vec{-30.5, -25, 84.2}, Max: geom.Vec{41.6, 25, 136.1}}.Scale(1 / 25.4)
			return p
		}, "wheelhouse", "in", ToInch},
		{"millimetres taken for metres, far off", func(p []Part) []Part {
			p[1].Unit.Name, p[1].Unit.MM = "m", 1000
			p[1].Box = geom.Box{Min: geom.Vec{100, 0, 0}, Max: geom.Vec{220.4, 70.2, 61.7}}
			return p
		}, "deckhouse", "mm", KitBeyond},
		{"millimetres taken for metres, beside a bed", func(p []Part) []Part {
			p[1].Unit.Name, p[1].Unit.MM = "m", 1000
			return p
		}, "deckhouse", "mm", Huge},
		{"millimetres in a file that says metres", func(p []Part) []Part {
			p[1].Unit, p[1].Box = mesh.Unit{Name: "m", MM: 1000, Declared: true}, geom.Box{Min: geom.Vec{100, 0, 0}, Max: geom.Vec{220.4, 70.2, 61.7}}
			return p
		}, "deckhouse", "mm", Sizes},
	} {
		parts := c.change(tug())
		got := Judge(parts, 220)
		if len(got) != 1 || got[0].Part != c.part || got[0].Unit.Name != c.unit || !slices.Contains(got[0].Reasons, c.reason) || got[0].Weight < 0.95 || got[0].Weight > 1 {
			t.Errorf("%s: %+v", c.name, got)
			continue
		}
		for _, p := range parts {
			if p.ID == c.part && math.Abs(got[0].Factor*p.Unit.MM/got[0].Unit.MM-1) > 1e-12 {
				t.Errorf("%s: ×%g", c.name, got[0].Factor)
			}
		}
		if again := Judge(c.change(tug()), 220); len(again) != 1 || again[0].Weight != got[0].Weight {
			t.Errorf("%s: not the same twice", c.name)
		}
	}
}

// A lone part has nothing beside it, and only its own numbers can speak.
func TestLonePart(t *testing.T) {
	if got := Judge([]Part{part("a", geom.Vec{41, 9, 8})}, 220); got != nil {
		t.Errorf("%+v", got)
	}
	got := Judge([]Part{part("a", geom.Vec{0.41, 0.09, 0.08})}, 220)
	if len(got) != 1 || got[0].Reasons[0] != Speck {
		t.Errorf("%+v", got)
	}
}

func TestNothingToJudge(t *testing.T) {
	odd := []Part{
		{ID: "empty", Box: geom.EmptyBox(), Unit: mesh.Unit{MM: 1}}, part("point", geom.Vec{}), {ID: "no unit", Box: geom.Box{Max: geom.Vec{1, 1, 1}}},
		part("endless", geom.Vec{math.Inf(1), 1, 1}), part("nan", geom.Vec{math.NaN(), 1, 1}),
	}
	if got := Judge(odd, math.NaN()); got != nil {
		t.Errorf("%+v", got)
	}
	if got := Judge(nil, 0); got != nil {
		t.Errorf("%+v", got)
	}
	if got := Judge(append(odd, tug()...), 0); got != nil {
		t.Errorf("%+v", got)
	}
}

func TestNumbersLikeInches(t *testing.T) {
	for _, c := range []struct {
		size geom.Vec
		want bool
	}{
		{geom.Vec{1.375, 0.625, 2.0625}, true}, {geom.Vec{12.34, 5.67, 8.91}, false}, {geom.Vec{1, 2, 3}, false}, {geom.Vec{0.5, 0.25, 0.75}, false}, {geom.Vec{10.5, 3.125, 7.8125}, true},
	} {
		if got := inchLike(geom.Box{Max: c.size}); got != c.want {
			t.Errorf("%v: %t", c.size, got)
		}
	}
}

// BenchmarkJudge300 judges a kit of three hundred parts, as after each change of a unit.
func BenchmarkJudge300(b *testing.B) {
	rnd := rand.New(rand.NewPCG(3, 7))
	var parts []Part
	for i := range 300 {
		s := 5 * math.Exp(math.Log(60)*rnd.Float64())
		parts = append(parts, part(strconv.Itoa(i), geom.Vec{s, s * (0.1 + 0.9*rnd.Float64()), s * (0.1 + 0.9*rnd.Float64())}))
	}
	for b.Loop() {
		Judge(parts, 220)
	}
}
