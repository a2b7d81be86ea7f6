package cache_test

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scantling/engine/cache"
)

func names(t *testing.T, dir string) []string {
	t.Helper()
	all, err := os.ReadDir(dir)
	require.NoError(t, err)
	var out []string
	for _, e := range all {
		out = append(out, e.Name())
	}
	return out
}

func TestWhatIsSavedIsThere(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "not", "yet")
	f := cache.New(dir, 1<<20)
	_, ok := f.Load("one")
	require.False(t, ok)
	for _, data := range []string{"first", "second, longer", ""} {
		f.Save("one", []byte(data))
		got, ok := cache.New(dir, 1<<20).Load("one")
		require.True(t, ok)
		require.Equal(t, data, string(got))
	}
	require.Len(t, names(t, dir), 1, "nothing is left over")
}

// A key is never a way out of the folder.
func TestKeysAreNames(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "in")
	f := cache.New(dir, 1<<20)
	for _, key := range []string{"", "..", "../out", "a/b", `a\b`, "a.b", "A", "-a", "a b", "é", strings.Repeat("a", 101)} {
		f.Save(key, []byte("x"))
		_, ok := f.Load(key)
		require.False(t, ok, key)
	}
	_, err := os.Stat(dir)
	require.ErrorIs(t, err, os.ErrNotExist)
}

// Any byte of an entry changed, or any of its ends missing, and it is not there; saved
// again, it is.
func TestBrokenEntriesAreNotThere(t *testing.T) {
	dir := t.TempDir()
	f := cache.New(dir, 1<<20)
	f.Save("key", []byte("what was found out"))
	path := filepath.Join(dir, names(t, dir)[0])
	whole, err := os.ReadFile(path)
	require.NoError(t, err)
	for i := range whole {
		require.NoError(t, os.WriteFile(path, whole[:i], 0o600))
		_, ok := f.Load("key")
		require.False(t, ok, "cut at %d", i)
		broken := bytes.Clone(whole)
		broken[i] ^= 0x10
		require.NoError(t, os.WriteFile(path, broken, 0o600))
		_, ok = f.Load("key")
		require.False(t, ok, "changed at %d", i)
	}
	f.Save("key", []byte("again"))
	got, ok := f.Load("key")
	require.True(t, ok)
	require.Equal(t, "again", string(got))
}

// When it is full, what was not used for longest goes, and what was used stays.
func TestTheOldestGo(t *testing.T) {
	dir := t.TempDir()
	f := cache.New(dir, 10000)
	old := time.Now().Add(-100 * time.Hour)
	for i := range 9 {
		key := fmt.Sprintf("key-%d", i)
		f.Save(key, make([]byte, 1000))
		at := old.Add(time.Duration(i) * time.Hour)
		require.NoError(t, os.Chtimes(filepath.Join(dir, key+".kept"), at, at))
	}
	_, ok := f.Load("key-0") // used just now
	require.True(t, ok)
	f.Save("last", make([]byte, 2000))
	var kept []string
	for _, n := range names(t, dir) {
		kept = append(kept, strings.TrimSuffix(n, ".kept"))
	}
	slices.Sort(kept)
	require.Equal(t, []string{"key-0", "key-5", "key-6", "key-7", "key-8", "last"}, kept)
	f.Save("huge", make([]byte, 5000))
	_, ok = f.Load("huge")
	require.False(t, ok, "no entry may push out most others")
}

// What another program left half-written goes after a while, other people's files stay.
func TestLeftoversGo(t *testing.T) {
	dir := t.TempDir()
	for name, age := range map[string]time.Duration{"new-1": 2 * time.Hour, "new-2": time.Minute, "letter.txt": 1000 * time.Hour} {
		path := filepath.Join(dir, name)
		require.NoError(t, os.WriteFile(path, []byte("x"), 0o600))
		require.NoError(t, os.Chtimes(path, time.Now().Add(-age), time.Now().Add(-age)))
	}
	cache.New(dir, 1000).Save("key", []byte("x"))
	require.Equal(t, []string{"key.kept", "letter.txt", "new-2"}, names(t, dir))
}

// A folder that cannot be is no trouble.
func TestNowhereToKeep(t *testing.T) {
	file := filepath.Join(t.TempDir(), "file")
	require.NoError(t, os.WriteFile(file, nil, 0o600))
	f := cache.New(filepath.Join(file, "below"), 1000)
	f.Save("key", []byte("x"))
	_, ok := f.Load("key")
	require.False(t, ok)

	dir := t.TempDir() // a folder stands where the entry should
	require.NoError(t, os.MkdirAll(filepath.Join(dir, "key.kept", "full"), 0o700))
	f = cache.New(dir, 1000)
	f.Save("key", []byte("x"))
	_, ok = f.Load("key")
	require.False(t, ok)
	require.Equal(t, []string{"key.kept"}, names(t, dir))
}

// Many at a time, in several Folders of one folder: what is there is whole.
func TestManyAtATime(t *testing.T) {
	dir := t.TempDir()
	var wait sync.WaitGroup
	for w := range 4 {
		wait.Go(func() {
			f := cache.New(dir, 20000)
			for i := range 40 {
				key := fmt.Sprintf("key-%d", (i*7+w)%9)
				f.Save(key, bytes.Repeat([]byte(key), 300))
				if got, ok := f.Load(fmt.Sprintf("key-%d", i%9)); ok && !bytes.Equal(got, bytes.Repeat([]byte(fmt.Sprintf("key-%d", i%9)), 300)) {
					t.Errorf("%.20q is not whole", got)
				}
			}
		})
	}
	wait.Wait()
}
