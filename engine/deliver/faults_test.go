package deliver

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"sync/atomic"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"
)

// A brokenDisk is the system's, but one of its calls fails.
type brokenDisk struct {
	systemDisk
	call  string
	after int // calls that still work
	err   error
	calls atomic.Int32 // syncs come from goroutines of their own
}

func (d *brokenDisk) breaks(call string) error {
	if d.call != call {
		return nil
	}
	if int(d.calls.Add(1)) <= d.after {
		return nil
	}
	return d.err
}

func (d *brokenDisk) Create(path string) (file, error) {
	if err := d.breaks("create"); err != nil {
		return nil, err
	}
	f, err := d.systemDisk.Create(path)
	return &brokenFile{f, d}, err
}

// RenameNew cannot be had where links are to fail: there the other ways are tried.
func (d *brokenDisk) RenameNew(from, to string) error {
	if d.call == "link" || d.call == "rename" {
		return syscall.ENOSYS
	}
	return d.systemDisk.RenameNew(from, to)
}

func (d *brokenDisk) Link(from, to string) error {
	if err := d.breaks("link"); err != nil {
		return err
	}
	return d.systemDisk.Link(from, to)
}

func (d *brokenDisk) Rename(from, to string) error {
	if err := d.breaks("rename"); err != nil {
		return err
	}
	return d.systemDisk.Rename(from, to)
}

func (d *brokenDisk) Mkdir(path string) error {
	if err := d.breaks("mkdir"); err != nil {
		return err
	}
	return d.systemDisk.Mkdir(path)
}

func (d *brokenDisk) SyncFolder(path string) error {
	if err := d.breaks("sync folder"); err != nil {
		return err
	}
	return d.systemDisk.SyncFolder(path)
}

type brokenFile struct {
	file
	disk *brokenDisk
}

func (f *brokenFile) Write(b []byte) (int, error) {
	if err := f.disk.breaks("write"); err != nil {
		n, _ := f.file.Write(b[:len(b)/2])
		return n, err
	}
	return f.file.Write(b)
}

func (f *brokenFile) Sync() error {
	if err := f.disk.breaks("sync"); err != nil {
		return err
	}
	return f.file.Sync()
}

func (f *brokenFile) Close() error {
	err := f.file.Close()
	if broken := f.disk.breaks("close"); broken != nil {
		return broken
	}
	return err
}

func TestBrokenDisk(t *testing.T) {
	for _, c := range []struct {
		call  string
		after int
		err   error
		code  Code
	}{
		{"mkdir", 0, syscall.EROFS, NoRights},
		{"mkdir", 1, syscall.EACCES, NoRights}, // a sub-folder for a side file
		{"create", 0, syscall.EACCES, NoRights},
		{"create", 0, syscall.EROFS, NoRights},
		{"create", 1, syscall.ENOSPC, DiskFull},
		{"create", 2, syscall.ENOENT, NoFolder},
		{"write", 0, syscall.ENOSPC, DiskFull},
		{"write", 2, syscall.EDQUOT, DiskFull},
		{"write", 1, syscall.EIO, Failed},
		{"sync", 0, syscall.ENOSPC, DiskFull},
		{"sync", 2, syscall.EIO, Failed},
		{"close", 0, syscall.ENOSPC, DiskFull},
		{"close", 2, syscall.EIO, Failed},
		{"sync folder", 0, syscall.EIO, Failed},
	} {
		t.Run(fmt.Sprint(c.call, c.after, c.err), func(t *testing.T) {
			dir := t.TempDir()
			m := newModel(t, filepath.Join(dir, "in", "tug.cube"), 8)
			m.companions = []string{"maps/wood.png"}
			require.NoError(t, os.Mkdir(filepath.Join(dir, "in", "maps"), 0o777))
			require.NoError(t, os.WriteFile(filepath.Join(dir, "in", "maps", "wood.png"), []byte("wood"), 0o666))
			m.write = func(_ context.Context, to Sink, name string, f float64) error {
				for _, n := range []string{"tug.bin", name} {
					w, err := to.Create(n)
					if err != nil {
						return fmt.Errorf("wrapped by the format: %w", err)
					}
					if _, err := w.Write(encode(m.edges, f)); err != nil {
						w.Close()
						return errors.New("a format that swallows the cause")
					}
					if err := w.Close(); err != nil {
						return err
					}
				}
				return nil
			}
			out := filepath.Join(dir, "out")
			if c.call == "mkdir" && c.after == 0 {
				_, err := runOn(&brokenDisk{call: c.call, err: c.err}, t.Context(), []Copy{m.copy("tug.cube", 2)}, Options{Folder: out}, nil)
				wantCode(t, err, c.code)
				require.NoDirExists(t, out)
				return
			}
			d := &brokenDisk{call: c.call, after: c.after, err: c.err}
			got, err := runOn(d, t.Context(), []Copy{m.copy("tug.cube", 2)}, Options{Folder: out}, nil)
			require.NoError(t, err)
			wantCode(t, got[0].Err, c.code)
			require.ErrorIs(t, got[0].Err, c.err)
			require.Greater(t, int(d.calls.Load()), c.after, "the fault never came")
			require.NoDirExists(t, out, "nothing is left, not even the folder")
			require.Equal(t, map[string]string{"tug.cube": string(encode(m.edges, 1)), "maps/": "", "maps/wood.png": "wood"},
				listing(t, filepath.Join(dir, "in")))
		})
	}
}

