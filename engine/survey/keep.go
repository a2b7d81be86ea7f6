package survey

import (
	"context"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"slices"

	"scantling/engine/geom"
	"scantling/engine/mesh"
)

// version is that of what a survey finds out. It must rise whenever the same mesh, or the same
// content of a file, would give other measurements, or they are written otherwise, so that no old
// ones are taken for new.
const version = 5

// A Store keeps bytes by key, as far as it can: a key has small letters, digits and hyphens.
type Store interface {
	Load(key string) ([]byte, bool)
	Save(key string, data []byte)
}

// Kept is InSteps, unless the store has the answer already: then that comes at once. Where
// it has not, the answer is saved. Only the content of the mesh counts: the same triangles
// in another file, or in another format, are the same part. A nil store keeps nothing.
func Kept(ctx context.Context, store Store, m *mesh.Mesh, early func(Measurements), report func(float64)) (Measurements, error) {
	if store == nil {
		return InSteps(ctx, m, early, report)
	}
	of, err := meshKey(ctx, m)
	if err != nil {
		return Measurements{}, err
	}
	if found, ok := load(store, of); ok && found.Triangles == m.Len() {
		if data, ok := store.Load(fieldKey(of)); ok {
			if found.Field, err = fieldFrom(data); err == nil {
				if report != nil {
					report(1)
				}
				return found, nil
			}
		}
	}
	return kept(ctx, store, of, m, early, report)
}

// Brief is Kept without the Field, which is the most of what is kept. content names what read
// gives: the same name must always stand for the same triangles. Where the store knows a content,
// it is not read; an empty one is read in any case.
func Brief(ctx context.Context, store Store, content string, read func(context.Context) (*mesh.Mesh, error), early func(Measurements), report func(float64)) (Measurements, error) {
	named := ""
	if store != nil && content != "" {
		named = key("part", []byte(content))
		if of, ok := store.Load(named); ok && len(of) == 2*sha256.Size {
			if found, ok := load(store, string(of)); ok {
				if report != nil {
					report(1)
				}
				return found, nil
			}
		}
	}
	m, err := read(ctx)
	if err != nil {
		return Measurements{}, err
	}
	if store == nil {
		found, err := InSteps(ctx, m, early, report)
		found.Field = Field{}
		return found, err
	}
	of, err := meshKey(ctx, m)
	if err != nil {
		return Measurements{}, err
	}
	found, ok := load(store, of)
	if !ok {
		found, err = kept(ctx, store, of, m, early, report)
		found.Field = Field{}
	}
	if err == nil && named != "" {
		store.Save(named, []byte(of))
	}
	return found, err
}

// KeptBetween is Between, unless the store has the answer already. Parts are told apart by their
// Content and how they stand; where one that has a Mesh has no Content, nothing is kept.
func KeptBetween(ctx context.Context, store Store, parts []Placed, report func(float64)) (Assembly, error) {
	if store == nil {
		return Between(ctx, parts, report)
	}
	var all []byte
	for _, p := range parts {
		if p.Mesh == nil || p.Box.Empty() {
			all = append(all, 0)
			continue
		}
		if p.Content == "" {
			return Between(ctx, parts, report)
		}
		all = append(binary.LittleEndian.AppendUint64(append(all, 1), uint64(len(p.Content))), p.Content...)
		all = binary.LittleEndian.AppendUint64(all, uint64(len(p.Bores)))
		all = binary.LittleEndian.AppendUint64(all, uint64(len(p.Pegs)))
		for _, at := range []geom.Vec{p.Box.Min, p.Box.Max, p.Place(geom.Vec{}), p.Place(geom.Vec{1}), p.Place(geom.Vec{0, 1}), p.Place(geom.Vec{0, 0, 1}), p.Place(p.Box.Min), p.Place(p.Box.Max)} {
			for _, x := range at {
				all = binary.LittleEndian.AppendUint64(all, math.Float64bits(x))
			}
		}
	}
	key := key("between", all)
	if data, ok := store.Load(key); ok {
		var a Assembly
		if json.Unmarshal(data, &a) == nil && a.within(len(parts)) {
			if report != nil {
				report(1)
			}
			return a, nil
		}
	}
	a, err := Between(ctx, parts, report)
	if err == nil {
		if data, err := json.Marshal(a); err == nil {
			store.Save(key, data)
		}
	}
	return a, err
}

// within reports whether it is one of so many parts.
func (a *Assembly) within(parts int) bool {
	is := func(i int) bool { return i >= 0 && i < parts }
	for _, f := range a.Fits {
		if !is(f.Inner) || !is(f.Outer) {
			return false
		}
	}
	for _, n := range a.Neighbours {
		if !is(n.One) || !is(n.Other) {
			return false
		}
	}
	return true
}

