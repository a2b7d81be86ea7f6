package lines

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"strings"
	"sync/atomic"
	"testing"
	"testing/iotest"

	"github.com/stretchr/testify/require"
)

func TestCuts(t *testing.T) {
	for _, c := range []struct {
		data         string
		line, joined int
	}{
		{"", 0, 0},
		{"abc", 0, 0},
		{"a\nb", 2, 2},
		{"a\nb\n", 4, 4},
		{"a\r\nb", 3, 3},
		{"a\nb\r", 2, 2}, // the CR may be half of a CR LF
		{"a\rb\rc", 4, 4},
		{"a\nb\\\nc", 5, 2},
		{"a\r\nb\\\r\nc", 7, 3},
		{"a\\\n", 3, 0},
		{"\\\nb\\\n", 5, 0},
		{"\nb\\\nc\\\n", 7, 1},
		{"\n", 1, 1},
		{"a\\\rb", 3, 0},
	} {
		require.Equal(t, c.line, AfterLine([]byte(c.data)), "AfterLine(%q)", c.data)
		require.Equal(t, c.joined, AfterJoinedLine([]byte(c.data)), "AfterJoinedLine(%q)", c.data)
	}
}

func TestCountLines(t *testing.T) {
	const text = "a\nb\r\nc\rd\n\n\r\r\ne"
	for n := range len(text) + 1 {
		want := strings.Count(strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(text[:n]), "\n")
		got, err := CountLines(iotest.OneByteReader(strings.NewReader(text)), int64(n))
		require.NoError(t, err)
		require.Equal(t, want, got, "%q", text[:n])
	}
}

// text is n bytes of lines of odd lengths.
func text(seed uint64, n int) []byte {
	r := rand.New(rand.NewPCG(seed, 0))
	var b bytes.Buffer
	for b.Len() < n {
		fmt.Fprintf(&b, "%d %s%s", b.Len(), strings.Repeat("x", r.IntN(60)), []string{"\n", "\r\n", "\\\n"}[r.IntN(3)])
	}
	return b.Bytes()
}

func TestRewriteKeepsOrderWhateverTheWorkers(t *testing.T) {
	source := text(1, 100_000)
	want := bytes.ToUpper(source)
	for _, workers := range []int{1, 2, 7} {
		for _, size := range []int{64, 1000, 200_000} {
			for _, inPlace := range []bool{false, true} {
				var got bytes.Buffer
				last := 0.0
				o := Options{Workers: workers, Size: size, Bytes: int64(len(source)), Report: func(f float64) {
					require.GreaterOrEqual(t, f, last)
					last = f
				}}
				err := Rewrite(context.Background(), bytes.NewReader(source), &got, o, func(dst []byte, c Chunk) ([]byte, error) {
					if inPlace {
						copy(c.Data, bytes.ToUpper(c.Data))
						return c.Data, nil
					}
					return append(dst, bytes.ToUpper(c.Data)...), nil
				})
				require.NoError(t, err)
				require.True(t, bytes.Equal(want, got.Bytes()), "workers %d, size %d", workers, size)
				require.Equal(t, 1.0, last)
			}
		}
	}
}

// Chunks are the same whatever the workers and however the reader delivers, and none ends
// inside a statement.
func TestChunksAreDeterministic(t *testing.T) {
	source := text(2, 50_000)
	source = append(source, bytes.Repeat([]byte("y"), 3000)...) // grows a chunk
	source = append(source, text(3, 5000)...)
	chunks := func(workers int, r io.Reader) (ends []int64) {
		next := 0
		o := Options{Workers: workers, Size: 500, Cut: AfterJoinedLine}
		err := Fold(context.Background(), r, o,
			func(c Chunk, _ int) (int, error) { return c.Index, nil },
			func(c Chunk, index int) (int, error) {
				require.Equal(t, next, index)
				next++
				end := c.Offset + int64(len(c.Data))
				require.Equal(t, source[c.Offset:end], c.Data)
				require.Equal(t, end == int64(len(source)), c.Last)
				if !c.Last {
					require.Equal(t, len(c.Data), AfterJoinedLine(append(c.Data[:len(c.Data):len(c.Data)], '.')))
				}
				ends = append(ends, end)
				return 0, nil
			})
		require.NoError(t, err)
		return ends
	}
	want := chunks(1, bytes.NewReader(source))
	require.Greater(t, len(want), 50)
	require.Equal(t, int64(len(source)), want[len(want)-1])
	require.Equal(t, want, chunks(4, bytes.NewReader(source)))
	require.Equal(t, want, chunks(3, iotest.HalfReader(bytes.NewReader(source))))
}

