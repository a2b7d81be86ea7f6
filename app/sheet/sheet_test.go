package sheet

import (
	"fmt"
	"image"
	"image/color"
	"math"
	"math/big"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/app/state"
	"scantling/app/text"
	"scantling/engine/geom"
	"scantling/engine/ratio"
)

var someSize = Size{W: 900, H: 640}

func ratioOf(t *testing.T, real float64) ratio.Ratio {
	t.Helper()
	r, err := ratio.Of(big.NewRat(1, 1), new(big.Rat).SetFloat64(real))
	require.NoError(t, err)
	return r
}

func box(x0, y0, z0, x1, y1, z1 float64) geom.Box {
	return geom.Box{Min: geom.Vec{x0, y0, z0}, Max: geom.Vec{x1, y1, z1}}
}

// kitOf is a fitted view of ticked, measured parts, z up.
func kitOf(boxes ...geom.Box) state.View {
	v := state.View{PartsUp: geom.Z, KitBox: geom.EmptyBox()}
	v.Sheet.Fit = true
	for i, b := range boxes {
		v.Parts = append(v.Parts, state.Part{ID: fmt.Sprint(i), Name: fmt.Sprint("part ", i), Quantity: 1, Ticked: true,
			State: state.Measured, Box: b, Drawn: b.Size(), Fits: true})
		v.KitBox = v.KitBox.Union(b)
	}
	return v
}

// at gives a view its native and target ratio.
func at(t *testing.T, v state.View, native, target float64) state.View {
	t.Helper()
	v.Result.Native, v.Result.Target = ratioOf(t, native), ratioOf(t, target)
	v.Result.Factor = ratio.FactorBetween(v.Result.Native, v.Result.Target)
	return v
}

func tug() state.View {
	return kitOf(box(0, -48, 0, 412, 48, 88), box(210, -30, 84, 290, 30, 150), box(247, -3, 150, 253, 3, 330))
}

// written is all writing of a role.
func written(marks []Mark, r Role) []string {
	var out []string
	for _, m := range marks {
		if m.Kind == Writing && m.Role == r {
			out = append(out, m.Text)
		}
	}
	return out
}

func TestOverallDimensionsAreThoseOfThePrint(t *testing.T) {
	v := at(t, tug(), 11.28, 48) // × 0.235
	for side, want := range map[state.Side][2]string{
		state.Front:    {"96.8", "77.5"}, // 412 and 330 mm
		state.FromSide: {"22.6", "77.5"}, // 96 and 330
		state.Top:      {"96.8", "22.6"},
	} {
		v.Sheet.Side = side
		marks := Draw(v, someSize)
		require.Equal(t, []string{want[0]}, written(marks, Width), "width from side %d", side)
		require.Equal(t, []string{want[1]}, written(marks, Height), "height from side %d", side)
	}
	v.Sheet.Side, v.Sheet.Inches = state.Front, true
	require.Equal(t, []string{"3.812"}, written(Draw(v, someSize), Width), "96.82 mm in inches")
}

func TestDimensionLinesAreAsLongAsWhatTheyMeasure(t *testing.T) {
	v := at(t, tug(), 11.28, 48)
	v.Selected = "1"
	l := arrange(v, someSize)
	for _, m := range Draw(v, someSize) {
		if m.Kind != Line || m.Role != Width || m.Points[0].Y != m.Points[1].Y {
			continue
		}
		want := 412 * l.factor * l.camera.Zoom
		if m.Part == "1" {
			want = 80 * l.factor * l.camera.Zoom
		}
		require.InDelta(t, want, m.Points[1].X-m.Points[0].X, 0.01)
	}
}

func TestWithoutAFactorTheSheetShowsWhatWasDrawnAndSaysSo(t *testing.T) {
	marks := Draw(tug(), someSize)
	require.Equal(t, []string{"412"}, written(marks, Width))
	require.Equal(t, text.SheetNotes(false, false), written(marks, Hint))
	require.Empty(t, written(marks, StandIn), "nobody can be drawn at an unknown ratio")
	require.Contains(t, written(marks, PrintRuler), text.RulerName(false, false))
}

