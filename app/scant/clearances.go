package main

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	"scantling/app/text"
	"scantling/engine/geom"
	"scantling/engine/kit"
	"scantling/engine/mesh"
	"scantling/engine/survey"
	"scantling/formats"
)

// A standing is a surveyed part in the kit that the files make together.
type standing struct {
	model *model
	index int
	part  mesh.Part
	found survey.Measurements
	row   int
}

// clearances are how the parts lie to each other, in millimetres and kit axes; parts have
// the numbers of their rows. It is nil where there are fewer than two.
func (s *session) clearances(stand []standing) (*survey.Assembly, error) {
	if len(stand) < 2 {
		return nil, nil
	}
	parts := make([]mesh.Part, len(stand))
	for i, p := range stand {
		parts[i] = p.part
	}
	frame := kit.FrameOf(parts)
	placed := make([]survey.Placed, len(stand))
	for i, p := range stand {
		placed[i] = survey.Placed{
			Box: p.part.Box, Bores: p.found.Bores, Pegs: p.found.Pegs,
			Place: func(v geom.Vec) geom.Vec { return frame.Point(p.part, v) },
			Mesh:  func(ctx context.Context) (*mesh.Mesh, error) { return p.model.file.Mesh(ctx, p.index, nil) }, Content: formats.Content(p.model.file, p.index),
		}
	}
	var a survey.Assembly
	err := guarded(func() (err error) {
		a, err = survey.KeptBetween(s.ctx, s.store(), placed, nil)
		return err
	})
	if err != nil {
		if s.ctx.Err() != nil {
			return nil, s.ctx.Err()
		}
		s.fail("", err)
		return nil, nil
	}
	for i := range a.Fits {
		a.Fits[i].Inner, a.Fits[i].Outer = stand[a.Fits[i].Inner].row, stand[a.Fits[i].Outer].row
	}
	for i := range a.Neighbours {
		a.Neighbours[i].One, a.Neighbours[i].Other = stand[a.Neighbours[i].One].row, stand[a.Neighbours[i].Other].row
	}
	return &a, nil
}

// printClearances writes what stands in what, and what lies how near to what: the closest
// first.
func (s *session) printClearances(a *survey.Assembly, stand []standing) error {
	if a == nil || len(a.Fits)+len(a.Neighbours) == 0 {
		return nil
	}
	names := map[int]string{}
	for _, p := range stand {
		names[p.row] = p.part.Name
	}
	box := geom.EmptyBox()
	for _, p := range stand {
		box = box.Union(p.part.Box.Scale(p.part.Unit.MM))
	}
	at := func(v geom.Vec) string { return ", at " + spot(v, box.Size().Len()) }
	var rows [][]string
	list := func(what string, lines []string) {
		for i, line := range lines {
			if i == toldPlaces {
				rows = append(rows, []string{"  " + what, text.More(len(lines) - i)})
				break
			}
			rows = append(rows, []string{"  " + what, line})
		}
	}
	fits := slices.Clone(a.Fits)
	slices.SortStableFunc(fits, func(a, b survey.Fit) int { return cmp.Compare(a.Clearance, b.Clearance) })
	var lines []string
	for _, f := range fits {
		lines = append(lines, text.StandsIn(f, names[f.Inner], names[f.Outer])+at(f.Centre))
	}
	list("fit", lines)
	near := slices.Clone(a.Neighbours)
	slices.SortStableFunc(near, func(a, b survey.Neighbours) int { return cmp.Compare(a.Distance, b.Distance) })
	for _, relation := range []survey.Relation{survey.Overlapping, survey.Apart, survey.Touching} {
		lines = lines[:0]
		for _, n := range near {
			if n.Relation == relation {
				lines = append(lines, text.Neighbours(n, names[n.One], names[n.Other])+at(n.At))
			}
		}
		list(string(relation), lines)
	}
	if _, err := fmt.Fprintln(s.out, "parts to each other"); err != nil {
		return err
	}
	return printTable(s.out, rows)
}
