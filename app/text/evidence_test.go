package text

import (
	"strings"
	"testing"

	"scantling/engine/figure"
	"scantling/engine/geom"
	"scantling/engine/lost"
	"scantling/engine/mesh"
	"scantling/engine/ratio"
	"scantling/engine/units"
	"scantling/engine/ways"
)

func plain(s string) string { return strings.ReplaceAll(s, nbsp, " ") }

func TestUncertain(t *testing.T) {
	for _, c := range []struct {
		typed string
		sd    float64
		want  string
	}{
		{"1:48", 0, "1:48"}, {"1:11.28", 0.009, "1:11.3 ± 0.2"}, {"1:47.2", 0.0119, "1:47.2 ± 1.1"}, {"1:33.511", 0.00023, "1:33.511 ± 0.015"}, {"1:48.1", 0.00163, "1:48.10 ± 0.15"},
		{"1:350", 0.02, "1:350 ± 14"}, {"1:11.5", 0.3, "1:12 (1:6 to 1:21)"}, {"2:1", 0.01, "2.00 ± 0.04 : 1"}, {"5:1", 0.3, "5:1 (3:1 to 9:1)"}, {"1:12345", 0.001, "1:12 345 ± 24"},
	} {
		e := ways.Estimate{Ratio: mustRatio(t, c.typed), SD: c.sd}
		check(t, plain(Uncertain(e)), c.want)
	}
	check(t, Uncertain(ways.Estimate{}), None)
	f := ways.Result{Factor: mustFactor(t, "0.235"), SD: 0.0085}
	check(t, plain(UncertainFactor(f)), "×0.235 ± 0.004")
	f.SD = 0
	check(t, UncertainFactor(f), "×0.2350")
	check(t, UncertainFactor(ways.Result{}), None)
}

func TestProbabilityIsNeverCertain(t *testing.T) {
	for p, want := range map[float64]string{0: "< 1 %", 0.004: "< 1 %", 0.01: "1 %", 0.884: "88 %", 0.99: "99 %", 0.9951: "> 99 %", 1: "> 99 %"} {
		check(t, Probability(p), want)
	}
	e := ways.Estimate{Ratio: mustRatio(t, "1:72.6"), SD: 0.02}
	check(t, Candidates(e.Candidates(ratio.Armour)), "1:72, 92 %; 1:76, 7 %")
	e = ways.Estimate{Ratio: mustRatio(t, "1:33.5"), SD: 0.0002}
	check(t, Candidates(e.Candidates(ratio.Armour)), "no standard ratio; 1:35 and 1:48 are the nearest")
	check(t, Candidates(nil, 0), "")
}

func clue(name string, drawn, real, sd float64) ways.Clue {
	return ways.Clue{ID: name, Name: name, Drawn: drawn, RealMM: real, RealSD: sd}
}

func TestCluesTogether(t *testing.T) {
	good := []ways.Clue{clue("door", 176.9, 1985, 10), clue("chair", 40.1, 445, 11.5), clue("helmsman", 157, 1756, 69)}
	say := func(clues ...ways.Clue) (string, ways.Combined) {
		c, err := ways.Combine(clues)
		if err != nil && c.Count > 0 {
			t.Fatal(err)
		}
		return plain(Together(clues, c, false)), c
	}
	s, c := say(good...)
	check(t, s, "3 clues agree")
	check(t, plain(ClueVerdict(c, 0)), "0.4 σ off")
	s, c = say(append(good, clue("ladder", 40, 305, 10))...)
	if !strings.HasPrefix(s, "4 clues disagree: ladder is ") || !strings.HasPrefix(ClueVerdict(c, 3), "disagrees") {
		t.Errorf("%q, %q", s, ClueVerdict(c, 3))
	}
	s, _ = say(good[0], clue("ladder", 40, 305, 10))
	check(t, s, "2 clues contradict each other, and which is wrong cannot be told; measure them again, or find another")
	s, c = say(good[0])
	check(t, s, "1 clue alone, which nothing confirms")
	check(t, ClueVerdict(c, 0), "alone")
	check(t, ClueVerdict(c, 7), None)
	good[0].SetAside = true
	s, c = say(good[0])
	check(t, s, "no clue counts")
	check(t, ClueVerdict(c, 0), "set aside")
	check(t, ClueName(ways.Clue{Object: "lifebuoy"}, false), "lifebuoy, outer diameter")
	check(t, plain(ClueName(ways.Clue{RealMM: 1981}, false)), "1981 mm")
}

