package deliver

import "golang.org/x/sys/unix"

// RenameNew is Rename where nothing has the new name; the error is fs.ErrExist otherwise.
func (systemDisk) RenameNew(from, to string) error {
	return unix.RenamexNp(from, to, unix.RENAME_EXCL)
}
