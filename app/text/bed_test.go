package text

import (
	"math"
	"testing"

	"scantling/app/state"
	"scantling/engine/geom"
	"scantling/engine/judge"
	"scantling/engine/ratio"
	"scantling/engine/ways"
)

func TestPoseWords(t *testing.T) {
	s, c := math.Sincos(math.Pi / 6)
	for _, k := range []struct {
		turn [3]geom.Vec
		want string
	}{
		{[3]geom.Vec{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}, "as it lies"},
		{[3]geom.Vec{{c, -s, 0}, {s, c, 0}, {0, 0, 1}}, "turned by 30.0° counter-clockwise, seen from above"},
		{[3]geom.Vec{{c, s, 0}, {-s, c, 0}, {0, 0, 1}}, "turned by 30.0° clockwise, seen from above"},
		{[3]geom.Vec{{1, 0, 0}, {0, -1, 0}, {0, 0, -1}}, "turned upside down"},
		{[3]geom.Vec{{1, 0, 0}, {0, c, -s}, {0, s, c}}, "tilted by 30.0° from how it lies"},
		{[3]geom.Vec{{0, 0, 1}, {0, 1, 0}, {-1, 0, 0}}, "tilted by 90.0° from how it lies"},
	} {
		check(t, Pose(judge.Pose{Turn: k.turn}), k.want)
	}
}

func TestBedWords(t *testing.T) {
	check(t, BedSize(judge.Bed{Size: geom.Vec{220, 220, 250}}, false), "220 × 220 × 250 mm")
	check(t, BedSize(judge.Bed{Size: geom.Vec{180, 200, 300}, Round: true}, false), "round 180 × 300 mm")
	check(t, TooLong(geom.Vec{12, 0, 3.4}, false), "12.0 mm too wide, 3.40 mm too high")
	check(t, Pieces([3]int{2, 1, 3}), "to be cut into 6 pieces (2 × 1 × 3)")
	check(t, Pieces([3]int{}), "to be cut into more pieces than anybody would")
	check(t, AtMost(judge.Fit{Factor: 1, AtMost: 1}), "")
	check(t, AtMost(judge.Fit{Factor: 0.5, AtMost: 0.501}), "no pose is more than 0.20 % better")
	names := map[string]bool{}
	for how := judge.AsItLies; how <= judge.Free; how++ {
		name, hint := Turning(how)
		if names[name] || name == "" || hint == "" {
			t.Errorf("%s has no words of its own: %q, %q", how, name, hint)
		}
		names[name] = true
	}
	way := ways.Way{Kind: ways.ByBed, Turn: judge.Free, Bed: judge.Bed{Round: true}}
	check(t, Why(way, ways.Result{Drawn: 412, Part: "hull", Limit: 170, Along: geom.Y}, false),
		"the plate's 170 mm of diameter limit the hull, 412 mm across as drawn when it is tilted freely")
	check(t, Why(way, ways.Result{Drawn: 412, Part: "hull", Limit: 170, Along: geom.Z, Pending: true}, false),
		"the bed's 170 mm of height limit the hull, 412 mm as drawn; more may fit: how the parts fit when they are turned is being worked out")
}

func TestReachWords(t *testing.T) {
	var rungs []judge.Rung
	for _, typed := range []string{"1:35", "1:48"} {
		rungs = append(rungs, judge.Rung{Standard: ratio.Standard{Ratio: mustRatio(t, typed)}})
	}
	rungs[1].Standard.Name = "1/4 in to the foot"
	r := judge.Reach{Largest: 1, Next: 0, Needs: []judge.Need{{Part: 1, TooLong: geom.Vec{60}, Pieces: [3]int{2, 1, 1}}}}
	check(t, Largest(rungs, r), "1:48 (1/4 in to the foot) is the largest standard ratio that fits")
	check(t, Next(rungs, r, []string{"mast", "hull"}, false), "at 1:35, hull is 60.0 mm too wide, to be cut into 2 pieces (2 × 1 × 1)")
	for range 4 {
		r.Needs = append(r.Needs, judge.Need{TooLong: geom.Vec{0, 0, 1}, Pieces: [3]int{1, 1, 2}})
	}
	check(t, Next(rungs, r, []string{"mast", "hull"}, false), "at 1:35, hull is 60.0 mm too wide, to be cut into 2 pieces (2 × 1 × 1); "+
		"mast is 1.00 mm too high, to be cut into 2 pieces (1 × 1 × 2); mast is 1.00 mm too high, to be cut into 2 pieces (1 × 1 × 2); and 2 other parts")
	r.Largest = -1
	check(t, Largest(rungs, r), "none of the standard ratios fits")
	check(t, Largest(rungs, judge.Reach{Largest: -1, Next: -1}), "")
}

// What the panel and the sheet say follows how far the fits are known.
func TestBedSays(t *testing.T) {
	v := state.View{Bed: judge.Bed{Size: geom.Vec{220, 220, 250}, Margin: 5}}
	v.Bedding = state.Bedding{Parts: []string{"hull", "mast"}, Unknown: 2, Reach: judge.Reach{Largest: -1, Next: -1}}
	v.Result.Pending = true
	says := func(i int) string {
		if all := BedSays(v); i < len(all) {
			return all[i]
		}
		return ""
	}
	check(t, says(0), "Being worked out: how 2 of 2 parts fit when they are turned.")
	check(t, says(1), "")
	v.Bedding.Stopped = true
	check(t, says(0), "Working out how the parts fit was cancelled: choose again how they may be turned, and it goes on.")
	v.Bedding.Stopped, v.Bedding.Unknown, v.Result.Pending = false, 0, false
	v.Parts = []state.Part{{Name: "hull", Ticked: true, Fit: &judge.Fit{Factor: 0.5, AtMost: 0.5, Pose: judge.Pose{Turn: [3]geom.Vec{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}}}}}
	check(t, says(0), "Limit: hull, as it lies.")
	check(t, says(1), "The largest standard ratio that fits is known once the native ratio is.")
	notes := PoseNotes(v, &v.Parts[0])
	check(t, notes[0], "hull, as it lies")
	check(t, notes[1], "It fits up to a factor of 0.5000.")
	check(t, PoseNotes(v, &state.Part{Name: "mast"})[1], "How it fits is worked out for ticked parts: tick it to see.")
	check(t, PoseNotes(v, nil)[0], "Choose a part to see how it lies on the bed.")
	check(t, PoseNotes(state.View{}, nil)[0], "There is no bed to show a pose on.")
	check(t, PoseNotes(v, &state.Part{Name: "mast", Ticked: true})[1], "How it fits is being worked out.")
}