// All objects, groups, postures and so on have words, and no two the same.
func TestEvidenceHasWords(t *testing.T) {
	seen := map[string]string{}
	say := func(code, words string) {
		t.Helper()
		if words == "" || words == code && !map[string]bool{"standing": true, "men": true, "women": true, "forearm": true, "hand": true, "lifebuoy": true}[code] {
			t.Errorf("%s has no words", code)
		}
		if other, ok := seen[words]; ok {
			t.Errorf("%s and %s both say %q", code, other, words)
		}
		seen[words] = code
	}
	names := objectNames()
	for _, o := range ways.Objects() {
		if names[o.Key] == "" {
			t.Errorf("object %s has no name", o.Key)
		}
		say(o.Key, ObjectName(o.Key))
		delete(names, o.Key)
	}
	if len(names) > 0 {
		t.Errorf("names of no object: %v", names)
	}
	for _, g := range ways.Groups() {
		say(string(g), GroupName(g))
	}
	for _, b := range ways.Bases() {
		if BasisWords(b) == string(b) && b != ways.Judged {
			t.Errorf("%s has no words", b)
		}
	}
	for _, p := range figure.Postures() {
		say(string(p), PostureName(p))
	}
	for _, s := range figure.Segments() {
		say(string(s), SegmentName(s))
	}
	for _, p := range figure.Populations() {
		say(string(p), PopulationName(p))
	}
	for _, c := range ways.Causes() {
		say(string(c), CauseWords(c))
	}
	for _, r := range units.Reasons() {
		say(string(r), unitReason(r))
	}
	check(t, plain(ObjectSize(ways.Object{MM: 1756.2, SD: 68.6}, false)), "1756 ± 69 mm")
	check(t, plain(ObjectSize(ways.Object{MM: 1435, SD: 5}, true)), "56.5 ± 0.2 in")
}

func TestFigureWhy(t *testing.T) {
	f := ways.Figure{Readings: []ratio.Length{mustLength(t, "52.3")}, Person: ways.Person{Stature: mustLength(t, "5 ft 9 in")}}
	w := ways.Way{Kind: ways.ByFigure, Figure: f, Native: mustRatio(t, "1:11.28")}
	r, err := w.Find(ways.Subject{})
	if err != nil {
		t.Fatal(err)
	}
	check(t, plain(Why(w, r, false)), "the figure, 52.3 mm to the crown for a person of 1.75 m is 1:33.511 ± 0.015, and native 1:11.28")
	check(t, plain(Why(w, r, true)), "the figure, 2.059 in to the crown for a person of 5 ft 9 in is 1:33.511 ± 0.015, and native 1:11.28")
	w.Figure.Person, w.Figure.Posture, w.Figure.ToEyes = ways.Person{Population: figure.Men}, figure.Seated, true
	if s := plain(SoFar(w, ways.Result{}, false)); !strings.HasPrefix(s, "the figure, 52.3 mm to the eyes, seated, from the seat, for one of men, 1.76 m ± 6.9 cm is 1:15.4 ± ") || !strings.HasSuffix(s, "needs the ratio at which the files were drawn") {
		t.Errorf("%q", s)
	}
	got, err := w.Figure.Ratio()
	if err != nil {
		t.Fatal(err)
	}
	if s := Budget(got); !strings.HasPrefix(s, "how tall the person is 3.9 %, how bodies are divided 3.3 %, the limits of the calipers 0.022 %") {
		t.Errorf("%q", s)
	}
}

func TestFigureSizes(t *testing.T) {
	check(t, plain(FigureSizes(mustRatio(t, "1:48"), ways.Person{}, false)), "36.5 mm tall, 34.1 mm to the eyes, for 1.75 m")
	check(t, plain(FigureSizes(mustRatio(t, "1:72"), ways.Person{Stature: mustLength(t, "6 ft")}, true)), "1.000 in tall, 0.936 in to the eyes, for 6 ft")
	check(t, FigureSizes(ratio.Ratio{}, ways.Person{}, false), "")
}

