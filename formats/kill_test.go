package formats_test

import (
	"bytes"
	"context"
	"encoding/hex"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/cespare/xxhash/v2"
	"github.com/stretchr/testify/require"

	"scantling/engine/deliver"
	"scantling/engine/geom"
	"scantling/engine/kit"
	"scantling/engine/mesh"
	"scantling/formats"
	"scantling/formats/formattest"
	"scantling/formats/gltf"
	"scantling/formats/stl"
)

var killCount = flag.Int("kills", 40, "how many processes TestKilledWhileSaving kills")

// killedFolder is the variable by which a process of this test's own knows where it is to save.
const killedFolder = "SCANTLING_TEST_SAVE_IN"

// sourcesIn are the models that are saved: binary STL, and glTF whose buffer is a file beside it.
func sourcesIn(t *testing.T, folder string) []formats.File {
	var files []formats.File
	names, err := filepath.Glob(filepath.Join(folder, "in", "*"))
	require.NoError(t, err)
	for _, name := range names {
		if filepath.Ext(name) == ".bin" {
			continue
		}
		f, err := formats.Open(context.Background(), name, nil)
		require.NoError(t, err)
		files = append(files, f)
	}
	return files
}

func copiesOf(files []formats.File) []deliver.Copy {
	var copies []deliver.Copy
	for i, f := range files {
		c := deliver.Copy{Source: f, Name: deliver.Pattern{}.Name(f, deliver.Labels{}), Factor: 0.235, PerUnit: 1, Tag: "Scantling x0.235 tug"}
		if i%3 == 1 {
			c.Folder = "deck"
		}
		copies = append(copies, c)
	}
	return copies
}

// TestSaveUntilKilled is the process that is killed: it saves the copies, the kit before and after.
func TestSaveUntilKilled(t *testing.T) {
	folder := os.Getenv(killedFolder)
	if folder == "" {
		t.Skip("only as a process of TestKilledWhileSaving")
	}
	path := filepath.Join(folder, "tug.scantling")
	save := func(title string) {
		require.NoError(t, kit.Save(path, kit.Kit{Title: title, Notes: strings.Repeat(title, 10_000)}))
	}
	fmt.Println("begun")
	save("old")
	outcomes, err := deliver.Run(context.Background(), copiesOf(sourcesIn(t, folder)), deliver.Options{Folder: filepath.Join(folder, "out"), Verify: formats.ReadBack}, nil)
	require.NoError(t, err)
	for _, o := range outcomes {
		require.NoError(t, o.Err)
	}
	save("new")
}

