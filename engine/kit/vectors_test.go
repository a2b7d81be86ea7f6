package kit

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"reflect"
	"runtime"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/deliver"
	"scantling/engine/geom"
	"scantling/engine/judge"
	"scantling/engine/process"
	"scantling/engine/ratio"
	"scantling/engine/ways"
)

const vectorFolder = "../../testdata/kit"

// A vector is a kit's file with what reading it must give.
func vectors(t testing.TB) map[string]map[string]string {
	t.Helper()
	all, err := filepath.Glob(filepath.Join(vectorFolder, "*"))
	require.NoError(t, err)
	out := map[string]map[string]string{}
	for _, path := range all {
		name, ext := titleAndExt(path)
		switch ext {
		case Extension:
			text, err := os.ReadFile(filepath.Join(vectorFolder, name+".want"))
			require.NoError(t, err, "%s has no .want", name)
			want := map[string]string{}
			for line := range strings.Lines(string(text)) {
				key, value, ok := strings.Cut(strings.TrimSpace(line), ": ")
				require.True(t, ok, "%s: %q", name, line)
				require.Contains(t, []string{"expect", "why", "from", "line", "column", "detail", "title", "factor", "target", "parts", "pieces", "copies"}, key, name)
				want[key] = value
			}
			for _, key := range []string{"expect", "why", "from"} {
				require.NotEmpty(t, want[key], "%s lacks %s", name, key)
			}
			out[name] = want
		case ".want":
			_, err := os.Stat(filepath.Join(vectorFolder, name+Extension))
			require.NoError(t, err, "%s has no file", name)
		default:
			t.Fatalf("%s is no vector", path)
		}
	}
	require.GreaterOrEqual(t, len(out), 8)
	return out
}

func titleAndExt(path string) (string, string) {
	ext := filepath.Ext(path)
	return strings.TrimSuffix(filepath.Base(path), ext), ext
}

// Files of every version that was ever written open; damaged ones say where.
func TestVectors(t *testing.T) {
	for name, want := range vectors(t) {
		t.Run(name, func(t *testing.T) {
			k, err := Load(filepath.Join(vectorFolder, name+Extension))
			if want["expect"] != "ok" {
				var e *Error
				require.ErrorAs(t, err, &e)
				require.EqualValues(t, want["expect"], e.Code)
				require.Equal(t, want["line"], strconv.Itoa(e.Line), "%v", err)
				require.Equal(t, want["column"], strconv.Itoa(e.Column), "%v", err)
				if d := want["detail"]; d != "" {
					require.Equal(t, d, e.Detail)
				}
				return
			}
			require.NoError(t, err)
			require.Equal(t, want["title"], k.Title)
			require.Equal(t, want["factor"], k.Factor.Exact())
			require.Equal(t, want["target"], k.Way.Target.Exact())
			require.Equal(t, want["parts"], strconv.Itoa(len(k.Parts)))
			pieces := 0
			for _, p := range k.Parts {
				pieces += p.Quantity
			}
			require.Equal(t, want["pieces"], strconv.Itoa(pieces))

			// Saved now, it is of the newest version and the same kit.
			path := filepath.Join(t.TempDir(), "k"+Extension)
			require.NoError(t, Save(path, k))
			again, err := Load(path)
			require.NoError(t, err)
			requireSame(t, k, again)
			text, err := os.ReadFile(path)
			require.NoError(t, err)
			require.Contains(t, string(text), fmt.Sprintf(`"scantling": %d`, Version))
		})
	}
}

