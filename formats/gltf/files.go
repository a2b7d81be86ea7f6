package gltf

import (
	"fmt"
	"path/filepath"

	"scantling/formats/internal/fault"
	"scantling/formats/internal/source"
)

// findFiles finds the bytes of every buffer, and the images, and proves that the buffers
// are as long as they claim.
func (f *File) findFiles() error {
	f.limit = f.stamp.Bytes + f.most.zeros
	if f.box.bin.bytes > 0 {
		f.blobs = append(f.blobs, blob{at: f.box.bin})
	}
	known := map[string]int{} // blob of a side file
	for i := range f.doc.buffers {
		b := &f.doc.buffers[i]
		switch {
		case b.uri.kind() == kindNone:
			if i == 0 && f.box.bin.bytes > 0 {
				b.blob = 0
			}
		case isData(b.uri):
			data, err := decodeData(b.uri)
			if err != nil {
				return f.fault(fault.Syntax, b.uri, err.Error())
			}
			b.blob = len(f.blobs)
			f.blobs = append(f.blobs, blob{at: section{0, int64(len(data))}, data: b.uri})
		default:
			side, err := f.find(b.uri)
			if err != nil {
				return err
			}
			k, ok := known[side.path]
			if !ok {
				if k, err = f.addBlob(side); err != nil {
					return f.placed(b.uri, err)
				}
				known[side.path] = k
			}
			b.blob = k
		}
		if b.blob < 0 {
			continue // reading from it is a fault, its being there is none
		}
		if have := f.blobs[b.blob].at.bytes; have < b.bytes {
			return f.fault(fault.Truncated, b.v, fmt.Sprintf("%d of %d bytes are there", have, b.bytes))
		}
	}
	d := f.decoder()
	seen := map[string]bool{}
	for _, v := range d.objects(f.doc.json.root(), "images") {
		uri := v.get("uri")
		if uri.kind() != kindString || isData(uri) {
			continue
		}
		side, err := f.find(uri)
		if err != nil {
			return err
		}
		if _, ok := known[side.path]; !ok && !seen[side.path] {
			seen[side.path] = true
			f.images = append(f.images, side)
		}
	}
	return d.err
}

// addBlob makes a blob of a side file.
func (f *File) addBlob(side sideFile) (int, error) {
	file, size, err := source.Open(side.path)
	if err != nil {
		return 0, err
	}
	defer file.Close()
	info, err := file.Stat()
	if err != nil {
		return 0, err
	}
	f.limit += size
	f.blobs = append(f.blobs, blob{side: side, at: section{0, size}, stamp: source.Stamp{Bytes: size}, when: info.ModTime()})
	return len(f.blobs) - 1, nil
}

// find finds the file that a URI in the document names.
func (f *File) find(uri value) (sideFile, error) {
	side, other, code, err := find(filepath.Dir(f.path), uri.str())
	if code != "" {
		return side, f.placed(uri, &fault.Error{Code: code, Err: err})
	}
	if err != nil {
		return side, f.placed(uri, err)
	}
	if other != "" {
		f.note(fault.CaseDiffers, fmt.Sprintf("%s is %s", side.name, other))
	}
	return side, nil
}

// placed says about an error which file is named where.
func (f *File) placed(uri value, err error) error {
	e := source.Fault(f.path, err).(*fault.Error)
	placed := f.fault(e.Code, uri, fmt.Sprintf("%q", uri.str())).(*fault.Error)
	placed.Err = e.Err
	return placed
}