func TestErrorsComeInOrder(t *testing.T) {
	source := text(4, 20_000)
	early, late := errors.New("early"), errors.New("late")
	var release = make(chan struct{})
	err := Rewrite(context.Background(), bytes.NewReader(source), io.Discard, Options{Workers: 2, Size: 200},
		func(dst []byte, c Chunk) ([]byte, error) {
			switch c.Index {
			case 3:
				<-release
				return nil, early
			case 4:
				close(release)
				return nil, late
			}
			return dst, nil
		})
	require.Equal(t, early, err)

	broken := errors.New("broken disk")
	merged := 0
	err = Fold(context.Background(), io.MultiReader(bytes.NewReader(source), iotest.ErrReader(broken)), Options{Size: 200},
		func(c Chunk, _ int) (int, error) { return len(c.Data), nil },
		func(c Chunk, n int) (int, error) { merged += n; return 0, nil })
	require.ErrorIs(t, err, broken)
	require.Greater(t, merged, len(source)-400)

	full := errors.New("full")
	err = Rewrite(context.Background(), bytes.NewReader(source), failing{full}, Options{Size: 200},
		func(dst []byte, c Chunk) ([]byte, error) { return c.Data, nil })
	require.ErrorIs(t, err, full)
}

type failing struct{ err error }

func (f failing) Write([]byte) (int, error) { return 0, f.err }

func TestLongLines(t *testing.T) {
	keep := func(dst []byte, c Chunk) ([]byte, error) { return c.Data, nil }
	long := append(bytes.Repeat([]byte("z"), MaxSize-10), "\nshort\n"...)
	var got bytes.Buffer
	require.NoError(t, Rewrite(context.Background(), bytes.NewReader(long), &got, Options{}, keep))
	require.True(t, bytes.Equal(long, got.Bytes()))

	long = bytes.Repeat([]byte("z"), MaxSize+10)
	err := Rewrite(context.Background(), bytes.NewReader(long), io.Discard, Options{}, keep)
	require.ErrorIs(t, err, ErrTooLong)
}

func TestCancel(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	var chunks atomic.Int64
	err := Rewrite(ctx, endless{}, io.Discard, Options{Size: 1000}, func(dst []byte, c Chunk) ([]byte, error) {
		if chunks.Add(1) == 10 {
			cancel()
		}
		return c.Data, nil
	})
	require.Equal(t, context.Canceled, err)
}

type endless struct{}

func (endless) Read(p []byte) (int, error) {
	for i := range p {
		p[i] = '\n'
	}
	return len(p), nil
}

func TestPanicReachesTheCaller(t *testing.T) {
	require.PanicsWithValue(t, "lines: chunk at byte 0: oops", func() {
		_ = Rewrite(context.Background(), strings.NewReader("a\n"), io.Discard, Options{}, func([]byte, Chunk) ([]byte, error) {
			panic("oops")
		})
	})
}

func TestNothing(t *testing.T) {
	require.NoError(t, Fold(context.Background(), strings.NewReader(""), Options{},
		func(c Chunk, _ int) (int, error) { t.Fatal("no chunk"); return 0, nil },
		func(c Chunk, _ int) (int, error) { return 0, nil }))
}

// Lines as long as they may be, one after another: only one such chunk is under way.
func TestLongLinesAreBounded(t *testing.T) {
	line := append(bytes.Repeat([]byte("z"), MaxSize-100), '\n')
	const n = 30
	readers := make([]io.Reader, n)
	for i := range readers {
		readers[i] = bytes.NewReader(line)
	}
	var under, most, total atomic.Int64
	err := Fold(context.Background(), io.MultiReader(readers...), Options{Workers: 4},
		func(c Chunk, _ int64) (int64, error) {
			size := int64(len(c.Data))
			now := under.Add(size)
			for m := most.Load(); now > m && !most.CompareAndSwap(m, now); m = most.Load() {
			}
			return size, nil
		},
		func(_ Chunk, size int64) (int64, error) {
			under.Add(-size)
			total.Add(size)
			return 0, nil
		})
	require.NoError(t, err)
	require.Equal(t, int64(n*len(line)), total.Load())
	require.LessOrEqual(t, most.Load(), int64(2*MaxSize))
}

// What fits is what a reader takes, wherever the line ends are.
func TestFits(t *testing.T) {
	long := strings.Repeat("x", MaxSize)
	for _, data := range []string{
		"", "a\n", long, long[1:], long[1:] + "\n", long[2:] + "\n", "a\n" + long[1:] + "\nb\n", "a\n" + long[2:] + "\nb\n",
		strings.Repeat("short\n", MaxSize/5), strings.Repeat("short\n", MaxSize/5) + long + "\n",
	} {
		err := Rewrite(context.Background(), strings.NewReader(data), io.Discard, Options{}, func(_ []byte, c Chunk) ([]byte, error) { return c.Data, nil })
		require.Equal(t, err == nil, Fits(AfterLine, []byte(data)), "%d bytes: %v", len(data), err)
	}
}