// full is a kit that has everything a kit can have.
func full(t testing.TB, folder string) Kit {
	t.Helper()
	k := tug(t, folder)
	exact := func(typed string) ratio.Length {
		l, err := ratio.ParseLength(typed, ratio.Millimetre)
		require.NoError(t, err)
		return l
	}
	k.Way.Points = ways.Points{From: geom.Vec{1, 2, 3}, To: geom.Vec{1, 2, 33}, Along: ways.AlongZ}
	k.Way.Figure = ways.Figure{Readings: []ratio.Length{exact("42 mm")}, Base: exact("3 mm"), Person: ways.Person{Stature: exact("1750 mm")}}
	k.Way.Clues = []ways.Clue{{ID: "c1", From: geom.Vec{0, 0, 1}, To: geom.Vec{0, 0, 36}, Drawn: 35, Name: "door", RealMM: 1981}}
	k.Way.Recovered = ways.Recovery{Factor: k.Factor, SD: 1e-8, Part: "hull", Copy: "old.stl", Method: "lengths"}
	k.Process = process.Presets()[0].Process
	k.Process.Material.Money = "shillings"
	k.Process.Material.PriceKG = 20
	k = k.WithAside(judge.Aside{Code: judge.Codes()[0], Part: k.Parts[0].ID, At: geom.Vec{1, 2, 3}, Reason: "glued"}).
		WithNamed(judge.Named{Part: k.Parts[0].ID, At: geom.Vec{4, 5, 6}, Item: "m3"}).
		WithTurn(geom.Turn{1, -3, 2})
	k = k.WithPart(k.Parts[0].ID, func(p *Part) {
		p.As, p.Beside = "3mf", "xxh64:fedcba9876543210"
		p.Notes, p.Unit, p.Turn, p.Apart = "stem up", exact("25.4 mm"), geom.Turn{-2, 1, 3}, true
		p.PlaceKept = true
		p.Was = Facts{Bytes: 684, Box: geom.Box{Max: geom.Vec{412, 96, 88}},
			Triangles: 12, Volume: 412 * 96 * 88, Surface: Closed}
	})
	k.Saving = Saving{Folder: filepath.Join(folder, "out"), Pattern: "{part}", Format: "3mf", Folders: true, Turned: true, Posed: true}
	return k.WithSaved(oneSaved(t, k, folder, "hull.obj"))
}

// What a newer program adds at any place, this one keeps there: members of unknown names, put
// into any of the objects of a kit, survive reading, changing and saving.
func TestUnknownMembersSurviveAnywhere(t *testing.T) {
	whole, err := encode(full(t, "kit"), "kit")
	require.NoError(t, err)
	for seed := range uint64(60) {
		random := rand.New(rand.NewPCG(seed, 7))
		var document any
		dec := json.NewDecoder(bytes.NewReader(whole))
		dec.UseNumber()
		require.NoError(t, dec.Decode(&document))
		var objects []map[string]any
		var collect func(any)
		collect = func(v any) {
			switch v := v.(type) {
			case map[string]any:
				objects = append(objects, v)
				for _, v := range v {
					collect(v)
				}
			case []any:
				for _, v := range v {
					collect(v)
				}
			}
		}
		collect(document)
		require.GreaterOrEqual(t, len(objects), 18, "the document has objects of every kind")
		for _, o := range objects {
			if seed == 0 || random.IntN(3) == 0 { // once in all of them
				o["zz-later"] = []any{random.Float64(), "later", nil, map[string]any{"deep": true}}
			}
			if random.IntN(5) == 0 {
				o[fmt.Sprintf("an %d", random.IntN(100))] = map[string]any{"x": json.Number("1.50")}
			}
		}
		data, err := json.Marshal(document)
		require.NoError(t, err)
		k, err := decode("k", "kit", data)
		require.NoError(t, err)
		saved, err := encode(k.WithPart(k.Parts[1].ID, func(p *Part) { p.Quantity = 6 }), "kit")
		require.NoError(t, err)
		var back any
		dec = json.NewDecoder(bytes.NewReader(saved))
		dec.UseNumber()
		require.NoError(t, dec.Decode(&back))
		if !reflect.DeepEqual(normal(t, document), normal(t, back)) {
			t.Fatalf("seed %d\nwas %s\nis  %s", seed, normal(t, document), normal(t, back))
		}
	}
}

// normal is a document in one spelling.
func normal(t *testing.T, v any) string {
	b, err := json.Marshal(v)
	require.NoError(t, err)
	return string(b)
}

// A process without a price in a currency, and with one by another program, has it once.
func TestProcessMembersStandOnce(t *testing.T) {
	k := full(t, "kit")
	k.Process.Material.Money = ""
	whole, err := encode(k, "kit")
	require.NoError(t, err)
	whole = bytes.Replace(whole, []byte(`"material": {`), []byte(`"material": {"money": "", `), 1)
	k, err = decode("k", "kit", whole)
	require.NoError(t, err)
	k.Process.Material.Money = "pence"
	whole, err = encode(k, "kit")
	require.NoError(t, err)
	require.Equal(t, 1, bytes.Count(whole, []byte(`"money"`)), "%s", whole)
}

