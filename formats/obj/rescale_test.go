package obj

import (
	"context"
	"errors"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/deliver"
	"scantling/formats/internal/fault"
	"scantling/formats/internal/lines"
)

func TestRescaleKeepsAllButLengths(t *testing.T) {
	text := "# v 1 2 3\r\n\tv  1\t2   3 1.0  # corner 4\r\nv 1 \\\n 0.5\\\n\t-0.25 0.1 0.2 0.3\nv 0 0 0\rvt 0.5 0.5\nvn 0 0 1\nvp 1 2 3\n" +
		"usemtl paint 2\ns 1\nf 1 2 3\nctech cspace 0.5\nctech  curv 0.25 10 # angle\nctech cparm 4\nstech cspace  2\n" +
		"stech curv .125 5\nstech cparma 3 4\nstech cparmb 3\nmg 1 0.75\nmg off\nmg 0\ncurv 0 1 1 2 3\nparm u 0 0 1 1\n" +
		"surf 0 1 0 1 1 2 3\nctech cspace wide\nv 3 2 1"
	want := "# v 1 2 3\r\n\tv  2\t4   6 1.0  # corner 4\r\nv 2 \\\n 1\\\n\t-0.5 0.1 0.2 0.3\nv 0 0 0\rvt 0.5 0.5\nvn 0 0 1\nvp 1 2 3\n" +
		"usemtl paint 2\ns 1\nf 1 2 3\nctech cspace 1\nctech  curv 0.5 10 # angle\nctech cparm 4\nstech cspace  4\n" +
		"stech curv 0.25 5\nstech cparma 3 4\nstech cparmb 3\nmg 1 1.5\nmg off\nmg 0\ncurv 0 1 1 2 3\nparm u 0 0 1 1\n" +
		"surf 0 1 0 1 1 2 3\nctech cspace wide\nv 6 4 2"
	f := mustOpen(t, text)
	require.Equal(t, want, rescaled(t, f, 2))
	require.Equal(t, text, rescaled(t, f, 1))
}

func TestRescaleKeepsTheEncoding(t *testing.T) {
	for _, e := range []encoding{utf16le, utf16be} {
		// A name with a character of two units, half of one, an odd byte at the end.
		before, after := stored("o \U0001F6A2\nv 1 2 3\n", e), stored("o \U0001F6A2\nv 3 6 9\n", e)
		tail := stored("f 1 1 1 # ", e)[2:]
		tail = append(tail, 0xd8, 0xd8, 0x0a)
		f, err := Open(context.Background(), save(t, "part.obj", append(before, tail...)), nil)
		require.NoError(t, err)
		require.Equal(t, "\U0001F6A2", f.Parts()[0].Name)
		require.Equal(t, string(append(after, tail...)), rescaled(t, f, 3))
		require.Equal(t, string(append(before, tail...)), rescaled(t, f, 1))
	}
}

// Numbers of float32 stay such, in the fewest digits; others keep all that float64 has.
func TestRescaleDigits(t *testing.T) {
	for _, c := range []struct{ source, want string }{
		{"v 0.1 0.2 0.3", "v 0.0235 0.047 0.0705"},
		{"v 33.333332 -1e-3 1000000", "v 7.833333 -0.000235 235000"},
		{"v 33.333333333 0.1 0.2", "v 7.833333333254999 0.0235 0.047"},
		{"v 100000001 0 0", "v 2.3500000235e+07 0 0"},
	} {
		f := mustOpen(t, c.source+"\nf 1 1 1\n")
		got := rescaled(t, f, 0.235)
		gotLine, _, _ := strings.Cut(got, "\n")
		require.Equal(t, numbers(t, c.want), numbers(t, gotLine))
		require.LessOrEqual(t, len(gotLine), len(c.want))
	}
}

// numbers are those of a vertex line.
func numbers(t *testing.T, line string) [3]float64 {
	t.Helper()
	var v [3]float64
	i := 1
	for axis := range v {
		l, code := readLength([]byte(line), i, nil)
		require.Empty(t, code, line)
		v[axis], i = l.value, l.to
	}
	return v
}