// Processes that save copies and a kit are killed, each at a random moment. Whatever lies under a
// final name is whole, to the byte; the kit is the old one or the new one; and the next run, without
// being allowed to replace anything, takes away what was left and completes the rest, without
// writing again what was whole.
func TestKilledWhileSaving(t *testing.T) {
	folder := t.TempDir()
	in := filepath.Join(folder, "in")
	require.NoError(t, os.Mkdir(in, 0o777))
	var corners [][3]float32
	formattest.Plate(6_000, func(_ [3]float32, c [3][3]float32) { corners = append(corners, c[:]...) })
	plate, err := mesh.New("plate", geom.Vec{}, corners, nil)
	require.NoError(t, err)
	for i := range 12 {
		var b bytes.Buffer
		name := filepath.Join(in, fmt.Sprintf("part-%02d.stl", i))
		if i%4 != 3 {
			require.NoError(t, stl.EncodeBinary(context.Background(), &b, "a plate", []*mesh.Mesh{plate}, float64(1+i), geom.Pose{}, nil))
			require.NoError(t, os.WriteFile(name, b.Bytes(), 0o666))
			continue
		}
		require.NoError(t, gltf.EncodeGLB(context.Background(), &b, "", []*mesh.Mesh{plate}, float64(1+i)/1000, geom.Pose{}, nil))
		text, bin := split(t, b.Bytes())
		side := fmt.Sprintf("part-%02d.bin", i)
		text = bytes.Replace(text, []byte(`"byteLength":`+fmt.Sprint(len(bin))+`}]`), []byte(`"uri":"`+side+`","byteLength":`+fmt.Sprint(len(bin))+`}]`), 1)
		require.Contains(t, string(text), side)
		require.NoError(t, os.WriteFile(strings.TrimSuffix(name, ".stl")+".gltf", text, 0o666))
		require.NoError(t, os.WriteFile(filepath.Join(in, side), bin, 0o666))
	}
	files := sourcesIn(t, folder)
	require.Len(t, files, 12)

	// What the copies must be, and how long saving them takes.
	run := func(out string) []deliver.Outcome {
		outcomes, err := deliver.Run(context.Background(), copiesOf(files), deliver.Options{Folder: out, Verify: formats.ReadBack}, nil)
		require.NoError(t, err)
		for _, o := range outcomes {
			require.NoError(t, o.Err)
		}
		return outcomes
	}
	want := map[string]string{}
	for _, o := range run(filepath.Join(folder, "want")) {
		for _, f := range o.Record.Files {
			name, err := filepath.Rel(filepath.Join(folder, "want"), f.Path)
			require.NoError(t, err)
			want[name] = f.Digest
		}
	}
	require.Len(t, want, 15)
	start := func() (*exec.Cmd, *bytes.Buffer) {
		cmd := exec.Command(os.Args[0], "-test.run=^TestSaveUntilKilled$")
		cmd.Env = append(os.Environ(), killedFolder+"="+folder)
		said := &bytes.Buffer{}
		cmd.Stderr = said
		return cmd, said
	}
	out := filepath.Join(folder, "out")
	whole := func() (names []string, left int) {
		require.NoError(t, filepath.WalkDir(out, func(path string, e os.DirEntry, err error) error {
			if err != nil || e.IsDir() {
				return err
			}
			if strings.HasPrefix(e.Name(), ".scantling-") {
				left++
				return nil
			}
			name, err := filepath.Rel(out, path)
			require.NoError(t, err)
			content, err := os.ReadFile(path)
			require.NoError(t, err)
			require.Equal(t, want[name], digestText(content), "%s of %d bytes", name, len(content))
			names = append(names, name)
			return nil
		}))
		return names, left
	}

	var took time.Duration
	random := rand.New(rand.NewPCG(uint64(time.Now().UnixNano()), 1))
	var inside, leftovers, resumed, saved, done int
	for n := 0; n <= *killCount; n++ {
		require.NoError(t, os.RemoveAll(out))
		_ = os.Remove(filepath.Join(folder, "tug.scantling"))
		cmd, said := start()
		pipe, err := cmd.StdoutPipe()
		require.NoError(t, err)
		require.NoError(t, cmd.Start())
		_, err = pipe.Read(make([]byte, 16)) // it has begun
		require.NoError(t, err)
		began := time.Now()
		if n == 0 { // the first one lives, to tell how long they take
			require.NoError(t, cmd.Wait(), "%s", said)
			took = time.Since(began)
			_, left := whole()
			require.Zero(t, left)
			continue
		}
		timer := time.AfterFunc(time.Duration(random.Float64()*float64(took)), func() { cmd.Process.Kill() })
		_ = cmd.Wait() // killed, or done before
		timer.Stop()
		if _, err := os.Stat(out); err != nil {
			require.NoError(t, os.Mkdir(out, 0o777))
		}
		names, left := whole()
		if _, err := os.Stat(filepath.Join(out, deliver.JournalName)); err != nil && len(names) == len(want) {
			done++ // all was saved, and the list taken away
			require.Zero(t, left)
			continue
		}
		if len(names) > 0 && len(names) < len(want) {
			inside++
		}
		leftovers += left
		if k, err := kit.Load(filepath.Join(folder, "tug.scantling")); err == nil {
			require.Contains(t, []string{"old", "new"}, k.Title)
			require.Len(t, k.Notes, 30_000)
		} else {
			require.ErrorIs(t, err, os.ErrNotExist, "not even the first was saved")
		}

		before := map[string]time.Time{}
		for _, name := range names {
			info, err := os.Stat(filepath.Join(out, name))
			require.NoError(t, err)
			before[name] = info.ModTime()
		}
		cleanup := run(out)
		again, left := whole()
		require.Len(t, again, len(want))
		require.Zero(t, left, "leftovers are taken away")
		for _, o := range cleanup {
			main, err := filepath.Rel(out, o.Path)
			require.NoError(t, err)
			if at, there := before[main]; there {
				require.True(t, o.Unchanged, "%s was whole", main)
				info, err := os.Stat(o.Path)
				require.NoError(t, err)
				require.Equal(t, at, info.ModTime(), "%s was written again", main)
				resumed++
			} else {
				saved++
			}
		}
	}
	t.Logf("%d kills within %v; %d left some copies and not all; %d leftovers; %d copies stayed, %d were saved by the next run; %d came too late",
		*killCount, took.Round(time.Millisecond), inside, leftovers, resumed, saved, done)
	require.Positive(t, inside, "no process was killed in the middle")
}

// split takes a binary glTF apart.
func split(t *testing.T, glb []byte) (text, bin []byte) {
	t.Helper()
	n := int(glb[12]) | int(glb[13])<<8 | int(glb[14])<<16
	return glb[20 : 20+n], glb[28+n:]
}

func digestText(content []byte) string {
	h := xxhash.New()
	_, _ = h.Write(content)
	return "xxh64:" + hex.EncodeToString(h.Sum(nil))
}
