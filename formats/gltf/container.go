package gltf

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"io"

	"scantling/formats/internal/fault"
)

// The binary container (glTF 2.0, section 4): a header of 12 bytes, then chunks of length,
// type and content. All numbers are little-endian.
const (
	glbMagic    = "glTF"
	glbHeader   = 12
	chunkHeader = 8
	chunkJSON   = 0x4E4F534A
	chunkBIN    = 0x004E4942
)

// A container is where things are in the main file.
type container struct {
	binary bool
	json   section // the document
	bin    section // the binary chunk; empty where there is none
	end    int64   // of the container; what follows is foreign
}

// A section is a part of a file.
type section struct{ start, bytes int64 }

func (s section) end() int64 { return s.start + s.bytes }

// readContainer finds the document in a file of size bytes.
func readContainer(file string, r io.ReaderAt, size int64) (container, error) {
	bad := func(code fault.Code, at int64, format string, a ...any) error {
		return &fault.Error{File: file, Code: code, Byte: at, Detail: fmt.Sprintf(format, a...)}
	}
	if size == 0 {
		return container{}, bad(fault.Empty, -1, "")
	}
	head := make([]byte, min(size, glbHeader+chunkHeader))
	if _, err := r.ReadAt(head, 0); err != nil {
		return container{}, err
	}
	if !bytes.HasPrefix(head, []byte(glbMagic)) {
		if text := bytes.TrimLeft(bytes.TrimPrefix(head, []byte("\xef\xbb\xbf")), " \t\r\n"); len(text) > 0 && text[0] != '{' {
			return container{}, bad(fault.NotAModel, 0, "neither JSON nor binary glTF")
		}
		return container{json: section{0, size}, end: size}, nil
	}
	if size < glbHeader {
		return container{}, bad(fault.Truncated, size, "the header needs %d bytes", glbHeader)
	}
	if v := binary.LittleEndian.Uint32(head[4:]); v != 2 {
		return container{}, bad(fault.Unsupported, 4, "binary glTF version %d", v)
	}
	c := container{binary: true, end: int64(binary.LittleEndian.Uint32(head[8:]))}
	if c.end > size {
		return container{}, bad(fault.Truncated, size, "%d of %d bytes are there", size, c.end)
	}
	at := int64(glbHeader)
	for chunk := 0; chunk < 2 && at < c.end; chunk++ { // others are foreign and only copied
		if c.end-at < chunkHeader {
			return container{}, bad(fault.Truncated, at, "chunk %d has no room for its header", chunk)
		}
		if _, err := r.ReadAt(head[:chunkHeader], at); err != nil {
			return container{}, err
		}
		bytes, kind := int64(binary.LittleEndian.Uint32(head)), binary.LittleEndian.Uint32(head[4:])
		at += chunkHeader
		if bytes > c.end-at {
			return container{}, bad(fault.Truncated, at-chunkHeader, "chunk %d announces %d bytes, %d are there", chunk, bytes, c.end-at)
		}
		switch {
		case chunk == 0 && kind != chunkJSON:
			return container{}, bad(fault.Syntax, at-4, "the first chunk is not JSON")
		case chunk == 0:
			c.json = section{at, bytes}
		case chunk == 1 && kind == chunkBIN:
			c.bin = section{at, bytes}
		}
		at += bytes
	}
	if c.json.start == 0 {
		return container{}, bad(fault.Truncated, c.end, "no JSON chunk")
	}
	return c, nil
}
