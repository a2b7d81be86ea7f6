package deliver

// A Record is what is known of a copy that was saved: from what it was made, how, and what it
// is. Where all of it still holds, saving the copy again would make the same files.
type Record struct {
	Source string    // digest of the source's main file
	Recipe string    // as Copy.Recipe gives it
	Files  []Written // the main file last
}

// Known reports whether there is a record.
func (r Record) Known() bool { return r.Source != "" && r.Recipe != "" && len(r.Files) > 0 }

// A Written is one file that was written.
type Written struct {
	Path   string // full path
	Bytes  int64
	Digest string // "xxh64:" and 16 hex digits
}