func TestStandInIsAsTallAsAPersonAtTheTarget(t *testing.T) {
	v := at(t, tug(), 11.28, 48)
	for _, side := range []state.Side{state.Front, state.FromSide} {
		v.Sheet.Side = side
		l := arrange(v, someSize)
		low, high := math.Inf(1), math.Inf(-1)
		for _, m := range Draw(v, someSize) {
			if m.Role != StandIn || m.Kind != Area {
				continue
			}
			for _, p := range m.Points {
				low, high = min(low, p.Y), max(high, p.Y)
			}
		}
		require.InEpsilon(t, 1750.0/48, (high-low)/l.camera.Zoom, 0.01, "side %d", side)
		require.InDelta(t, l.camera.Paper(0, l.kit.v0).Y, high, 0.5, "it stands on the kit's ground")
	}
	require.Equal(t, []string{text.StandIn(1750, v.Result.Target, false)}, written(Draw(v, someSize), StandIn))
}

func TestEverythingFittedLiesInTheField(t *testing.T) {
	many := make([]geom.Box, 120)
	for i := range many {
		x := float64(i%17) * 31
		many[i] = box(x, float64(i%5)*9, float64(i/17)*22, x+5+float64(i*7%40), float64(i%5)*9+11, float64(i/17)*22+4+float64(i*5%19))
	}
	flat := kitOf(box(0, 0, 0, 500, 0, 0))
	point := kitOf(box(1, 1, 1, 1, 1, 1))
	for name, v := range map[string]state.View{"tug": tug(), "many": kitOf(many...), "flat": flat, "point": point} {
		for _, target := range []float64{0, 1, 48, 700} {
			if target > 0 {
				v = at(t, v, 11.28, target)
			}
			for side := state.Front; side <= state.Top; side++ {
				for _, row := range []bool{false, true} {
					for _, s := range []Size{{900, 640}, {560, 480}, {2000, 1200}, {420, 900}} {
						v.Sheet.Side, v.Sheet.InRow = side, row
						l := arrange(v, s)
						require.Greater(t, l.camera.Zoom, 0.0)
						require.False(t, math.IsInf(l.camera.Zoom, 0))
						for _, p := range l.parts {
							b := l.camera.rect(p.at)
							if !l.field.grown(0.5).Holds(b.Min) || !l.field.grown(0.5).Holds(b.Max) {
								t.Fatalf("%s at 1:%g, side %d, row %v, %v: part %s at %v is outside %v", name, target, side, row, s, p.part.ID, b, l.field)
							}
						}
						require.NotEmpty(t, Draw(v, s))
					}
				}
			}
		}
	}
}

func TestPartsInARowDoNotOverlap(t *testing.T) {
	v := at(t, tug(), 11.28, 48)
	v.Sheet.InRow = true
	l := arrange(v, someSize)
	require.Len(t, l.parts, 3)
	for i, p := range l.parts {
		for _, q := range l.parts[:i] {
			require.False(t, l.camera.rect(p.at).Meets(l.camera.rect(q.at)), "%s and %s", p.part.ID, q.part.ID)
		}
		require.False(t, l.camera.rect(p.at).Meets(l.camera.rect(l.people[0].at())))
		require.InDelta(t, p.part.Box.Size()[0]*l.factor, p.at.w(), 1e-9, "a row changes no size")
	}
	marks := Draw(v, someSize)
	require.Equal(t, []string{"part 0", "part 1", "part 2"}, written(marks, PartName))
	require.Equal(t, []string{"96.8", "18.8", "1.41"}, written(marks, Width))
}

func TestOnlyTickedPartsAreDrawnAndTheSelectedOne(t *testing.T) {
	v := tug()
	v.Parts[0].Ticked, v.Parts[2].Ticked = false, false
	v.Selected = "2"
	shapes := map[string]bool{}
	for _, m := range Draw(v, someSize) {
		if m.Role == PartShape {
			shapes[m.Part] = m.Dashed
		}
	}
	require.Equal(t, map[string]bool{"1": false, "2": true}, shapes, "the unticked one is dashed")
}

func TestSelectionIsSaidInWordsAndForm(t *testing.T) {
	v := at(t, tug(), 11.28, 48)
	v.Selected = "1"
	v.Parts[1].Quantity = 4
	marks := Draw(v, someSize)
	require.Equal(t, []string{"part 1  ×4"}, written(marks, Selection))
	brackets := slices.ContainsFunc(marks, func(m Mark) bool { return m.Role == Selection && m.Kind == Line && m.Width > penOutline })
	require.True(t, brackets, "heavier brackets stand about it")
	require.Equal(t, []string{"96.8", "18.8"}, written(marks, Width))
}

