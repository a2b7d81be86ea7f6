package ui

import (
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/layout"
	"fyne.io/fyne/v2/theme"

	"scantling/app/state"
	"scantling/app/text"
	"scantling/engine/figure"
)

// A personRow is the controls of one stand-in.
type personRow struct {
	i       int
	root    *fyne.Container
	pose    *selectBox
	who     *selectBox
	stature *tippedEntry
	order   *selectBox
	wrong   *tippedCaption
	over    string // the part that the last choice of order means
	drawing bool
}

func newPersonRow(w *Window, i int) *personRow {
	r := &personRow{i: i}
	b := w.bench
	pick := func(tip string, do func(at int)) *selectBox {
		var s *selectBox
		s = newSelect(nil, func(string) {
			if at := s.SelectedIndex(); !r.drawing && at >= 0 {
				do(at)
			}
		})
		s.SetToolTip(tip)
		return s
	}
	r.pose = pick(text.PoseTip, func(at int) { b.PoseStandIn(i, figure.Poses()[at]) })
	r.who = pick(text.WhoTip, func(at int) { b.StandInOf(i, figure.Populations()[at]) })
	r.order = pick(text.OrderTip, func(at int) { b.OrderStandIn(i, state.Orders()[at], r.over) })
	r.stature = newEntry()
	r.stature.SetToolTip(text.StatureTip)
	r.stature.OnChanged = func(typed string) { b.TypeStature(i, typed) }
	turn := newPress(text.LabelFaceOther, func() { b.TurnStandIn(i) })
	turn.SetToolTip(text.FaceOtherTip)
	remove := newPress(text.LabelOffSheet, func() { b.RemoveStandIn(i) })
	remove.SetToolTip(text.OffSheetTip)
	r.wrong = newTippedCaption(theme.SizeNameCaptionText, theme.ColorNameError)
	r.root = container.New(padded{10, 1, 10, 1}, container.New(layout.NewCustomPaddedVBoxLayout(0),
		container.New(columns{widths: []float32{100, 0, 80, 138, 50, 30}, gap: 4, height: 32}, r.pose, r.who, r.stature, r.order, turn, remove), r.wrong))
	return r
}

func (r *personRow) draw(v state.View, s state.StandIn) {
	r.drawing = true
	defer func() { r.drawing = false }()
	var poses, whos, orders []string
	for _, p := range figure.Poses() {
		poses = append(poses, text.PoseName(p))
	}
	choose(r.pose, poses, max(0, slices.Index(figure.Poses(), s.Pose)))
	for _, p := range figure.Populations() {
		whos = append(whos, text.StandInName(p))
	}
	choose(r.who, whos, slices.Index(figure.Populations(), s.Of))
	if hint := text.StatureHint(s.Of, v.Sheet.Inches); r.stature.PlaceHolder != hint {
		r.stature.SetPlaceHolder(hint)
	}
	r.stature.show(s.Typed)
	showIf(s.Err != nil, r.wrong)
	if s.Err != nil {
		r.wrong.tell(text.Error(s.Err).String())
	}
	// The part to be in front of is the one that was chosen before, or the selected one.
	r.over = v.Selected
	if s.Order == state.OverPart {
		r.over = s.Over
	}
	for _, o := range state.Orders() {
		name := ""
		for i := range v.Parts {
			if v.Parts[i].ID == r.over {
				name = v.Parts[i].Name
			}
		}
		if o != state.OverPart || name != "" {
			orders = append(orders, text.OrderName(o, name))
		}
	}
	choose(r.order, orders, min(int(s.Order), len(orders)-1))
}
