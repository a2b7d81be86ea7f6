package main

import (
	"slices"
	"strconv"
	"strings"

	"scantling/engine/figure"
	"scantling/engine/geom"
	"scantling/engine/judge"
	"scantling/engine/ratio"
	"scantling/engine/ways"
)

// leading are the flags that name a way by themselves, in the order in which they are told of.
func leading() []string { return []string{"factor", "real", "length", "bed", "printer", "figure"} }

// kindOf is the way that the flags name, with the flag that names it.
func (c call) kindOf() (kind ways.Kind, flag string, err error) {
	kinds := map[string]ways.Kind{"factor": ways.ByFactor, "real": ways.ByReal, "length": ways.ByLength, "bed": ways.ByBed, "printer": ways.ByBed, "figure": ways.ByFigure}
	var named []string
	for _, flag := range leading() {
		if c.has(flag) && !(flag == "real" && c.has("figure")) { // then it tells how the files were drawn
			named = append(named, "--"+flag)
			kind = kinds[flag]
		}
	}
	switch {
	case len(named) > 1:
		return "", "", misuse(c.verb, strings.Join(named, " and ")+" are different ways to the factor; give one")
	case len(named) == 1:
		return kind, named[0], nil
	case c.has("clue"):
		return ways.ByClues, "--clue", nil
	case c.has("native") || c.has("full-size"):
		return ways.ByRatio, "--" + c.nativeFlags(ways.ByRatio)[0], nil
	case c.has("target"):
		return ways.ByRatio, "--target", nil
	}
	return "", "", misuse(c.verb, "no way to the factor: give --factor, --native and --target, --real, --clue, --figure, --length, --bed or --printer")
}

// nativeFlags are the flags that are there and tell how the files were drawn.
func (c call) nativeFlags(kind ways.Kind) []string {
	var out []string
	for _, flag := range []string{"native", "clue", "full-size", "real"} {
		if c.has(flag) && (flag != "real" || kind == ways.ByFigure) {
			out = append(out, flag)
		}
	}
	return out
}

// way is the one way to the factor that the flags name.
func (c call) way() (w ways.Way, err error) {
	kind, flag, err := c.kindOf()
	if err != nil {
		return w, err
	}
	w.Kind = kind
	if err := c.checkFlags(kind, flag); err != nil {
		return w, err
	}
	field, err := c.oneField()
	if err != nil {
		return w, err
	}
	inField := func(s string) (ratio.Ratio, error) { return ratio.ParseIn(s, field) }
	for _, err := range []error{
		value(c, "factor", &w.Factor, ratio.ParseFactor),
		value(c, "native", &w.Native, inField),
		value(c, "target", &w.Target, inField),
		value(c, "real", &w.Real, lengthIn(ratio.Metre)),
		value(c, "length", &w.Length, lengthIn(ratio.Millimetre)),
		value(c, "along", &w.Along, axis),
		c.bed(&w.Bed),
		value(c, "turn", &w.Turn, judge.ParseTurning),
		value(c, "full-size", &w.FullSize, unitName),
		value(c, "from", &w.Points.From, point3),
		value(c, "to", &w.Points.To, point3),
		all(c, "clue", &w.Clues, ways.ParseClue),
		c.figure(&w.Figure),
	} {
		if err != nil {
			return w, err
		}
	}
	for i := range w.Clues {
		w.Clues[i].ID = strconv.Itoa(i + 1)
	}
	for _, native := range c.nativeFlags(kind) {
		w.NativeFrom = map[string]ways.NativeFrom{"clue": ways.FromClues, "full-size": ways.FromFullSize, "real": ways.FromReal}[native]
	}
	if c.has("from") {
		if c.has("along") {
			w.Points.Along = ways.Direction(w.Along.String())
		}
		if !w.Points.Known() {
			return w, misuse(c.verb, "--from and --to are no distance apart")
		}
	}
	needsFiles := kind == ways.ByReal || kind == ways.ByLength || kind == ways.ByBed || w.NativeFrom == ways.FromReal || w.NativeFrom == ways.FromFullSize
	if needsFiles && len(c.paths) == 0 {
		return w, misuse(c.verb, flag+" needs the files of the kit")
	}
	return w, nil
}