func TestRescaleRefuses(t *testing.T) {
	f := mustOpen(t, tetra)
	for _, factor := range []float64{0, -1, math.NaN(), math.Inf(1), math.Inf(-1), 1e300} {
		s := newShelf()
		code, _ := codeOf(t, f.Rescale(context.Background(), s, "copy.obj", deliver.Change{Factor: factor}, nil))
		require.Equal(t, fault.TooLarge, code)
		require.Empty(t, s.files)
	}
	// A vertex that no face refers to is scaled as well.
	f = mustOpen(t, tetra+"v 1e38 0 0\n")
	code, line := codeOf(t, f.Rescale(context.Background(), newShelf(), "copy.obj", deliver.Change{Factor: 10}, nil))
	require.Equal(t, fault.TooLarge, code)
	require.Equal(t, 9, line)
}

// A source that is no longer what was opened is noticed before the copy is complete.
func TestRescaleOfAChangedSource(t *testing.T) {
	for _, now := range []string{
		strings.Replace(tetra, "1 0 0", "2 0 0", 1), // as long as it was
		tetra + "\n",
		tetra[:len(tetra)-1],
		"",
		strings.Repeat("x", len(tetra)),
		strings.Replace(tetra, "v 1 0 0", "v x 0 0", 1),
	} {
		f := mustOpen(t, tetra)
		require.NoError(t, os.WriteFile(f.Path(), []byte(now), 0o600))
		for _, factor := range []float64{0.5, 1} {
			code, _ := codeOf(t, f.Rescale(context.Background(), newShelf(), "copy.obj", deliver.Change{Factor: factor}, nil))
			require.Equal(t, fault.Changed, code)
		}
		if now != "" && strings.Contains(now, "v 1 0 0\n") {
			continue
		}
		_, err := f.Mesh(context.Background(), 0, nil)
		if strings.HasPrefix(now, "v 0 0 0\nv 2") {
			require.NoError(t, err) // as good a part as before
		} else {
			code, _ := codeOf(t, err)
			require.Equal(t, fault.Changed, code)
		}
	}
	f := mustOpen(t, tetra)
	require.NoError(t, os.Remove(f.Path()))
	code, _ := codeOf(t, f.Rescale(context.Background(), newShelf(), "copy.obj", deliver.Change{Factor: 0.5}, nil))
	require.Equal(t, fault.MissingFile, code)
}

// The sink's errors come back as they are.
func TestRescaleToABadSink(t *testing.T) {
	full := errors.New("disk full")
	f := mustOpen(t, tetra)
	require.ErrorIs(t, f.Rescale(context.Background(), badSink{create: full}, "copy.obj", deliver.Change{Factor: 2}, nil), full)
	require.ErrorIs(t, f.Rescale(context.Background(), badSink{write: full}, "copy.obj", deliver.Change{Factor: 2}, nil), full)
	require.ErrorIs(t, f.Rescale(context.Background(), badSink{close: full}, "copy.obj", deliver.Change{Factor: 2}, nil), full)
}

type badSink struct{ create, write, close error }

func (s badSink) Create(string) (io.WriteCloser, error) { return s, s.create }
func (s badSink) Carry(string, string) error            { return nil }
func (s badSink) Write(p []byte) (int, error)           { return len(p), s.write }
func (s badSink) Close() error                          { return s.close }

// Cancelled, nothing goes on; progress rises to 1.
func TestLongWork(t *testing.T) {
	path := save(t, "torus.obj", torus(200, false)) // 3 MB
	ctx := context.Background()
	f, err := Open(ctx, path, rising(t))
	require.NoError(t, err)
	require.Greater(t, len(f.pieces), 2)
	require.NoError(t, f.Rescale(ctx, newShelf(), "copy.obj", deliver.Change{Factor: 0.5}, rising(t)))
	_, err = f.Mesh(ctx, 0, rising(t))
	require.NoError(t, err)

	cancelled, cancel := context.WithCancel(ctx)
	cancel()
	_, err = Open(cancelled, path, nil)
	require.ErrorIs(t, err, context.Canceled)
	require.ErrorIs(t, f.Rescale(cancelled, newShelf(), "copy.obj", deliver.Change{Factor: 0.5}, nil), context.Canceled)
	_, err = f.Mesh(cancelled, 0, nil)
	require.ErrorIs(t, err, context.Canceled)

	half, stop := context.WithCancel(ctx)
	_, err = Open(half, path, func(done float64) {
		if done > 0.7 {
			stop()
		}
	})
	require.ErrorIs(t, err, context.Canceled)
}

