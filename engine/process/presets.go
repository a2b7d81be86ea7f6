package process

import (
	"slices"

	"scantling/engine/geom"
	"scantling/engine/ratio"
)

// A Source says where a number of a preset comes from. ISO/ASTM 52910 gives guidance for
// design without numbers, so that limits come from the design guides of print services,
// which differ: the range that was read is part of the source.
type Source struct {
	Text   string
	Status ratio.Status
}

// A Preset is a process to begin with, and where its numbers come from.
type Preset struct {
	Process Process
	Sources map[Field]Source
}

// A sourced number.
type sourced struct {
	field  Field
	value  float64
	text   string
	status ratio.Status
}

func preset(name string, k Kind, c Correction, numbers ...sourced) Preset {
	p := Preset{Process{Name: name, Kind: k, Correction: c}, map[Field]Source{}}
	for _, n := range numbers {
		*p.Process.Number(n.field) = n.value
		p.Sources[n.field] = Source{n.text, n.status}
	}
	return p
}

// Presets are the processes to begin with. Their names are keys for app/text, and so are those
// of their materials.
//
// Design guides read: arti90.com/en/design-clues, hycubeworks.in/design_guide,
// neway3dp.com/services/material-extrusion, gerlach-3d.de (Konstruktionsrichtlinien),
// addema.se (SLA, SLS), layerx3d.in (SLA/DLP), brisk-id.nl (PA12),
// support.jlcpcb.com/article/170.
func Presets() []Preset {
	const guides = "design guides of print services: "
	const practice, seen, memory, second = ratio.CommonPractice, ratio.Seen, ratio.Memory, ratio.SeenSecondHand
	none := Correction{}
	extrusion := preset("filament", Extrusion, none,
		sourced{WallSupported, 0.8, guides + "0.8 to 1.2; two lines of a 0.4 nozzle", seen},
		sourced{WallFree, 1.0, guides + "1.0 to 1.2", seen},
		sourced{Pin, 2.0, guides + "least feature 2, pins 3", seen},
		sourced{Gap, 0.5, guides + "0.4 to 0.5 between parts printed together", seen},
		sourced{Hole, 2.0, guides + "2", seen},
		sourced{EngravedWidth, 0.6, guides + "0.4 to 1.0", seen},
		sourced{EngravedDepth, 0.4, "two layers of 0.2; no source", practice},
		sourced{RaisedWidth, 0.6, guides + "0.4 to 0.8", seen},
		sourced{RaisedHeight, 0.4, "two layers of 0.2; no source", practice},
		sourced{Tight, 0.2, guides + "tight below 0.2; taken as a difference of diameters", seen},
		sourced{Loose, 0.4, guides + "loose from 0.4; taken as a difference of diameters", seen},
		sourced{Layer, 0.2, guides + "0.1 to 0.3", seen},
		sourced{Finest, 0.4, "the usual nozzle; no source", practice},
		sourced{Facet, 0.1, "half a layer; no source", practice},
		sourced{Skin, 1.35, "three lines of 0.45; no source", practice},
		sourced{Infill, 0.15, "10 to 20 % in models; no source", practice},
	)
	vat := preset("resin", Vat, none,
		sourced{WallSupported, 0.5, guides + "0.4 to 1.0", seen},
		sourced{WallFree, 0.6, guides + "0.6", seen},
		sourced{Pin, 0.5, guides + "0.5 upright, 1.0 lying", seen},
		sourced{Gap, 0.5, guides + "0.3 to 0.5", seen},
		sourced{Hole, 0.5, guides + "0.5", seen},
		sourced{EngravedWidth, 0.4, guides + "0.3 to 0.5", seen},
		sourced{EngravedDepth, 0.4, guides + "0.4 to 0.5", seen},
		sourced{RaisedWidth, 0.3, guides + "0.3 to 0.5", seen},
		sourced{RaisedHeight, 0.3, guides + "0.1 to 0.5", seen},
		sourced{Tight, 0.15, guides + "tight below 0.15; taken as a difference of diameters", seen},
		sourced{Loose, 0.3, guides + "loose from 0.3; taken as a difference of diameters", seen},
		sourced{Layer, 0.05, "0.025 to 0.1; no source", practice},
		sourced{Finest, 0.05, "pixels of 0.02 to 0.05; no source", practice},
		sourced{Facet, 0.025, "half a layer; no source", practice},
		sourced{Skin, 2, "walls of 1.5 to 3 when hollowed; no source", practice},
		sourced{Infill, 1, "printed solid unless hollowed; no source", practice},
	)
	powder := preset("powder", PowderBed, none,
		sourced{WallSupported, 0.7, guides + "0.6 to 1.0", seen},
		sourced{WallFree, 0.7, guides + "0.7 up to 100 mm, 1.0 up to 250", seen},
		sourced{Pin, 1.0, guides + "1.0", seen},
		sourced{Gap, 0.5, guides + "0.3 to 0.6 between parts printed together", seen},
		sourced{Hole, 1.5, guides + "1.0 to 1.5", seen},
		sourced{EngravedWidth, 0.5, guides + "0.5 to 1.0", seen},
		sourced{EngravedDepth, 0.5, guides + "0.5 to 1.0", seen},
		sourced{RaisedWidth, 0.5, guides + "0.5 to 1.0", seen},
		sourced{RaisedHeight, 0.5, guides + "0.5 to 1.0", seen},
		sourced{Tight, 0.1, guides + "0.1 up to 100 mm, 0.2 up to 250", seen},
		sourced{Loose, 0.2, guides + "0.2 for connections", seen},
		sourced{Layer, 0.1, "0.06 to 0.15; no source", practice},
		sourced{Finest, 0.4, "the spot of the laser, 0.3 to 0.5", memory},
		sourced{Facet, 0.05, "half a layer; no source", practice},
		sourced{Infill, 1, "printed solid; no source", practice},
	)
	other := preset("other", Other, none,
		sourced{Infill, 1, "solid", practice},
	)
	for _, p := range []struct {
		of       *Preset
		material string
	}{{&extrusion, "pla"}, {&vat, "resin"}, {&powder, "pa12"}, {&other, "resin"}} {
		for _, m := range Materials() {
			if m.Material.Name == p.material {
				p.of.Process.Material = m.Material
				for f, s := range m.Sources {
					p.of.Sources[f] = s
				}
			}
		}
	}
	return []Preset{extrusion, vat, powder, other}
}

