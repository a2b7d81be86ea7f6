package kit

import (
	"bytes"
	"encoding"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"scantling/engine/geom"
	"scantling/engine/judge"
	"scantling/engine/ratio"
	"scantling/engine/ways"
)

// A member is one member of a JSON object, with its place.
type member struct {
	path string // "parts[2].quantity"
	raw  json.RawMessage
	at   int64 // of raw in the file
}

// An object is the members of a JSON object that were not asked for yet.
type object map[string]member

// A reader takes a kit's file apart. Its first error sticks; what follows gives zero values.
type reader struct {
	file string
	data []byte
	err  *Error
}

func (r *reader) fail(code Code, at int64, detail string, err error) {
	if r.err == nil {
		before := r.data[:min(at, int64(len(r.data)))]
		line := 1 + bytes.Count(before, []byte{'\n'})
		column := 1 + utf8.RuneCount(before[bytes.LastIndexByte(before, '\n')+1:])
		r.err = &Error{File: r.file, Code: code, Line: line, Column: column, Byte: at, Detail: detail, Err: err}
	}
}

func (r *reader) bad(m member, err error) { r.fail(BadValue, m.at, m.path, err) }

// What a value can have wrong.
var (
	errObject  = errors.New("must be an object")
	errArray   = errors.New("must be a list")
	errString  = errors.New("must be a text")
	errNumber  = errors.New("must be a number")
	errWhole   = errors.New("must be a whole number")
	errBool    = errors.New("must be true or false")
	errRange   = errors.New("is out of range")
	errMissing = errors.New("is missing")
	errKind    = errors.New("is no way to a factor")
	errAxis    = errors.New("must be x, y or z")
	errPath    = errors.New("is no path")
	errSurface = errors.New("must be closed or open")
)

// object takes a JSON object apart. Its text was found valid before.
func (r *reader) object(m member) object {
	dec := json.NewDecoder(bytes.NewReader(m.raw))
	if t, err := dec.Token(); err != nil || t != json.Delim('{') {
		r.bad(m, errObject)
		return nil
	}
	out := object{}
	for dec.More() {
		key, err := dec.Token()
		var raw json.RawMessage
		if err == nil {
			err = dec.Decode(&raw)
		}
		if err != nil {
			r.bad(m, err)
			return nil
		}
		name, _ := key.(string)
		path := strings.TrimPrefix(m.path+"."+name, ".")
		at := m.at + dec.InputOffset() - int64(len(raw))
		if _, twice := out[name]; twice {
			r.fail(Doubled, at, path, nil)
			return nil
		}
		out[name] = member{path, raw, at}
	}
	return out
}

// list takes a JSON array apart.
func (r *reader) list(m member) []member {
	dec := json.NewDecoder(bytes.NewReader(m.raw))
	if t, err := dec.Token(); err != nil || t != json.Delim('[') {
		r.bad(m, errArray)
		return nil
	}
	var out []member
	for dec.More() {
		var raw json.RawMessage
		if err := dec.Decode(&raw); err != nil {
			r.bad(m, err)
			return nil
		}
		at := m.at + dec.InputOffset() - int64(len(raw))
		if len(out) == maxParts {
			r.fail(TooLarge, at, m.path, nil)
			return nil
		}
		out = append(out, member{fmt.Sprintf("%s[%d]", m.path, len(out)), raw, at})
	}
	return out
}

// take removes a member from o; false when it is missing or null.
func (o object) take(key string) (member, bool) {
	m, there := o[key]
	delete(o, key)
	return m, there && string(m.raw) != "null"
}

// rest is what nobody asked for.
func (o object) rest() extras {
	if len(o) == 0 {
		return nil
	}
	out := extras{}
	for key, m := range o {
		out[key] = m.raw
	}
	return out
}

func (r *reader) text(o object, key string) string {
	m, there := o.take(key)
	if !there {
		return ""
	}
	var s string
	if json.Unmarshal(m.raw, &s) != nil {
		r.bad(m, errString)
	}
	return s
}

