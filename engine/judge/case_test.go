package judge_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/geom"
	"scantling/engine/judge"
	"scantling/engine/process"
	"scantling/engine/survey"
)

func extrusion() process.Process { return process.Presets()[0].Process }

// some is a part with some of everything that is judged, from a seed.
func some(id string, seed uint64) judge.Part {
	r := rand.New(rand.NewPCG(seed, 4))
	point := func() geom.Vec { return geom.Vec{100 * r.Float64(), 50 * r.Float64(), 30 * r.Float64()} }
	box := func(at geom.Vec) geom.Box { return geom.EmptyBox().Add(at).Add(at.Add(geom.Vec{1, 1, 1})) }
	m := &survey.Measurements{
		Triangles: 1000, Box: geom.EmptyBox().Add(geom.Vec{}).Add(geom.Vec{100, 50, 30}),
		Closed: true, Volume: 20000, Area: 16000, Shells: 1,
	}
	for range 8 {
		at := point()
		m.Thickness.Places = append(m.Thickness.Places, survey.Thin{Pin: r.IntN(3) == 0, Typical: 0.3 + 3*r.Float64(), Centre: at, Box: box(at)})
		at = point()
		least := 0.2 + 2*r.Float64()
		m.Gaps.Places = append(m.Gaps.Places, survey.Gap{Hole: r.IntN(4) == 0, Least: least, Typical: least * 1.1, Depth: 5 * r.Float64(), Centre: at, Box: box(at)})
	}
	for range 4 {
		d := 1 + 5*r.Float64()
		m.Bores = append(m.Bores, survey.Round{Diameter: d, Flats: 0.99 * d, Depth: 4, Axis: geom.Vec{0, 0, 1}, Centre: point(), Sides: 24, Arc: 360})
	}
	m.Bores = append(m.Bores, survey.Round{Diameter: 3.4, Flats: 3.38, Depth: 4, Through: true, Axis: geom.Vec{0, 0, 1}, Centre: point(), Sides: 32, Arc: 360})
	m.Facets = survey.Facets{Worst: 0.02 + 0.1*r.Float64(), Where: point()}
	m.Health.Step = 1e-5
	part := judge.Part{ID: id, Quantity: 1 + r.IntN(3), MM: 1, Size: geom.Vec{100, 50, 30}, Found: m, Goes: 0.2 + r.Float64(), Bulk: judge.BulkOf(m, 1)}
	bed := judge.Bed{Size: geom.Vec{120, 120, 100}}
	lies, _ := bed.Largest(part.Size)
	part.Fits = [4]float64{lies, lies * 1.1, lies * 1.2, lies * 1.3}
	for t := range part.Posed {
		part.Posed[t] = part.Size
	}
	return part
}

func kitOf(n int) ([]judge.Part, *survey.Assembly) {
	var parts []judge.Part
	for i := range n {
		parts = append(parts, some(fmt.Sprintf("p%d", i), uint64(i)))
	}
	mates := &survey.Assembly{}
	for i := range n / 2 {
		parts[2*i].Found.Pegs = []survey.Round{{Diameter: 4, Flats: 3.95, Depth: 6, Axis: geom.Vec{0, 0, 1}, Centre: geom.Vec{5, 5, 5}}}
		mates.Fits = append(mates.Fits, survey.Fit{Inner: 2 * i, Outer: 2*i + 1, Length: 5, Flats: 0.05 + 0.1*float64(i)})
	}
	return parts, mates
}

// find is the same finding among others.
func find(all []judge.Finding, f judge.Finding) (judge.Finding, bool) {
	i := slices.IndexFunc(all, func(g judge.Finding) bool {
		return g.Code == f.Code && g.Part == f.Part && g.Where == f.Where && g.Limit == f.Limit && g.GoneAt == f.GoneAt
	})
	if i < 0 {
		return judge.Finding{}, false
	}
	return all[i], true
}

