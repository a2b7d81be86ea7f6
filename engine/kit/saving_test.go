package kit

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// How copies are saved is kept, the folder relative to the kit's; an older kit has nothing of it,
// and writes nothing.
func TestSavingIsKept(t *testing.T) {
	k, err := Load(filepath.Join(vectorFolder, "v2-saving"+Extension))
	require.NoError(t, err)
	at, err := filepath.Abs(vectorFolder)
	require.NoError(t, err)
	want := Saving{Folder: filepath.Join(at, "out", "small"), Pattern: "{quantity}x {part}", Format: "3mf", Folders: true, Posed: true}
	require.Equal(t, want, k.Saving)
	require.Equal(t, "xxh64:fedcba9876543210", k.Parts[0].Beside)

	dir := t.TempDir()
	k.Saving.Folder = filepath.Join(dir, "out")
	k.Saving.Turned, k.Saving.Posed = true, false
	path := filepath.Join(dir, "below", "k"+Extension)
	require.NoError(t, os.Mkdir(filepath.Dir(path), 0o777))
	require.NoError(t, Save(path, k))
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Contains(t, string(text), `"folder": "../out"`)
	require.Contains(t, string(text), `"ink": "blue"`)
	require.Contains(t, string(text), `"beside": "xxh64:fedcba9876543210"`)
	back, err := Load(path)
	require.NoError(t, err)
	require.Equal(t, k.Saving, back.Saving)

	older, err := Load(filepath.Join(vectorFolder, "v2-whole"+Extension))
	require.NoError(t, err)
	require.Equal(t, Saving{}, older.Saving)
	require.NoError(t, Save(path, older))
	text, err = os.ReadFile(path)
	require.NoError(t, err)
	require.NotContains(t, string(text), `"saving":`)
}

func TestSavingRefuses(t *testing.T) {
	for member, detail := range map[string]string{
		`"saving": []`:                        "saving",
		`"saving": {"folders": "yes"}`:        "saving.folders",
		`"saving": {"pattern": 7}`:            "saving.pattern",
		`"saving": {"folder": "a\u0000b"}`:    "saving.folder",
		`"saving": {"format": {"of": "all"}}`: "saving.format",
	} {
		_, err := decode("k", "kit", []byte(`{"scantling": 2, `+member+`}`))
		var e *Error
		require.ErrorAs(t, err, &e, member)
		require.Equal(t, BadValue, e.Code)
		require.Equal(t, detail, e.Detail)
	}
}
