package deliver

import (
	"errors"
	"io/fs"
	"os"
	"runtime"
	"syscall"
	"time"
)

// Numbers of Windows, where a file cannot be replaced, renamed or removed while another program
// has it open. Source: Microsoft, "System Error Codes" (from memory).
const (
	accessDenied     syscall.Errno = 5  // ERROR_ACCESS_DENIED
	sharingViolation syscall.Errno = 32 // ERROR_SHARING_VIOLATION
	lockViolation    syscall.Errno = 33 // ERROR_LOCK_VIOLATION
)

// patiently tries to rename a file, and tries again where another program may have it open for
// a moment: scanners of viruses and indexers open every file that is new.
func patiently(try func() error) error { return again(try, heldUp, time.Sleep) }

// again tries until it goes well, fails otherwise, or two thirds of a second have been waited.
func again(try func() error, held func(error) bool, wait func(time.Duration)) error {
	err := try()
	for pause := 10 * time.Millisecond; pause < 600*time.Millisecond && held(err); pause *= 2 {
		wait(pause)
		err = try()
	}
	return err
}

// heldUp reports whether an error may be that another program has the file open.
func heldUp(err error) bool {
	var number syscall.Errno
	return runtime.GOOS == "windows" && errors.As(err, &number) &&
		(number == accessDenied || number == sharingViolation || number == lockViolation)
}

// inUse is the error of a replacement that was refused. Windows says "access denied" also of a
// file that another program has open; where nothing else forbids to replace it, it is that.
func inUse(to string, err error) error {
	var number syscall.Errno
	if runtime.GOOS != "windows" || !errors.As(err, &number) || number != accessDenied {
		return err
	}
	info, statErr := os.Stat(to)
	if statErr != nil || !info.Mode().IsRegular() || info.Mode().Perm()&0o200 == 0 {
		return err
	}
	return &fs.PathError{Op: "replace", Path: to, Err: sharingViolation}
}
