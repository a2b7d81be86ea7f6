package main

import (
	"errors"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"scantling/app/text"
	"scantling/engine/deliver"
	"scantling/engine/geom"
	"scantling/engine/process"
	"scantling/engine/ratio"
	"scantling/formats"
)

// A call is what was typed behind the command's name.
type call struct {
	verb  string
	topic string // of help
	paths []string
	flags map[string]string   // by name, without dashes; switches have an empty value
	lists map[string][]string // flags that may be there several times, in order
}

func (c call) has(flag string) bool { _, ok := c.flags[flag]; return ok || len(c.lists[flag]) > 0 }

// A usageError is a call that makes no sense.
type usageError struct {
	verb string
	what string
}

func (e *usageError) Error() string { return e.what }

// hint is where to read on.
func (e *usageError) hint() string {
	if e.verb == "" {
		return "Try: scant help"
	}
	return "Try: scant help " + e.verb
}

func misuse(verb, what string) error { return &usageError{verb, what} }

// verbs are what can be done, in the order in which help tells of them.
func verbs() []string {
	return []string{"measure", "survey", "factor", "check", "ladder", "compare", "beds", "gauge", "figure", "rescale", "record", "recover", "ratios", "objects", "printers", "processes"}
}

// flagsOf are the flags of a verb, and whether each takes a value.
func flagsOf(verb string) map[string]bool {
	flags := map[string]bool{"json": false}
	if slices.Contains([]string{"survey", "check", "ladder", "compare", "record"}, verb) {
		flags["no-cache"] = false
	}
	way := map[string]bool{
		"factor": true, "native": true, "target": true, "real": true, "length": true, "along": true, "bed": true, "margin": true,
		"printer": true, "brim": true, "round": false, "turn": true,
		"of": true, "from": true, "to": true, "full-size": true, "clue": true, "field": true,
		"figure": true, "person": true, "to-eyes": false, "base": true, "headgear": true, "footwear": true,
		"posture": true, "segments": true, "limit": true,
	}
	switch verb {
	case "factor":
		maps.Copy(flags, way)
	case "rescale":
		maps.Copy(flags, way)
		maps.Copy(flags, map[string]bool{"out": true, "as": true, "name": true, "one": true, "verify": false, "overwrite": false, "pose": false, "correction": true, "folders": false, "only-changed": false, "quantity": true})
	case "check":
		maps.Copy(flags, way)
		maps.Copy(flags, map[string]bool{"process": true, "gap": true})
	case "record":
		maps.Copy(flags, way)
		maps.Copy(flags, map[string]bool{"process": true, "out": true, "paper": true, "title": true, "overwrite": false})
	case "compare":
		maps.Copy(flags, way)
		maps.Copy(flags, map[string]bool{"with": true, "process": true, "gap": true})
	case "beds":
		maps.Copy(flags, way)
		maps.Copy(flags, map[string]bool{"gap": true, "out": true, "format": true, "overwrite": false, "correction": true, "quantity": true})
	case "ladder":
		maps.Copy(flags, way)
		flags["process"] = true
	case "gauge":
		maps.Copy(flags, map[string]bool{"out": true, "process": true, "overwrite": false, "read": true, "save": true})
	case "figure":
		maps.Copy(flags, map[string]bool{
			"out": true, "target": true, "stature": true, "person": true, "posture": true, "process": true,
			"no-base": false, "no-seat": false, "overwrite": false,
		})
	case "ratios":
		flags["field"] = true
	case "printers":
		maps.Copy(flags, map[string]bool{"margin": true, "brim": true, "round": false})
	}
	return flags
}

// repeats are the flags that may be there several times.
func repeats(flag string) bool {
	return flag == "clue" || flag == "figure" || flag == "of" || flag == "field" || flag == "read" || flag == "quantity"
}

// parse takes a call apart. Flags may stand before and behind paths, as --flag VALUE or
// --flag=VALUE; behind a lone -- all are paths.
func parse(args []string) (call, error) {
	if len(args) == 0 {
		return call{}, misuse("", "nothing to do: say "+strings.Join(verbs(), ", ")+" or help")
	}
	c := call{verb: args[0], flags: map[string]string{}, lists: map[string][]string{}}
	rest := args[1:]
	switch c.verb {
	case "-h", "--help", "help":
		c.verb = "help"
		if len(rest) > 0 {
			c.topic = rest[0]
		}
		if len(rest) > 1 || help(c.topic) == "" {
			return c, misuse("", "there is no help on “"+strings.Join(rest, " ")+"”")
		}
		return c, nil
	default:
		if !slices.Contains(verbs(), c.verb) {
			return c, misuse("", "“"+c.verb+"” is no verb: say "+strings.Join(verbs(), ", ")+" or help")
		}
	}
	known := flagsOf(c.verb)
	for i := 0; i < len(rest); i++ {
		arg := rest[i]
		switch {
		case arg == "--":
			c.paths = append(c.paths, rest[i+1:]...)
			i = len(rest)
			continue
		case arg == "-h" || arg == "--help":
			return call{verb: "help", topic: c.verb}, nil
		case !strings.HasPrefix(arg, "-") || arg == "-":
			c.paths = append(c.paths, arg)
			continue
		}
		name, value, joined := strings.Cut(strings.TrimPrefix(arg, "--"), "=")
		takes, ok := known[name]
		if !ok || !strings.HasPrefix(arg, "--") {
			return c, misuse(c.verb, "“"+c.verb+"” has no flag “"+arg+"”; put -- before a path that begins with -")
		}
		if c.has(name) && !repeats(name) {
			return c, misuse(c.verb, "--"+name+" is there twice")
		}
		switch {
		case takes && !joined:
			i++
			if i == len(rest) || strings.HasPrefix(rest[i], "--") {
				return c, misuse(c.verb, "--"+name+" needs a value")
			}
			value = rest[i]
		case !takes && joined:
			return c, misuse(c.verb, "--"+name+" takes no value")
		}
		if repeats(name) {
			c.lists[name] = append(c.lists[name], value)
		} else {
			c.flags[name] = value
		}
	}
	if slices.Contains(c.paths, "") {
		return c, misuse(c.verb, "a path is empty")
	}
	return c, nil
}

