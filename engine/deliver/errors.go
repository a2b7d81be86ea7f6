package deliver

import (
	"errors"
	"fmt"
	"io/fs"
	"runtime"
	"syscall"
)

// A Code is a kind of trouble with saving.
type Code string

// All kinds of trouble. app/text has words and a remedy for each.
const (
	Exists    Code = "exists"    // a file of that name lies there and may not be replaced
	IsSource  Code = "is-source" // the target is a source, or a side file of one
	NoRights  Code = "no-rights" // the system does not allow writing there
	DiskFull  Code = "disk-full"
	NoFolder  Code = "no-folder" // the folder is not there, vanished, or is no folder
	BadName   Code = "bad-name"  // not a name that every system takes, or one that leaves the folder
	Clash     Code = "clash"     // two files of this run have one name, upper and lower case being the same
	Companion Code = "companion" // another file of a companion's name lies there
	Outside   Code = "outside"   // a companion does not lie in its source's folder
	Verify    Code = "verify"    // the copy, read back, is not what it should be; it stays where it is
	InUse     Code = "in-use"    // another program has the file open, and the system lets nobody replace it
	Failed    Code = "failed"    // anything else; Err says what
)

// Codes lists every code.
func Codes() []Code {
	return []Code{Exists, IsSource, NoRights, DiskFull, NoFolder, BadName, Clash, Companion, Outside, Verify, InUse, Failed}
}

// An Error is trouble with saving.
type Error struct {
	Code Code
	Path string // the file or folder in question
	Err  error  // cause, or nil; a *Difference for Verify
}

// Error is terse, for logs; app/text has the maker's sentence.
func (e *Error) Error() string {
	if e.Err == nil {
		return fmt.Sprintf("%s: %s", e.Path, e.Code)
	}
	return fmt.Sprintf("%s: %s: %v", e.Path, e.Code, e.Err)
}

// Unwrap is the cause.
func (e *Error) Unwrap() error { return e.Err }

var (
	errFactor   = errors.New("factor is not a positive number")
	errPose     = errors.New("pose shears, mirrors or stretches too much")
	errNoMain   = errors.New("the source did not write the main file of its copy")
	errUnclosed = errors.New("the source left a file of its copy open")
	errNotAFile = errors.New("is not a regular file")
)

// trouble gives an error of the system its code.
func trouble(path string, err error) error {
	var own *Error
	if err == nil || errors.As(err, &own) {
		return err
	}
	return &Error{Code: codeOf(err), Path: path, Err: err}
}

func codeOf(err error) Code {
	var number syscall.Errno
	if errors.As(err, &number) && runtime.GOOS == "windows" {
		if c := codeOnWindows(number); c != "" {
			return c
		}
	}
	switch {
	case errors.Is(err, syscall.ENOSPC), errors.Is(err, syscall.EDQUOT):
		return DiskFull
	case errors.Is(err, fs.ErrPermission), errors.Is(err, syscall.EROFS):
		return NoRights
	case errors.Is(err, fs.ErrNotExist), errors.Is(err, syscall.ENOTDIR):
		return NoFolder
	case errors.Is(err, fs.ErrExist):
		return Exists
	case errors.Is(err, syscall.ENAMETOOLONG):
		return BadName
	}
	return Failed
}

// codeOnWindows is the code of a number of Windows that Go's own kinds of errors do not cover;
// empty for others. Source: Microsoft, "System Error Codes" (from memory).
func codeOnWindows(number syscall.Errno) Code {
	switch number {
	case 39, 112: // ERROR_HANDLE_DISK_FULL, ERROR_DISK_FULL
		return DiskFull
	case 19: // ERROR_WRITE_PROTECT
		return NoRights
	case sharingViolation, lockViolation:
		return InUse
	case 123, 206: // ERROR_INVALID_NAME, ERROR_FILENAME_EXCED_RANGE
		return BadName
	// ERROR_INVALID_DRIVE, ERROR_NOT_READY, ERROR_NETNAME_DELETED, ERROR_BAD_NET_NAME, ERROR_DIRECTORY
	case 15, 21, 64, 67, 267:
		return NoFolder
	}
	return ""
}
