package obj

import (
	"context"
	"encoding/binary"
	"fmt"
	"math"
	"math/rand/v2"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"unicode/utf16"

	"github.com/stretchr/testify/require"

	"scantling/engine/geom"
	"scantling/engine/mesh"
)

// The plain reader that the fast one is held against: the whole text in memory, line by
// line, word by word, with nothing clever in it. It knows well-formed files only, and
// convex polygons.

type plainPart struct {
	name      string
	triangles [][3]geom.Vec
}

func plainLines(text string) []string {
	text = strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(strings.TrimPrefix(text, "\ufeff"))
	var joined []string
	open := ""
	for _, l := range strings.Split(text, "\n") {
		l = open + l
		open = ""
		if strings.HasSuffix(l, `\`) && !strings.Contains(l, "#") {
			open = strings.TrimSuffix(l, `\`) + " "
			continue
		}
		joined = append(joined, l)
	}
	return append(joined, open)
}

func plainRead(text, stem string) []plainPart {
	statements := plainLines(text)
	var vertices []geom.Vec
	number := func(w string) float64 {
		v, err := strconv.ParseFloat(w, 64)
		if err != nil {
			panic(err)
		}
		return v
	}
	objects := false
	for _, s := range statements {
		w := strings.Fields(s)
		if len(w) > 0 && w[0] == "v" {
			vertices = append(vertices, geom.Vec{number(w[1]), number(w[2]), number(w[3])})
		}
		objects = objects || len(w) > 0 && w[0] == "o"
	}
	var parts []plainPart
	var all plainPart
	owner := map[int]string{}
	shared := false
	now, seen := "", 0
	for _, s := range statements {
		s, _, _ = strings.Cut(s, "#")
		w := strings.Fields(s)
		if len(w) == 0 {
			continue
		}
		switch w[0] {
		case "v":
			seen++
		case "o", "g":
			if objects == (w[0] == "o") {
				now = strings.TrimSpace(strings.TrimSpace(s)[1:])
			}
		case "f":
			var at []int
			for _, c := range w[1:] {
				c, _, _ = strings.Cut(c, "/")
				k, err := strconv.Atoi(c)
				if err != nil {
					panic(err)
				}
				if k < 0 {
					k += seen + 1
				}
				at = append(at, k-1)
				if o, ok := owner[k-1]; ok && o != now {
					shared = true
				}
				owner[k-1] = now
			}
			p := (*plainPart)(nil)
			for i := range parts {
				if parts[i].name == now {
					p = &parts[i]
				}
			}
			if p == nil {
				parts = append(parts, plainPart{name: now})
				p = &parts[len(parts)-1]
			}
			for i := 1; i+1 < len(at); i++ {
				triangle := [3]geom.Vec{vertices[at[0]], vertices[at[i]], vertices[at[i+1]]}
				p.triangles = append(p.triangles, triangle)
				all.triangles = append(all.triangles, triangle)
			}
		}
	}
	if !objects && shared && len(parts) > 1 {
		parts = []plainPart{all}
	}
	for i := range parts {
		if parts[i].name == "" {
			parts[i].name = stem
		}
	}
	return parts
}

// skeleton is a text without what a copy may change.
func skeleton(text string) string {
	gap := `(?:[ \t]|\\\r\n|\\\n|\\\r)+`
	v := regexp.MustCompile(`(?m)(^|\r)([ \t]*v` + gap + `)[-+.0-9eE]+(` + gap + `)[-+.0-9eE]+(` + gap + `)[-+.0-9eE]+`)
	return v.ReplaceAllString(text, "${1}${2}X${3}Y${4}Z")
}

// randomText is a well-formed file of all kinds of spelling.
func randomText(r *rand.Rand) string {
	var b strings.Builder
	ends := [][]string{{"\n"}, {"\r\n"}, {"\r"}, {"\n", "\r\n", "\r", "\n\n"}}[r.IntN(4)]
	end := func() string { return ends[r.IntN(len(ends))] }
	gap := func() string {
		switch r.IntN(12) {
		case 0:
			return "\t"
		case 1:
			return "   "
		case 2:
			return ` \` + ends[r.IntN(min(3, len(ends)))] + " "
		}
		return " "
	}
	style := r.IntN(3)
	wide := r.IntN(2) == 0
	num := func() string {
		v := (r.Float64() - 0.5) * math.Pow(10, float64(r.IntN(4)))
		if !wide {
			v = float64(float32(v))
		}
		switch style {
		case 0:
			return strconv.FormatFloat(v, 'f', 6, 64)
		case 1:
			return strconv.FormatFloat(v, 'g', -1, 32)
		}
		return strconv.FormatFloat(v, 'e', 17, 64)
	}
	vertices := 0
	names := []string{"hull", "mast top", "winch"}
	keyword := []string{"o", "g", ""}[r.IntN(3)]
	apart := r.IntN(2) == 0 // each group has vertices of its own
	own := 0
	polygon := func(n int) {
		// A regular polygon in a plane of constant z: convex and flat after rounding.
		cx, cy, z, radius := num(), num(), num(), 5+r.Float64()
		x0, _ := strconv.ParseFloat(cx, 64)
		y0, _ := strconv.ParseFloat(cy, 64)
		for i := range n {
			a := 2 * math.Pi * float64(i) / float64(n)
			fmt.Fprintf(&b, "v%s%s%s%s%s%s%s", gap(), strconv.FormatFloat(x0+radius*math.Cos(a), 'f', 4, 64), gap(),
				strconv.FormatFloat(y0+radius*math.Sin(a), 'f', 4, 64), gap(), z, end())
			vertices++
		}
	}
	form := func(k int) string {
		if r.IntN(3) == 0 {
			k -= vertices + 1
		}
		return fmt.Sprintf([]string{"%d", "%d/1", "%d//2", "%d/3/-4"}[r.IntN(4)], k)
	}
	for range 5 + r.IntN(40) {
		switch r.IntN(9) {
		case 0:
			b.WriteString("# winch v 1 2 3 " + []string{"", `\`}[r.IntN(2)] + end())
		case 1:
			if keyword != "" {
				b.WriteString(keyword + " " + names[r.IntN(len(names))] + end())
				if apart {
					own = vertices
				}
			}
		case 2:
			b.WriteString("vt" + gap() + "0.5 0.25" + end() + "vn 0 0 1" + end() + "usemtl steel" + end())
		case 3, 4:
			n := 3 + r.IntN(6)
			first := vertices + 1
			polygon(n)
			b.WriteString([]string{"f", " f", "\tf"}[r.IntN(3)])
			for i := range n {
				b.WriteString(gap() + form(first+i))
			}
			b.WriteString([]string{"", " ", " # face"}[r.IntN(3)] + end())
		case 5, 6:
			for range 1 + r.IntN(9) {
				fmt.Fprintf(&b, "%sv%s%s%s%s%s%s%s%s", []string{"", " ", "\t"}[r.IntN(3)], gap(), num(), gap(), num(), gap(), num(),
					[]string{"", " 1", " 0.1 0.2 0.3", " # corner", "\t"}[r.IntN(5)], end())
				vertices++
			}
		case 7, 8:
			if n := vertices - own; n >= 1 {
				k := func() string { return form(own + 1 + r.IntN(n)) }
				fmt.Fprintf(&b, "f%s%s%s%s%s%s%s", gap(), k(), gap(), k(), gap(), k(), end())
			}
		}
	}
	polygon(3)
	b.WriteString("f -3 -2 -1" + []string{"", "\n"}[r.IntN(2)])
	return b.String()
}

// stored is a text in one of the encodings.
func stored(text string, e encoding) []byte {
	if e == utf8 {
		return []byte(text)
	}
	var b []byte
	for _, u := range append([]uint16{0xfeff}, utf16.Encode([]rune(text))...) {
		if e == utf16le {
			b = binary.LittleEndian.AppendUint16(b, u)
		} else {
			b = binary.BigEndian.AppendUint16(b, u)
		}
	}
	return b
}

func loaded(b []byte, e encoding) string {
	if e == utf8 {
		return string(b)
	}
	var units []uint16
	for i := 0; i+1 < len(b); i += 2 {
		units = append(units, e.unit(b, i))
	}
	return strings.TrimPrefix(string(utf16.Decode(units)), "\ufeff")
}

// The fast reader gives what the plain one gives, whatever the spelling, the encoding, the
// size of the pieces and the number of workers, and so does what it rescales.
func TestAgainstPlainReader(t *testing.T) {
	seed := rand.Uint64()
	t.Logf("seed %d", seed)
	r := rand.New(rand.NewPCG(seed, 0))
	ctx := context.Background()
	manyParts := 0
	for range 150 {
		text := randomText(r)
		e := encoding(r.IntN(3))
		path := save(t, "part.obj", stored(text, e))
		var first *File
		for _, tune := range []tuning{{}, {60, 1}, {200, 3}, {200, 1}} {
			f, err := open(ctx, path, tune, nil)
			require.NoError(t, err, "%q", text)
			plain := plainRead(text, "part")
			require.Len(t, f.parts, len(plain), "%q", text)
			for i, p := range plain {
				require.Equal(t, p.name, f.parts[i].Name, "%q", text)
				acc := mesh.NewAccumulator(p.triangles[0][0])
				for _, c := range p.triangles {
					acc.Add(c[0], c[1], c[2])
				}
				sameSurface(t, acc.Measures(), f.parts[i].Measures)
				m, err := f.Mesh(ctx, i, nil)
				require.NoError(t, err)
				sameTriangles(t, f.wide, p.triangles, m)
			}
			if len(plain) > 1 {
				manyParts++
			}
			if tune.size == 200 {
				if first != nil {
					require.Equal(t, first.parts, f.parts, "as many workers as may be, the same bits: %q", text)
				}
				first = f
			}

			factor := []float64{0.235, 25.4, 1 / 87.1}[r.IntN(3)]
			copied := loaded([]byte(rescaled(t, f, factor)), e)
			require.Equal(t, skeleton(text), skeleton(copied))
			for i, p := range plainRead(copied, "part") {
				for j, c := range p.triangles {
					for k, v := range c {
						for axis := range v {
							want := plain[i].triangles[j][k][axis] * factor
							if !f.wide {
								// Printed as float32, it reads back as the float64 next to the
								// digits, not as the float32.
								require.Equal(t, float32(want), float32(v[axis]))
							} else {
								require.Equal(t, want, v[axis])
							}
						}
					}
				}
			}
		}
	}
	require.Greater(t, manyParts, 20)
}

func sameTriangles(t *testing.T, wide bool, plain [][3]geom.Vec, m *mesh.Mesh) {
	t.Helper()
	require.Equal(t, len(plain), m.Len())
	for i, p := range plain {
		for k, v := range m.Corners(i) {
			got := m.Vertex(v)
			for axis := range got {
				want := p[k][axis]
				if !wide {
					want = float64(float32(want))
				}
				require.InDelta(t, want, got[axis], 1e-4*math.Abs(want-m.Origin[axis])+1e-12, "triangle %d", i)
				if !wide {
					require.Equal(t, want, got[axis])
				}
			}
		}
	}
}