// SourcesOf are where those numbers of a process come from that are still as in the preset of its
// kind, and of its material as they are in Materials. What a maker changed has no source.
func SourcesOf(p Process) map[Field]Source {
	out := map[Field]Source{}
	take := func(from Process, sources map[Field]Source, fields ...Field) {
		for _, f := range fields {
			if s, ok := sources[f]; ok && *from.Number(f) == *p.Number(f) {
				out[f] = s
			}
		}
	}
	of := []Field{Density, ShrinkageX, ShrinkageY, ShrinkageZ}
	for _, m := range Materials() {
		if m.Material.Name == p.Material.Name {
			take(Process{Material: m.Material}, m.Sources, of...)
		}
	}
	for _, preset := range Presets() {
		if preset.Process.Kind == p.Kind {
			take(preset.Process, preset.Sources, slices.DeleteFunc(Fields(), func(f Field) bool { return slices.Contains(of, f) })...)
		}
	}
	return out
}

// A Stock is a material to begin with, and where its numbers come from. A sheet of the very
// material in hand is better.
type Stock struct {
	Material Material
	Sources  map[Field]Source
}

// Materials are those to begin with. Shrinkage is that of printed parts where it is known, not
// that of moulding.
func Materials() []Stock {
	stock := func(name string, density float64, d Source, shrinkage float64, s Source) Stock {
		return Stock{
			Material{Name: name, Density: density, Shrinkage: geom.Vec{shrinkage, shrinkage, shrinkage}},
			map[Field]Source{Density: d, ShrinkageX: s, ShrinkageY: s, ShrinkageZ: s},
		}
	}
	memory := func(text string) Source { return Source{text, ratio.Memory} }
	return []Stock{
		// Grade sheets 4043D and 3D850; 1.22 to 1.26 over printed specimens, filled ones to 1.31.
		stock("pla", 1.24, Source{"makers' sheets of two grades, ASTM D792; filled ones up to 1.31", ratio.Seen},
			0.002, Source{"a print service's guide: about 0.2 %; moulded 0.3 to 0.5 %", ratio.SeenSecondHand}),
		// Usual figure from memory; a sheet of a flame-retardant grade has 1.26 (ISO 1183).
		stock("petg", 1.27, memory("usual figure; a flame-retardant grade has 1.26 by ISO 1183"),
			0.003, memory("0.2 to 0.5 %")),
		stock("abs", 1.04, memory("usual figure"),
			0.006, Source{"moulding tables: 0.4 to 0.7 %, others 0.35 to 1.6 %", ratio.SeenSecondHand}),
		stock("asa", 1.07, memory("usual figure"),
			0.005, Source{"moulding tables: 0.4 to 0.7 %", ratio.SeenSecondHand}),
		stock("tpu", 1.21, memory("usual figure, 95 Shore A"), 0, Source{"not known; measure it", ratio.CommonPractice}),
		stock("resin", 1.16, memory("makers' sheets: cured 1.12 to 1.20"),
			0, Source{"−0.3 to +0.6 % by exposure, so that it must be measured", ratio.SeenSecondHand}),
		stock("pa12", 0.97, memory("makers' sheets of sintered parts: 0.93 to 1.01"),
			0, memory("3 to 3.5 %, for which the machine makes up")),
	}
}
