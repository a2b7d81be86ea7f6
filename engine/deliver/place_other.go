//go:build !linux && !darwin && !windows

package deliver

import "syscall"

// RenameNew is not to be had; placeNew has other ways.
func (systemDisk) RenameNew(from, to string) error { return syscall.ENOSYS }
