package formats

import (
	"context"
	"io"

	"scantling/formats/internal/source"
)

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
