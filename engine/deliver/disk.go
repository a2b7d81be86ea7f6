package deliver

import (
	"errors"
	"fmt"
	"hash/fnv"
	"io"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"time"
)

// A disk is what saving needs of the system. Tests put one in that fails.
type disk interface {
	Create(path string) (file, error) // only if nothing is there
	Append(path string) (file, error) // only if it is there
	Open(path string) (io.ReadCloser, error)
	Stat(path string) (fs.FileInfo, error)
	Lstat(path string) (fs.FileInfo, error)
	ReadDir(path string) ([]fs.DirEntry, error)
	Mkdir(path string) error
	RenameNew(from, to string) error // only if nothing is there
	Link(from, to string) error      // only if nothing is there
	Rename(from, to string) error
	Remove(path string) error
	SyncFolder(path string) error
}

type file interface {
	io.WriteCloser
	Sync() error
}

type systemDisk struct{}

func (systemDisk) Create(path string) (file, error) {
	return os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
}
func (systemDisk) Append(path string) (file, error) {
	return os.OpenFile(path, os.O_WRONLY|os.O_APPEND, 0)
}
func (systemDisk) Open(path string) (io.ReadCloser, error)    { return os.Open(path) }
func (systemDisk) Stat(path string) (fs.FileInfo, error)      { return os.Stat(path) }
func (systemDisk) Lstat(path string) (fs.FileInfo, error)     { return os.Lstat(path) }
func (systemDisk) ReadDir(path string) ([]fs.DirEntry, error) { return os.ReadDir(path) }
func (systemDisk) Mkdir(path string) error                    { return os.Mkdir(path, 0o777) }
func (systemDisk) Link(from, to string) error                 { return os.Link(from, to) }
func (systemDisk) Remove(path string) error                   { return os.Remove(path) }

func (systemDisk) Rename(from, to string) error {
	return inUse(to, patiently(func() error { return os.Rename(from, to) }))
}

func (systemDisk) SyncFolder(path string) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}

// syncFolder makes new names last. Not every system can sync a folder; those that cannot
// need not.
func syncFolder(d disk, path string) error {
	err := d.SyncFolder(path)
	if errors.Is(err, syscall.EIO) || errors.Is(err, syscall.ENOSPC) {
		return err
	}
	return nil
}

// makeFolders makes path and what is missing above it, and tells which folders are new,
// outermost first.
func makeFolders(d disk, path string) (made []string, err error) {
	var missing []string
	for at := path; ; at = filepath.Dir(at) {
		info, err := d.Stat(at)
		if err == nil && !info.IsDir() {
			return nil, &Error{Code: NoFolder, Path: at, Err: syscall.ENOTDIR}
		}
		if err == nil {
			break
		}
		if !errors.Is(err, fs.ErrNotExist) || at == filepath.Dir(at) {
			return nil, trouble(at, err)
		}
		missing = append(missing, at)
	}
	for i := len(missing) - 1; i >= 0; i-- {
		if err := d.Mkdir(missing[i]); err != nil && !errors.Is(err, fs.ErrExist) {
			removeFolders(d, made)
			return nil, trouble(missing[i], err)
		} else if err == nil {
			made = append(made, missing[i])
		}
	}
	return made, nil
}

// removeFolders takes back what makeFolders made, where it is empty.
func removeFolders(d disk, made []string) {
	for i := len(made) - 1; i >= 0; i-- {
		if d.Remove(made[i]) != nil {
			return
		}
	}
}

// temporary begins the name of every file that is not yet a copy.
const temporary = ".scantling-"

// stale is how long a temporary must have lain unchanged before another run takes it for
// the leftover of one that was killed, where it cannot tell whether the process that made it
// still runs. One that is being written changes all the time.
const stale = time.Hour

// temporaryName is a new one, which says whose it is: ".scantling-" and the machine, the number
// of the process and a random number, all in hex digits.
func temporaryName() string {
	return fmt.Sprintf("%s%08x-%x-%016x", temporary, machine(), os.Getpid(), rand.Uint64())
}

