package sheet

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/app/state"
	"scantling/app/text"
	"scantling/engine/ratio"
	"scantling/engine/ways"
)

// clued is a view with clues of drawn = real lengths; a minus before one sets it aside.
func clued(t *testing.T, typed ...string) state.View {
	t.Helper()
	var v state.View
	v.Field = ratio.Armour
	for _, s := range typed {
		c, err := ways.ParseClue(strings.TrimPrefix(s, "-"))
		require.NoError(t, err)
		c.SetAside = strings.HasPrefix(s, "-")
		v.Way.Clues = append(v.Way.Clues, c)
	}
	v.Evidence.Clues, v.Evidence.CluesErr = ways.Combine(v.Way.Clues)
	v.Evidence.CluesAre.List, v.Evidence.CluesAre.None = v.Evidence.Clues.Candidates(v.Field)
	return v
}

func writings(marks []Mark) (out []string) {
	for _, m := range marks {
		if m.Kind == Writing {
			out = append(out, m.Text)
		}
	}
	return out
}

// bars are the level lines of a plot.
func bars(marks []Mark) (out []Mark) {
	for _, m := range marks {
		if m.Role == PlotBar && m.Kind == Line && m.Points[0].Y == m.Points[1].Y {
			out = append(out, m)
		}
	}
	return out
}

func TestPlotOfClues(t *testing.T) {
	v := clued(t, "114.5=1981±5", "26±0.3=445±12", "101.2=1756±69", "-30=300±3")
	p := CluesPlot(v)
	require.Len(t, p.Bars, 4)
	for _, width := range []float64{320, 720} {
		marks := Plot(p, Size{width, PlotHeight(p)})
		all := bars(marks)
		require.Len(t, all, 4)
		// Bars are as wide as they are uncertain, on a logarithmic axis.
		w := func(i int) float64 { return all[i].Points[1].X - all[i].Points[0].X }
		for i := 1; i < 3; i++ {
			want := v.Evidence.Clues.Each[i].SD / v.Evidence.Clues.Each[0].SD
			require.InEpsilon(t, want, w(i)/w(0), 1e-9)
		}
		require.False(t, all[0].Dashed)
		require.True(t, all[3].Dashed, "one that is set aside is told apart by its form")
		texts := writings(marks)
		require.Contains(t, texts, text.LabelTogether)
		require.Contains(t, texts, "1:16", "the nearest standard ratio is named")
		for _, m := range marks {
			for _, q := range m.Points {
				require.True(t, q.X >= -0.5 && q.X <= width+0.5 && q.Y >= -0.5 && q.Y <= PlotHeight(p)+0.5, "%+v lies outside", m)
			}
			if m.Kind == Writing && m.Align == Centre {
				half := float64(len(m.Text)) * m.Size * 0.3
				require.True(t, m.At.X-half >= -1 && m.At.X+half <= width+1, "%q is cut off", m.Text)
			}
		}
		// The filled bar is where the ratio is.
		low, high := v.Evidence.Clues.Interval()
		sum := 0
		for _, m := range marks {
			if m.Role == PlotSum && m.Ink == Pen && m.Kind == Area {
				sum++
				span := (m.Points[1].X - m.Points[0].X) / w(0)
				lowClue, highClue := v.Evidence.Clues.Each[0].Interval()
				require.InEpsilon(t, math.Log(low.Float()/high.Float())/math.Log(lowClue.Float()/highClue.Float()), span, 1e-6)
			}
		}
		require.Equal(t, 1, sum)
	}
}

func TestPlotPointsOutTheWorst(t *testing.T) {
	v := clued(t, "100=4800±48", "200=9600±96", "50=2400±24", "10=254±2")
	require.Equal(t, 3, v.Evidence.Clues.Worst)
	p := CluesPlot(v)
	texts := strings.Join(writings(Plot(p, Size{320, PlotHeight(p)})), "\n")
	require.Contains(t, texts, "! 254", "by a sign, not by its colour alone")
	require.Equal(t, 1, strings.Count(texts, "!"))
}

func TestPlotOfAFigure(t *testing.T) {
	var v state.View
	v.Evidence.FigureErr = ways.ErrNeedReading
	require.Zero(t, PlotHeight(FigurePlot(v)), "there is nothing to show")
	v.Evidence.FigureErr = nil
	v.Evidence.Figure.Estimate = ways.Estimate{Ratio: mustRatio(t, "1:33.5"), SD: 0.001}
	v.Evidence.FigureIs.List, _ = v.Evidence.Figure.Candidates(ratio.Armour)
	p := FigurePlot(v)
	marks := Plot(p, Size{320, PlotHeight(p)})
	require.Subset(t, writings(marks), []string{"1:32", "1:35"})
	require.Empty(t, bars(marks))
}

// Whatever is plotted, marks are finite, on the paper and not without number.
func TestPlotOfAnything(t *testing.T) {
	for _, typed := range [][]string{
		{"1=1±0"}, {"1000000=1±0.001"}, {"0.001=1000000±1000"}, {"1=1±0.9", "1=1000±0.1"}, {"-1=10"}, {"1=10±0", "1=10±0"}, {"5=1±0.5"},
	} {
		p := CluesPlot(clued(t, typed...))
		for _, s := range []Size{{320, PlotHeight(p)}, {2000, 300}, {10, 10}, {0, 0}, {130, 40}} {
			marks := Plot(p, s)
			require.NotEmpty(t, marks)
			require.Less(t, len(marks), 400)
			for _, m := range marks {
				for _, q := range append(m.Points, m.At) {
					require.False(t, math.IsNaN(q.X+q.Y) || math.IsInf(q.X+q.Y, 0), "%v on %v: %+v", typed, s, m)
				}
			}
		}
	}
	require.Len(t, Plot(Plotted{}, Size{320, 100}), 1)
}

func mustRatio(t *testing.T, typed string) ratio.Ratio {
	t.Helper()
	a, err := ratio.Parse(typed)
	require.NoError(t, err)
	return a
}
