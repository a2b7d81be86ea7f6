package gltf

import (
	"encoding/base64"
	"errors"
	"io/fs"
	"net/url"
	"os"
	"path"
	"path/filepath"
	"strings"
	"time"

	"scantling/formats/internal/fault"
	"scantling/formats/internal/source"
)

// A sideFile is a file beside the document that it refers to.
type sideFile struct {
	name string // as the document has it, decoded: slash-separated, within the folder
	path string // where it lies
}

// localName decodes a relative URI and proves that it stays within the folder. It gives
// the name decoded and as it is written, for writers that forgot to encode.
func localName(uri string) (decoded, written string, code fault.Code) {
	if uri == "" {
		return "", "", fault.MissingFile
	}
	decoded, err := url.PathUnescape(uri)
	if err != nil {
		decoded = uri
	}
	for _, s := range []string{uri, decoded} {
		if i := strings.IndexByte(s, ':'); i > 0 && isScheme(s[:i]) {
			if i == 1 || strings.EqualFold(s[:i], "file") {
				return "", "", fault.Outside // a drive, or an absolute path
			}
			return "", "", fault.Network
		}
	}
	for _, s := range []string{uri, decoded} {
		if strings.ContainsAny(s, "\\\x00") || !filepath.IsLocal(filepath.FromSlash(s)) {
			return "", "", fault.Outside
		}
		for _, step := range strings.Split(s, "/") {
			if step == ".." {
				return "", "", fault.Outside
			}
		}
	}
	return path.Clean(decoded), path.Clean(uri), ""
}

// isScheme is the grammar of RFC 3986, section 3.1.
func isScheme(s string) bool {
	for i, c := range []byte(s) {
		letter := c|0x20 >= 'a' && c|0x20 <= 'z'
		if !letter && (i == 0 || !(c >= '0' && c <= '9' || c == '+' || c == '-' || c == '.')) {
			return false
		}
	}
	return s != ""
}

// find finds the file that a URI names within folder. other is the name on the disk where
// only its case differs. No link leads out of the folder.
func find(folder, uri string) (f sideFile, other string, code fault.Code, err error) {
	decoded, written, code := localName(uri)
	if code != "" {
		return f, "", code, nil
	}
	f.name = decoded
	for _, name := range []string{decoded, written} {
		f.path = filepath.Join(folder, filepath.FromSlash(name))
		if _, err = os.Stat(f.path); err == nil {
			code, err = stays(folder, f.path)
			return f, "", code, err
		}
		if !errors.Is(err, fs.ErrNotExist) {
			return f, "", fault.Unreadable, err
		}
	}
	if other = sameButCase(folder, decoded); other == "" || other == decoded { // a link that hangs in the air
		return f, "", fault.MissingFile, nil
	}
	f.path = filepath.Join(folder, filepath.FromSlash(other))
	code, err = stays(folder, f.path)
	return f, other, code, err
}

// stays proves that a file is within folder once all links are followed.
func stays(folder, file string) (fault.Code, error) {
	home, err := filepath.EvalSymlinks(folder)
	if err == nil {
		file, err = filepath.EvalSymlinks(file)
	}
	if err == nil {
		file, err = filepath.Rel(home, file)
	}
	if err != nil {
		return fault.Unreadable, err
	}
	if !filepath.IsLocal(file) {
		return fault.Outside, nil
	}
	return "", nil
}

// sameButCase is the one name in folder that is name but for upper and lower case, or "".
func sameButCase(folder, name string) string {
	var found []string
	for _, step := range strings.Split(name, "/") {
		entries, err := os.ReadDir(filepath.Join(folder, filepath.Join(found...)))
		if err != nil {
			return ""
		}
		match := ""
		for _, e := range entries {
			if e.Name() == step {
				match = step
				break
			}
			if strings.EqualFold(e.Name(), step) {
				if match != "" {
					return "" // two to choose from
				}
				match = e.Name()
			}
		}
		if match == "" {
			return ""
		}
		found = append(found, match)
	}
	return strings.Join(found, "/")
}

// isData reports whether a URI holds its bytes itself (RFC 2397).
func isData(uri value) bool {
	raw := uri.raw()
	return len(raw) > 6 && strings.EqualFold(string(raw[1:6]), "data:")
}

// splitData is a data URI's head, comma included, and its base64 text.
func splitData(uri string) (head, body string, ok bool) {
	i := strings.IndexByte(uri, ',')
	if i < 0 || !strings.HasSuffix(strings.ToLower(uri[:i]), ";base64") {
		return "", "", false
	}
	return uri[:i+1], uri[i+1:], true
}

// encodingOf is the base64 that a text is in: with padding or without.
func encodingOf(body string) *base64.Encoding {
	if strings.HasSuffix(body, "=") || len(body)%4 == 0 {
		return base64.StdEncoding
	}
	return base64.RawStdEncoding
}

// A blob is a run of bytes that buffers lie in.
type blob struct {
	side  sideFile     // its name is empty for what the main file holds
	at    section      // in that file
	data  value        // the URI itself, where it is one that holds the bytes
	stamp source.Stamp // of a side file's content
	when  time.Time    // a side file was last changed
}
