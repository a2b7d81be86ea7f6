package kit

import (
	"bytes"
	"encoding/json"
	"maps"
	"path/filepath"
	"slices"
	"strconv"

	"scantling/engine/judge"
	"scantling/engine/ways"
)

// The members of a kit's file, by object. Lengths are millimetres. A member that is missing
// or null has its zero value; one that is zero is left out where that says the same.
//
//	kit:  scantling title factor way bed field notes turn process asides bores saving parts copies
//	way:  kind native target real length along part factor turn, and the evidence (see evidence.go)
//	bed:  width depth height margin brim round
//	(process, asides and bores: see judged.go; saving: see saving.go; copies: see copies.go)
//	part: id file index name digest beside ticked quantity unit unit-kept apart place-kept turn as notes was
//	was:  bytes least most triangles volume surface (see Facts)
//
// Ratios, factors and lengths are strings, exact, in the package ratio's own writing. The
// kit's factor is what the way gave; the way's is what was typed in. A turn says what becomes
// x, y and z: "x -z y"; a way's turn is how parts may be turned to fit the bed. A part's unit
// is a length.

// A writer writes a JSON object member by member, unknown ones last.
type writer struct {
	bytes.Buffer
	err error
}

// member writes a member. Raw values are those that writers have made: they are taken as they
// are, at every level, instead of being read through again.
func (w *writer) member(key string, value any) {
	if w.Len() > 0 {
		w.WriteByte(',')
	}
	w.text(key)
	w.WriteByte(':')
	switch v := value.(type) {
	case string:
		w.text(v)
	case int:
		w.Write(strconv.AppendInt(w.AvailableBuffer(), int64(v), 10))
	case bool:
		w.Write(strconv.AppendBool(w.AvailableBuffer(), v))
	case json.RawMessage:
		if len(v) == 0 {
			v = json.RawMessage("null")
		}
		w.Write(v)
	case []json.RawMessage:
		w.WriteByte('[')
		for i, raw := range v {
			if i > 0 {
				w.WriteByte(',')
			}
			w.Write(raw)
		}
		w.WriteByte(']')
	default:
		w.any(v)
	}
}

// text writes a text: plain letters as they are, anything else as the JSON package does.
func (w *writer) text(s string) {
	for i := range len(s) {
		if c := s[i]; c < ' ' || c > '~' || c == '"' || c == '\\' || c == '<' || c == '>' || c == '&' {
			w.any(s)
			return
		}
	}
	w.WriteByte('"')
	w.WriteString(s)
	w.WriteByte('"')
}

func (w *writer) any(value any) {
	b, err := json.Marshal(value)
	if err != nil && w.err == nil {
		w.err = err
	}
	w.Write(b)
}

func (w *writer) object(unknown extras) (json.RawMessage, error) {
	for _, key := range slices.Sorted(maps.Keys(unknown)) {
		if w.Len() > 0 {
			w.WriteByte(',')
		}
		w.any(key)
		w.WriteByte(':')
		w.any(unknown[key])
	}
	return slices.Concat([]byte{'{'}, w.Bytes(), []byte{'}'}), w.err
}

// encode writes a kit as its file in a folder holds it.
func encode(k Kit, folder string) ([]byte, error) {
	way, err := encodeWay(k)
	if err != nil {
		return nil, err
	}
	var bed writer
	bed.bed(k.Way.Bed)
	bedObject, err := bed.object(k.bedExtra)
	if err != nil {
		return nil, err
	}
	parts := make([]json.RawMessage, len(k.Parts))
	for i, p := range k.Parts {
		if parts[i], err = encodePart(p, folder); err != nil {
			return nil, err
		}
	}
	var w writer
	w.member("scantling", Version)
	w.member("title", k.Title)
	w.member("factor", k.Factor)
	w.member("way", way)
	w.member("bed", bedObject)
	w.member("field", k.Field)
	if k.Notes != "" {
		w.member("notes", k.Notes)
	}
	w.nonEmpty("turn", k.Turn.String())
	if err := w.judged(k); err != nil {
		return nil, err
	}
	if err := w.saving(k, folder); err != nil {
		return nil, err
	}
	w.member("parts", parts)
	if err := w.copies(k, folder); err != nil {
		return nil, err
	}
	whole, err := w.object(k.extra)
	if err != nil {
		return nil, err
	}
	var out bytes.Buffer
	if err := json.Indent(&out, whole, "", "\t"); err != nil {
		return nil, err
	}
	out.WriteByte('\n')
	return out.Bytes(), nil
}

// bed writes the members of a bed.
func (w *writer) bed(b judge.Bed) {
	w.member("width", b.Size[0])
	w.member("depth", b.Size[1])
	w.member("height", b.Size[2])
	w.member("margin", b.Margin)
	w.nonZero("brim", b.Brim)
	w.truth("round", b.Round)
}

func encodeWay(k Kit) (json.RawMessage, error) {
	var w writer
	kind := k.Way.Kind
	if kind == "" {
		kind = ways.ByRatio
	}
	w.member("kind", kind)
	w.member("along", k.Way.Along.String())
	for _, v := range []struct {
		key   string
		value interface{ Exact() string }
	}{
		{"native", k.Way.Native}, {"target", k.Way.Target}, {"real", k.Way.Real},
		{"length", k.Way.Length}, {"factor", k.Way.Factor},
	} {
		if exact := v.value.Exact(); exact != "" {
			w.member(v.key, exact)
		}
	}
	if k.Way.Part != "" {
		w.member("part", k.Way.Part)
	}
	if k.Way.Turn != judge.AsItLies {
		w.member("turn", k.Way.Turn)
	}
	if err := w.evidence(k); err != nil {
		return nil, err
	}
	return w.object(k.wayExtra)
}

func encodePart(p Part, folder string) (json.RawMessage, error) {
	var w writer
	w.member("id", p.ID)
	w.member("file", stored(p.File, folder))
	w.member("index", p.Index)
	w.member("name", p.Name)
	if p.Digest != "" {
		w.member("digest", p.Digest)
	}
	w.nonEmpty("beside", p.Beside)
	w.member("ticked", p.Ticked)
	w.member("quantity", p.Quantity)
	w.nonEmpty("unit", p.Unit.Exact())
	w.truth("unit-kept", p.UnitKept)
	w.truth("apart", p.Apart)
	w.truth("place-kept", p.PlaceKept)
	w.nonEmpty("turn", p.Turn.String())
	w.nonEmpty("as", p.As)
	w.nonEmpty("notes", p.Notes)
	if err := w.facts(p); err != nil {
		return nil, err
	}
	return w.object(p.extra)
}

// stored is a path as a kit's file in that folder has it: relative where there is a way
// from one to the other, with slashes.
func stored(file, folder string) string {
	full, err := filepath.Abs(file)
	if err != nil {
		return filepath.ToSlash(file)
	}
	if relative, err := filepath.Rel(folder, full); err == nil {
		return filepath.ToSlash(relative)
	}
	return filepath.ToSlash(full)
}
