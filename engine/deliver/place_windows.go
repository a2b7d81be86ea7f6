package deliver

import "syscall"

// RenameNew is Rename where nothing has the new name; the error is fs.ErrExist otherwise.
func (systemDisk) RenameNew(from, to string) error {
	old, err := syscall.UTF16PtrFromString(from)
	if err != nil {
		return err
	}
	final, err := syscall.UTF16PtrFromString(to)
	if err != nil {
		return err
	}
	return patiently(func() error { return syscall.MoveFile(old, final) }) // unlike os.Rename, it replaces nothing
}
