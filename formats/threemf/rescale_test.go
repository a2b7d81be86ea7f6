package threemf

import (
	"archive/zip"
	"bytes"
	"context"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scantling/engine/deliver"
	"scantling/engine/geom"
	"scantling/formats/formattest"
	"scantling/formats/internal/fault"
)

// saved is the path of a new file.
func saved(t testing.TB, content []byte) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "part.3mf")
	require.NoError(t, os.WriteFile(path, content, 0o600))
	return path
}

// opened opens what must open.
func opened(t testing.TB, content []byte) *File {
	t.Helper()
	f, err := Open(context.Background(), saved(t, content), nil)
	require.NoError(t, err)
	return f
}

// codeOf is that of an error, which must be one of ours.
func codeOf(t testing.TB, err error) fault.Code {
	t.Helper()
	var e *fault.Error
	require.ErrorAs(t, err, &e)
	require.NotEmpty(t, e.File)
	return e.Code
}

// copyOf is the content of a changed copy.
func copyOf(t testing.TB, f *File, c deliver.Change) []byte {
	t.Helper()
	folder := t.TempDir()
	require.NoError(t, f.Rescale(context.Background(), formattest.Folder(folder), "copy.3mf", c, nil))
	b, err := os.ReadFile(filepath.Join(folder, "copy.3mf"))
	require.NoError(t, err)
	return b
}

// modelOf is the text of a part of a package.
func textOf(t testing.TB, content []byte, name string) string {
	t.Helper()
	parts, err := unpacked(content)
	require.NoError(t, err)
	for _, p := range parts {
		if p.name == name {
			return p.text
		}
	}
	require.Fail(t, "no part "+name)
	return ""
}

// In the copy nothing differs but lengths: of all that 3MF and its extensions have.
func TestRescaleChangesLengthsAlone(t *testing.T) {
	const before = "\xef\xbb\xbf<?xml version=\"1.0\"?>\r\n<!-- x=\"1\" --><model xmlns='" + coreURI + `' ` + materialNS + " " + sliceNS + " " + beamNS + " " + ballNS + " " + foreignNS + ` requiredextensions="m b">
 <metadata name="Title">1 to 48</metadata><resources>
  <m:texture2dgroup id="5" texid="4"><m:tex2coord u="1" v="2"/></m:texture2dgroup>
  <s:slicestack id="3" zbottom="1"><s:slice ztop="2"><s:vertices><s:vertex x="3" y="4" z="5"/></s:vertices><s:polygon startv="1"/></s:slice></s:slicestack>
  <object id="1" name="2" v:size="7"><metadatagroup><metadata name="v:x" type="xs:string">3</metadata></metadatagroup><mesh><vertices>
   <vertex x="1" y=' -2.50 ' z="+.5e1"/>
   <vertex v:x="1" z="7" y="0.1" x="0"   /><vertex x="0" y="3" z="0"></vertex></vertices>
   <triangles><triangle v1="0" v2="1" v3="2"/></triangles>
   <v:note x="1"><vertex x="1" y="1" z="1"/></v:note>
   <b:beamlattice minlength="1" radius="2" b2:ballradius="3" v:radius="4" cap="sphere"><b:beams><b:beam v1="0" v2="1" r1="5" r2="6" p1="7"/></b:beams><b2:balls><b2:ball vindex="1" r="8" p="9"/></b2:balls></b:beamlattice></mesh></object>
  <object id="2"><components><component objectid="1" transform="2 0 0 0 2 0 0 0 2 1  2
 3"/><component objectid="1"/></components></object>
 </resources><v:vertex x="1"/><vertex x="1" y="1" z="1"/><build v:x="1"><item objectid="2" transform=" 1 0 0 0 1 0 0 0 1 10 20 30 " partnumber="1"/><item objectid="2"/></build></model><!-- 1 -->
`
	const after = "\xef\xbb\xbf<?xml version=\"1.0\"?>\r\n<!-- x=\"1\" --><model xmlns='" + coreURI + `' ` + materialNS + " " + sliceNS + " " + beamNS + " " + ballNS + " " + foreignNS + ` requiredextensions="m b">
 <metadata name="Title">1 to 48</metadata><resources>
  <m:texture2dgroup id="5" texid="4"><m:tex2coord u="1" v="2"/></m:texture2dgroup>
  <s:slicestack id="3" zbottom="3"><s:slice ztop="6"><s:vertices><s:vertex x="9" y="12" z="5"/></s:vertices><s:polygon startv="1"/></s:slice></s:slicestack>
  <object id="1" name="2" v:size="7"><metadatagroup><metadata name="v:x" type="xs:string">3</metadata></metadatagroup><mesh><vertices>
   <vertex x="3" y=' -7.5 ' z="15"/>
   <vertex v:x="1" z="21" y="0.3" x="0"   /><vertex x="0" y="9" z="0"></vertex></vertices>
   <triangles><triangle v1="0" v2="1" v3="2"/></triangles>
   <v:note x="1"><vertex x="1" y="1" z="1"/></v:note>
   <b:beamlattice minlength="3" radius="6" b2:ballradius="9" v:radius="4" cap="sphere"><b:beams><b:beam v1="0" v2="1" r1="15" r2="18" p1="7"/></b:beams><b2:balls><b2:ball vindex="1" r="24" p="9"/></b2:balls></b:beamlattice></mesh></object>
  <object id="2"><components><component objectid="1" transform="2 0 0 0 2 0 0 0 2 3  6
 9"/><component objectid="1"/></components></object>
 </resources><v:vertex x="1"/><vertex x="1" y="1" z="1"/><build v:x="1"><item objectid="2" transform=" 1 0 0 0 1 0 0 0 1 30 60 90 " partnumber="1"/><item objectid="2"/></build></model><!-- 1 -->
`
	f := opened(t, packed(before))
	require.Equal(t, after, textOf(t, copyOf(t, f, deliver.Change{Factor: 3}), "3D/3dmodel.model"))

	// A pose is in the items alone; what is composed stays as it is.
	posed := textOf(t, copyOf(t, f, deliver.Change{Factor: 3, Pose: geom.Pose{Rows: [3]geom.Vec{{0, -1, 0}, {1, 0, 0}, {0, 0, 1}}, Shift: geom.Vec{100, 0, 0.5}}}), "3D/3dmodel.model")
	want := strings.Replace(after, `transform=" 1 0 0 0 1 0 0 0 1 30 60 90 "`, `transform="0 1 0 -1 0 0 0 0 1 40 30 90.5"`, 1)
	want = strings.Replace(want, `<item objectid="2"/>`, `<item transform="0 1 0 -1 0 0 0 0 1 100 0 0.5" objectid="2"/>`, 1)
	require.Equal(t, want, posed)
	err := f.Rescale(context.Background(), formattest.Folder(t.TempDir()), "a.3mf", deliver.Change{Factor: 3, Pose: geom.Upright(geom.Y)}, nil)
	require.Equal(t, fault.Unsupported, codeOf(t, err), "slices cannot be tilted")
}

