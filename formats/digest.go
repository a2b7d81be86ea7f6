package formats

import (
	"context"
	"fmt"
	"io"

	"scantling/formats/internal/source"
)

// Content names the triangles of part i of a file, for what keeps what was found out about them. It
// is empty where a side file has a say in them: that may change while the file does not.
func Content(f File, i int) string {
	if f.Format() == "gltf" && len(f.Companions()) > 0 {
		return ""
	}
	return fmt.Sprintf("%s %s %d %d", f.Format(), f.Digest(), f.Bytes(), i)
}

// Digest is the digest that File.Digest gives of the file at path, read without asking what it
// is. It asks ctx every megabyte. The error is an *Error, or ctx's.
func Digest(ctx context.Context, path string) (string, error) {
	file, _, err := source.Open(path)
	if err != nil {
		return "", err
	}
	defer file.Close()
	r := source.NewReader(path, file)
	for {
		if ctx.Err() != nil {
			return "", ctx.Err()
		}
		if _, err := io.CopyN(io.Discard, r, 1<<20); err == io.EOF {
			return r.Stamp().String(), nil
		} else if err != nil {
			return "", err
		}
	}
}
