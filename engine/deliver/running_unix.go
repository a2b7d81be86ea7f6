//go:build !windows

package deliver

import (
	"errors"
	"syscall"
)

// Running reports whether there is a process of that number on this machine.
func Running(process int) bool {
	if process <= 0 {
		return false
	}
	err := syscall.Kill(process, 0)
	return err == nil || errors.Is(err, syscall.EPERM)
}