func (r *reader) exact(o object, key string, into encoding.TextUnmarshaler) {
	m, there := o[key]
	s := r.text(o, key)
	if !there || r.err != nil {
		return
	}
	if err := into.UnmarshalText([]byte(s)); err != nil {
		r.bad(m, err)
	}
}

// number reads a number of millimetres.
func (r *reader) number(o object, key string) float64 {
	m, there := o.take(key)
	if !there {
		return 0
	}
	return r.within(m, 0, 1e9)
}

func (r *reader) whole(o object, key string, least, most, missing int) int {
	m, there := o.take(key)
	if !there {
		return missing
	}
	n, err := strconv.Atoi(string(m.raw))
	if err != nil {
		r.bad(m, errWhole)
		return missing
	}
	if n < least || n > most {
		r.bad(m, errRange)
		return missing
	}
	return n
}

func (r *reader) truth(o object, key string, missing bool) bool {
	m, there := o.take(key)
	if !there {
		return missing
	}
	if s := string(m.raw); s != "true" && s != "false" {
		r.bad(m, errBool)
	}
	return string(m.raw) == "true"
}

// decode reads the content of a kit's file that lies in a folder.
func decode(file, folder string, data []byte) (Kit, error) {
	r := &reader{file: file, data: data}
	k := r.kit(folder)
	if r.err != nil {
		return Kit{}, r.err
	}
	return k, nil
}

// document takes the object apart that a file is, after its version, which is the member key;
// without that the file is something else, and the error is not. It is nil where there is an error.
func (r *reader) document(key string, newest float64, not Code) object {
	// Some editors begin a file with a mark; it is no part of the text.
	body := bytes.TrimPrefix(r.data, []byte("\ufeff"))
	whole := member{raw: body, at: int64(len(r.data) - len(body))}
	var valid json.RawMessage
	if err := json.Unmarshal(body, &valid); err != nil {
		var at int64
		var syntax *json.SyntaxError
		if errors.As(err, &syntax) {
			at = max(0, syntax.Offset-1) // it counts the byte that it stumbled over
		}
		r.fail(Syntax, whole.at+at, "", err)
		return nil
	}
	if bad := invalidUTF8(body); bad >= 0 {
		r.fail(Syntax, whole.at+int64(bad), "", errString)
		return nil
	}
	o := r.object(whole)
	if r.err != nil {
		if r.err.Code == BadValue {
			r.err.Code = not
		}
		return nil
	}
	version, there := o.take(key)
	if !there {
		r.fail(not, whole.at, "", nil)
		return nil
	}
	n, err := strconv.ParseFloat(string(version.raw), 64)
	switch {
	case err != nil || n < 1 || n != math.Trunc(n):
		r.bad(version, errWhole)
		return nil
	case n > newest:
		r.fail(Newer, version.at, string(version.raw), nil)
		return nil
	}
	return o
}

func (r *reader) kit(folder string) (k Kit) {
	o := r.document("scantling", Version, NotAKit)
	if r.err != nil {
		return k
	}
	k.Title = r.text(o, "title")
	r.exact(o, "factor", &k.Factor)
	k.Field = ratio.Field(r.text(o, "field"))
	k.Notes = r.text(o, "notes")
	k.Way.Kind = ways.ByRatio
	if m, there := o.take("way"); there {
		k.Way, k.wayExtra, k.evidenceExtra = r.way(m)
	}
	if m, there := o.take("bed"); there {
		bed := r.object(m)
		k.Way.Bed = r.bed(bed)
		k.bedExtra = bed.rest()
	}
	r.exact(o, "turn", &k.Turn)
	r.judged(o, &k)
	r.saving(o, &k, folder)
	if m, there := o.take("parts"); there {
		k.Parts = r.parts(m, folder)
	}
	k.Copies = r.copies(o, folder)
	k.extra = o.rest()
	return k
}