// rising is a report that must rise, and must have come to 1 by the end of the test.
func rising(t *testing.T) func(float64) {
	last := 0.0
	t.Cleanup(func() { require.InDelta(t, 1, last, 0) })
	return func(done float64) {
		require.GreaterOrEqual(t, done, last)
		last = done
	}
}

// The torus's area and volume tend to 4π²Rr and 2π²Rr² (Pappus).
func TestTorus(t *testing.T) {
	f, err := Open(context.Background(), save(t, "torus.obj", torus(300, true)), nil)
	require.NoError(t, err)
	p := f.Parts()[0]
	const R, r = 40, 12
	require.InEpsilon(t, 4*math.Pi*math.Pi*R*r, p.Area, 2e-4)
	require.InEpsilon(t, 2*math.Pi*math.Pi*R*r*r, p.Volume, 2e-4)
	require.InDelta(t, 0, p.Centroid.Len(), 1e-6)
	require.True(t, f.wide)
}

// What a rescaling needs does not grow with the file.
func TestRescaleMemory(t *testing.T) {
	f, err := Open(context.Background(), save(t, "torus.obj", torus(500, false)), nil) // 19 MB
	require.NoError(t, err)
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	require.NoError(t, f.Rescale(context.Background(), nowhere{}, "copy.obj", deliver.Change{Factor: 0.5}, nil))
	runtime.ReadMemStats(&after)
	require.Less(t, after.TotalAlloc-before.TotalAlloc, uint64(24<<20), "all that was ever allocated")
}

type nowhere struct{}

func (nowhere) Create(string) (io.WriteCloser, error) { return nowhere{}, nil }
func (nowhere) Carry(string, string) error            { return nil }
func (nowhere) Write(p []byte) (int, error)           { return len(p), nil }
func (nowhere) Close() error                          { return nil }

// A line longer than any piece is an error, not a hang.
func TestEndlessLine(t *testing.T) {
	long := strings.Repeat("# no end ", 1<<20)
	_, err := openText(t, long)
	code, _ := codeOf(t, err)
	require.Equal(t, fault.NotAModel, code)
	_, err = openText(t, strings.Repeat(tetra, 20_000)+long)
	code, _ = codeOf(t, err)
	require.Equal(t, fault.Syntax, code)
}

func TestOpenRefusesWhatIsNoFile(t *testing.T) {
	_, err := Open(context.Background(), t.TempDir(), nil)
	code, _ := codeOf(t, err)
	require.Equal(t, fault.Unreadable, code)
	_, err = Open(context.Background(), t.TempDir()+"/none.obj", nil)
	code, _ = codeOf(t, err)
	require.Equal(t, fault.MissingFile, code)
}

func TestStatedUnit(t *testing.T) {
	for comment, mm := range map[string]float64{
		"units: mm": 1, "Units = Inches": 25.4, "unit is cm": 10, "File units = millimeters": 1, "UNITS METRES.": 1000,
		"units in feet": 304.8, "units: µm": 0.001, "---- units: m ----": 1000,
		"": 0, "units": 0, "units: furlong": 0, "10 units: mm high": 0, "community: mm": 0, "units: mm per inch": 0,
	} {
		u, ok := statedUnit([]byte(comment))
		require.Equal(t, mm != 0, ok, comment)
		require.InDelta(t, mm, u.MM, 0, comment)
	}
	// Only a header's comment counts.
	f := mustOpen(t, tetra+"# units: inches\n")
	require.InDelta(t, 1, f.Parts()[0].Unit.MM, 0)
}