// checkFlags tells what is missing for a way, and what has no meaning with it: it would be left
// out in silence.
func (c call) checkFlags(kind ways.Kind, leader string) error {
	natives := c.nativeFlags(kind)
	if len(natives) > 1 {
		return misuse(c.verb, "--"+strings.Join(natives, " and --")+" all say how the files were drawn; give one")
	}
	native := []string{"native", "clue", "full-size"}
	person := []string{"figure", "person", "to-eyes", "base", "headgear", "footwear", "posture", "segments", "limit"}
	var needs, takes []string
	switch kind {
	case ways.ByRatio:
		needs, takes = []string{"target"}, native
		if len(natives) == 0 {
			needs = append(needs, "native")
		}
	case ways.ByReal:
		needs = []string{"along", "target"}
	case ways.ByClues:
		takes = []string{"target"}
		if c.verb == "rescale" {
			needs = takes
		}
	case ways.ByFigure:
		needs, takes = []string{"person"}, slices.Concat(native, person)
		if c.has("real") {
			needs = append(needs, "along")
		} else if c.verb == "rescale" && len(natives) == 0 {
			needs = append(needs, "native")
		}
	case ways.ByLength:
		takes = slices.Concat(native, []string{"of", "from", "to", "along"})
		switch {
		case c.has("from") != c.has("to"):
			needs = []string{"from", "to"}
		case !c.has("from"):
			needs = []string{"along"}
		case c.has("of"):
			return misuse(c.verb, "--of has no meaning with --from and --to")
		}
	case ways.ByBed:
		takes = slices.Concat(native, []string{"turn", "pose"})
		if leader == "--bed" {
			takes = append(takes, "margin", "brim", "round")
		}
	case ways.ByFactor:
		takes = native
	}
	if c.verb == "ladder" && kind == ways.ByRatio { // it needs no target
		takes, needs = append(takes, "target"), slices.DeleteFunc(needs, func(flag string) bool { return flag == "target" })
	}
	for _, flag := range needs {
		if !c.has(flag) {
			return misuse(c.verb, leader+": --"+flag+" is missing")
		}
	}
	takes = slices.Concat(takes, needs)
	for _, flag := range slices.Concat([]string{"target", "along", "margin", "brim", "round", "turn", "pose", "of", "from", "to"}, native, person) {
		if c.has(flag) && "--"+flag != leader && !slices.Contains(takes, flag) {
			return misuse(c.verb, "--"+flag+" has no meaning with "+leader)
		}
	}
	return nil
}

// figure reads the figure in hand.
func (c call) figure(f *ways.Figure) error {
	if !c.has("figure") {
		return nil
	}
	f.ToEyes = c.has("to-eyes")
	for _, err := range []error{
		all(c, "figure", &f.Readings, lengthIn(ratio.Millimetre)),
		value(c, "person", &f.Person, ways.ParsePerson),
		value(c, "base", &f.Base, anyLength),
		value(c, "headgear", &f.Headgear, anyLength),
		value(c, "footwear", &f.Footwear, anyLength),
		value(c, "limit", &f.Limit, anyLength),
		value(c, "posture", &f.Posture, oneOf(figure.Postures())),
	} {
		if err != nil {
			return err
		}
	}
	if typed, ok := c.flags["segments"]; ok {
		if f.Posture != figure.Bent {
			return misuse(c.verb, "--segments needs --posture bent")
		}
		for _, name := range strings.Split(typed, ",") {
			var s figure.Segment
			if err := one(c, "segments", strings.TrimSpace(name), &s, oneOf(figure.Segments())); err != nil {
				return err
			}
			f.Segments = append(f.Segments, s)
		}
	}
	if _, err := f.Ratio(); err != nil {
		return misuse(c.verb, "--figure: "+sentence("", err))
	}
	return nil
}

// fields are the trades that --field names.
func (c call) fields() (out []ratio.Field, err error) {
	err = all(c, "field", &out, oneOf(ratio.Fields()))
	return out, err
}

// oneField is the trade that --field names, if it is just one: names of ratios are read as it has
// them.
func (c call) oneField() (ratio.Field, error) {
	fields, err := c.fields()
	if err != nil || len(fields) != 1 {
		return "", err
	}
	return fields[0], nil
}

// oneOf reads one of several names.
func oneOf[T ~string](names []T) func(string) (T, error) {
	return func(typed string) (T, error) {
		if v := T(strings.ToLower(strings.TrimSpace(typed))); slices.Contains(names, v) {
			return v, nil
		}
		known := make([]string, len(names))
		for i, n := range names {
			known[i] = string(n)
		}
		return "", misuse("", "is none of "+strings.Join(known, ", "))
	}
}

// anyLength reads a length that may be zero; a bare number is millimetres.
func anyLength(typed string) (ratio.Length, error) { return ratio.ParseLength(typed, ratio.Millimetre) }

// unitName reads a unit by its name or its sign.
func unitName(typed string) (ratio.Unit, error) {
	one, err := ratio.ParseLength("1 "+typed, "")
	if err == nil {
		for _, u := range []ratio.Unit{ratio.Millimetre, ratio.Centimetre, ratio.Metre, ratio.Kilometre, ratio.Micrometre, ratio.Inch, ratio.Foot, ratio.Yard, ratio.Mile} {
			if l, err := ratio.ParseLength("1", u); err == nil && l.Equal(one) {
				return u, nil
			}
		}
	}
	return "", misuse("", "is no unit; give mm, cm, m, in, ft or yd")
}

// point3 reads a point: x,y,z in millimetres as drawn.
func point3(typed string) (v geom.Vec, err error) {
	parts := strings.Split(typed, ",")
	if len(parts) != len(v) {
		return v, misuse("", "is no point; give x,y,z in millimetres as drawn")
	}
	for i, p := range parts {
		x, err := strconv.ParseFloat(strings.TrimSpace(p), 64)
		if err != nil || x-x != 0 {
			return v, misuse("", "is no point; give x,y,z in millimetres as drawn")
		}
		v[i] = x
	}
	return v, nil
}