// invalidUTF8 is where b stops being UTF-8, or -1.
func invalidUTF8(b []byte) int {
	for i := 0; i < len(b); {
		c, n := utf8.DecodeRune(b[i:])
		if c == utf8.RuneError && n == 1 {
			return i
		}
		i += n
	}
	return -1
}

// bed reads the members of a bed.
func (r *reader) bed(o object) judge.Bed {
	return judge.Bed{
		Size:   geom.Vec{r.number(o, "width"), r.number(o, "depth"), r.number(o, "height")},
		Margin: r.number(o, "margin"),
		Brim:   r.number(o, "brim"),
		Round:  r.truth(o, "round", false),
	}
}

func (r *reader) way(m member) (w ways.Way, unknown extras, evidence map[string]extras) {
	o := r.object(m)
	kind := o["kind"]
	w.Kind = ways.Kind(r.text(o, "kind"))
	if w.Kind == "" {
		w.Kind = ways.ByRatio
	}
	if !slices.Contains(ways.Kinds(), w.Kind) {
		r.bad(kind, errKind)
	}
	r.exact(o, "native", &w.Native)
	r.exact(o, "target", &w.Target)
	r.exact(o, "real", &w.Real)
	r.exact(o, "length", &w.Length)
	r.exact(o, "factor", &w.Factor)
	r.exact(o, "turn", &w.Turn)
	w.Part = r.text(o, "part")
	along := o["along"]
	switch r.text(o, "along") {
	case "x", "":
		w.Along = geom.X
	case "y":
		w.Along = geom.Y
	case "z":
		w.Along = geom.Z
	default:
		r.bad(along, errAxis)
	}
	evidence = r.evidence(o, &w)
	return w, o.rest(), evidence
}

func (r *reader) parts(m member, folder string) []Part {
	type body struct {
		file  string
		index int
	}
	ids, bodies := map[string]bool{}, map[body]bool{}
	var out []Part
	for _, m := range r.list(m) {
		o := r.object(m)
		id, file := o["id"], o["file"]
		p := Part{
			ID:       r.text(o, "id"),
			File:     r.text(o, "file"),
			Index:    r.whole(o, "index", 0, 1<<30, 0),
			Name:     r.text(o, "name"),
			Digest:   r.text(o, "digest"),
			Beside:   r.text(o, "beside"),
			Ticked:   r.truth(o, "ticked", true),
			Quantity: r.whole(o, "quantity", 1, 1_000_000, 1),
		}
		unit := o["unit"]
		r.exact(o, "unit", &p.Unit)
		p.UnitKept = r.truth(o, "unit-kept", false)
		p.Apart = r.truth(o, "apart", false)
		p.PlaceKept = r.truth(o, "place-kept", false)
		r.exact(o, "turn", &p.Turn)
		p.As = r.text(o, "as")
		p.Notes = r.text(o, "notes")
		p.Was, p.wasExtra = r.facts(o)
		p.extra = o.rest()
		switch {
		case r.err != nil:
			return nil
		case p.ID == "":
			r.fail(BadValue, m.at, m.path+".id", errMissing)
		case p.File == "":
			r.fail(BadValue, m.at, m.path+".file", errMissing)
		case p.Unit.Known() && !UsableUnit(p.Unit):
			r.bad(unit, errRange)
		case strings.ContainsRune(p.File, 0):
			r.bad(file, errPath)
		case ids[p.ID]:
			r.fail(Doubled, id.at, id.path, nil)
		}
		p.File = filepath.FromSlash(p.File)
		if !filepath.IsAbs(p.File) {
			p.File = filepath.Join(folder, p.File)
		}
		if b := (body{p.File, p.Index}); bodies[b] {
			r.fail(Doubled, file.at, file.path, nil)
		} else {
			bodies[b] = true
		}
		ids[p.ID] = true
		out = append(out, p)
	}
	return out
}