// value is a flag's value read by one of the engine's parsers.
func value[T any](c call, flag string, into *T, parse func(string) (T, error)) error {
	typed, ok := c.flags[flag]
	if !ok {
		return nil
	}
	return one(c, flag, typed, into, parse)
}

// one reads one value of a flag.
func one[T any](c call, flag, typed string, into *T, parse func(string) (T, error)) error {
	v, err := parse(typed)
	if err != nil {
		return unread(c, "--"+flag, typed, err)
	}
	*into = v
	return nil
}

// unread tells why something that was typed could not be read.
func unread(c call, what, typed string, err error) error {
	var usage *usageError
	if errors.As(err, &usage) {
		return misuse(c.verb, what+": “"+typed+"” "+usage.what)
	}
	return misuse(c.verb, what+": "+text.Error(err).String())
}

// all reads all values of a flag that may be there several times.
func all[T any](c call, flag string, into *[]T, parse func(string) (T, error)) error {
	for _, typed := range c.lists[flag] {
		var v T
		if err := one(c, flag, typed, &v, parse); err != nil {
			return err
		}
		*into = append(*into, v)
	}
	return nil
}

// lengthIn reads lengths whose bare numbers have that unit.
func lengthIn(unit ratio.Unit) func(string) (ratio.Length, error) {
	return func(typed string) (ratio.Length, error) {
		l, err := ratio.ParseLength(typed, unit)
		if err == nil && l.Rat().Sign() == 0 {
			err = &ratio.ParseError{Typed: typed, Err: ratio.ErrNotPositive}
		}
		return l, err
	}
}

func axis(typed string) (geom.Axis, error) {
	for _, a := range []geom.Axis{geom.X, geom.Y, geom.Z} {
		if strings.EqualFold(typed, a.String()) {
			return a, nil
		}
	}
	return 0, misuse("", "is no axis; give x, y or z")
}

// copying is what the flags say about the copies.
type copying struct {
	folder  string
	as      formats.Kind   // empty: as the source
	count   map[string]int // how often parts are printed, by name; once where nothing is said
	one     string         // name of the one package for all; empty: a copy of each file
	pattern deliver.Pattern
	correct geom.Vec // zero: nothing
	now     time.Time
}

func (c call) copying() (k copying, err error) {
	k.folder, k.now = c.flags["out"], time.Now()
	switch {
	case k.folder == "":
		return k, misuse(c.verb, "--out is missing: the folder for the copies")
	case len(c.paths) == 0:
		return k, misuse(c.verb, "no file or folder to rescale")
	}
	if as, ok := c.flags["as"]; ok {
		k.as = formats.Kind(strings.ToLower(as))
		if !slices.Contains([]formats.Kind{formats.STL, formats.STLASCII, formats.OBJ, formats.GLB, formats.ThreeMF}, k.as) {
			return k, misuse(c.verb, "--as: “"+as+"” is none of stl, stl-ascii, obj, glb, 3mf")
		}
	}
	if one, ok := c.flags["one"]; ok {
		k.one = deliver.SafeName(strings.TrimSuffix(one, ".3mf"), ".3mf")
		switch {
		case k.as == "":
			k.as = formats.ThreeMF
		case k.as != formats.ThreeMF:
			return k, misuse(c.verb, "--one: only 3mf holds several files in one")
		}
		if c.has("name") || c.has("pose") || c.has("folders") || c.has("quantity") {
			return k, misuse(c.verb, "--one does not go together with --name, --pose, --folders or --quantity")
		}
	}
	if err := value(c, "correction", &k.correct, correctionOf); err != nil {
		return k, err
	}
	return k, value(c, "name", &k.pattern, deliver.ParsePattern)
}

// correctionOf reads what copies are multiplied by besides the factor: one number, three for x,
// y and z, or the name of a process that has them.
func correctionOf(typed string) (geom.Vec, error) {
	p := process.Presets()[0].Process // any sound one, so that its Check tells of the numbers
	fields := []process.Field{process.CorrectionX, process.CorrectionY, process.CorrectionZ}
	numbers := strings.Split(typed, ",")
	for i, f := range fields {
		v, err := strconv.ParseFloat(strings.TrimSpace(numbers[min(i, len(numbers)-1)]), 64)
		if err == nil && len(numbers) != 1 && len(numbers) != len(fields) {
			return geom.Vec{}, misuse("", "is not one number, or three for x, y and z")
		}
		if err != nil {
			p, err = processOf(typed)
			if err == nil && !p.Correction.Corrects() {
				err = misuse("", "has no correction: measure a step gauge, or name one with a correction")
			}
			return p.Correction.Whole(), err
		}
		*p.Number(f) = v
	}
	return p.Correction.Whole(), p.Check()
}

// title is what {kit} stands for: the name of the first folder, or of that of the first file.
func (c call) title() string {
	full, err := filepath.Abs(c.paths[0])
	if err != nil {
		return ""
	}
	if info, err := os.Stat(full); err != nil || !info.IsDir() {
		full = filepath.Dir(full)
	}
	return filepath.Base(full)
}
