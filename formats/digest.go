package formats

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"path/filepath"

	"github.com/cespare/xxhash/v2"

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
	sum, err := sumOf(ctx, path, io.Discard)
	return sum.Digest, err
}

// Beside identifies what lies beside a file and goes with its copies: the names and contents of its
// companions, as "xxh64:" and 16 hex digits; empty where it has none. One that cannot be read
// counts as that, so that its coming back is a change. It asks ctx every megabyte; the error is ctx's.
func Beside(ctx context.Context, f File) (string, error) {
	names := f.Companions()
	if len(names) == 0 {
		return "", nil
	}
	all := xxhash.New()
	for _, name := range names {
		digest, err := Digest(ctx, filepath.Join(filepath.Dir(f.Path()), filepath.FromSlash(name)))
		if ctx.Err() != nil {
			return "", ctx.Err()
		}
		if err != nil {
			digest = ""
		}
		fmt.Fprintf(all, "%q %q", name, digest)
	}
	return fmt.Sprintf("xxh64:%016x", all.Sum64()), nil
}

// A Sum says what a file holds.
type Sum struct {
	Bytes  int64
	Digest string // as File.Digest
	SHA256 string // 64 hex digits: what other programs can check (FIPS 180-4)
}

// SumOf sums the file at path up, read once, without asking what it is. Context and error are
// as Digest has them.
func SumOf(ctx context.Context, path string) (Sum, error) {
	hash := sha256.New()
	sum, err := sumOf(ctx, path, hash)
	if err == nil {
		sum.SHA256 = hex.EncodeToString(hash.Sum(nil))
	}
	return sum, err
}

// sumOf reads the file at path and gives w all of it, too.
func sumOf(ctx context.Context, path string, w io.Writer) (Sum, error) {
	file, _, err := source.Open(path)
	if err != nil {
		return Sum{}, err
	}
	defer file.Close()
	r := source.NewReader(path, file)
	for {
		if ctx.Err() != nil {
			return Sum{}, ctx.Err()
		}
		if _, err := io.CopyN(w, r, 1<<20); err == io.EOF {
			stamp := r.Stamp()
			return Sum{Bytes: stamp.Bytes, Digest: stamp.String()}, nil
		} else if err != nil {
			return Sum{}, err
		}
	}
}
