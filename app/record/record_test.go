package record

import (
	"bytes"
	"context"
	"encoding/csv"
	"fmt"
	"go/parser"
	"go/token"
	"io"
	"math/big"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"

	"scantling/app/state"
	"scantling/app/state/statetest"
	"scantling/app/text"
	"scantling/engine/deliver"
	"scantling/engine/geom"
	"scantling/engine/judge"
	"scantling/engine/kit"
	"scantling/engine/process"
	"scantling/engine/ratio"
	"scantling/engine/ways"
)

var surveys statetest.Surveys

func ratioOf(t testing.TB, real int64) ratio.Ratio {
	t.Helper()
	r, err := ratio.Of(big.NewRat(1, 1), big.NewRat(real, 1))
	require.NoError(t, err)
	return r
}

// A named part of a kit that a test records.
type named struct {
	name, file string
	size       geom.Vec
}

// recorded is what a bench records of boxes drawn at 1:10, for 1:48; the date is fixed.
func recorded(t testing.TB, parts []named, change func(*kit.Kit)) state.Recorded {
	t.Helper()
	disk := statetest.NewDisk()
	k := kit.Kit{Title: "Harbour tug", Notes: "For the harbour board.\nSecond line.", Process: process.Presets()[0].Process,
		Way: ways.Way{Kind: ways.ByRatio, Native: ratioOf(t, 10), Target: ratioOf(t, 48), Bed: judge.Bed{Size: geom.Vec{220, 220, 250}, Margin: 5}}}
	for i, p := range parts {
		disk.Box(p.file, p.size)
		k = k.With(kit.Part{ID: strconv.Itoa(i), File: p.file, Name: p.name, Ticked: true, Quantity: 1 + i%3})
	}
	if change != nil {
		change(&k)
	}
	q := statetest.NewQueue(t)
	b := state.New(state.Config{Post: q.Post, Disk: disk, Preferences: statetest.NewPreferences(), Surveys: &surveys})
	b.Begin(k)
	q.Until("all is known", func() bool { return len(b.View().Jobs) == 0 })
	v := b.View()
	require.NoError(t, v.CanRecord())
	var got state.Recorded
	at, err := filepath.Abs("/kits/tug.pdf")
	require.NoError(t, err)
	b.SaveRecord(at, false, func(_ context.Context, r state.Recorded, _ io.Writer, _ func(float64)) error {
		got = r
		return nil
	})
	q.Until("it is recorded", func() bool { return len(b.View().Jobs) == 0 })
	require.NoError(t, b.View().Notice)
	require.Equal(t, at, b.View().Recorded)
	got.When = time.Date(2026, 3, 7, 14, 5, 0, 0, time.UTC)
	return got
}

func tug() []named {
	return []named{{"hull", "/kits/hull.stl", geom.Vec{412, 96, 88}}, {"mast", "/kits/mast.stl", geom.Vec{6, 6, 180}}, {"wheelhouse", "/kits/wheelhouse.stl", geom.Vec{80, 60, 66}}}
}

func written(t testing.TB, r state.Recorded, f Form, paper Paper) []byte {
	t.Helper()
	var b bytes.Buffer
	last := 0.0
	require.NoError(t, Recorder(f, paper)(t.Context(), r, &b, func(share float64) {
		require.GreaterOrEqual(t, share, last)
		last = share
	}))
	require.LessOrEqual(t, last, 1.0)
	return b.Bytes()
}

// The factor stands there in every spelling, and every part with its sizes before and after.
func TestWhatARecordSays(t *testing.T) {
	r := Of(recorded(t, tug(), nil))
	require.Equal(t, "Record of Harbour tug", r.Title)
	require.Equal(t, "20.8333\u00a0%", r.Big)
	require.Contains(t, r.BigSays, text.RecordRounded)
	facts := map[string]string{}
	for _, f := range r.Facts {
		facts[f[0]] = f[1]
	}
	require.Equal(t, "×0.20833333333333334", facts[text.RecordFactor])
	require.Equal(t, "5/24", facts[text.RecordExact])
	require.Equal(t, "1:48", facts[text.RecordRatio])
	require.Equal(t, "1:10", facts[text.RecordNative])
	byTitle := map[string]Section{}
	for _, s := range r.Sections {
		byTitle[s.Title] = s
	}
	require.Equal(t, "For the harbour board.\nSecond line.", byTitle[text.RecordKitNotes].Blocks[0].Para)
	rows := byTitle[text.RecordParts].Blocks[0].Table.Rows
	require.Len(t, rows, 3)
	require.Equal(t, "hull\nhull.stl", rows[0][1])
	require.Equal(t, "412 × 96 × 88", rows[0][4])
	require.Equal(t, "85.8 × 20 × 18.3", rows[0][5])
	require.Equal(t, "yes", rows[0][6])
	require.NotEqual(t, text.None, rows[0][7], "a closed box is weighed")
	require.Contains(t, rows[1][8], "Pin too thin", "a mast of 1.25 mm is little for a nozzle")
	require.Len(t, byTitle[text.RecordDrawings].Blocks, 4, "three sides, and the parts side by side")
	for _, b := range byTitle[text.RecordDrawings].Blocks {
		require.NotEmpty(t, b.Drawing.Marks)
	}
	require.Contains(t, fmt.Sprint(byTitle[text.RecordPrinting]), "1\u00a0bed")
	require.Contains(t, fmt.Sprint(byTitle[text.RecordCopies]), text.RecordNoCopies)
	require.Equal(t, text.Cautions(), byTitle[text.RecordCautions].Blocks[0].List)
	require.Len(t, byTitle[text.RecordDigests].Blocks[1].Table.Rows, 3)
}

