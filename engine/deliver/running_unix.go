//go:build !windows

package deliver

import (
	"bytes"
	"errors"
	"os"
	"strconv"
	"syscall"
)

// Running reports whether there is a process of that number on this machine.
func Running(process int) bool {
	if process <= 0 {
		return false
	}
	err := syscall.Kill(process, 0)
	return (err == nil || errors.Is(err, syscall.EPERM)) && !ended(process)
}

// ended reports whether a process has ended, and is only still listed until its parent takes
// note. Where the system does not tell so, it counts as running.
func ended(process int) bool {
	stat, err := os.ReadFile("/proc/" + strconv.Itoa(process) + "/stat") // Linux: "12 (name) Z …"
	if err != nil {
		return false
	}
	_, after, _ := bytes.Cut(stat[bytes.LastIndexByte(stat, ')')+1:], []byte(" "))
	return bytes.HasPrefix(after, []byte("Z"))
}
