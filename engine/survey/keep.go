package survey

import (
	"context"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"math"

	"scantling/engine/mesh"
)

// version is that of what a survey finds out. It must rise whenever the same mesh would give
// other measurements, or they are written otherwise, so that no old ones are taken for new.
const version = 2

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
	key, err := keyOf(ctx, m)
	if err != nil {
		return Measurements{}, err
	}
	if data, ok := store.Load(key); ok {
		if found, err := decode(data); err == nil && found.Triangles == m.Len() {
			if report != nil {
				report(1)
			}
			return found, nil
		}
	}
	found, err := InSteps(ctx, m, early, report)
	if err == nil {
		if data, err := encode(found); err == nil { // what cannot be written is not kept
			store.Save(key, data)
		}
	}
	return found, err
}

// keyOf is the same for meshes with the same triangles in the same places, whatever they
// are called.
func keyOf(ctx context.Context, m *mesh.Mesh) (string, error) {
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
	return fmt.Sprintf("survey-%d-%s", version, hex.EncodeToString(hash.Sum(nil))), nil
}

// encode writes measurements: how long the first piece is, all but the field as JSON, and
// the field.
func encode(f Measurements) ([]byte, error) {
	text, err := json.Marshal(f)
	if err != nil {
		return nil, err
	}
	data := binary.LittleEndian.AppendUint32(nil, uint32(len(text)))
	return f.Field.append(append(data, text...)), nil
}

// decode reads what encode wrote.
func decode(data []byte) (Measurements, error) {
	var f Measurements
	if len(data) < 4 {
		return f, errField
	}
	n := int(binary.LittleEndian.Uint32(data))
	if data = data[4:]; n > len(data) {
		return f, errField
	}
	if err := json.Unmarshal(data[:n], &f); err != nil {
		return Measurements{}, err
	}
	for _, d := range [3]*Distribution{&f.Thickness.Distribution, &f.Gaps.Distribution, &f.Facets.Chords} {
		if len(d.Widths) != len(d.Areas) {
			return Measurements{}, errField
		}
	}
	var err error
	if f.Field, err = fieldFrom(data[n:]); err != nil {
		return Measurements{}, err
	}
	return f, nil
}