// What was set aside is told with its reason, and what was saved with where it lies.
func TestAsidesAndCopies(t *testing.T) {
	var at ratio.Factor
	r := Of(recorded(t, tug(), func(k *kit.Kit) {
		k.Asides = []judge.Aside{{Code: judge.SmallPart, Part: "1", Reason: "a model for adults"}}
		at = ratio.FactorBetween(k.Way.Native, ratioOf(t, 87))
		*k = k.WithSaved(kit.Saved{Parts: []string{"0"}, When: time.Date(2025, 4, 1, 12, 0, 0, 0, time.UTC), Factor: at, Ratio: ratioOf(t, 87),
			Record: deliver.Record{Source: "xxh64:1", Recipe: "r", Files: []deliver.Written{{Path: "/out/hull-1-87.stl", Digest: "xxh64:2"}}}})
	}))
	all := ""
	for _, s := range r.Sections {
		for _, b := range s.Blocks {
			if b.Table != nil {
				all += fmt.Sprint(s.Title, b.Table.Rows)
			}
		}
	}
	require.Contains(t, all, "a model for adults")
	require.Contains(t, all, "1:87")
	require.Contains(t, all, "/out/hull-1-87.stl")
	require.Contains(t, all, "not at the factor of this record")
	require.Contains(t, all, "not there any more")
}

// The same record gives the same bytes, in every form and on both papers.
func TestTheSameBytesTwice(t *testing.T) {
	r := recorded(t, tug(), nil)
	for _, f := range Forms() {
		for _, paper := range []Paper{A4, Letter} {
			one := written(t, r, f, paper)
			require.NotEmpty(t, one)
			for range 3 {
				require.True(t, bytes.Equal(one, written(t, r, f, paper)), "%s on %v", f, paper)
			}
		}
	}
}

// hostile names have markup, formulas, quotes, marks that turn direction, other scripts, and no end.
func hostile() []named {
	size := geom.Vec{40, 30, 20}
	return []named{
		{"<script>alert(1)</script>", "/kits/a.stl", size},
		{`" onload="x`, "/kits/b.stl", size},
		{"=SUM(A1:A9)", "/kits/c.stl", size},
		{"@cmd", "/kits/d.stl", size}, {"-2+3", "/kits/e.stl", size}, {"+1", "/kits/f.stl", size}, {"\tx", "/kits/g.stl", size},
		{"船体 ⚓ שלום 🚢", "/kits/船体.stl", size},
		{"Łódź, Ζέφυρος, Буксир, e\u0301tai", "/kits/h.stl", size},
		{strings.Repeat("longname", 60), "/kits/i.stl", size},
		{"a,b\"c\nd", "/kits/j.stl", size},
		{"bad\xff\x00\u202eend", "/kits/k.stl", size},
	}
}

