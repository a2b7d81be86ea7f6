package state

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/gob"
	"encoding/hex"
	"fmt"
	"sync"
	"time"

	"scantling/engine/deliver"
	"scantling/engine/mesh"
	"scantling/engine/survey"
	"scantling/formats"
)

// A memory is what is remembered of a file. Raise memoryVersion whenever readers would measure
// the same file otherwise.
type memory struct {
	Ends, Form, Coded, Sum string
	Size                   int64
	Remarks                []formats.Note
	Bodies                 []mesh.Part
}

const (
	memoryVersion = 1
	// A file that was written just now may be written again within the same tick of its clock.
	memorySettled = 3 * time.Second
)

// openRemembering opens a file that need not be read again: where it has the size and the time
// that it had when it was read before, its measures come from the store. What reads the file's
// triangles or makes a copy of it reads the file, and refuses if it is another one. It is for
// sources only: a copy that is to be proved is read. A nil store remembers nothing.
func openRemembering(ctx context.Context, disk Disk, store survey.Store, path string, report func(float64)) (formats.File, error) {
	if store == nil {
		return disk.Open(ctx, path, report)
	}
	key := ""
	if info, err := disk.Stat(ctx, path); err == nil && info != nil && info.Mode().IsRegular() && time.Since(info.ModTime()) > memorySettled {
		sum := sha256.Sum256(fmt.Appendf(nil, "%d\x00%s\x00%d\x00%d", memoryVersion, path, info.Size(), info.ModTime().UnixNano()))
		key = "open-" + hex.EncodeToString(sum[:])
		if data, ok := store.Load(key); ok {
			f := &rememberedFile{path: path, disk: disk}
			if gob.NewDecoder(bytes.NewReader(data)).Decode(&f.memory) == nil && f.Size == info.Size() && len(f.Bodies) > 0 {
				report(1)
				return f, nil
			}
		}
	}
	file, err := disk.Open(ctx, path, report)
	if err == nil && key != "" && len(file.Companions()) == 0 { // side files may change while it does not
		var kept bytes.Buffer
		m := memory{file.Extension(), file.Format(), file.Encoding(), file.Digest(), file.Bytes(), file.Notes(), file.Parts()}
		if gob.NewEncoder(&kept).Encode(m) == nil { // what cannot be written is not kept
			store.Save(key, kept.Bytes())
		}
	}
	return file, err
}

// A rememberedFile is a file that is opened only when its triangles are needed.
type rememberedFile struct {
	memory
	path string
	disk Disk
	mu   sync.Mutex
	real formats.File
}

// file opens the file, once, and makes sure that it is the one that is remembered.
func (f *rememberedFile) file(ctx context.Context) (formats.File, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.real != nil {
		return f.real, nil
	}
	real, err := f.disk.Open(ctx, f.path, nil)
	if err != nil {
		return nil, err
	}
	if real.Digest() != f.Sum {
		return nil, &formats.Error{File: f.path, Code: "changed", Byte: -1}
	}
	f.real = real
	return real, nil
}

func (f *rememberedFile) Path() string          { return f.path }
func (f *rememberedFile) Extension() string     { return f.Ends }
func (f *rememberedFile) Format() string        { return f.Form }
func (f *rememberedFile) Encoding() string      { return f.Coded }
func (f *rememberedFile) Bytes() int64          { return f.Size }
func (f *rememberedFile) Digest() string        { return f.Sum }
func (f *rememberedFile) Notes() []formats.Note { return f.Remarks }
func (f *rememberedFile) Companions() []string  { return nil }
func (f *rememberedFile) Parts() []mesh.Part    { return f.Bodies }

func (f *rememberedFile) Rescale(ctx context.Context, to deliver.Sink, name string, c deliver.Change, report func(float64)) error {
	file, err := f.file(ctx)
	if err != nil {
		return err
	}
	return file.Rescale(ctx, to, name, c, report)
}

func (f *rememberedFile) Mesh(ctx context.Context, i int, report func(float64)) (*mesh.Mesh, error) {
	file, err := f.file(ctx)
	if err != nil {
		return nil, err
	}
	return file.Mesh(ctx, i, report)
}
