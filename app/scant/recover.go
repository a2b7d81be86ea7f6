package main

import (
	"fmt"
	"math"

	"scantling/app/state"
	"scantling/app/text"
	"scantling/engine/lost"
	"scantling/engine/mesh"
	"scantling/formats"
)

// A recovered is a factor that was found again, in JSON.
type recovered struct {
	Factor   number      `json:"factor"`
	Tidy     string      `json:"tidy"` // the shortest number that the measurement cannot tell from it
	SD       number      `json:"sd"`   // standard uncertainty of the factor
	Percent  number      `json:"percent"`
	Method   string      `json:"method"`
	Axes     *triple     `json:"axes"`     // the factor along x, y and z; 0 along an axis without extent
	Spread   number      `json:"spread"`   // largest of the axes over the smallest, less one
	Uneven   bool        `json:"uneven"`   // they differ by more than rounding can explain
	Residual number      `json:"residual"` // mm: how far corners are from where the factor puts them; 0 by extents
	Turned   bool        `json:"turned"`
	Part     string      `json:"part,omitempty"` // where there are several
	Parts    []recovered `json:"parts,omitempty"`
	Warnings []string    `json:"warnings,omitempty"`
}

// recover finds the factor between an original and a copy of it.
func (s *session) recover() error {
	if len(s.call.paths) != 2 {
		return misuse(s.call.verb, "give two files: the original and its copy")
	}
	var files [2]formats.File
	for i, path := range s.call.paths {
		err := guarded(func() (err error) {
			files[i], err = formats.Open(s.ctx, path, nil)
			return err
		})
		if err != nil {
			return &state.PathError{Path: path, Err: err}
		}
	}
	pairs := pair(files[0].Parts(), files[1].Parts())
	if len(pairs) == 0 {
		return &state.PathError{Path: s.call.paths[1], Err: lost.ErrDifferent}
	}
	all := make([]lost.Found, len(pairs))
	for i, p := range pairs {
		a, err := s.body(files[0], p[0])
		if err != nil {
			return &state.PathError{Path: s.call.paths[0], Err: err}
		}
		b, err := s.body(files[1], p[1])
		if err == nil {
			all[i], err = lost.Find(s.ctx, a, b, nil)
		}
		if err != nil {
			return &state.PathError{Path: s.call.paths[1], Err: err}
		}
	}
	return s.printRecovered(files[0].Parts(), pairs, all)
}

// pair matches parts of an original with parts of a copy, by their names where these are the same
// and otherwise by their order; there are none where one has more parts.
func pair(a, b []mesh.Part) [][2]int {
	if len(a) != len(b) {
		return nil
	}
	byName := map[string]int{}
	for i, p := range b {
		byName[p.Name] = i
	}
	named := len(byName) == len(b)
	out := make([][2]int, len(a))
	for i, p := range a {
		j, ok := byName[p.Name]
		named = named && ok
		out[i] = [2]int{i, j}
		delete(byName, p.Name) // no other part may take it
	}
	if !named {
		for i := range out {
			out[i] = [2]int{i, i}
		}
	}
	return out
}

// body is a part with its triangles, where they can be read.
func (s *session) body(f formats.File, i int) (b lost.Body, err error) {
	b.Part = f.Parts()[i]
	if b.Part.Surface {
		err = guarded(func() (err error) {
			b.Mesh, err = f.Mesh(s.ctx, i, nil)
			return err
		})
	}
	return b, err
}

// printRecovered prints the surest factor of all parts, and what they disagree in.
func (s *session) printRecovered(parts []mesh.Part, pairs [][2]int, all []lost.Found) error {
	best := 0
	for i, f := range all {
		if f.SD < all[best].SD {
			best = i
		}
	}
	out := recoveredOf(all[best])
	warned := map[string]bool{}
	warn := func(what string) {
		if what != "" && !warned[what] {
			warned[what] = true
			out.Warnings = append(out.Warnings, what)
			s.warn(what)
		}
	}
	for i, f := range all {
		apart := math.Abs(math.Log(f.Factor.Float() / all[best].Factor.Float()))
		if apart > 1e-6+3*math.Hypot(f.SD, all[best].SD) {
			warn(text.PartsDiffer(parts[pairs[best][0]].Name, all[best], parts[pairs[i][0]].Name, f))
		}
		warn(text.RecoveredWarning(f))
		if len(all) > 1 {
			p := recoveredOf(f)
			p.Part = parts[pairs[i][0]].Name
			out.Parts = append(out.Parts, p)
		}
	}
	if s.call.has("json") {
		return s.printJSON(out)
	}
	f := all[best]
	rows := [][]string{
		{"factor", f.Tidy.Digits()}, {"measured", fmt.Sprintf("%.9g", f.Factor.Float()) + " ± " + fmt.Sprintf("%.1g", f.SD*f.Factor.Float())},
		{"percent", text.Percent(f.Tidy)},
		{"along x y z", axesOf(f)}, {"how", text.Recovered(f)},
	}
	if len(all) > 1 {
		for i, f := range all {
			rows = append(rows, []string{"part", parts[pairs[i][0]].Name + ": " + text.Factor(f.Factor)})
		}
	}
	return printTable(s.out, rows)
}

func axesOf(f lost.Found) string {
	s := ""
	for i, x := range f.Axes {
		if i > 0 {
			s += "  "
		}
		if x > 0 {
			s += fmt.Sprintf("%.7g", x)
		} else {
			s += text.None
		}
	}
	return s
}

func recoveredOf(f lost.Found) recovered {
	return recovered{
		Factor: number(f.Factor.Float()), Tidy: f.Tidy.Exact(), SD: number(f.Factor.Float() * f.SD), Percent: number(percent(f.Factor)),
		Method: string(f.Method), Axes: tripleOf(f.Axes), Spread: number(f.Spread), Uneven: f.Uneven, Residual: number(f.Residual), Turned: f.Turned,
	}
}