// The page is sound HTML whatever names are: markup in them is text, nothing is fetched from
// elsewhere, every picture says what it shows, every head of a table what it heads.
func TestHTMLIsSound(t *testing.T) {
	r := recorded(t, hostile(), nil)
	page := string(written(t, r, HTML, A4))
	require.True(t, strings.HasPrefix(page, "<!DOCTYPE html>\n<html lang=\"en\">"))
	require.NotContains(t, page, "\x00")
	require.NotContains(t, page, "\u202e")
	z := html.NewTokenizer(strings.NewReader(page))
	void := map[string]bool{"meta": true, "col": true, "br": true, "image": true, "polygon": true, "polyline": true}
	var open []string
	seen := map[string]int{}
	ids := map[string]bool{}
	for {
		kind := z.Next()
		if kind == html.ErrorToken {
			require.ErrorIs(t, z.Err(), io.EOF)
			break
		}
		token := z.Token()
		switch kind {
		case html.StartTagToken, html.SelfClosingTagToken:
			seen[token.Data]++
			require.NotContains(t, []string{"script", "link", "iframe", "object", "embed", "base", "form"}, token.Data)
			for _, a := range token.Attr {
				require.False(t, strings.HasPrefix(a.Key, "on"), "%v", token)
				if a.Key == "src" || a.Key == "href" {
					require.True(t, strings.HasPrefix(a.Val, "data:image/png;base64,"), "%s", a.Val[:min(40, len(a.Val))])
				}
				if a.Key == "id" {
					require.False(t, ids[a.Val], "id %s twice", a.Val)
					ids[a.Val] = true
				}
			}
			if token.Data == "th" {
				require.Contains(t, []string{"row", "col"}, attr(token, "scope"))
			}
			if token.Data == "svg" {
				require.Equal(t, "img", attr(token, "role"))
			}
			if kind == html.StartTagToken && !void[token.Data] {
				open = append(open, token.Data)
			}
		case html.EndTagToken:
			require.NotEmpty(t, open)
			require.Equal(t, open[len(open)-1], token.Data)
			open = open[:len(open)-1]
		}
	}
	require.Empty(t, open)
	require.Equal(t, seen["svg"], seen["desc"])
	require.Equal(t, seen["svg"]+1, seen["title"])
	require.GreaterOrEqual(t, seen["svg"], 5)
	require.Contains(t, page, "&lt;script&gt;alert(1)&lt;/script&gt;")
	require.Contains(t, page, "船体 ⚓ שלום 🚢")
	require.NotContains(t, strings.ToLower(page), "http:")
	require.NotContains(t, strings.ToLower(page), "https:")
	require.NotContains(t, page, "url(")
}

func attr(t html.Token, key string) string {
	for _, a := range t.Attr {
		if a.Key == key {
			return a.Val
		}
	}
	return ""
}

// The table is read back as it was, by the rules of RFC 4180, and no cell is a formula.
func TestCSV(t *testing.T) {
	r := recorded(t, hostile(), nil)
	raw := written(t, r, CSV, A4)
	require.True(t, bytes.HasSuffix(raw, []byte("\r\n")))
	rows, err := csv.NewReader(bytes.NewReader(raw)).ReadAll()
	require.NoError(t, err)
	require.Len(t, rows, len(hostile())+1)
	column := map[string]int{}
	for i, head := range rows[0] {
		column[head] = i
	}
	for _, row := range rows[1:] {
		for _, cell := range row {
			require.NotContains(t, []string{"=", "+", "-", "@", "\t", "\r"}, cell[:min(1, len(cell))], "%q", cell)
		}
		x, err := strconv.ParseFloat(row[column["print_x_mm"]], 64)
		require.NoError(t, err)
		require.InDelta(t, 40*10.0/48, x, 1e-7)
		require.Equal(t, "0.20833333333333334", row[column["factor"]])
		require.Equal(t, "5/24", row[column["factor_exact"]])
	}
	require.Equal(t, "'=SUM(A1:A9)", rows[3][1])
	require.Equal(t, "船体 ⚓ שלום 🚢", rows[8][1])
	require.Equal(t, "a,b\"c\nd", rows[11][1])
}

// A name that the typeface cannot write is replaced, and the page says so; others are not.
func TestSpelling(t *testing.T) {
	l, err := newLetters()
	require.NoError(t, err)
	require.Equal(t, "Łódź, Ζέφυρος, Буксир, étai", l.spell("Łódź, Ζέφυρος, Буксир, e\u0301tai"))
	require.Equal(t, "×−≤≥→·°½…–“”²³±÷ 3 Ø", l.spell("×−≤≥→·°½…–“”²³±÷\u202f3 ⌀"))
	require.False(t, l.lacks)
	require.Equal(t, "□□ □ x □", l.spell("船体 ⚓ x 🚢"))
	require.True(t, l.lacks)
}

// Whatever names are, a PDF comes out, and says what it could not write.
func TestPDFOfHostileNames(t *testing.T) {
	r := recorded(t, hostile(), nil)
	for _, paper := range []Paper{A4, Letter} {
		page := written(t, r, PDF, paper)
		require.True(t, bytes.HasPrefix(page, []byte("%PDF-1.")))
	}
	letters, err := newLetters()
	require.NoError(t, err)
	spelt := Of(r).spelt(letters)
	last := spelt.Sections[len(spelt.Sections)-1]
	require.Equal(t, text.RecordLacks, last.Blocks[len(last.Blocks)-1].Para)
}

// A cancelled record ends, and gives its cause.
func TestCancelledRecord(t *testing.T) {
	r := recorded(t, tug(), nil)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	for _, f := range []Form{PDF, HTML} {
		require.ErrorIs(t, Recorder(f, A4)(ctx, r, io.Discard, func(float64) {}), context.Canceled)
	}
}