func TestFactsChanged(t *testing.T) {
	was := Facts{Box: geom.Box{Max: geom.Vec{10, 20, 30}}, Triangles: 12, Volume: 6000, Surface: Closed}
	for _, c := range []struct {
		name string
		now  func(*Facts)
		want Change
	}{
		{"the same", func(f *Facts) {}, Change{}},
		{"rounded", func(f *Facts) { f.Box.Max[0] += 1e-6; f.Volume += 1e-4 }, Change{}},
		{"in another encoding", func(f *Facts) { f.Bytes = 7 }, Change{}},
		{"taller", func(f *Facts) { f.Box.Max[2] = 31; f.Volume = 6200 }, Change{Size: true, Volume: true}},
		{"moved", func(f *Facts) { f.Box.Min[0] += 5; f.Box.Max[0] += 5 }, Change{Place: true}},
		{"finer", func(f *Facts) { f.Triangles = 13 }, Change{Triangles: true}},
		{"torn", func(f *Facts) { f.Surface = Open }, Change{Surface: true}},
		{"not looked at yet", func(f *Facts) { f.Surface = NotKnown }, Change{}},
		{"emptied", func(f *Facts) { f.Box, f.Triangles, f.Volume = geom.EmptyBox(), 0, 0 }, Change{Size: true, Triangles: true, Volume: true}},
	} {
		now := was
		c.now(&now)
		require.Equal(t, c.want, was.Changed(now), c.name)
		require.Equal(t, c.want != Change{}, was.Changed(now).Any(), c.name)
	}
}

// However large a model, what is known of it never keeps its kit from opening again.
func TestFactsOfGiants(t *testing.T) {
	dir := t.TempDir()
	for _, box := range []geom.Box{geom.EmptyBox(), {Min: geom.Vec{-3e38, -3e38, -3e38}, Max: geom.Vec{3e38, 3e38, 3e38}}} {
		k := Kit{}.With(Part{File: filepath.Join(dir, "a.stl"), Was: Facts{Box: box, Triangles: 3, Volume: box.Size()[0] * 1e90, Bytes: 1}})
		path := filepath.Join(dir, "k.scantling")
		require.NoError(t, Save(path, k))
		back, err := Load(path)
		require.NoError(t, err)
		require.Equal(t, box, back.Parts[0].Was.Box)
	}
}

// Saving of a kit of 300 parts with all that is known of them and a copy of each, as the window
// does it, synced.
func BenchmarkSave300(b *testing.B) {
	dir := b.TempDir()
	k := full(b, dir)
	for i := range 300 {
		p := k.Parts[0]
		p.ID, p.File = "", filepath.Join(dir, fmt.Sprintf("part-%03d.stl", i))
		require.NoError(b, os.WriteFile(p.File, []byte("solid"), 0o666))
		k = k.With(p)
	}
	for i := range k.Parts {
		k = k.WithSaved(oneSaved(b, k, dir, fmt.Sprintf("copy-%03d.stl", i)))
	}
	path := filepath.Join(dir, "k.scantling")
	for b.Loop() {
		if err := Save(path, k); err != nil {
			b.Fatal(err)
		}
	}
}

// Whoever is writing a kit's file may be stopped at any moment: what lies there is the old kit
// or the new one. Here the disk refuses at every step; the processes that are killed are in the
// tests of the bench.
func TestSaveOfAReadOnlyFolder(t *testing.T) {
	if os.Geteuid() == 0 || runtime.GOOS == "windows" {
		t.Skip("rights of a folder do not bind this user")
	}
	dir := t.TempDir()
	path := filepath.Join(dir, "k.scantling")
	k := tug(t, dir)
	require.NoError(t, Save(path, k))
	require.NoError(t, os.Chmod(dir, 0o555))
	defer os.Chmod(dir, 0o755)
	err := Save(path, k.WithTurn(geom.Turn{1, -3, 2}))
	var e *deliver.Error
	require.True(t, errors.As(err, &e), "%v", err)
	require.Equal(t, deliver.NoRights, e.Code)
}