// At GoneAt a finding is gone, at the next factor on the wrong side it is there, and so it is
// everywhere beyond.
func TestGoneAtIsExact(t *testing.T) {
	parts, mates := kitOf(12)
	c := judge.New(parts, mates, judge.Terms{Process: extrusion()})
	seen := map[judge.Code]int{}
	for _, f := range []float64{0.02, 0.1, 0.27, 0.4, 0.63, 0.9, 1.1, 1.31, 2, 3.7, 9} {
		found := c.At(f)
		require.NotEmpty(t, found)
		for _, x := range found {
			seen[x.Code]++
			wrong, beyond := math.Inf(1), math.Inf(1)
			switch x.Gone {
			case judge.Larger:
				require.Less(t, f, x.GoneAt)
				wrong, beyond = 0, x.GoneAt*1.5
			case judge.Smaller:
				require.Greater(t, f, x.GoneAt)
				beyond = x.GoneAt / 1.5
			default:
				t.Fatalf("%s is never gone", x.Code)
			}
			_, there := find(c.At(x.GoneAt), x)
			require.False(t, there, "%s of part %d is there at %v, where it should be gone", x.Code, x.Part, x.GoneAt)
			_, there = find(c.At(beyond), x)
			require.False(t, there, "%s of part %d is back at %v", x.Code, x.Part, beyond)
			at := math.Nextafter(x.GoneAt, wrong)
			y, there := find(c.At(at), x)
			require.True(t, there, "%s of part %d is gone at %v already, and not first at %v", x.Code, x.Part, at, x.GoneAt)
			if x.Code != judge.SmallPart && x.Code != judge.OffBed {
				if x.Gone == judge.Larger {
					require.Less(t, y.Value, y.Limit, "%s", y.Code)
				} else {
					require.Greater(t, y.Value, y.Limit, "%s", y.Code)
				}
			}
		}
	}
	for _, code := range []judge.Code{judge.OffBed, judge.WallThin, judge.PinThin, judge.GapCloses, judge.EngravingFills, judge.HoleCloses,
		judge.BoreSmall, judge.BoreWide, judge.PegTight, judge.PegLoose, judge.FacetsShow, judge.TooSmall, judge.SmallPart, judge.Heavier} {
		require.NotZero(t, seen[code], code)
	}
}

// What an outcome says in numbers is what the findings say, and a window's ends are exact.
func TestOutcomeAgreesWithFindings(t *testing.T) {
	parts, mates := kitOf(10)
	for _, p := range process.Presets() {
		c := judge.New(parts, mates, judge.Terms{Process: p.Process, Turning: judge.Faces})
		stops, looks := c.Window(judge.Stops), c.Window(judge.Look)
		for _, f := range []float64{0.05, 0.2, 0.5, 0.8, 1, 1.3, 1.5, 2, 4, stops.Least, stops.Most, looks.Least, looks.Most} {
			if !(f > 0) || math.IsInf(f, 1) {
				continue
			}
			for _, f := range []float64{math.Nextafter(f, 0), f, math.Nextafter(f, 9)} {
				failing, looking := map[int]bool{}, map[int]bool{}
				var codes []judge.Code
				for _, x := range c.At(f) {
					switch {
					case x.Gravity == judge.Stops:
						failing[x.Part] = true
						codes = append(codes, x.Code)
					case x.Gravity == judge.Look:
						looking[x.Part] = true
					}
				}
				for i := range failing {
					delete(looking, i)
				}
				o := c.Outcome(f)
				require.Equal(t, len(failing), o.Failing, "%v", f)
				require.Equal(t, len(looking), o.Looks, "%v", f)
				require.Equal(t, len(failing) == 0, o.Prints)
				require.Equal(t, len(failing) == 0, stops.Holds(f), "%s at %v: window %+v", p.Process.Name, f, stops)
				require.Equal(t, len(failing)+len(looking) == 0, looks.Holds(f), "%s at %v: window %+v", p.Process.Name, f, looks)
				for _, code := range codes {
					require.Contains(t, o.Stops, code)
				}
				for _, code := range o.Stops {
					require.Contains(t, codes, code)
				}
			}
		}
	}
}

