package survey

import (
	"bytes"
	"compress/flate"
	"context"
	"encoding/gob"
	"errors"
	"fmt"
	"image"
	"io"

	"scantling/engine/geom"
	"scantling/engine/mesh"
)

// A Sight is what looking at a part, as it stands, has found. It never changes.
type Sight struct {
	Topology mesh.Topology
	Snaps    []Snap
	// Silhouettes are the part seen as SightOf.Looks say, in their order.
	Silhouettes [3]*image.NRGBA
	Hull        Hull
}

// SightOf says what is to be looked at.
type SightOf struct {
	Lies   geom.Turn // what turns the part from how its file has it to how it stands
	Looks  [3]Look
	Box    geom.Box // of the part, in file coordinates
	Pixels int      // of the longer side of a silhouette
	Snaps  int      // at most
	// Known has Topology and Snaps where they are known, of the part standing otherwise; or it is nil.
	Known *Sight
}

// See finds a Sight. The errors are Silhouette's, mesh.ErrTooMany and ctx's; report rises from 0 to 1.
func See(ctx context.Context, m *mesh.Mesh, want SightOf, report func(float64)) (s Sight, err error) {
	for i, look := range want.Looks {
		if s.Silhouettes[i], err = Silhouette(ctx, m, look, want.Box, want.Pixels); err != nil {
			return Sight{}, err
		}
		report(float64(i+1) / 5)
	}
	if s.Hull, err = HullOf(ctx, m, want.Lies); err != nil {
		return Sight{}, err
	}
	report(0.7)
	if want.Known != nil {
		s.Topology, s.Snaps = want.Known.Topology, want.Known.Snaps
		return s, nil
	}
	whole, err := mesh.Connect(ctx, m, func(f float64) { report(0.7 + f/5) })
	if err != nil {
		return Sight{}, err
	}
	s.Topology = whole.Topology
	s.Snaps, err = SnapsOf(ctx, whole, want.Snaps)
	return s, err
}

// KeptSight is See of what read gives, unless the store has the answer already: then nothing is
// read. content names what read gives, as for Brief; an empty one, or a nil store, keeps nothing.
func KeptSight(ctx context.Context, store Store, content string, want SightOf, read func(context.Context) (*mesh.Mesh, error), report func(float64)) (Sight, error) {
	named := ""
	if store != nil && content != "" {
		named = key("sight", fmt.Appendf(nil, "%s\n%v %v %d %d", content, want.Lies, want.Looks, want.Pixels, want.Snaps))
		if data, ok := store.Load(named); ok {
			if s, err := decodeSight(data, want.Lies); err == nil {
				report(1)
				return s, nil
			}
		}
	}
	m, err := read(ctx)
	if err != nil {
		return Sight{}, err
	}
	s, err := See(ctx, m, want, report)
	if err == nil && named != "" {
		if data, err := encodeSight(s); err == nil {
			store.Save(named, data)
		}
	}
	return s, err
}

// A writtenSight is a Sight as it is kept.
type writtenSight struct {
	Topology mesh.Topology
	Snaps    []Snap
	Pictures [3]writtenPicture
	Hull     Hull
	Middle   geom.Vec // the hull's
}

// A writtenPicture has grey, then alpha, deflated; Silhouette has no other colours.
type writtenPicture struct {
	Wide, High int
	Deflated   []byte
}

// mostInflated is more bytes than deflate makes one of, by its format (RFC 1951): 258 in two bits.
const mostInflated = 1032

var (
	errColour = errors.New("a silhouette is not grey")
	errSight  = errors.New("this is no sight")
)

func encodeSight(s Sight) ([]byte, error) {
	w := writtenSight{Topology: s.Topology, Snaps: s.Snaps, Hull: s.Hull, Middle: s.Hull.middle}
	for i, picture := range s.Silhouettes {
		size := picture.Bounds().Size()
		n := size.X * size.Y
		planes := make([]byte, 2*n)
		for k := range n {
			p := picture.Pix[4*k : 4*k+4]
			if p[0] != p[1] || p[0] != p[2] {
				return nil, errColour
			}
			planes[k], planes[n+k] = p[0], p[3]
		}
		var b bytes.Buffer
		d, err := flate.NewWriter(&b, flate.BestSpeed)
		if err != nil {
			return nil, err
		}
		if _, err = d.Write(planes); err == nil {
			err = d.Close()
		}
		if err != nil {
			return nil, err
		}
		w.Pictures[i] = writtenPicture{size.X, size.Y, b.Bytes()}
	}
	var b bytes.Buffer
	err := gob.NewEncoder(&b).Encode(w)
	return b.Bytes(), err
}

func decodeSight(data []byte, lies geom.Turn) (Sight, error) {
	var w writtenSight
	if err := gob.NewDecoder(bytes.NewReader(data)).Decode(&w); err != nil {
		return Sight{}, err
	}
	s := Sight{Topology: w.Topology, Snaps: w.Snaps, Hull: w.Hull}
	s.Hull.middle, s.Hull.lies = w.Middle, lies
	for i, p := range w.Pictures {
		n := p.Wide * p.High
		if p.Wide < 1 || p.High < 1 || p.Wide > MaxPixels || p.High > MaxPixels || 2*n > mostInflated*len(p.Deflated) {
			return Sight{}, errSight
		}
		planes := make([]byte, 2*n)
		if _, err := io.ReadFull(flate.NewReader(bytes.NewReader(p.Deflated)), planes); err != nil {
			return Sight{}, err
		}
		picture := image.NewNRGBA(image.Rect(0, 0, p.Wide, p.High))
		for k := range n {
			grey := planes[k]
			copy(picture.Pix[4*k:], []byte{grey, grey, grey, planes[n+k]})
		}
		s.Silhouettes[i] = picture
	}
	return s, nil
}
