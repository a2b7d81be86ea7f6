package text

import (
	"strings"

	"scantling/engine/process"
)

// ProcessName is a process's name: in words for one of those to begin with, and as the maker
// wrote it otherwise.
func ProcessName(name string) string {
	switch name {
	case "filament":
		return "Filament, 0.4 mm nozzle"
	case "resin":
		return "Resin in a vat"
	case "powder":
		return "Powder, sintered"
	case "other":
		return "Another process"
	}
	return name
}

// ProcessTyped is the name that a typed one stands for: that of the process to begin with which
// is shown so, whatever its capitals, and the typed one otherwise. No process of the maker's own
// can then look like one to begin with.
func ProcessTyped(typed string) string {
	typed = strings.TrimSpace(typed)
	for _, p := range process.Presets() {
		if strings.EqualFold(typed, ProcessName(p.Process.Name)) {
			return p.Process.Name
		}
	}
	return typed
}

// ProcessKind names a kind of process as the standard ISO/ASTM 52900 does, with what makers say.
func ProcessKind(k process.Kind) string {
	switch k {
	case process.Extrusion:
		return "material extrusion (filament)"
	case process.Vat:
		return "vat photopolymerisation (resin)"
	case process.PowderBed:
		return "powder bed fusion (powder)"
	case process.Other:
		return "another process"
	}
	return string(k)
}

// MaterialName is a material's name: in words for one of those to begin with.
func MaterialName(name string) string {
	switch name {
	case "pla", "petg", "abs", "asa", "tpu", "pa12":
		return map[string]string{"pla": "PLA", "petg": "PETG", "abs": "ABS", "asa": "ASA", "tpu": "TPU", "pa12": "PA12"}[name]
	case "resin":
		return "photopolymer resin"
	}
	return name
}

// LimitName labels a number of a process, and says what it means and in which unit it is.
func LimitName(f process.Field) (name, hint, unit string) {
	const mm = "mm"
	switch f {
	case process.WallSupported:
		return "Thinnest wall, held", "A wall held at two sides or more; nothing thinner comes out.", mm
	case process.WallFree:
		return "Thinnest wall, free", "A wall that is held at one side only.", mm
	case process.Pin:
		return "Thinnest pin", "A mast, a handle, a rail: what stands alone and must not snap.", mm
	case process.Gap:
		return "Narrowest gap", "The least air between two faces that stays open.", mm
	case process.Hole:
		return "Smallest hole", "The least round hole that stays open.", mm
	case process.EngravedWidth:
		return "Engraved line, width", "The narrowest line sunk into a face that still shows.", mm
	case process.EngravedDepth:
		return "Engraved line, depth", "The shallowest line sunk into a face that still shows.", mm
	case process.RaisedWidth:
		return "Raised line, width", "The narrowest line standing on a face that still comes out.", mm
	case process.RaisedHeight:
		return "Raised line, height", "The lowest line standing on a face that still shows.", mm
	case process.Tight:
		return "Tight fit", "How much wider than its peg a hole must be for the peg to go in with force.", mm
	case process.Loose:
		return "Easy fit", "How much wider than its peg a hole must be for the peg to slide.", mm
	case process.Layer:
		return "Layer height", "How thick one layer is.", mm
	case process.Finest:
		return "Nozzle, pixel or spot", "The width of the finest line that your machine makes.", mm
	case process.Facet:
		return "Facet that shows", "How far a flat facet may lie from its curve before the eye sees it.", mm
	case process.Skin:
		return "Solid skin", "How thick the part is solid below its surface: lines beside each other times their width, or the wall of a hollow part.", mm
	case process.Infill:
		return "Inside of it", "What share of the room inside is filled: 0 is hollow, 1 is solid.", ""
	case process.Density:
		return "Density", "How heavy the material is.", "g/cm³"
	case process.Price:
		return "Price", "What a kilogram costs you.", "per kg"
	case process.ShrinkageX, process.ShrinkageY, process.ShrinkageZ:
		axis := map[process.Field]string{process.ShrinkageX: "x", process.ShrinkageY: "y", process.ShrinkageZ: "z"}[f]
		return "Shrinkage along " + axis, "By what share of its length a print comes out shorter: 0.004, or 0.4 %. It changes copies only through a correction.", ""
	case process.CorrectionX, process.CorrectionY, process.CorrectionZ:
		axis := map[process.Field]string{process.CorrectionX: "x", process.CorrectionY: "y", process.CorrectionZ: "z"}[f]
		return "Copies, along " + axis, "What lengths of a saved copy are multiplied by besides the factor, x and y along the bed and z up. Or type what was meant and what an uncorrected print measures: 150 / 149.5.", "×"
	}
	return string(f), "", ""
}