// Slices in models of their own are rescaled too, and what is not reached is not.
func TestRescaleReachesEveryModel(t *testing.T) {
	slices := modelText(sliceNS, `<s:slicestack id="3" zbottom="2"><s:slice ztop="4"/></s:slicestack>`, "")
	f := opened(t, packed(modelText(sliceNS, `<s:slicestack id="4"><s:sliceref slicestackid="3" slicepath="/2D/slices.model"/></s:slicestack>`+
		objectText(1, "", tetra), `<item objectid="1"/>`), part{"2D/slices.model", slices}, part{"2D/other.model", slices}))
	b := copyOf(t, f, deliver.Change{Factor: 0.5})
	require.Equal(t, strings.NewReplacer(`"2"`, `"1"`, `"4"`, `"2"`).Replace(slices), textOf(t, b, "2D/slices.model"))
	require.Equal(t, slices, textOf(t, b, "2D/other.model"))
}

// What float32 holds is written as float32, in the whole package; anything else as float64.
func TestRoundsPerPackage(t *testing.T) {
	for _, c := range []struct{ x, place, want string }{
		{"0.1", "7", "0.033333335"},
		{"0.1", "7.123456789012", "0.03333333333333333"},
		{"0.10000000000000003", "7", "0.03333333333333334"},
	} {
		f := opened(t, packed(modelText("", objectText(1, "", strings.Replace(tetra, `x="1"`, `x="`+c.x+`"`, 1)),
			`<item objectid="1" transform="1 0 0 0 1 0 0 0 1.00000000000003 `+c.place+` 0 0"/>`)))
		text := textOf(t, copyOf(t, f, deliver.Change{Factor: 1. / 3}), "3D/3dmodel.model")
		require.Contains(t, text, `<vertex x="`+c.want+`" y="0" z="0"/>`)
		require.Contains(t, text, `"1 0 0 0 1 0 0 0 1.00000000000003 `)
	}
}