func TestSilhouetteTakesThePlaceOfTheOutline(t *testing.T) {
	v := tug()
	v.Parts[0].Silhouettes[state.Front] = image.NewNRGBA(image.Rect(0, 0, 40, 10))
	l := arrange(v, someSize)
	for _, m := range Draw(v, someSize) {
		if m.Part == "0" && m.Role == PartShape {
			require.Equal(t, Picture, m.Kind)
			require.Equal(t, l.camera.rect(seen(v.Parts[0].Box, state.Front, geom.Z)), m.Box)
		}
		if m.Part == "1" && m.Role == PartShape {
			require.Equal(t, Outline, m.Kind, "its silhouette is not known")
		}
	}
}

func TestKitsWithYUpStandOnTheirFeet(t *testing.T) {
	// The same thing with z up and with y up, as glTF has it: (x, y, z) is (x, z, -y).
	z := kitOf(box(0, -2, 0, 10, 5, 30))
	y := kitOf(box(0, 0, -5, 10, 30, 2))
	y.PartsUp = geom.Y
	for side := state.Front; side <= state.Top; side++ {
		z.Sheet.Side, y.Sheet.Side = side, side
		a, b := arrange(z, someSize), arrange(y, someSize)
		require.Equal(t, a.parts[0].at, b.parts[0].at, "side %d", side)
	}
}

func TestBedStandsAboutTheKitOrTheLargestPart(t *testing.T) {
	v := at(t, tug(), 11.28, 48)
	v.Sheet.Bed, v.Bed.Size, v.Bed.Margin = true, geom.Vec{220, 200, 250}, 5
	l := arrange(v, someSize)
	require.Equal(t, [2]float64{220, 250}, [2]float64{l.bed.w(), l.bed.h()})
	require.Equal(t, [2]float64{210, 250}, [2]float64{l.room.w(), l.room.h()}, "the height is used whole")
	require.InDelta(t, (l.kit.u0+l.kit.u1)/2, (l.bed.u0+l.bed.u1)/2, 1e-9)
	v.Sheet.Side, v.Sheet.InRow = state.Top, true
	l = arrange(v, someSize)
	require.Equal(t, [2]float64{220, 200}, [2]float64{l.bed.w(), l.bed.h()})
	require.Equal(t, "0", l.parts[0].part.ID)
	require.InDelta(t, (l.parts[0].at.u0+l.parts[0].at.u1)/2, (l.bed.u0+l.bed.u1)/2, 1e-9)
	v.Result.Factor = ratio.Factor{}
	require.Zero(t, arrange(v, someSize).bed, "drawn sizes are not held against the bed")
}

func TestCameraGoesThereAndBack(t *testing.T) {
	v := at(t, tug(), 11.28, 48)
	v.Sheet.Fit, v.Sheet.Zoom, v.Sheet.PanX, v.Sheet.PanY = false, 3.5, 20, -7
	c := CameraOf(v, someSize)
	require.Equal(t, Field(someSize).Middle(), c.Paper(20, -7), "the point that is panned to lies in the middle")
	u, w := c.Print(c.Paper(12.5, 99))
	require.InDelta(t, 12.5, u, 1e-9)
	require.InDelta(t, 99, w, 1e-9)
	require.InDelta(t, 3.5, c.Paper(1, 0).X-c.Paper(0, 0).X, 1e-9)
}

func TestAtFindsTheForemostPartThatIsThere(t *testing.T) {
	// A near box, and behind it a larger one; the near one's silhouette covers its left half.
	v := kitOf(box(0, 50, 0, 100, 60, 100), box(20, 0, 20, 80, 10, 80))
	half := image.NewNRGBA(image.Rect(0, 0, 60, 60))
	for y := range 60 {
		for x := range 30 {
			half.SetNRGBA(x, y, color.NRGBA{90, 90, 90, 255})
		}
	}
	full := image.NewNRGBA(image.Rect(0, 0, 10, 10))
	for i := range full.Pix {
		full.Pix[i] = 255
	}
	v.Parts[0].Silhouettes[state.Front], v.Parts[1].Silhouettes[state.Front] = full, half
	c := CameraOf(v, someSize)
	for name, want := range map[string]struct {
		u, v float64
		part string
	}{
		"near one": {30, 50, "1"}, "through its empty half": {70, 50, "0"}, "beside it": {5, 5, "0"}, "beside both": {150, 50, ""},
	} {
		got, ok := At(v, someSize, c.Paper(want.u, want.v))
		require.Equal(t, want.part, got, name)
		require.Equal(t, want.part != "", ok, name)
	}
	_, ok := At(v, someSize, Point{3, 3})
	require.False(t, ok, "the ruler is no place for parts")

	v = tug() // without silhouettes the smallest box counts
	got, _ := At(v, someSize, CameraOf(v, someSize).Paper(250, 86))
	require.Equal(t, "1", got)
}