// The scaling law: a kit whose measurements are all s times as large is judged at 1 as the kit
// itself is at s.
func TestJudgingScales(t *testing.T) {
	for _, s := range []float64{0.25, 0.31, 0.5, 0.77, 2, 3.3} {
		one, mates := kitOf(6)
		large, _ := kitOf(6)
		for i := range large {
			large[i].MM = s // the same numbers in a unit s times as long
			large[i].Size = large[i].Size.Scale(s)
			large[i].Goes /= s
			large[i].Bulk = judge.BulkOf(large[i].Found, s)
			for t := range large[i].Fits {
				large[i].Fits[t] /= s
			}
		}
		// A bore's hardware is guessed by its size as drawn, so it has to be named here.
		terms := judge.Terms{Process: extrusion()}
		for _, p := range one {
			for _, b := range p.Found.Bores {
				terms.Named = append(terms.Named, judge.Named{Part: p.ID, At: b.Centre, Item: "m3"})
			}
		}
		grown := &survey.Assembly{}
		for _, m := range mates.Fits {
			m.Flats *= s
			grown.Fits = append(grown.Fits, m)
		}
		a, b := judge.New(one, mates, terms), judge.New(large, grown, terms)
		x, y := without(a.At(s), judge.Heavier), without(b.At(1), judge.Heavier)
		require.Len(t, y, len(x), "%v", s)
		for i := range x {
			require.Equal(t, x[i].Code, y[i].Code)
			require.Equal(t, x[i].Part, y[i].Part)
			require.Equal(t, x[i].Gravity, y[i].Gravity)
			require.InEpsilon(t, x[i].Value, y[i].Value, 1e-12, "%s", x[i].Code)
			require.InEpsilon(t, x[i].GoneAt, s*y[i].GoneAt, 1e-12, "%s", x[i].Code)
			require.InDelta(t, x[i].Offset, y[i].Offset, 1e-12)
		}
		require.InEpsilon(t, a.Weight(s).Grams, b.Weight(1).Grams, 1e-9)
	}
}

func without(all []judge.Finding, code judge.Code) []judge.Finding {
	return slices.DeleteFunc(slices.Clone(all), func(f judge.Finding) bool { return f.Code == code })
}

// flat is a part of one wall, pin, gap or whatever the edit gives it.
func flat(edit func(*survey.Measurements)) judge.Part {
	m := &survey.Measurements{Triangles: 12, Closed: true, Shells: 1, Box: geom.EmptyBox().Add(geom.Vec{}).Add(geom.Vec{40, 40, 40}), Area: 9600, Volume: 64000}
	edit(m)
	return judge.Part{ID: "a", Quantity: 1, MM: 1, Size: geom.Vec{40, 40, 40}, Found: m}
}

