package text

import (
	"strings"
	"testing"

	"scantling/app/state"
	"scantling/engine/ratio"
	"scantling/engine/ways"
)

func figureOf(t *testing.T, height, person string) ways.Figure {
	t.Helper()
	readings, err := ways.ParseReadings(height, ratio.Millimetre)
	if err != nil {
		t.Fatal(err)
	}
	who, err := ways.ParsePerson(person)
	if err != nil {
		t.Fatal(err)
	}
	return ways.Figure{Readings: readings, Person: who}
}

func offerOf(w ways.Way) state.Offer {
	o := state.Offer{Kind: w.Kind}
	if o.Result, o.Err = w.Find(ways.Subject{}); o.Err != nil {
		o.SoFar, _ = w.SoFar(ways.Subject{}, o.Err)
	}
	return o
}

func TestOffersWithTheirUncertainty(t *testing.T) {
	w := ways.Way{Kind: ways.ByFigure, Figure: figureOf(t, "52.3", "5 ft 9 in")}
	check(t, plain(Offered(offerOf(w))), "1:33.511 ± 0.015") // the figure's own ratio, while the kit's is missing
	w.Native = mustRatio(t, "1:11.28")
	o := offerOf(w)
	check(t, plain(Offered(o)), "×0.33661 ± 0.00015")
	factor, plus, rest := HeadlineOf(o.Result)
	check(t, plain(strings.Join([]string{factor, plus, rest}, " | ")), "×0.33661 | ± 0.00015 | 33.66 %  ·  1:33.511 ± 0.015")

	clue, err := ways.ParseClue("100=1128±10")
	if err != nil {
		t.Fatal(err)
	}
	c := ways.Way{Kind: ways.ByClues, Clues: []ways.Clue{clue}}
	check(t, plain(Offered(offerOf(c))), "1:11.3 ± 0.2") // drawn at, while no target is wanted
	check(t, Offered(offerOf(ways.Way{Kind: ways.ByFactor})), None)

	exact := ways.Way{Kind: ways.ByRatio, Native: mustRatio(t, "1:11.28"), Target: mustRatio(t, "1:48")}
	factor, plus, rest = HeadlineOf(offerOf(exact).Result)
	check(t, plain(strings.Join([]string{factor, plus, rest}, " | ")), "×0.2350 |  | 23.50 %  ·  1:48")
	factor, plus, rest = HeadlineOf(ways.Result{})
	check(t, factor+plus+rest, None)
}

func TestDisagreements(t *testing.T) {
	ratioWay := offerOf(ways.Way{Kind: ways.ByRatio, Native: mustRatio(t, "1:11.28"), Target: mustRatio(t, "1:48")})
	figureWay := offerOf(ways.Way{Kind: ways.ByFigure, Native: mustRatio(t, "1:11.28"), Figure: figureOf(t, "52.3", "5 ft 9 in")})
	clue, _ := ways.ParseClue("100=1730±5")
	cluesWay := offerOf(ways.Way{Kind: ways.ByClues, Target: mustRatio(t, "1:48"), Clues: []ways.Clue{clue}})
	check(t, plain(Disagree(state.Disagreement{A: ratioWay, B: figureWay})), "By ratio 1:48, by figure 1:33.511 ± 0.015")
	check(t, plain(Disagree(state.Disagreement{A: cluesWay, B: ratioWay})), "By clues drawn at 1:17.30 ± 0.10, by ratio at 1:11.28")
	hand := offerOf(ways.Way{Kind: ways.ByFactor, Factor: mustFactor(t, "0.5")})
	check(t, plain(Disagree(state.Disagreement{A: hand, B: ratioWay})), "By factor ×0.5000, by ratio ×0.2350")
}

func TestWhatAFigureIs(t *testing.T) {
	var v state.View
	v.Way.Figure = figureOf(t, "28.1", "man")
	v.Evidence.Figure, v.Evidence.FigureErr = v.Way.Figure.Ratio()
	check(t, plain(FigureResult(v)), "The figure is 1:62 ± 5 (95 %: 1:58 to 1:67).")
	check(t, plain(FigureSizesNow(v)), "Sold as 28.1 mm tall, 26.3 mm to the eyes, for 1.76 m.")
	list, _ := v.Evidence.Figure.Candidates(ratio.Wargame)
	cells := CandidateCells(list[0], v.Evidence.Figure.Estimate)
	if cells[0] != "1:64" || !strings.Contains(cells[2], "σ") || !strings.HasSuffix(cells[3], " %") {
		t.Errorf("%q", cells)
	}
	v.Evidence.FigureErr = ways.ErrNeedPerson
	if FigureResult(v) != Error(ways.ErrNeedPerson).String() || FigureSizesNow(v) != "" {
		t.Error("a figure without a person says what is missing")
	}
}

func TestChainHasAllDigits(t *testing.T) {
	var v state.View
	v.Way = ways.Way{Kind: ways.ByRatio, Native: mustRatio(t, "1:45"), Target: mustRatio(t, "1:87")}
	v.Result, v.WayErr = v.Way.Find(ways.Subject{})
	check(t, plain(strings.Join(Chain(v), "\n")), "Native 1:45 ÷ target 1:87.\nFactor 15/29 = 0.5172413793103449 = target 1:87 ÷ native 1:45.\n"+
		"At this ratio people are 20.1 mm tall, 18.8 mm to the eyes, for 1.75 m.")
}
