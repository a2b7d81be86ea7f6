package kit

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/geom"
	"scantling/engine/judge"
)

func plate(side float64) judge.Bed { return judge.Bed{Size: geom.Vec{side, side, 200}, Margin: 5} }

func adding(p judge.Printer) func(Printers) (Printers, error) {
	return func(all Printers) (Printers, error) { return all.With(p) }
}

func TestPrintersAreKept(t *testing.T) {
	path := filepath.Join(t.TempDir(), "made", "printers.json")
	none, err := LoadPrinters(path)
	require.NoError(t, err)
	require.Empty(t, none.All)
	big := judge.Printer{Name: " workshop, big ", Bed: judge.Bed{Size: geom.Vec{300.5, 300.5, 400}, Margin: 4, Brim: 1.5, Round: true}}
	_, err = ChangePrinters(path, adding(big))
	require.NoError(t, err)
	after, err := ChangePrinters(path, adding(judge.Printer{Name: "Attic", Bed: plate(120)}))
	require.NoError(t, err)
	again, err := LoadPrinters(path)
	require.NoError(t, err)
	require.Equal(t, after.All, again.All)
	require.Equal(t, "Attic", again.All[0].Name, "by name")
	found, err := again.Find("WORKSHOP, big")
	require.NoError(t, err)
	require.Equal(t, big.Bed, found.Bed)
	_, err = ChangePrinters(path, func(p Printers) (Printers, error) { return p.Without("attic") })
	require.NoError(t, err)
	again, err = LoadPrinters(path)
	require.NoError(t, err)
	require.Len(t, again.All, 1)
}

func TestPrintersRefuse(t *testing.T) {
	path := filepath.Join(t.TempDir(), "printers.json")
	_, err := ChangePrinters(path, adding(judge.Printer{Name: "Attic", Bed: plate(120)}))
	require.NoError(t, err)
	before, err := os.ReadFile(path)
	require.NoError(t, err)
	for _, c := range []struct {
		printer judge.Printer
		want    error
	}{
		{judge.Printer{Name: "  ", Bed: plate(120)}, ErrPrinterName},
		{judge.Printer{Name: "a\nb", Bed: plate(120)}, ErrPrinterName},
		{judge.Printer{Name: strings.Repeat("å", NameOf+1), Bed: plate(120)}, ErrPrinterLong},
		{judge.Printer{Name: "ATTIC ", Bed: plate(99)}, ErrPrinterTaken},
		{judge.Printer{Name: "none", Bed: plate(0)}, judge.ErrBedSize},
		{judge.Printer{Name: "thin", Bed: plate(10)}, judge.ErrBedTaken},
	} {
		_, err := ChangePrinters(path, adding(c.printer))
		require.ErrorIs(t, err, c.want)
	}
	_, err = ChangePrinters(path, func(p Printers) (Printers, error) { return p.Without("cellar") })
	require.ErrorIs(t, err, ErrNoPrinter)
	after, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, string(before), string(after))
}

// A file that cannot be read is an error with its name and place, and is never lost.
func TestBrokenPrintersStay(t *testing.T) {
	for _, c := range []struct {
		text   string
		code   Code
		detail string
	}{
		{`{"scantling-printers": 1, "printers": [{"name": "a"`, Syntax, ""},
		{`{"scantling": 1}`, NotPrinters, ""},
		{`[]`, NotPrinters, ""},
		{`{"scantling-printers": 9}`, Newer, "9"},
		{`{"scantling-printers": 1, "printers": [{"name": "a", "width": "wide"}]}`, BadValue, "printers[0].width"},
		{`{"scantling-printers": 1, "printers": [{"name": "a", "width": 9, "depth": 9, "height": 0}]}`, BadValue, "printers[0]"},
		{`{"scantling-printers": 1, "printers": [{"name": "", "width": 9, "depth": 9, "height": 9}]}`, BadValue, "printers[0]"},
		{`{"scantling-printers": 1, "printers": [{"name": "a", "width": 9, "depth": 9, "height": 9}, {"name": "A", "width": 9, "depth": 9, "height": 9}]}`, Doubled, "printers[1].name"},
	} {
		path := filepath.Join(t.TempDir(), "printers.json")
		require.NoError(t, os.WriteFile(path, []byte(c.text), 0o666))
		_, err := ChangePrinters(path, adding(judge.Printer{Name: "new", Bed: plate(100)}))
		var file *PrintersError
		var bad *Error
		require.ErrorAs(t, err, &file, c.text)
		require.ErrorAs(t, err, &bad, c.text)
		require.Equal(t, path, bad.File)
		require.Equal(t, c.code, bad.Code, c.text)
		require.Equal(t, c.detail, bad.Detail, c.text)
		still, err := os.ReadFile(path)
		require.NoError(t, err)
		require.Equal(t, c.text, string(still))
	}
}

// What a newer program wrote beside what is known stays there.
func TestPrintersKeepWhatIsUnknown(t *testing.T) {
	path := filepath.Join(t.TempDir(), "printers.json")
	require.NoError(t, os.WriteFile(path, []byte(`{"scantling-printers": 1, "order": "age",
		"printers": [{"name": "a", "width": 9, "depth": 9, "height": 9, "resin": "grey"}]}`), 0o666))
	_, err := ChangePrinters(path, adding(judge.Printer{Name: "b", Bed: plate(100)}))
	require.NoError(t, err)
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Contains(t, string(text), `"resin": "grey"`)
	require.Contains(t, string(text), `"order": "age"`)
}

func FuzzPrinters(f *testing.F) {
	f.Add([]byte(`{"scantling-printers":1,"printers":[{"name":"a","width":9,"depth":9,"height":9,"margin":1,"brim":1,"round":true,"x":[1]}]}`))
	f.Add([]byte(`{"scantling-printers":1,"printers":null}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		r := &reader{file: "p", data: data}
		p := decodeOwn[judge.Printer](r)
		if r.err != nil {
			return
		}
		again, err := encodeOwn(p)
		if err != nil {
			t.Fatal(err)
		}
		r = &reader{file: "p", data: again}
		if q := decodeOwn[judge.Printer](r); r.err != nil || len(q.All) != len(p.All) {
			t.Fatalf("%s reads back as %+v, %v", again, q, r.err)
		}
	})
}
