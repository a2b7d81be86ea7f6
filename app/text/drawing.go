package text

import (
	"scantling/app/state"
	"scantling/engine/judge"
	"scantling/engine/ratio"
)

// StandIn is what is written under the human figure: "1.75 m at 1:48".
func StandIn(statureMM float64, target ratio.Ratio, inches bool) string {
	return Real(statureMM, inches) + " at " + Ratio(target)
}

// BedLabel is what is written at the bed's outline.
func BedLabel(b judge.Bed, inches bool) string {
	return "Bed " + BedSize(b, inches)
}

// EmptySheet is what the sheet says while there is nothing to draw, the first line larger.
func EmptySheet(someFailedOrUnticked bool) []string {
	if someFailedOrUnticked {
		return []string{"No part to draw", "Tick a part that could be read, or add others."}
	}
	return []string{"Drop STL, OBJ, glTF or 3MF files or folders here", "or add them with the button under the list of parts."}
}

// SheetNotes are what the drawing cannot show yet, and why.
func SheetNotes(factor, target bool) []string {
	switch {
	case !factor:
		return []string{"Sizes as drawn: there is no factor yet."}
	case !target:
		return []string{"No stand-in and no real sizes: the native ratio is not known."}
	}
	return nil
}

// RulerName is the unit of the ruler of the print, or of what was drawn.
func RulerName(print, inches bool) string {
	if print {
		return UnitName(inches) + " print"
	}
	return UnitName(inches) + " drawn"
}

// RealRulerName is the unit of the ruler of the real subject.
func RealRulerName(inches bool) string { return RealUnitName(inches) + " real" }

// A Cell is one field of the title block.
type Cell struct{ Caption, Value string }

// A Block is the title block's content.
type Block struct {
	Title, Scale Cell
	Rest         []Cell
}

// TitleBlock fills the title block, after the data fields of ISO 7200.
func TitleBlock(v state.View) Block {
	scale := Ratio(v.Ratio())
	if !v.Ratio().Known() && v.Result.Factor.Known() {
		scale = "not known"
	}
	layout := "Assembled"
	if v.Sheet.InRow {
		layout = "In a row"
	}
	seen := Side(v.Sheet.Side)
	if v.Sheet.Pose {
		seen, layout = "Front, top", "Pose"
	}
	if v.Sheet.Beds {
		seen, layout = Side(state.Top), BedsPage
	}
	return Block{
		Title: Cell{"Title", Title(v.Title)},
		Scale: Cell{"Scale", scale},
		Rest: []Cell{
			{"Factor", Factor(v.Result.Factor)},
			{"View", seen},
			{"Sheet", layout},
			{"Unit", UnitName(v.Sheet.Inches)},
		},
	}
}

// Title is the kit's title, or what stands for it.
func Title(title string) string {
	if title == "" {
		return "Untitled kit"
	}
	return title
}

// Side names a side that the sheet looks from.
func Side(s state.Side) string {
	switch s {
	case state.FromSide:
		return "Side"
	case state.Top:
		return "Top"
	}
	return "Front"
}