// The frame of the archive is kept: order, names, dates, comments, extra fields, and the
// packed bytes of what is not a model.
func TestKeepsTheArchive(t *testing.T) {
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	require.NoError(t, z.SetComment("printed at the quay"))
	at := time.Date(2024, 2, 29, 12, 34, 56, 0, time.UTC)
	for _, p := range []part{{"Metadata/", ""}, {"3D/Textures/a.png", strings.Repeat("picture ", 500)}, {"_rels/.rels", relsOfRoot},
		{"3D/3dmodel.model", modelText("", objectText(1, "", tetra), `<item objectid="1"/>`)}, {"Metadata/é.txt", "x"}} {
		w, err := z.CreateHeader(&zip.FileHeader{Name: p.name, Method: zip.Deflate, Modified: at, Comment: "of " + p.name, Extra: []byte{0xfe, 0xca, 2, 0, 1, 2}})
		require.NoError(t, err)
		_, err = w.Write([]byte(p.text))
		require.NoError(t, err)
	}
	require.NoError(t, z.Close())
	copied := copyOf(t, opened(t, b.Bytes()), deliver.Change{Factor: 2})
	before, err := zip.NewReader(bytes.NewReader(b.Bytes()), int64(b.Len()))
	require.NoError(t, err)
	after, err := zip.NewReader(bytes.NewReader(copied), int64(len(copied)))
	require.NoError(t, err)
	require.Equal(t, before.Comment, after.Comment)
	require.Len(t, after.File, len(before.File))
	for i, f := range before.File {
		g := after.File[i]
		require.Equal(t, f.Name, g.Name)
		require.Equal(t, f.Comment, g.Comment)
		require.Equal(t, f.Method, g.Method)
		require.Equal(t, f.Extra, g.Extra)
		require.True(t, f.Modified.Equal(g.Modified))
		require.Equal(t, f.ExternalAttrs, g.ExternalAttrs)
		if f.Name == "3D/3dmodel.model" {
			continue
		}
		require.Equal(t, f.CRC32, g.CRC32)
		r, err := f.OpenRaw()
		require.NoError(t, err)
		s, err := g.OpenRaw()
		require.NoError(t, err)
		x, err := io.ReadAll(r)
		require.NoError(t, err)
		y, err := io.ReadAll(s)
		require.NoError(t, err)
		require.True(t, bytes.Equal(x, y), f.Name)
	}
	require.Equal(t, []byte{9, 0, 1, 0, 7}, withoutSizes([]byte{9, 0, 1, 0, 7, 1, 0, 2, 0, 5, 5}))
	require.Equal(t, []byte{1, 0, 9, 0, 7}, withoutSizes([]byte{1, 0, 9, 0, 7}), "what is no extra field stays")
}

// A package must not unfold without end.
func TestUnfoldsWithinBounds(t *testing.T) {
	blanks := strings.Repeat(" ", moreUnfolded)
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, p := range []part{{"_rels/.rels", relsOfRoot}, {"3D/3dmodel.model", modelText("", objectText(1, "", tetra)+blanks+blanks, `<item objectid="1"/>`)}} {
		w, err := z.Create(p.name)
		require.NoError(t, err)
		_, err = w.Write([]byte(p.text))
		require.NoError(t, err)
	}
	require.NoError(t, z.Close())
	_, err := Open(context.Background(), saved(t, b.Bytes()), nil)
	require.Equal(t, fault.Overfull, codeOf(t, err))

	// Parts that share their bytes: each alone is harmless.
	twice := bytes.Clone(packed(modelText("", objectText(1, "", tetra), `<item objectid="1"/>`), part{"a", strings.Repeat("a", 2000)}, part{"b", strings.Repeat("a", 2000)}))
	end := bytes.LastIndex(twice, []byte("PK\x01\x02"))
	first := bytes.LastIndex(twice[:end], []byte("PK\x01\x02"))
	require.Equal(t, "b", string(twice[end+46:end+47]))
	size := len(twice)
	for _, at := range []int{first, end} { // both claim nearly all of the file
		copy(twice[at+20:], []byte{byte(size * 2 / 3), byte(size * 2 / 3 >> 8), 0, 0})
	}
	_, err = Open(context.Background(), saved(t, twice), nil)
	require.Equal(t, fault.Overfull, codeOf(t, err))
}

