package kit

import (
	"encoding/json"
	"errors"
	"slices"
	"strconv"

	"scantling/engine/figure"
	"scantling/engine/geom"
	"scantling/engine/ratio"
	"scantling/engine/ways"
)

// What ways by figure, by clues and between two points were given is kept in the way's object:
//
//	way:    native-from full-size parts points figure clues recovered
//	points: from to along
//	figure: readings limit step eyes base headgear footwear posture segments stature stature-sd population
//	recovered: factor sd part copy method uneven
//	clue:   id part from to along drawn drawn-sd object name real real-sd aside
//
// A clue's lengths are numbers of millimetres, for they were measured; a figure's are exact
// strings, for they were typed. Points are lists of three numbers in the kit's axes.

// What a value can have wrong besides.
var (
	errThree     = errors.New("must be a list of three numbers")
	errDirection = errors.New("must be x, y, z or empty")
	errSource    = errors.New("is no source of a native ratio")
)

// mostMM bounds lengths in a kit's file: a thousand million kilometres.
const mostMM = 1e15

func (w *writer) nonEmpty(key, value string) {
	if value != "" {
		w.member(key, value)
	}
}

func (w *writer) nonZero(key string, value float64) {
	if value != 0 {
		w.member(key, value)
	}
}

func (w *writer) truth(key string, value bool) {
	if value {
		w.member(key, value)
	}
}

// evidence writes what the ways by figure, by clues and between points were given.
func (w *writer) evidence(k Kit) error {
	way := k.Way
	w.nonEmpty("native-from", string(way.NativeFrom))
	w.nonEmpty("full-size", string(way.FullSize))
	if len(way.Parts) > 0 {
		w.member("parts", way.Parts)
	}
	if p := way.Points; p.Known() {
		var o writer
		o.member("from", p.From)
		o.member("to", p.To)
		o.nonEmpty("along", string(p.Along))
		raw, err := o.object(k.evidenceExtra["points"])
		if err != nil {
			return err
		}
		w.member("points", raw)
	}
	raw, err := encodeFigure(way.Figure, k.evidenceExtra["figure"])
	if err != nil {
		return err
	}
	if string(raw) != "{}" {
		w.member("figure", raw)
	}
	if err := w.recovered(k); err != nil {
		return err
	}
	if len(way.Clues) == 0 {
		return nil
	}
	clues := make([]json.RawMessage, len(way.Clues))
	for i, c := range way.Clues {
		if clues[i], err = encodeClue(c, k.evidenceExtra["clue "+c.ID]); err != nil {
			return err
		}
	}
	w.member("clues", clues)
	return nil
}

// recovered writes where a factor was found again.
func (w *writer) recovered(k Kit) error {
	r := k.Way.Recovered
	if !r.Factor.Known() {
		return nil
	}
	var o writer
	o.member("factor", r.Factor)
	o.nonZero("sd", r.SD)
	o.nonEmpty("part", r.Part)
	o.nonEmpty("copy", r.Copy)
	o.nonEmpty("method", r.Method)
	o.truth("uneven", r.Uneven)
	raw, err := o.object(k.evidenceExtra["recovered"])
	w.member("recovered", raw)
	return err
}

func encodeFigure(f ways.Figure, unknown extras) (json.RawMessage, error) {
	var w writer
	if len(f.Readings) > 0 {
		w.member("readings", f.Readings)
	}
	w.nonEmpty("limit", f.Limit.Exact())
	w.nonEmpty("step", f.Step.Exact())
	w.truth("eyes", f.ToEyes)
	w.nonEmpty("base", f.Base.Exact())
	w.nonEmpty("headgear", f.Headgear.Exact())
	w.nonEmpty("footwear", f.Footwear.Exact())
	w.nonEmpty("posture", string(f.Posture))
	if len(f.Segments) > 0 {
		w.member("segments", f.Segments)
	}
	w.nonEmpty("stature", f.Person.Stature.Exact())
	w.nonEmpty("stature-sd", f.Person.SD.Exact())
	w.nonEmpty("population", string(f.Person.Population))
	return w.object(unknown)
}

func encodeClue(c ways.Clue, unknown extras) (json.RawMessage, error) {
	var w writer
	w.member("id", c.ID)
	w.nonEmpty("part", c.Part)
	if c.From != c.To {
		w.member("from", c.From)
		w.member("to", c.To)
	}
	w.nonEmpty("along", string(c.Along))
	w.member("drawn", c.Drawn)
	w.nonZero("drawn-sd", c.DrawnSD)
	w.nonEmpty("object", c.Object)
	w.nonEmpty("name", c.Name)
	w.member("real", c.RealMM)
	w.nonZero("real-sd", c.RealSD)
	w.truth("aside", c.SetAside)
	return w.object(unknown)
}

