package ui

import (
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/app/state"
	"scantling/app/text"
	"scantling/engine/figure"
	"scantling/engine/ratio"
	"scantling/engine/ways"
)

// A figure of 52.3 mm for somebody of 5 ft 9 in, with the kit's native ratio.
func byFigure(s *scene) {
	s.bench.Type(state.InNative, "1:11.28")
	s.bench.ChooseWay(ways.ByFigure)
	s.bench.Type(state.InReadings, "52.3")
	s.bench.Type(state.InPerson, "5 ft 9 in")
}

// Three clues that agree, and one that is set aside.
func byClues(s *scene) {
	s.bench.ChooseWay(ways.ByClues)
	s.bench.Type(state.InTarget, "1:48")
	for _, c := range [][2]string{{"114.51", "door leaf uk"}, {"25.98 ± 0.3", "chair seat"}, {"101.16", "man standing"}, {"21.5", "side scuttle 300"}} {
		s.bench.Type(state.InDrawn, c[0])
		s.bench.Type(state.InIsReal, c[1])
		s.bench.AddClue()
	}
	all := s.view().Way.Clues
	s.bench.SetAside(all[len(all)-1].ID, true)
}

func TestGoldenWays(t *testing.T) {
	for _, look := range []string{"light", "dark"} {
		s := loaded(t, "look", look, "field", string(ratio.Armour))
		byFigure(s)
		s.canvas().Unfocus()
		golden(t, "figure-"+look, s.canvas().Capture())
		byClues(s)
		s.canvas().Unfocus()
		golden(t, "clues-"+look, s.canvas().Capture())
	}
}

// Every way has a line in the table with its name, a tip, and a body.
func TestEveryWayHasALineAndABody(t *testing.T) {
	s := loaded(t)
	require.Len(t, s.factor.ways, len(ways.Kinds()))
	for i, k := range ways.Kinds() {
		part := s.factor.ways[i]
		require.Equal(t, k, part.kind, "in the order of the ways")
		require.Equal(t, text.WayOf(k), part.head.name.full)
		require.NotEmpty(t, text.WayTip(s.view().Offers[i]))
		require.NotNil(t, s.factor.first[k], "%s has a field where typing begins", k)
		s.bench.ChooseWay(k)
		require.True(t, part.body.Visible())
		s.key(text.GoFactor)
		require.Same(t, s.factor.first[k].entry, s.canvas().Focused())
	}
}

func TestFigureInThePanel(t *testing.T) {
	s := loaded(t)
	byFigure(s)
	panel := says(s.factor.root)
	for _, want := range []string{"×0.33661", "± 0.00015", "1:33.511 ± 0.015", "The figure is 1:33.511 ± 0.015 (95 %: 1:33.496 to 1:33.525)."} {
		require.Contains(t, panel, want)
	}
	require.NotContains(t, panel, text.SegmentName(figure.Thigh), "pieces are asked for only of bent figures")
	s.bench.SetPosture(figure.Bent)
	require.Contains(t, says(s.factor.root), text.SegmentName(figure.Thigh))
}