// A NUL makes a file no text where nothing has been read yet, whatever the pieces, and is
// kept in copies where something has: a file that opens has a copy that opens.
func TestNULs(t *testing.T) {
	padding := strings.Repeat("#\n", 300)
	for _, c := range []struct {
		text string
		code fault.Code
	}{
		{"v 1 2 3\nf 1 1 1\n\x00", ""},
		{padding + "v 1 2 3\n" + padding + "# \x00\nf 1 1 1\n", ""},
		{"\x00v 1 2 3\nf 1 1 1\n", fault.NotAModel},
		{padding + "# \x00\nv 1 2 3\nf 1 1 1\n", fault.NotAModel},
		{padding + padding + "v\x00 1 2 3\nf 1 1 1\n", fault.NotAModel},
		{"v 1 2 3\n" + padding + "v 1\x00 2 3\nf 1 1 1\n", fault.BadNumber},
	} {
		path := save(t, "part.obj", []byte(c.text))
		for _, tune := range []tuning{{}, {size: 256}, {size: 60, workers: 1}} {
			f, err := open(context.Background(), path, tune, nil)
			if c.code != "" {
				code, _ := codeOf(t, err)
				require.Equal(t, c.code, code, "%q", c.text)
				continue
			}
			require.NoError(t, err, "%q", c.text)
			mustOpen(t, rescaled(t, f, 0.235))
		}
	}
}

// No copy has a line that is too long to be read.
func TestALineThatGrows(t *testing.T) {
	for _, c := range []struct {
		before, after int
		code          fault.Code
	}{
		{100, lines.MaxSize - 100, ""},
		{100, lines.MaxSize - 20, fault.TooLarge},
		{lines.MaxSize / 2, lines.MaxSize - 100, ""},
	} {
		text := "v 1 2 3" + strings.Repeat(" ", c.after)
		f := mustOpen(t, strings.Repeat("\n", c.before)+text+"\nf 1 1 1\n")
		s := newShelf()
		err := f.Rescale(context.Background(), s, "copy.obj", deliver.Change{Factor: 1. / 7}, nil)
		if c.code != "" {
			code, _ := codeOf(t, err)
			require.Equal(t, c.code, code)
			continue
		}
		require.NoError(t, err)
		mustOpen(t, s.files["copy.obj"].String())
	}
}

// What is done to many lines at a time is what is done to each by itself, whatever they are.
func TestManyLinesAtATime(t *testing.T) {
	const seed = 4
	r := rand.New(rand.NewPCG(seed, 0))
	numbers := []string{"0", "-0", "1", "-2.5", "0.1", "12.345678", "-0.000123", "100000", "+3", ".5", "7.", "1e-3", "1.5E+2", "12345678.5",
		"0.33333333333333331", "123456789012345678901234567890", "0.25", "1e-30", "99999999", "-0.00001"}
	statements := []string{"f 1 2 3", "f 1/1/1 2//2 3 \\\n 4", "f 1 2 3 # v 1 2 3", "f 1 2 3 \\", "# v h m \\", "# m", "usemtl v", "g hull", "mg 1 0.5",
		"mg off", "ctech cspace 0.75", "stech curv .5 3", "vn 0 0 1", "vt 0.5 0.5", "o v", "", "  v 1 2 3", "v 1 2 3 0.5 0.5 0.5", "v 1 \\\n 2 3", "s 1", "vp 1 2"}
	for round := range 300 {
		wide := round%2 == 1
		text := ""
		for range 60 {
			line := statements[r.IntN(len(statements))]
			switch r.IntN(4) {
			case 0:
				line = "f 1 2 3"
			case 1, 2:
				line = "v"
				for range 3 {
					line += " " + strings.Repeat(" ", r.IntN(8)/7) + numbers[r.IntN(len(numbers))]
				}
			}
			text += line + []string{"\n", "\n", "\n", "\r\n", "\r"}[r.IntN(3+round%3)]
		}
		s := scaler{factor: 0.235, wide: wide}
		whole, trouble := s.rescale(nil, []byte(text), false)
		var single []byte
		rest := []byte(text)
		require.Nil(t, trouble)
		for len(rest) > 0 {
			n := 0
			for end := 1; n == 0 && end < len(rest); end++ {
				n = lines.AfterJoinedLine(rest[:end])
			}
			if n == 0 {
				n = len(rest)
			}
			some, t1 := s.rescale(nil, rest[:n], false)
			require.Nil(t, t1)
			single = append(single, some...)
			rest = rest[n:]
		}
		require.Equal(t, string(single), string(whole), "seed %d: %q", seed, text)
	}
}
