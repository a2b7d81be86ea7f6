//go:build !windows

package main

import (
	"net/url"

	"fyne.io/fyne/v2"
)

// show opens a folder in the system's file manager.
func show(a fyne.App, folder string) error { return a.OpenURL(&url.URL{Scheme: "file", Path: folder}) }