func TestWhyOfMore(t *testing.T) {
	target := mustRatio(t, "1:48")
	w := ways.Way{Kind: ways.ByClues, Target: target, Clues: []ways.Clue{clue("door", 176.9, 1985, 10), {ID: "x", SetAside: true}}}
	r, err := w.Find(ways.Subject{})
	if err != nil {
		t.Fatal(err)
	}
	check(t, plain(Why(w, r, false)), "native 1:11.22 ± 0.11 from 1 clue ÷ target 1:48")
	w.Kind, w.NativeFrom, w.FullSize = ways.ByRatio, ways.FromFullSize, ratio.Foot
	s := ways.Subject{Kit: geom.Vec{30, 8, 9}, UnitMM: 1, Parts: []ways.SubjectPart{{ID: "a", Name: "hull", Box: geom.Box{Max: geom.Vec{30, 8, 9}}}, {ID: "b", Name: "keel", Box: geom.Box{Max: geom.Vec{31, 1, 1}}}}}
	r, err = w.Find(s)
	if err != nil {
		t.Fatal(err)
	}
	check(t, Why(w, r, false), "native 1:304.8, for the files are drawn full size in feet ÷ target 1:48")
	check(t, Digits(r), "factor 6.35 = target 1:48 ÷ native 1:304.8")
	w = ways.Way{Kind: ways.ByLength, Length: mustLength(t, "62 mm"), Parts: []string{"a", "b"}}
	r, err = w.Find(s)
	if err != nil {
		t.Fatal(err)
	}
	check(t, plain(Why(w, r, false)), "2 parts together, 31.0 mm along x as drawn, become 62.0 mm")
	w.Points = ways.Points{To: geom.Vec{3, 4, 0}}
	if r, err = w.Find(s); err != nil {
		t.Fatal(err)
	}
	check(t, plain(Why(w, r, false)), "the distance between the two points, 5.00 mm as drawn, becomes 62.0 mm")
	w = ways.Way{Kind: ways.ByRatio, Native: mustRatio(t, "1:45"), Target: mustRatio(t, "1:87")}
	if r, err = w.Find(s); err != nil {
		t.Fatal(err)
	}
	check(t, Digits(r), "factor 15/29 = 0.5172413793103449 = target 1:87 ÷ native 1:45")
	check(t, Digits(ways.Result{}), None)
	w.NativeFrom, w.Clues = ways.FromClues, []ways.Clue{clue("door", 100, 4800, 48)}
	if r, err = w.Find(s); err != nil {
		t.Fatal(err)
	}
	if d := Digits(r); !strings.Contains(d, "standard uncertainty 1.00 %, 95 % between 0.541") {
		t.Errorf("%q", d)
	}
}

func TestRecoveredWords(t *testing.T) {
	f := lost.Found{Method: lost.ByCorners, Corners: 36, Residual: 0.0012, Axes: geom.Vec{0.5, 0.5, 0.511}}
	check(t, plain(Recovered(f)), "from 36 corners of triangles, which lie within 0.0012 mm of where it puts them")
	check(t, RecoveredWarning(f), "")
	f.Uneven, f.Spread = true, 0.022
	check(t, plain(RecoveredWarning(f)), "The copy was scaled unevenly: ×0.50000 along x, ×0.50000 along y, ×0.51100 along z; the largest is 2.2 % more than the smallest, so no one factor makes it.")
	if a, b := Recovered(lost.Found{Method: lost.ByExtents}), Recovered(lost.Found{Method: lost.ByExtents, Solid: 1}); a == b || a == "" {
		t.Errorf("%q, %q", a, b)
	}
}

func TestUnitSuggestion(t *testing.T) {
	s := units.Suggestion{Unit: mesh.Unit{Name: "in", MM: 25.4}, Factor: 25.4, Reasons: []units.Reason{units.Twin, units.Sizes}, Weight: 0.996}
	check(t, UnitSuggestion("chair", s), "chair was likelier drawn in inches (×25.4), > 99 %: it is then exactly as large as another part; it is then of a size with the other parts.")
}

func TestObjectErrors(t *testing.T) {
	_, err := ways.ParseClue("5=brick")
	if m := Error(err); !strings.Contains(m.What, "brick-length-uk, ") || m.Remedy == "" {
		t.Errorf("%+v", m)
	}
	_, err = ways.Combine([]ways.Clue{{ID: "a", Drawn: 1}})
	check(t, plain(Error(err).String()), "clue 1: the real length is no length above zero; type how long it is in reality.")
	_, err = ways.ParseClue("5")
	check(t, Error(err).String(), "“5” is no clue; write the drawn length, =, and the real one, such as 35.1 mm = 1981 mm ± 5 mm.")
}
