package text

import (
	"scantling/engine/deliver"
	"scantling/formats"
)

// Labels and tips of the save panel.
const (
	LabelFolders = "In folders as the sources are"
	FoldersTip   = "Each copy lies in a folder named as that of its source, below the one folder that has all sources"
	OwnFormatTip = "The format of one file alone: mark the file in the list, then choose here"
)

// OwnFormat names a format for the marked file alone; the empty kind is that of all copies.
func OwnFormat(k formats.Kind) string {
	if k == "" {
		return "marked file: as all copies"
	}
	return "marked file: " + FormatName(k)
}

// NameField is a field of a name pattern as it is typed, and what it stands for.
func NameField(f deliver.NameField) (label, tip string) {
	label = "{" + string(f) + "}"
	switch f {
	case deliver.PartField:
		tip = "The name of the source, without its ending"
	case deliver.RatioField:
		tip = "The ratio: 1-48"
	case deliver.PercentField:
		tip = "The factor in percent: 23.5"
	case deliver.FactorField:
		tip = "The factor: 0.235"
	case deliver.KitField:
		tip = "The title of the kit"
	case deliver.DateField:
		tip = "The day: 2026-04-30"
	case deliver.PiecesField:
		tip = "How many of the part are printed"
	}
	return label, tip
}