func TestEachCode(t *testing.T) {
	limits := extrusion().Limits
	thin := func(pin bool, mm float64) func(*survey.Measurements) {
		return func(m *survey.Measurements) { m.Thickness.Places = []survey.Thin{{Pin: pin, Least: mm, Typical: mm}} }
	}
	raised := func(pin bool, wide, high float64) func(*survey.Measurements) {
		return func(m *survey.Measurements) {
			m.Thickness.Places = []survey.Thin{{Pin: pin, Free: !pin, Least: wide, Typical: wide, Height: high}}
		}
	}
	gap := func(hole bool, wide, deep float64) func(*survey.Measurements) {
		return func(m *survey.Measurements) {
			m.Gaps.Places = []survey.Gap{{Hole: hole, Least: wide, Typical: wide, Depth: deep}}
		}
	}
	bore := func(d float64) func(*survey.Measurements) {
		return func(m *survey.Measurements) {
			m.Bores = []survey.Round{{Diameter: d, Flats: d, Depth: 5, Axis: geom.Vec{0, 0, 1}}}
		}
	}
	fault := func(edit func(*survey.Health)) func(*survey.Measurements) {
		return func(m *survey.Measurements) { edit(&m.Health) }
	}
	for _, c := range []struct {
		name    string
		edit    func(*survey.Measurements)
		factor  float64
		code    judge.Code
		gravity judge.Gravity
		value   float64
		gone    float64 // 0: never
		remedy  judge.Remedy
	}{
		{"a wall below two lines", thin(false, 2), 0.3, judge.WallThin, judge.Stops, 0.6, limits.WallFree / 2, judge.Thicken},
		{"a wall that stands if held", thin(false, 2), 0.45, judge.WallThin, judge.Look, 0.9, limits.WallFree / 2, judge.Thicken},
		{"a pin", thin(true, 4), 0.4, judge.PinThin, judge.Look, 1.6, limits.Pin / 4, judge.Replace},
		{"a pin thinner than any wall", thin(true, 4), 0.1, judge.PinThin, judge.Stops, 0.4, limits.Pin / 4, judge.Replace},
		{"a deep slot", gap(false, 1, 10), 0.4, judge.GapCloses, judge.Look, 0.4, limits.Gap, judge.Widen},
		{"a void", gap(false, 1, 0), 0.4, judge.GapCloses, judge.Look, 0.4, limits.Gap, judge.Widen},
		{"a panel line, too narrow", gap(false, 0.5, 0.5), 1, judge.EngravingFills, judge.Look, 0.5, limits.EngravedWidth / 0.5, judge.Widen},
		{"a panel line, too shallow", gap(false, 2, 0.5), 0.5, judge.EngravingFills, judge.Look, 0.25, limits.EngravedDepth / 0.5, judge.Deepen},
		{"a raised line, too narrow", raised(false, 1, 1), 0.5, judge.RaisedFades, judge.Look, 0.5, limits.RaisedWidth, judge.Thicken},
		{"a raised line, too low", raised(false, 2, 0.5), 0.5, judge.RaisedFades, judge.Look, 0.25, limits.RaisedHeight / 0.5, judge.Heighten},
		{"a rivet, too low", raised(true, 2, 0.5), 0.5, judge.RaisedFades, judge.Look, 0.25, limits.RaisedHeight / 0.5, judge.Heighten},
		{"a fin, no line", raised(false, 2, 4.1), 0.45, judge.WallThin, judge.Look, 0.9, limits.WallFree / 2, judge.Thicken},
		{"a peg, no rivet", raised(true, 4, 2.1), 0.4, judge.PinThin, judge.Look, 1.6, limits.Pin / 4, judge.Replace},
		{"a hole of no round shape", gap(true, 3, 9), 0.5, judge.HoleCloses, judge.Look, 1.5, limits.Hole / 3, judge.Widen},
		{"a bore of no standard", bore(3.0), 0.5, judge.HoleCloses, judge.Look, 1.5, limits.Hole / 3, judge.DrillOut},
		{"a hole for M3", bore(3.4), 0.5, judge.BoreSmall, judge.Look, 1.7, 3.2 / 3.4, judge.DrillOut},
		{"a hole for M3, grown", bore(3.4), 2, judge.BoreWide, judge.Note, 6.8, 3.6 / 3.4, judge.Bush},
		{"facets", func(m *survey.Measurements) { m.Facets.Worst = 0.05 }, 4, judge.FacetsShow, judge.Note, 0.2, limits.Facet / 0.05, judge.Refine},
		{"a speck", func(*survey.Measurements) {}, 0.05, judge.TooSmall, judge.Look, 2, 3.0 / 40, judge.PrintMore},
		{"far from the origin", fault(func(h *survey.Health) { h.Step = 0.0078125 }), 1, judge.Coarse, judge.Look, 0.0078125, 0.64, judge.Recentre},
		{"open", func(m *survey.Measurements) { m.Closed, m.Health.OpenEdges = false, 3 }, 1, judge.NotClosed, judge.Look, 3, 0, judge.Mend},
		{"inside out", fault(func(h *survey.Health) { h.InsideOut = true }), 1, judge.InsideOut, judge.Look, 1, 0, judge.Mend},
		{"crossing", fault(func(h *survey.Health) { h.Crossings = 5 }), 1, judge.Tangled, judge.Look, 5, 0, judge.Mend},
		{"crowded", fault(func(h *survey.Health) { h.CrowdedEdges, h.FlippedEdges = 2, 1 }), 1, judge.Crowded, judge.Look, 3, 0, judge.Mend},
		{"buried", fault(func(h *survey.Health) { h.BuriedShells = 1 }), 1, judge.Buried, judge.Note, 1, 0, judge.Mend},
		{"crumbs", fault(func(h *survey.Health) { h.Strays = 7 }), 1, judge.Crumbs, judge.Note, 7, 0, judge.RemoveThem},
		{"degenerate", fault(func(h *survey.Health) { h.Degenerate, h.Doubled = 1, 1 }), 1, judge.Degenerate, judge.Note, 2, 0, judge.Mend},
	} {
		found := without(judge.New([]judge.Part{flat(c.edit)}, nil, judge.Terms{Process: extrusion()}).At(c.factor), judge.Heavier)
		if c.code != judge.TooSmall {
			found = without(found, judge.TooSmall)
		}
		require.Len(t, found, 1, c.name)
		f := found[0]
		require.Equal(t, c.code, f.Code, c.name)
		require.Equal(t, c.gravity, f.Gravity, c.name)
		require.Equal(t, c.remedy, f.Remedy, c.name)
		require.InEpsilon(t, c.value, f.Value, 1e-12, c.name)
		if c.gone == 0 {
			require.Equal(t, judge.Never, f.Gone, c.name)
			require.Zero(t, f.GoneAt, c.name)
			continue
		}
		require.InEpsilon(t, c.gone, f.GoneAt, 1e-12, c.name)
	}
	healthy := judge.New([]judge.Part{flat(func(*survey.Measurements) {})}, nil, judge.Terms{Process: extrusion()})
	require.Empty(t, healthy.At(1))
	require.Empty(t, healthy.At(0))
	require.Empty(t, healthy.At(math.NaN()))
	require.Empty(t, healthy.At(math.Inf(1)))
	require.Empty(t, judge.New(nil, nil, judge.Terms{}).At(0.5))
}

