package source

import (
	"scantling/engine/deliver"
	"scantling/formats/internal/fault"
)

// TagNote is the note of a file that has a tag; none for any other words.
func TagNote(tag string) []fault.Note {
	if _, ok := deliver.ParseTag(tag); !ok {
		return nil
	}
	return []fault.Note{{Code: fault.ScaledCopy, Detail: tag}}
}