// Where links cannot be had, the name is claimed and the temporary renamed.
func TestWithoutLinks(t *testing.T) {
	dir := t.TempDir()
	m := newModel(t, filepath.Join(dir, "hull.cube"), 8)
	out := filepath.Join(dir, "out")
	noLinks := func() *brokenDisk { return &brokenDisk{call: "link", err: syscall.EPERM} }
	got, err := runOn(noLinks(), t.Context(), []Copy{m.copy("hull.cube", 2)}, Options{Folder: out, Verify: openModel}, nil)
	require.NoError(t, err)
	require.True(t, got[0].Verified)
	want := map[string]string{"hull.cube": string(encode(m.edges, 2))}
	require.Equal(t, want, listing(t, out))
	got, err = runOn(noLinks(), t.Context(), []Copy{m.copy("hull.cube", 3)}, Options{Folder: out}, nil)
	require.NoError(t, err)
	wantCode(t, got[0].Err, Exists)
	require.Equal(t, want, listing(t, out))

	// The rename after the claim fails: the claim goes.
	d := &noLinksNoRename{}
	got, err = runOn(d, t.Context(), []Copy{m.copy("other.cube", 3)}, Options{Folder: out}, nil)
	require.NoError(t, err)
	wantCode(t, got[0].Err, Failed)
	require.Equal(t, want, listing(t, out))
}

type noLinksNoRename struct{ systemDisk }

func (noLinksNoRename) RenameNew(_, _ string) error { return syscall.ENOSYS }
func (noLinksNoRename) Link(_, _ string) error      { return syscall.EPERM }
func (noLinksNoRename) Rename(_, _ string) error    { return syscall.EIO }

// Another program takes the name while the copy is being written.
func TestNameTakenMeanwhile(t *testing.T) {
	for _, d := range []disk{systemDisk{}, &brokenDisk{call: "link", err: syscall.EPERM}} {
		dir := t.TempDir()
		m := newModel(t, filepath.Join(dir, "hull.cube"), 8)
		out := filepath.Join(dir, "out")
		m.write = func(_ context.Context, to Sink, name string, f float64) error {
			side, err := to.Create("hull.bin")
			require.NoError(t, err)
			require.NoError(t, side.Close())
			w, err := to.Create(name)
			require.NoError(t, err)
			require.NoError(t, os.WriteFile(filepath.Join(out, name), []byte("theirs"), 0o666))
			return w.Close()
		}
		got, err := runOn(d, t.Context(), []Copy{m.copy("hull.cube", 2)}, Options{Folder: out}, nil)
		require.NoError(t, err)
		wantCode(t, got[0].Err, Exists)
		require.Equal(t, map[string]string{"hull.cube": "theirs"}, listing(t, out))
	}
}

// The folder vanishes while a copy is written; it is not made again.
func TestFolderVanishes(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("a folder with an open file cannot go there")
	}
	dir := t.TempDir()
	m := newModel(t, filepath.Join(dir, "hull.cube"), 8)
	mast := newModel(t, filepath.Join(dir, "mast.cube"), 8)
	out := filepath.Join(dir, "out")
	m.write = func(_ context.Context, to Sink, name string, f float64) error {
		w, err := to.Create(name)
		require.NoError(t, err)
		require.NoError(t, os.RemoveAll(out))
		return w.Close()
	}
	got, err := Run(t.Context(), []Copy{m.copy("hull.cube", 2), mast.copy("mast.cube", 2)}, Options{Folder: out}, nil)
	require.NoError(t, err)
	wantCode(t, got[0].Err, NoFolder)
	wantCode(t, got[1].Err, NoFolder)
	require.NoDirExists(t, out)
}

func TestReadOnlyFolder(t *testing.T) {
	if os.Geteuid() == 0 || runtime.GOOS == "windows" {
		t.Skip("rights do not bind this user; TestBrokenDisk does it by injection")
	}
	dir := t.TempDir()
	m := newModel(t, filepath.Join(dir, "hull.cube"), 8)
	out := filepath.Join(dir, "out")
	require.NoError(t, os.Mkdir(out, 0o555))
	got, err := Run(t.Context(), []Copy{m.copy("hull.cube", 2)}, Options{Folder: out}, nil)
	require.NoError(t, err)
	wantCode(t, got[0].Err, NoRights)
}
