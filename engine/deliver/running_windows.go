package deliver

import "syscall"

// Running reports whether there is a process of that number on this machine.
func Running(process int) bool {
	const (
		mayAsk  = 0x1000 // PROCESS_QUERY_LIMITED_INFORMATION
		running = 259    // STILL_ACTIVE
	)
	handle, err := syscall.OpenProcess(mayAsk, false, uint32(process))
	if err != nil {
		return err == syscall.ERROR_ACCESS_DENIED
	}
	defer syscall.CloseHandle(handle)
	var code uint32
	return syscall.GetExitCodeProcess(handle, &code) == nil && code == running
}
