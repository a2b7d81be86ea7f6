//go:build !windows

package kit

import (
	"errors"
	"syscall"
)

// runs reports whether there is a process of that number on this machine.
func runs(process int) bool {
	if process <= 0 {
		return false
	}
	err := syscall.Kill(process, 0)
	return err == nil || errors.Is(err, syscall.EPERM)
}