func TestPaperAndForm(t *testing.T) {
	for locale, want := range map[string]Paper{"": A4, "C": A4, "en_US.UTF-8": Letter, "en-CA": Letter, "es_MX": Letter, "de_DE": A4, "en_GB": A4, "zh-Hans-CN": A4, "en-Latn-US": Letter} {
		require.Equal(t, want, PaperIn(locale), locale)
	}
	p, ok := ParsePaper(" LETTER ")
	require.True(t, ok)
	require.Equal(t, Letter, p)
	_, ok = ParsePaper("a5")
	require.False(t, ok)
	for path, want := range map[string]Form{"x.PDF": PDF, "x.htm": HTML, "x.html": HTML, "x.csv": CSV} {
		f, ok := FormOf(path)
		require.True(t, ok)
		require.Equal(t, want, f)
	}
	_, ok = FormOf("x.doc")
	require.False(t, ok)
}

// The record stands beside the window: it knows no widget.
func TestImports(t *testing.T) {
	files, err := filepath.Glob("*.go")
	require.NoError(t, err)
	require.Greater(t, len(files), 6)
	for _, path := range files {
		if strings.HasSuffix(path, "_test.go") {
			continue
		}
		f, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.ImportsOnly)
		require.NoError(t, err)
		for _, s := range f.Imports {
			name, err := strconv.Unquote(s.Path.Value)
			require.NoError(t, err)
			if strings.HasPrefix(name, "scantling/") && !strings.HasPrefix(name, "scantling/engine/") {
				require.Contains(t, []string{"scantling/app/state", "scantling/app/text", "scantling/app/sheet"}, name, path)
			}
			require.NotContains(t, name, "fyne.io", path)
		}
	}
}

// many is a kit of n parts.
func many(n int) (parts []named) {
	for i := range n {
		parts = append(parts, named{fmt.Sprintf("frame of the bulwark, number %d", i+1), fmt.Sprintf("/kits/frame-%d.stl", i+1), geom.Vec{20 + float64(i), 30, 12}})
	}
	return parts
}

// SCANTLING_KEEP names a folder to leave records in, to be looked at.
func TestRecordsToLookAt(t *testing.T) {
	folder := os.Getenv("SCANTLING_KEEP")
	if folder == "" {
		t.Skip("SCANTLING_KEEP names no folder")
	}
	for name, parts := range map[string][]named{"hostile": hostile(), "many": many(100)} {
		r := recorded(t, parts, nil)
		for _, paper := range []Paper{A4, Letter} {
			require.NoError(t, os.WriteFile(filepath.Join(folder, fmt.Sprint(name, "-", paper, ".pdf")), written(t, r, PDF, paper), 0o644))
		}
		require.NoError(t, os.WriteFile(filepath.Join(folder, name+".html"), written(t, r, HTML, A4), 0o644))
		require.NoError(t, os.WriteFile(filepath.Join(folder, name+".csv"), written(t, r, CSV, A4), 0o644))
	}
}

func BenchmarkRecord100(b *testing.B) {
	r := recorded(b, many(100), nil)
	for _, f := range Forms() {
		b.Run(string(f), func(b *testing.B) {
			n := 0
			for b.Loop() {
				n = len(written(b, r, f, A4))
			}
			b.ReportMetric(float64(n)/1e3, "kB")
		})
	}
}

// What was measured has what it may be off by beside the factor, no fraction that means nothing,
// each clue with its weight, and the ways that contradict each other.
func TestEvidenceOfARecord(t *testing.T) {
	r := Of(recorded(t, tug(), func(k *kit.Kit) {
		k.Way.Kind = ways.ByClues
		for i, typed := range []string{"198.1mm±1mm=1981mm±5", "44 mm ± 0.5mm = 445mm±12"} {
			c, err := ways.ParseClue(typed)
			require.NoError(t, err)
			c.ID = strconv.Itoa(i + 1)
			k.Way.Clues = append(k.Way.Clues, c)
		}
		k.Way.Real, k.Way.Along = lengthOf(t, "9 m"), geom.X // and the hull says 1:21.8
	}))
	require.Contains(t, r.BigSays, text.RecordUnsure)
	facts := map[string]string{}
	for _, f := range r.Facts {
		facts[f[0]] = f[1]
	}
	require.Contains(t, facts[text.RecordOff], "±")
	require.Contains(t, facts[text.RecordNative], "±")
	require.NotContains(t, facts, text.RecordExact)
	how := fmt.Sprint(r.Sections[1])
	require.Equal(t, text.RecordHow, r.Sections[1].Title)
	require.Contains(t, how, "weight")
	require.Contains(t, how, "These disagree")
}

func lengthOf(t *testing.T, typed string) ratio.Length {
	t.Helper()
	l, err := ratio.ParseLength(typed, ratio.Metre)
	require.NoError(t, err)
	return l
}
