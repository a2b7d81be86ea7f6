// Package deliver saves rescaled copies: it plans the names, refuses to overwrite, writes
// each copy whole or not at all, reads it back, and tells what came of it. It is one of
// the few rooms of the engine that touch the disk.
package deliver

import (
	"context"
	"io"

	"scantling/engine/geom"
	"scantling/engine/mesh"
)

// A Source is a model file seen from here: its parts, and a way to write it again larger
// or smaller.
type Source interface {
	// Path is where the source lies.
	Path() string
	// Parts are its bodies, in file units.
	Parts() []mesh.Part
	// Extension is that of the copies it writes, with the dot: ".stl".
	Extension() string
	// Rescale writes a copy that differs by c and by nothing else. The copy's main file is
	// name; side files are created first. It asks ctx at least every 10 MB; report rises
	// from 0 to 1, is called from the worker, and may be nil.
	Rescale(ctx context.Context, to Sink, name string, c Change, report func(float64)) error
}

// A Change is how a copy differs from its source.
type Change struct {
	Factor float64 // what every length is multiplied by
	// Pose, where it is known, puts the source's points, multiplied by Factor, where they
	// are in the copy, seen with z up: its Shift is in the source's file unit. A format
	// whose own up is another axis then has that up. It must be sound (geom.Pose.Sound): it
	// may stretch along the axes of the copy, and nothing else. It is one for all parts of the
	// source. Not known: the copy stands as the source does, what was up
	// being up, whatever axis that is in the copy's format.
	Pose geom.Pose
	// Tag, if there is one, says what the copy is. It goes where the format has room for
	// such words and the source leaves it empty or has an older tag: the header of a binary
	// STL, the metadata of 3MF. A copy that changes nothing else has none.
	Tag string
	// Proved says that the copy will be read back, so that a source may keep what it sees of itself
	// while it is read and would be asked for then. It changes nothing about the copy.
	Proved bool
}

// A Sink makes the files of one copy. None of them exists under its name until the whole
// copy is complete. Names are slash-separated, relative to the copy's folder, and stay
// inside it. It serves one goroutine at a time.
type Sink interface {
	// Create starts one file of the copy. Writes of a megabyte or so are best.
	Create(name string) (io.WriteCloser, error)
	// Carry brings a companion file along unchanged: source is its path, spelt from where
	// Path is, and it must lie in the source's folder or below. One that already lies
	// there with the same content is left as it is.
	Carry(name, source string) error
}

// A Copy is one planned copy.
type Copy struct {
	Source Source
	Folder string    // below that of the run, slash-separated, its elements as SafeName makes them; empty: in it
	Name   string    // file name in its folder, extension included
	Factor float64   // what every length is multiplied by; handed to Rescale as it is
	Pose   geom.Pose // as in Change; not known: none
	Tag    string    // as in Change
	// Correction is what lengths along the axes of the copy, seen with z up, are multiplied by
	// besides, so that it comes out of a printer as long as it is meant to be; zero is none.
	Correction geom.Vec
	// PerUnit is what the source itself converts by on top of that, from its file unit to
	// that of the copy: 1 for the same format, 1000 from metres to millimetres. It is
	// needed to verify the copy.
	PerUnit float64
	// UnitBy is what of Factor makes up for a unit that the maker corrected: 25.4 where the
	// source's numbers are inches and were taken for millimetres. 0 where there is no such.
	UnitBy float64
	// Known is the record of the copy that was saved there before, if there is one. Where it says
	// that saving would change nothing, the copy is left as it is.
	Known Record
}

// change is how the copy differs from its source.
func (c *Copy) change() Change {
	out := Change{Factor: c.Factor, Pose: c.Pose, Tag: c.Tag}
	switch by := c.Correction; {
	case by == geom.Vec{}:
	case by[0] == by[1] && by[1] == by[2]: // alike: one number, as the factor
		out.Factor *= by[0]
		out.Pose = out.Pose.Scale(by[0])
	default:
		if parts := c.Source.Parts(); !out.Pose.Known() && len(parts) > 0 {
			out.Pose = geom.Upright(parts[0].Up)
		}
		out.Pose = out.Pose.Stretched(by)
	}
	return out
}

// A Back is a saved copy, read back: its parts, of which Triangles, Box, Up and Surface are
// compared with what they should be. It may have beside that
//
//   - Digest() string, of the bytes of its main file, as they were read. Without it the file is
//     read once more for that;
//   - Closed(ctx, i), whether the surface of part i closes as mesh.Closes has it. Without it the
//     mesh of the part is asked;
//   - Mesh(ctx, i, report), its triangles. Without it nothing is said of its surface.
type Back interface{ Parts() []mesh.Part }

// Open reads a saved copy back, to compare it. The program passes formats.ReadBack in.
type Open func(ctx context.Context, path string) (Back, error)

// Options of a run.
type Options struct {
	Folder    string // made if it is not there
	Overwrite bool   // existing files may be replaced in this run
	Keep      bool   // what was saved is noted beside the copies, so that a later run knows what has not changed
	Verify    Open   // reads each copy back, while the next are written; nil leaves that out
}

// Progress is told now and then, from the worker.
type Progress struct {
	Copy       int // index of the copy being written
	Copies     int
	Done, All  int64 // bytes of source read, in all
	CopiesDone int
}

// An Outcome is what came of one copy.
type Outcome struct {
	Copy  Copy
	Path  string   // full path of the saved copy; empty if it was not saved
	Files []string // all files of the copy that were written, full paths, the main file last
	// Unchanged: it lies there already, file for file as it would be saved, and was left alone.
	Unchanged bool
	// Record is for Copy.Known of a later run; not known where the source has no digest.
	Record   Record
	Verified bool // it was read back and is what it should be
	// Worst is the largest relative difference between the copy's size and source ×
	// factor, over parts and axes, when it was read back.
	Worst float64
	// Err is why it was not saved, or, with Path set, why it could not be verified: a copy
	// that fails its check stays, so that it can be looked at, and is reported.
	Err error
}
