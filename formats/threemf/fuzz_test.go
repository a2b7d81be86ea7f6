package threemf

import (
	"bytes"
	"context"
	"encoding/xml"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/deliver"
	"scantling/engine/geom"
	"scantling/formats/formattest"
	"scantling/formats/internal/fault"
)

// holds: whatever the bytes, an answer or an error of ours; and what opens can be read, is
// saved at factor 1 as the same bytes, and at another factor and in a pose opens again.
func holds(t *testing.T, folder string, b []byte) {
	path := filepath.Join(folder, "a.3mf")
	require.NoError(t, os.WriteFile(path, b, 0o600))
	ctx := context.Background()
	file, err := Open(ctx, path, nil)
	if err != nil {
		codeOf(t, err)
		return
	}
	for i, p := range file.Parts() {
		if m, err := file.Mesh(ctx, i, nil); err != nil {
			require.Equal(t, fault.TooLarge, codeOf(t, err))
		} else {
			require.Equal(t, p.Triangles, m.Len())
		}
	}
	sink := formattest.Folder(filepath.Join(folder, "copies"))
	require.NoError(t, file.Rescale(ctx, sink, "a.3mf", deliver.Change{Factor: 1}, nil))
	same, err := os.ReadFile(filepath.Join(folder, "copies", "a.3mf"))
	require.NoError(t, err)
	require.True(t, bytes.Equal(b, same), "factor 1 changes bytes")
	for _, c := range []deliver.Change{{Factor: 2, Tag: "Scantling 1:48 x2"}, {Factor: 0.235, Pose: geom.Upright(geom.X)}} {
		if err := file.Rescale(ctx, sink, "a.3mf", c, nil); err != nil {
			code := codeOf(t, err)
			require.True(t, code == fault.TooLarge || code == fault.Unsupported && c.Pose.Known(), "%v", err)
			continue
		}
		again, err := Open(ctx, filepath.Join(folder, "copies", "a.3mf"), nil)
		if err != nil { // what is placed lies beyond all numbers
			require.Equal(t, fault.BadNumber, codeOf(t, err))
			continue
		}
		require.Len(t, again.Parts(), len(file.Parts()))
		for i, p := range file.Parts() {
			require.Equal(t, p.Name, again.Parts()[i].Name)
			require.Equal(t, p.Triangles, again.Parts()[i].Triangles)
			if c.Factor == 2 {
				require.Equal(t, p.Box.Scale(2), again.Parts()[i].Box)
			}
		}
	}
}

func FuzzOpen(f *testing.F) {
	for _, v := range vectors() {
		f.Add(v.bytes)
	}
	folder := f.TempDir()
	f.Fuzz(func(t *testing.T, b []byte) {
		if len(b) <= 1<<16 {
			holds(t, folder, b)
		}
	})
}

// FuzzModel has the frame of the package right, so that more of the model is met.
func FuzzModel(f *testing.F) {
	for _, v := range vectors() {
		if parts, err := unpacked(v.bytes); err == nil {
			for _, p := range parts {
				if strings.HasSuffix(p.name, ".model") {
					f.Add(p.text)
				}
			}
		}
	}
	folder := f.TempDir()
	f.Fuzz(func(t *testing.T, text string) {
		if len(text) <= 1<<16 {
			holds(t, folder, storedZip(sketch{{"_rels/.rels", relsOfRoot}, {"3D/3dmodel.model", text}}))
		}
	})
}

// FuzzScanner compares with the standard library: where both accept a text they see the same
// elements and attributes; and what is passed without an edit is the text.
func FuzzScanner(f *testing.F) {
	for _, v := range vectors() {
		if parts, err := unpacked(v.bytes); err == nil {
			for _, p := range parts {
				if strings.HasSuffix(p.name, ".model") {
					f.Add(p.text, 100)
				}
			}
		}
	}
	f.Add("<a b='&#x41;&lt;'\n\tc = \"'\"><!-- <x> --><d/><![CDATA[<e>]]></a >", 3)
	f.Fuzz(func(t *testing.T, text string, step int) {
		if len(text) > 1<<16 {
			return
		}
		var passed bytes.Buffer
		s := newScanner(&slow{text, min(max(step, 1), 1<<16)}, func(b []byte) error { passed.Write(b); return nil })
		var ours []string
		for {
			k, err := s.next()
			if err != nil {
				var e *syntaxError
				require.ErrorAs(t, err, &e)
				return
			}
			if k == endOfText {
				break
			}
			if k == endTag {
				ours = append(ours, "/")
				s.close()
				continue
			}
			_, local, ok := bytes.Cut(s.bytes(s.tag.name), []byte(":"))
			if !ok {
				local = s.bytes(s.tag.name)
			}
			ours = append(ours, string(local))
			for _, a := range s.tag.attributes {
				v, err := s.value(a)
				if err != nil {
					return
				}
				ours = append(ours, v)
			}
		}
		require.Equal(t, text, passed.String())
		d := xml.NewDecoder(strings.NewReader(strings.TrimPrefix(text, "\xef\xbb\xbf")))
		var theirs []string
		for {
			k, err := d.RawToken()
			if errors.Is(err, io.EOF) {
				break
			}
			if err != nil {
				return
			}
			switch k := k.(type) {
			case xml.StartElement:
				theirs = append(theirs, k.Name.Local)
				for _, a := range k.Attr {
					theirs = append(theirs, strings.NewReplacer("\n", " ", "\t", " ", "\r", " ").Replace(a.Value))
				}
			case xml.EndElement:
				theirs = append(theirs, "/")
			}
		}
		plain := func(list []string) string { return strings.Join(strings.Fields(strings.Join(list, " ")), " ") } // CR LF is one blank there
		require.Equal(t, plain(theirs), plain(ours))
	})
}

// slow gives a text a few bytes at a time.
type slow struct {
	text string
	step int
}

func (r *slow) Read(p []byte) (int, error) {
	if r.text == "" {
		return 0, io.EOF
	}
	n := copy(p, r.text[:min(r.step, len(r.text))])
	r.text = r.text[n:]
	return n, nil
}
