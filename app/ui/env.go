// Package ui is the window: parts on the left, the sheet in the middle, the factor on the
// right, under them what is worth knowing and one line of status. It draws what the bench
// shows and sends it what the maker wants; it decides nothing itself.
package ui

import (
	"context"

	"scantling/app/state"
)

// An Env is what the window needs from outside.
type Env struct {
	Post    state.Post // runs on the window's goroutine, later and in order
	Chooser Chooser    // asks for files and folders
	// Show opens a folder in the system's own file manager.
	Show    func(folder string) error
	Version string
	// Here paints the sheet at once instead of aside, so that tests see it.
	Here bool
}

// A Chooser asks for files and folders. Its methods wait for the answer, so they are called
// from a goroutine of their own; an empty answer means that nothing was chosen.
type Chooser interface {
	Files(ctx context.Context, a Ask) ([]string, error)
	Folder(ctx context.Context, a Ask) (string, error)
	Save(ctx context.Context, a Ask) (string, error)
}

// An Ask says what is to be chosen.
type Ask struct {
	Title      string
	Folder     string   // where to begin; empty: wherever
	Kind       string   // what the files are, in words
	Extensions []string // with the dot
	Name       string   // of the file to save, as a proposal
}