func TestRulersHaveRoundSteps(t *testing.T) {
	for _, c := range []struct {
		least  float64
		inches bool
		major  float64
	}{
		{0.7, false, 1}, {1, false, 1}, {1.1, false, 2}, {3, false, 5}, {7, false, 10}, {123, false, 200}, {0.03, false, 0.05},
		{0.1, true, 1. / 8}, {0.3, true, 0.5}, {0.9, true, 1}, {3, true, 5},
	} {
		major, minor := divide(c.least, c.inches)
		require.InDelta(t, c.major, major, 1e-12, "least %g", c.least)
		require.InDelta(t, math.Round(major/minor), major/minor, 1e-9, "the ticks divide the step")
	}
	require.Equal(t, "0.05", tickFigure(0.05, 0.05))
	require.Equal(t, "0", tickFigure(-1e-12, 20))
	require.Equal(t, "-20", tickFigure(-20, 20))
	require.Equal(t, "0.125", tickFigure(0.125, 0.125))
}

func TestRealRulerMeasuresTheSubject(t *testing.T) {
	v := at(t, tug(), 11.28, 48)
	l := arrange(v, someSize)
	places := map[string]float64{}
	for _, m := range Draw(v, someSize) {
		if m.Role == RealRuler && m.Kind == Writing {
			places[m.Text] = m.At.Y
		}
	}
	require.Contains(t, places, "0")
	require.Contains(t, places, "1")
	require.InDelta(t, 1000.0/48*l.camera.Zoom, places["0"]-places["1"], 0.01, "a metre at 1:48")
}

func TestTitleBlockSaysWhatIsDrawn(t *testing.T) {
	v := at(t, tug(), 11.28, 48)
	v.Title = "Harbour tug"
	says := strings.Join(written(Draw(v, someSize), TitleBlock), "|")
	for _, want := range []string{"Harbour tug", "1:48", "×0.2350", text.Side(state.Front), "mm"} {
		require.Contains(t, says, want)
	}
}

func TestEmptySheetSaysWhatToDo(t *testing.T) {
	require.Equal(t, text.EmptySheet(false), written(Draw(state.View{}, someSize), Hint))
	failed := state.View{Parts: []state.Part{{ID: "a", State: state.Failed}}}
	require.Equal(t, text.EmptySheet(true), written(Draw(failed, someSize), Hint))
	require.Nil(t, Draw(state.View{}, Size{20, 20}), "there is no room for anything")
}

func TestRuleHasTheFactorAtItsIndex(t *testing.T) {
	s := Size{W: 300, H: 36}
	for _, f := range []float64{0.235, 1, 1e-6, 4e5} {
		found := 0
		for _, m := range Rule(f, s) {
			if m.Kind != Writing {
				continue
			}
			found++
			var value float64
			_, err := fmt.Sscan(m.Text, &value)
			require.NoError(t, err)
			want := 150 + (math.Log10(value)-math.Log10(f))*RuleDecade
			require.InDelta(t, want, m.At.X, 0.01, "%s on the rule of %g", m.Text, f)
		}
		require.NotZero(t, found, "a rule at %g has figures", f)
	}
	require.NotEmpty(t, Rule(math.NaN(), s))
}

func BenchmarkDraw300(b *testing.B) {
	boxes := make([]geom.Box, 300)
	for i := range boxes {
		x := float64(i%25) * 30
		boxes[i] = box(x, 0, float64(i/25)*25, x+20, 20, float64(i/25)*25+20)
	}
	v := kitOf(boxes...)
	for _, row := range []bool{false, true} {
		b.Run(fmt.Sprint("row=", row), func(b *testing.B) {
			v.Sheet.InRow = row
			for b.Loop() {
				Draw(v, someSize)
			}
		})
	}
}

func TestNothingIsWrittenIntoTheNextLine(t *testing.T) {
	boxes := make([]geom.Box, 200)
	for i := range boxes {
		boxes[i] = box(0, 0, 0, 10+float64(i%9), 5, 6+float64(i%4))
	}
	v := at(t, kitOf(boxes...), 11.28, 48)
	v.Sheet.InRow = true
	s := Size{600, 500}
	l := arrange(v, s)
	for _, m := range Draw(v, s) {
		if m.Kind != Writing || m.Role != StandIn {
			continue
		}
		lettering := Rect{Point{m.At.X - 40, m.At.Y - 9}, Point{m.At.X + 40, m.At.Y}}
		for _, p := range l.parts {
			require.False(t, l.camera.rect(p.at).Meets(lettering), "part %s", p.part.ID)
		}
	}
}
