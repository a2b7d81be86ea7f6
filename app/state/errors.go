package state

import (
	"errors"
	"fmt"
)

// What stands in the way of an intent. app/text has the words.
var (
	ErrWebLink      = errors.New("a link to the web, not a file")
	ErrNoModels     = errors.New("no model files in the folder")
	ErrTwoKits      = errors.New("more than one kit file")
	ErrNoDemo       = errors.New("no demo kit")
	ErrNoFactor     = errors.New("no factor")
	ErrNoTarget     = errors.New("no target ratio")
	ErrNoneTicked   = errors.New("no part is ticked")
	ErrNoFolder     = errors.New("no folder chosen")
	ErrNoKitPath    = errors.New("the kit has not been saved before")
	ErrFailedPart   = errors.New("the part could not be read")
	ErrStillOpens   = errors.New("files are still being read")
	ErrStillFits    = errors.New("how the parts fit the bed is not known yet")
	ErrStillSaving  = errors.New("copies are still being saved")
	ErrQuantity     = errors.New("a quantity is from 1 to 9999")
	ErrDifferent    = errors.New("the file is not the one that the kit was made with")
	ErrManyClues    = errors.New("there are as many clues as there can be")
	ErrNobody       = errors.New("nobody is as short or as tall")
	ErrNoSuchPart   = errors.New("the file has no such part")
	ErrUnit         = errors.New("no unit of a file is that long")
	ErrUnitsDiffer  = errors.New("parts of one file have different units")
	ErrTurnsDiffer  = errors.New("parts of one file were turned differently")
	ErrNoOriginal   = errors.New("no original is known for the copy")
	ErrItself       = errors.New("the copy is the original itself")
	ErrNoAnswer     = errors.New("the drive does not answer")
	ErrBeside       = errors.New("the kit is open in another window, too")
	ErrFolderGone   = errors.New("the folder is not there")
	ErrMeasureStale = errors.New("a measure may no longer lie where it was taken")
)

// A PathError is trouble with one path.
type PathError struct {
	Path string
	Err  error
}

func (e *PathError) Error() string { return e.Path + ": " + e.Err.Error() }

// Unwrap is the trouble.
func (e *PathError) Unwrap() error { return e.Err }

// A PanicError is a job that broke down through a mistake of the program. The window lives on.
type PanicError struct {
	Job   string
	Value any
	Stack []byte
}

func (e *PanicError) Error() string { return fmt.Sprintf("%s: %v\n%s", e.Job, e.Value, e.Stack) }