func TestWhatABoreIsFor(t *testing.T) {
	part := flat(func(m *survey.Measurements) {
		m.Bores = []survey.Round{{Diameter: 5, Flats: 5, Depth: 5, Axis: geom.Vec{0, 0, 1}, Centre: geom.Vec{10, 10, 0}}}
	})
	at := func(f float64, named ...judge.Named) judge.Finding {
		found := judge.New([]judge.Part{part}, nil, judge.Terms{Process: extrusion(), Named: named}).At(f)
		require.NotEmpty(t, found)
		return found[0]
	}
	f := at(0.5) // 5.0 mm is the tapping drill of M6
	require.Equal(t, judge.BoreSmall, f.Code)
	require.Equal(t, "m6-thread", f.Item)
	require.True(t, f.Guess)
	require.Equal(t, 5.0, f.Drill)
	f = at(0.5, judge.Named{Part: "a", At: geom.Vec{10.1, 10, 0}, Item: "led-5"})
	require.Equal(t, "led-5", f.Item)
	require.False(t, f.Guess)
	require.InDelta(t, 5.1, f.Drill, 1e-12)
	f = at(0.3, judge.Named{Part: "a", At: geom.Vec{10, 10, 0}})
	require.Equal(t, judge.HoleCloses, f.Code, "the maker said that nothing bought goes in")
	f = at(0.5, judge.Named{Part: "other", At: geom.Vec{10, 10, 0}, Item: "led-5"})
	require.Equal(t, "m6-thread", f.Item)
}

