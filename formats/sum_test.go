package formats

import (
	"crypto/sha256"
	"encoding/hex"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// A sum is the file's own digest, and the one that other programs give.
func TestSumOf(t *testing.T) {
	path := filepath.Join("..", "assets", "demo", "hull.stl")
	raw, err := os.ReadFile(path)
	require.NoError(t, err)
	file, err := Open(t.Context(), path, nil)
	require.NoError(t, err)
	want := sha256.Sum256(raw)
	got, err := SumOf(t.Context(), path)
	require.NoError(t, err)
	require.Equal(t, Sum{int64(len(raw)), file.Digest(), hex.EncodeToString(want[:])}, got)
	digest, err := Digest(t.Context(), path)
	require.NoError(t, err)
	require.Equal(t, file.Digest(), digest)

	short := filepath.Join(t.TempDir(), "abc") // the example of FIPS 180-4
	require.NoError(t, os.WriteFile(short, []byte("abc"), 0o644))
	got, err = SumOf(t.Context(), short)
	require.NoError(t, err)
	require.Equal(t, "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad", got.SHA256)
	_, err = SumOf(t.Context(), filepath.Join(t.TempDir(), "none"))
	var fault *Error
	require.ErrorAs(t, err, &fault)
}