// evidence reads what encode's evidence wrote.
func (r *reader) evidence(o object, w *ways.Way) map[string]extras {
	unknown := map[string]extras{}
	keep := func(key string, rest object) {
		if e := rest.rest(); e != nil {
			unknown[key] = e
		}
	}
	w.NativeFrom = one(r, o, "native-from", errSource, ways.NativeSources()...)
	w.FullSize = ratio.Unit(r.text(o, "full-size"))
	w.Parts = texts[string](r, o, "parts")
	if m, there := o.take("points"); there {
		p := r.object(m)
		w.Points = ways.Points{From: r.point(p, "from"), To: r.point(p, "to"), Along: r.direction(p)}
		keep("points", p)
	}
	if m, there := o.take("figure"); there {
		f := r.object(m)
		w.Figure = r.figure(f)
		keep("figure", f)
	}
	if m, there := o.take("recovered"); there {
		f := r.object(m)
		r.exact(f, "factor", &w.Recovered.Factor)
		w.Recovered.SD = r.length(f, "sd")
		w.Recovered.Part, w.Recovered.Copy, w.Recovered.Method = r.text(f, "part"), r.text(f, "copy"), r.text(f, "method")
		w.Recovered.Uneven = r.truth(f, "uneven", false)
		keep("recovered", f)
	}
	if m, there := o.take("clues"); there {
		ids := map[string]bool{}
		for _, m := range r.list(m) {
			c := r.object(m)
			id := c["id"]
			clue := r.clue(c)
			switch {
			case r.err != nil:
				return nil
			case clue.ID == "":
				r.fail(BadValue, m.at, m.path+".id", errMissing)
			case ids[clue.ID]:
				r.fail(Doubled, id.at, id.path, nil)
			}
			ids[clue.ID] = true
			w.Clues = append(w.Clues, clue)
			keep("clue "+clue.ID, c)
		}
	}
	if len(unknown) == 0 {
		return nil
	}
	return unknown
}

func (r *reader) figure(o object) (f ways.Figure) {
	if m, there := o.take("readings"); there {
		for _, m := range r.list(m) {
			var l ratio.Length
			if err := json.Unmarshal(m.raw, &l); err != nil {
				r.bad(m, err)
			}
			f.Readings = append(f.Readings, l)
		}
	}
	r.exact(o, "limit", &f.Limit)
	r.exact(o, "step", &f.Step)
	f.ToEyes = r.truth(o, "eyes", false)
	r.exact(o, "base", &f.Base)
	r.exact(o, "headgear", &f.Headgear)
	r.exact(o, "footwear", &f.Footwear)
	f.Posture = one(r, o, "posture", figure.ErrPosture, figure.Postures()...)
	f.Segments = texts[figure.Segment](r, o, "segments")
	r.exact(o, "stature", &f.Person.Stature)
	r.exact(o, "stature-sd", &f.Person.SD)
	m := o["population"]
	f.Person.Population = figure.Population(r.text(o, "population"))
	if _, known := f.Person.Population.Measure(figure.Stature); !known && f.Person.Population != "" {
		r.bad(m, ways.ErrPopulation)
	}
	return f
}

func (r *reader) clue(o object) ways.Clue {
	return ways.Clue{
		ID:       r.text(o, "id"),
		Part:     r.text(o, "part"),
		From:     r.point(o, "from"),
		To:       r.point(o, "to"),
		Along:    r.direction(o),
		Drawn:    r.length(o, "drawn"),
		DrawnSD:  r.length(o, "drawn-sd"),
		Object:   r.text(o, "object"),
		Name:     r.text(o, "name"),
		RealMM:   r.length(o, "real"),
		RealSD:   r.length(o, "real-sd"),
		SetAside: r.truth(o, "aside", false),
	}
}

// one reads a text that is one of several, or missing.
func one[T ~string](r *reader, o object, key string, refusal error, all ...T) T {
	m := o[key]
	v := T(r.text(o, key))
	if v != "" && !slices.Contains(all, v) {
		r.bad(m, refusal)
	}
	return v
}

// texts reads a list of texts.
func texts[T ~string](r *reader, o object, key string) (out []T) {
	m, there := o.take(key)
	if !there {
		return nil
	}
	for _, m := range r.list(m) {
		var s string
		if json.Unmarshal(m.raw, &s) != nil {
			r.bad(m, errString)
			return nil
		}
		out = append(out, T(s))
	}
	return out
}

func (r *reader) direction(o object) ways.Direction {
	return one(r, o, "along", errDirection, ways.AlongX, ways.AlongY, ways.AlongZ)
}

// length reads a number of millimetres, zero or more.
func (r *reader) length(o object, key string) float64 {
	m, there := o.take(key)
	if !there {
		return 0
	}
	return r.within(m, 0, mostMM)
}

// point reads three numbers of millimetres.
func (r *reader) point(o object, key string) geom.Vec { return r.vector(o, key, mostMM) }

// vector reads three numbers, none of them beyond most.
func (r *reader) vector(o object, key string, most float64) (v geom.Vec) {
	m, there := o.take(key)
	if !there {
		return v
	}
	all := r.list(m)
	if len(all) != len(v) {
		r.bad(m, errThree)
		return v
	}
	for i, m := range all {
		v[i] = r.within(m, -most, most)
	}
	return v
}

func (r *reader) within(m member, least, most float64) float64 {
	x, err := strconv.ParseFloat(string(m.raw), 64)
	switch {
	case errors.Is(err, strconv.ErrSyntax):
		r.bad(m, errNumber)
		return 0
	case err != nil || !(x >= least && x <= most):
		r.bad(m, errRange)
		return 0
	}
	return x
}