func TestSettingAside(t *testing.T) {
	part := flat(func(m *survey.Measurements) {
		m.Thickness.Places = []survey.Thin{{Least: 1, Typical: 1, Centre: geom.Vec{5, 5, 5}}, {Least: 1.2, Typical: 1.2, Centre: geom.Vec{35, 5, 5}}}
	})
	judged := func(asides ...judge.Aside) *judge.Case {
		return judge.New([]judge.Part{part}, nil, judge.Terms{Process: extrusion(), Asides: asides})
	}
	found := judged().At(0.5)
	require.Len(t, found, 2)
	a := judge.AsideOf(found[0], "a", "it is held at three sides")
	a.At = a.At.Add(geom.Vec{0.5, 0, 0}) // a later survey finds the middle elsewhere
	c := judged(a)
	found = c.At(0.5)
	require.Len(t, found, 2)
	require.Equal(t, "", found[0].Aside)
	require.Equal(t, "it is held at three sides", found[1].Aside)
	require.Equal(t, geom.Vec{5, 5, 5}, found[1].Where.Centre)
	require.InEpsilon(t, 0.8/1.2, c.Window(judge.Stops).Least, 1e-12, "what is set aside limits nothing")
	require.InEpsilon(t, 0.8/1.0, judged().Window(judge.Stops).Least, 1e-12)
	a.Part = "b"
	require.Equal(t, "", judged(a).At(0.5)[1].Aside)
	a.Part, a.Code = "a", judge.PinThin
	require.Equal(t, "", judged(a).At(0.5)[1].Aside)
}

// Of very many places the gravest are told.
func TestManyPlaces(t *testing.T) {
	part := flat(func(m *survey.Measurements) {
		for i := range 300 {
			m.Thickness.Places = append(m.Thickness.Places, survey.Thin{Typical: 0.5 + float64(i)/1000, Centre: geom.Vec{float64(i), 0, 0}})
		}
	})
	c := judge.New([]judge.Part{part}, nil, judge.Terms{Process: extrusion()})
	found := c.At(0.5)
	require.Len(t, found, 24)
	require.InDelta(t, 0.25, found[0].Value, 1e-12)
	require.InEpsilon(t, 0.8/0.5, c.Window(judge.Stops).Least, 1e-12)
}

func TestTurnedOnTheBed(t *testing.T) {
	part := flat(func(*survey.Measurements) {})
	part.Fits = [4]float64{1, 1, 1.25, 1.5}
	for _, c := range []struct {
		turning judge.Turning
		factor  float64
		gravity judge.Gravity
		remedy  judge.Remedy // the least that makes it fit at the factor
	}{
		{judge.AsItLies, 1.1, judge.Stops, judge.LayIt}, {judge.Yaw, 1.1, judge.Stops, judge.LayIt}, {judge.Faces, 1.1, judge.Look, judge.LayIt},
		{judge.Faces, 1.25, judge.Look, judge.LayIt}, {judge.Faces, 1.26, judge.Stops, judge.TiltIt}, {judge.Free, 1.5, judge.Look, judge.TiltIt},
		{judge.Free, 2, judge.Stops, judge.CutIt},
	} {
		found := without(judge.New([]judge.Part{part}, nil, judge.Terms{Process: extrusion(), Turning: c.turning}).At(c.factor), judge.Heavier)
		require.Len(t, found, 1)
		require.Equal(t, judge.OffBed, found[0].Code)
		require.Equal(t, c.gravity, found[0].Gravity, "%v %v", c.turning, c.factor)
		require.Equal(t, c.remedy, found[0].Remedy, "%v", c.factor)
		require.Equal(t, 1.0, found[0].GoneAt)
		require.InDelta(t, 40*c.factor, found[0].Value, 1e-9)
		require.InDelta(t, 40, found[0].Limit, 1e-9)
	}
}

func BenchmarkAt300Parts(b *testing.B) {
	parts, mates := kitOf(300)
	c := judge.New(parts, mates, judge.Terms{Process: extrusion()})
	n := 0
	for i := 0; b.Loop(); i++ {
		n = len(c.At(0.2 + float64(i%100)/100))
	}
	b.ReportMetric(float64(n), "findings")
}

func BenchmarkNew300Parts(b *testing.B) {
	parts, mates := kitOf(300)
	for b.Loop() {
		judge.New(parts, mates, judge.Terms{Process: extrusion()})
	}
}

func BenchmarkLadder40Rungs300Parts(b *testing.B) {
	parts, mates := kitOf(300)
	c := judge.New(parts, mates, judge.Terms{Process: extrusion()})
	for b.Loop() {
		for i := range 40 {
			c.Outcome(0.02 * float64(i+1))
		}
	}
}