// Every beginning of a model, and every model with a byte changed: an answer or an error.
func TestCutAndChangedModels(t *testing.T) {
	for _, v := range goodVectors() {
		if v.name != "components" && v.name != "lattice" && v.name != "declaration" && v.name != "words" {
			continue
		}
		text := textOf(t, v.bytes, "3D/3dmodel.model")
		path := saved(t, nil)
		try := func(text string, mustFail bool) {
			require.NoError(t, os.WriteFile(path, storedZip(sketch{{"_rels/.rels", relsOfRoot}, {"3D/3dmodel.model", text}}), 0o600))
			f, err := Open(context.Background(), path, nil)
			if err != nil {
				codeOf(t, err)
				return
			}
			require.False(t, mustFail, "%q", text)
			for i := range f.Parts() {
				_, err := f.Mesh(context.Background(), i, nil)
				require.NoError(t, err)
			}
		}
		whole := len(strings.TrimRight(text, "\n"))
		if i := strings.LastIndex(text, "</model>"); i >= 0 {
			whole = i + len("</model>")
		}
		for n := 0; n < whole; n += 3 {
			try(text[:n], true)
		}
		for n := 0; n < whole; n += 5 {
			changed := []byte(text)
			changed[n] ^= 1 << (n % 7)
			try(string(changed), false)
		}
	}
}

// Cuts at any place of the window: tags, comments and the like go on beyond it.
func TestLongTexts(t *testing.T) {
	for _, filler := range []string{" ", "<!-- - -->", "<a b='c'/>", "<![CDATA[]]]>", "<?a?>"} {
		for _, off := range []int{0, 1, 2, 3, 5, 7} {
			text := modelText("", strings.Repeat(" ", off)+"<pad>"+strings.Repeat(filler, 2*window/len(filler))+"</pad>"+objectText(1, "", box("1", "2", "3")), `<item objectid="1"/>`)
			f := opened(t, packed(text))
			require.Equal(t, 6., f.Parts()[0].Volume)
			shifted := textOf(t, copyOf(t, f, deliver.Change{Factor: 1, Pose: geom.Pose{Rows: geom.Upright(geom.Z).Rows, Shift: geom.Vec{4, 0, 0}}}), "3D/3dmodel.model")
			require.True(t, strings.Replace(text, "<item", `<item transform="1 0 0 0 1 0 0 0 1 4 0 0"`, 1) == shifted)
			again := textOf(t, copyOf(t, f, deliver.Change{Factor: 2}), "3D/3dmodel.model")
			require.True(t, strings.Replace(text, box("1", "2", "3"), box("2", "4", "6"), 1) == again)
		}
	}
	long := `<a b="` + strings.Repeat("x", longestTag+window) + `"/>`
	_, err := Open(context.Background(), saved(t, packed(modelText("", long, ""))), nil)
	require.Equal(t, fault.Syntax, codeOf(t, err))
}

func TestChangedSource(t *testing.T) {
	path := saved(t, packed(modelText("", objectText(1, "", tetra), `<item objectid="1"/>`)))
	f, err := Open(context.Background(), path, nil)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(path, packed(modelText("", objectText(1, "", box("1", "1", "1")), `<item objectid="1"/>`)), 0o600))
	_, err = f.Mesh(context.Background(), 0, nil)
	require.Equal(t, fault.Changed, codeOf(t, err))
	for _, factor := range []float64{1, 2} {
		err = f.Rescale(context.Background(), formattest.Folder(t.TempDir()), "a.3mf", deliver.Change{Factor: factor}, nil)
		require.Equal(t, fault.Changed, codeOf(t, err))
	}
	// The same size and date, another content: known once all was read.
	now := packed(modelText("", objectText(1, "", tetra), `<item objectid="1"/>`))
	path = saved(t, now)
	info, err := os.Stat(path)
	require.NoError(t, err)
	f, err = Open(context.Background(), path, nil)
	require.NoError(t, err)
	now[10] ^= 1 // of a date
	require.NoError(t, os.WriteFile(path, now, 0o600))
	require.NoError(t, os.Chtimes(path, info.ModTime(), info.ModTime()))
	err = f.Rescale(context.Background(), formattest.Folder(t.TempDir()), "a.3mf", deliver.Change{Factor: 2}, nil)
	require.Equal(t, fault.Changed, codeOf(t, err))
}

