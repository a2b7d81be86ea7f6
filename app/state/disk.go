package state

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"scantling/engine/deliver"
	"scantling/engine/kit"
	"scantling/formats"
)

// A Disk is where models and kits are read and copies are saved. Its methods are called from
// workers, several at a time.
type Disk interface {
	// Models are the model files that a path stands for: those in the folder and below it,
	// in order, or the path itself, whether or not it can be read. A folder without any
	// gives ErrNoModels.
	Models(ctx context.Context, path string) ([]string, error)
	// Open opens and measures a model file.
	Open(ctx context.Context, path string, report func(float64)) (formats.File, error)
	// Stat says whether a file or folder is there; it waits not long for a drive that is silent.
	Stat(ctx context.Context, path string) (fs.FileInfo, error)
	// Sum says what a file holds.
	Sum(ctx context.Context, path string) (formats.Sum, error)
	// Find looks for files that are gone, in some places; an answer for each, empty where none
	// was found.
	Find(ctx context.Context, wanted []Wanted, places []Place) ([]Found, error)
	// Plan and Save do what deliver.Plan and deliver.Run do.
	Plan(copies []deliver.Copy, folder string) []deliver.Planned
	Save(ctx context.Context, copies []deliver.Copy, o deliver.Options, report func(deliver.Progress)) ([]deliver.Outcome, error)
	// LoadKit and SaveKit read and write a kit's file, as kit.LoadStamped and kit.SaveOver do.
	LoadKit(path string) (kit.Kit, kit.Stamp, error)
	SaveKit(path string, k kit.Kit, over kit.Stamp) (kit.Stamp, error)
	// Printers reads the maker's own printers and keeps what change makes of them; nil changes
	// nothing.
	Printers(change func(kit.Printers) (kit.Printers, error)) (kit.Printers, error)
	// Processes does the same with the maker's own processes.
	Processes(change func(kit.Processes) (kit.Processes, error)) (kit.Processes, error)
}

// Real is the disk of this machine.
func Real() Disk {
	return &realDisk{stat: os.Stat, patience: statPatience, dead: map[string]time.Time{}}
}

// Models leaves out what begins with a dot, and does not follow links to folders, which
// may lead in circles.
func (d *realDisk) Models(ctx context.Context, path string) ([]string, error) {
	if info, err := d.Stat(ctx, path); err != nil || !info.IsDir() {
		return []string{path}, nil
	}
	var found []string
	err := filepath.WalkDir(path, func(p string, d fs.DirEntry, err error) error {
		if ctx.Err() != nil {
			return ctx.Err()
		}
		if err != nil {
			if p == path {
				return err
			}
			return nil // a folder below that may not be read; the others go on
		}
		if p != path && strings.HasPrefix(d.Name(), ".") {
			if d.IsDir() {
				return fs.SkipDir
			}
			return nil
		}
		if !d.IsDir() && slices.Contains(formats.Extensions(), strings.ToLower(filepath.Ext(p))) {
			found = append(found, p)
		}
		return nil
	})
	if err == nil && len(found) == 0 {
		err = &PathError{Path: path, Err: ErrNoModels}
	}
	return found, err
}

func (d *realDisk) Open(ctx context.Context, path string, report func(float64)) (formats.File, error) {
	// What is not there is the format's to say, with all that it says.
	if _, err := d.Stat(ctx, path); errors.Is(err, ErrNoAnswer) {
		return nil, err
	}
	return formats.Open(ctx, path, report)
}

func (d *realDisk) Sum(ctx context.Context, path string) (formats.Sum, error) {
	if _, err := d.Stat(ctx, path); errors.Is(err, ErrNoAnswer) {
		return formats.Sum{}, err
	}
	return formats.SumOf(ctx, path)
}

func (d *realDisk) Plan(copies []deliver.Copy, folder string) []deliver.Planned {
	return deliver.Plan(copies, folder)
}

func (d *realDisk) Save(ctx context.Context, copies []deliver.Copy, o deliver.Options, report func(deliver.Progress)) ([]deliver.Outcome, error) {
	return deliver.Run(ctx, copies, o, report)
}

func (d *realDisk) LoadKit(path string) (kit.Kit, kit.Stamp, error) { return kit.LoadStamped(path) }

func (d *realDisk) SaveKit(path string, k kit.Kit, over kit.Stamp) (kit.Stamp, error) {
	return kit.SaveOver(path, k, over)
}

func (d *realDisk) Printers(change func(kit.Printers) (kit.Printers, error)) (kit.Printers, error) {
	path, err := kit.PrintersFile()
	if err != nil {
		return kit.Printers{}, err
	}
	if change == nil {
		return kit.LoadPrinters(path)
	}
	return kit.ChangePrinters(path, change)
}

func (d *realDisk) Processes(change func(kit.Processes) (kit.Processes, error)) (kit.Processes, error) {
	path, err := kit.ProcessesFile()
	if err != nil {
		return kit.Processes{}, err
	}
	if change == nil {
		return kit.LoadProcesses(path)
	}
	return kit.ChangeProcesses(path, change)
}

// IsKit reports whether a path is named as a kit's file.
func IsKit(path string) bool { return strings.EqualFold(filepath.Ext(path), kit.Extension) }

// KitAmong finds a kit file among paths, for the window to ask about unsaved changes before
// it opens them.
func KitAmong(paths []string) (string, bool) {
	if i := slices.IndexFunc(paths, IsKit); i >= 0 {
		return paths[i], true
	}
	return "", false
}

// isWebLink reports whether a dropped path is a link to the web: one comes as it is, or
// joined to the working folder as "…/https:/…".
func isWebLink(path string) bool {
	p := strings.ToLower(filepath.ToSlash(path))
	for _, scheme := range []string{"http:/", "https:/", "ftp:/"} {
		if strings.HasPrefix(p, scheme) || strings.Contains(p, "/"+scheme) {
			return true
		}
	}
	return false
}