// machine tells this machine, as far as process numbers go, from others that may share a folder.
func machine() uint32 {
	h := fnv.New32a()
	host, _ := os.Hostname()
	space, _ := os.Readlink("/proc/self/ns/pid") // containers count processes of their own
	fmt.Fprintf(h, "%s\x00%s", host, space)
	return h.Sum32()
}

// owner takes a temporary's name apart; process is 0 where that is another machine's, or the
// name is of the kind that older versions gave.
func owner(name string) (process int, ours bool) {
	rest, ours := strings.CutPrefix(name, temporary)
	fields := strings.Split(rest, "-")
	last := fields[len(fields)-1]
	if !ours || len(fields) != 1 && len(fields) != 3 || len(last) != 16 || strings.Trim(rest, "0123456789abcdef-") != "" {
		return 0, false
	}
	if len(fields) == 3 && fields[0] == fmt.Sprintf("%08x", machine()) {
		if n, err := strconv.ParseInt(fields[1], 16, 32); err == nil {
			process = int(n)
		}
	}
	return process, true
}

// createTemporary makes a new temporary file in a folder.
func createTemporary(d disk, folder string) (file, string, error) {
	for try := 0; ; try++ {
		path := filepath.Join(folder, temporaryName())
		f, err := d.Create(path)
		if !errors.Is(err, fs.ErrExist) || try == 100 {
			return f, path, err
		}
	}
}

// sweep removes the temporaries that a killed run left in a folder, and nothing else.
// What cannot be removed stays.
func sweep(d disk, folder string) {
	entries, err := d.ReadDir(folder)
	if err != nil {
		return
	}
	for _, e := range entries {
		process, ours := owner(e.Name())
		if !ours || !e.Type().IsRegular() {
			continue
		}
		info, err := e.Info()
		if err == nil && (process > 0 && !Running(process) || time.Since(info.ModTime()) > stale) {
			d.Remove(filepath.Join(folder, e.Name()))
		}
	}
}

// Clean removes what interrupted runs have left of unfinished files in a folder and those below
// it that their copies may lie in. It leaves alone what a run of now is writing.
func Clean(folder string) {
	d := systemDisk{}
	sweep(d, folder)
	for _, r := range readJournal(d, folder).known {
		for _, w := range r.Files {
			if at := filepath.Dir(w.Path); at != folder {
				sweep(d, at)
			}
		}
	}
}

// placeNew gives a finished temporary its final name, unless something has that name: then
// the error is fs.ErrExist and the temporary stays.
func placeNew(d disk, from, to string) error {
	if err := d.RenameNew(from, to); err == nil || errors.Is(err, fs.ErrExist) {
		return err
	}
	err := d.Link(from, to)
	if err == nil {
		d.Remove(from) // the copy is complete; a second name for it is swept later
		return nil
	}
	if errors.Is(err, fs.ErrExist) {
		return err
	}
	// Not every file system has either. There the name is claimed by an empty file that the
	// finished one then replaces. Where a process ends in between, the journal knows it.
	claim, err := d.Create(to)
	if err != nil {
		return err
	}
	if err = claim.Close(); err == nil {
		err = d.Rename(from, to)
	}
	if err != nil {
		d.Remove(to)
	}
	return err
}

// WriteFile replaces a single file by data, or makes it: whole or not at all. Until data is
// complete and synced, what was there stays. A symbolic link keeps pointing where it does,
// and its target is replaced. The error is an *Error.
func WriteFile(path string, data []byte) error { return writeFile(systemDisk{}, path, data) }

func writeFile(d disk, path string, data []byte) error {
	if target, err := filepath.EvalSymlinks(path); err == nil {
		path = target
	}
	folder := filepath.Dir(path)
	sweep(d, folder)
	f, name, err := createTemporary(d, folder)
	if err != nil {
		return trouble(path, err)
	}
	if _, err = f.Write(data); err == nil {
		err = f.Sync()
	}
	if closed := f.Close(); err == nil {
		err = closed
	}
	if err == nil {
		err = d.Rename(name, path)
	}
	if err != nil {
		d.Remove(name)
		return trouble(path, err)
	}
	return trouble(folder, syncFolder(d, folder))
}