func TestCancelled(t *testing.T) {
	b := packed(modelText("", strings.Repeat("<!-- -->", window)+objectText(1, "", tetra), `<item objectid="1" transform="`+quarter+` 0 0 0"/>`))
	path := saved(t, b)
	f, err := Open(context.Background(), path, nil)
	require.NoError(t, err)
	for _, try := range []func(ctx context.Context, report func(float64)) error{
		func(ctx context.Context, report func(float64)) error { _, err := Open(ctx, path, report); return err },
		func(ctx context.Context, report func(float64)) error { _, err := f.Mesh(ctx, 0, report); return err },
		func(ctx context.Context, report func(float64)) error {
			return f.Rescale(ctx, formattest.Folder(t.TempDir()), "a.3mf", deliver.Change{Factor: 2}, report)
		},
		func(ctx context.Context, report func(float64)) error {
			return f.Rescale(ctx, formattest.Folder(t.TempDir()), "a.3mf", deliver.Change{Factor: 1}, report)
		},
	} {
		ctx, cancel := context.WithCancel(context.Background())
		cancel()
		require.Equal(t, context.Canceled, try(ctx, nil))
		ctx, cancel = context.WithCancel(context.Background())
		require.Equal(t, context.Canceled, try(ctx, func(float64) { cancel() }))
	}
}

// A full disk is told as it is.
func TestSinkFails(t *testing.T) {
	full := errors.New("the disk is full")
	f := opened(t, packed(modelText("", objectText(1, "", tetra), `<item objectid="1"/>`), part{"a.png", strings.Repeat("picture", 1000)}))
	for _, c := range []float64{1, 2} {
		for _, room := range []int{0, 100, 3000} {
			err := f.Rescale(context.Background(), fullSink{room, full}, "a.3mf", deliver.Change{Factor: c}, nil)
			require.ErrorIs(t, err, full)
		}
	}
}

type fullSink struct {
	room int
	err  error
}

func (s fullSink) Create(string) (io.WriteCloser, error) { return &fullFile{s}, nil }
func (s fullSink) Carry(string, string) error            { return s.err }

type fullFile struct{ fullSink }

func (f *fullFile) Write(b []byte) (int, error) {
	if f.room -= len(b); f.room < 0 {
		return 0, f.err
	}
	return len(b), nil
}
func (f *fullFile) Close() error { return nil }

func TestTooLarge(t *testing.T) {
	// Within its part a mesh may be larger than what is built of it.
	f := opened(t, packed(modelText("", objectText(1, "", strings.NewReplacer(`x="1"`, `x="1e30"`, `y="1"`, `y="1e30"`, `z="1"`, `z="1e30"`).Replace(tetra)), `<item objectid="1" transform="1e-30 0 0 0 1e-30 0 0 0 1e-30 0 0 0"/>`)))
	err := f.Rescale(context.Background(), formattest.Folder(t.TempDir()), "a.3mf", deliver.Change{Factor: 1e10}, nil)
	require.Equal(t, fault.TooLarge, codeOf(t, err))
	err = f.Rescale(context.Background(), formattest.Folder(t.TempDir()), "a.3mf", deliver.Change{Factor: -1}, nil)
	require.Equal(t, fault.TooLarge, codeOf(t, err))
}

func TestUnits(t *testing.T) {
	for name, mm := range map[string]float64{"": 1, "micron": 0.001, "millimeter": 1, "centimeter": 10, "inch": 25.4, "foot": 304.8, "meter": 1000} {
		u, ok := unitOf(name)
		require.True(t, ok)
		require.Equal(t, mm, u.MM)
		require.True(t, u.Declared)
	}
	// A model within the model, of another unit, is none.
	inner := `<v:old>` + modelText(`unit="foot" requiredextensions="v"`, objectText(2, "", tetra), `<item objectid="2"/>`) + `</v:old>`
	f := opened(t, packed(modelText(foreignNS+` unit="inch"`, objectText(1, "", tetra)+inner, `<item objectid="1"/>`)))
	require.Contains(t, textOf(t, copyOf(t, f, deliver.Change{Factor: 2, Tag: "Scantling x2"}), "3D/3dmodel.model"), inner)
	p := f.Parts()[0]
	require.Equal(t, "in", p.Unit.Name)
	require.Equal(t, geom.Z, p.Up)
	require.Contains(t, textOf(t, copyOf(t, f, deliver.Change{Factor: 2}), "3D/3dmodel.model"), `unit="inch"`)
}