// kept surveys and keeps what is found.
func kept(ctx context.Context, store Store, of string, m *mesh.Mesh, early func(Measurements), report func(float64)) (Measurements, error) {
	found, err := InSteps(ctx, m, early, report)
	if err == nil {
		if data, err := encode(found); err == nil { // what cannot be written is not kept
			store.Save(surveyKey(of), data)
			store.Save(fieldKey(of), found.Field.append(nil))
		}
	}
	return found, err
}

// load is what is kept of a mesh, but for its field.
func load(store Store, of string) (Measurements, bool) {
	data, ok := store.Load(surveyKey(of))
	if !ok {
		return Measurements{}, false
	}
	found, err := decode(data)
	return found, err == nil
}

func surveyKey(of string) string { return fmt.Sprintf("survey-%d-%s", version, of) }
func fieldKey(of string) string  { return fmt.Sprintf("field-%d-%s", version, of) }

// key is that of something that follows from what.
func key(kind string, what []byte) string {
	sum := sha256.Sum256(what)
	return fmt.Sprintf("%s-%d-%s", kind, version, hex.EncodeToString(sum[:]))
}

// meshKey is the same for meshes with the same triangles in the same places, whatever they
// are called.
func meshKey(ctx context.Context, m *mesh.Mesh) (string, error) {
	hash := sha256.New()
	buffer := binary.LittleEndian.AppendUint64(nil, version)
	for _, x := range m.Origin {
		buffer = binary.LittleEndian.AppendUint64(buffer, math.Float64bits(x))
	}
	buffer = binary.LittleEndian.AppendUint64(buffer, uint64(len(m.Vertices)))
	for i, v := range m.Vertices {
		if i%askEvery == 0 {
			if ctx.Err() != nil {
				return "", ctx.Err()
			}
			hash.Write(buffer)
			buffer = buffer[:0]
		}
		for _, x := range v {
			buffer = binary.LittleEndian.AppendUint32(buffer, math.Float32bits(x))
		}
	}
	for i, t := range m.Triangles {
		if i%askEvery == 0 {
			if ctx.Err() != nil {
				return "", ctx.Err()
			}
			hash.Write(buffer)
			buffer = buffer[:0]
		}
		for _, v := range t {
			buffer = binary.LittleEndian.AppendUint32(buffer, v)
		}
	}
	hash.Write(buffer)
	return hex.EncodeToString(hash.Sum(nil)), nil
}

// lists are what most of the measurements are.
func (f *Measurements) lists() [6]*[]float64 {
	t, g, c := &f.Thickness.Distribution, &f.Gaps.Distribution, &f.Facets.Chords
	return [6]*[]float64{&t.Widths, &t.Areas, &g.Widths, &g.Areas, &c.Widths, &c.Areas}
}

// encode writes measurements: how long the first piece is, all but the field and the lists as
// JSON, and the lists, each after its length. The lists are not in the JSON, since reading numbers
// from text takes fifty times as long.
func encode(f Measurements) ([]byte, error) {
	var lists []byte
	for _, l := range f.lists() {
		lists = binary.LittleEndian.AppendUint32(lists, uint32(len(*l)))
		for _, x := range *l {
			lists = binary.LittleEndian.AppendUint64(lists, math.Float64bits(x))
		}
		*l = (*l)[:0]
	}
	text, err := json.Marshal(f)
	if err != nil {
		return nil, err
	}
	return slices.Concat(binary.LittleEndian.AppendUint32(nil, uint32(len(text))), text, lists), nil
}

// decode reads what encode wrote.
func decode(data []byte) (Measurements, error) {
	var f Measurements
	text, rest, ok := piece(data, 1)
	if !ok {
		return f, errKept
	}
	if err := json.Unmarshal(text, &f); err != nil {
		return Measurements{}, err
	}
	all := f.lists()
	for _, l := range all {
		var list []byte
		if list, rest, ok = piece(rest, 8); !ok || len(*l) != 0 {
			return Measurements{}, errKept
		}
		*l = slices.Grow(*l, len(list)/8)
		for ; len(list) > 0; list = list[8:] {
			x := math.Float64frombits(binary.LittleEndian.Uint64(list))
			if x-x != 0 {
				return Measurements{}, errKept
			}
			*l = append(*l, x)
		}
	}
	for i := 0; i < len(all); i += 2 {
		if len(*all[i]) != len(*all[i+1]) {
			return Measurements{}, errKept
		}
	}
	if len(rest) > 0 {
		return Measurements{}, errKept
	}
	return f, nil
}

// errKept is for what no measurements were written as.
var errKept = errors.New("not what is kept of a survey")

// piece takes a piece from the front: how many things of that size it has, and those.
func piece(data []byte, size int) (first, rest []byte, ok bool) {
	if len(data) < 4 {
		return nil, nil, false
	}
	n := int64(binary.LittleEndian.Uint32(data)) // as written: it may be more than an int can hold
	data = data[4:]
	if n > int64(len(data)/size) {
		return nil, nil, false
	}
	end := int(n) * size
	return data[:end], data[end:], true
}
