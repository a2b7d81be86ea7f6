package state

import (
	"os"
	"path/filepath"

	"scantling/engine/cache"
	"scantling/engine/survey"
)

// mostKept bounds what surveys take on the disk: a kit of 300 large parts has about 200 MB.
const mostKept = 512 << 20

// Surveys keeps what was found out about parts where the system keeps such things, for window and
// command alike; nil where it has no such place.
func Surveys() survey.Store {
	dir, err := os.UserCacheDir()
	if err != nil {
		return nil
	}
	return cache.New(filepath.Join(dir, "scantling", "surveys"), mostKept)
}
