package main

import (
	"fyne.io/fyne/v2"
	"golang.org/x/sys/windows"
)

// show opens a folder in the system's file manager. The system takes the path as it is: through
// a URL, letters beyond ASCII would be lost on the way.
func show(_ fyne.App, folder string) error {
	open, err := windows.UTF16PtrFromString("open")
	if err != nil {
		return err
	}
	path, err := windows.UTF16PtrFromString(folder)
	if err != nil {
		return err
	}
	return windows.ShellExecute(0, open, path, nil, nil, windows.SW_SHOWNORMAL)
}
