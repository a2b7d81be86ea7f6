package threemf

import (
	"context"
	"encoding/xml"
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/geom"
	"scantling/engine/mesh"
)

// The plain way to read a model of one part: all of it at once, by the standard library.
type plainModel struct {
	XMLName xml.Name
	Objects []struct {
		ID       int `xml:"id,attr"`
		Vertices []struct {
			X float64 `xml:"x,attr"`
			Y float64 `xml:"y,attr"`
			Z float64 `xml:"z,attr"`
		} `xml:"mesh>vertices>vertex"`
		Triangles []struct {
			A int `xml:"v1,attr"`
			B int `xml:"v2,attr"`
			C int `xml:"v3,attr"`
		} `xml:"mesh>triangles>triangle"`
		Components []plainReference `xml:"components>component"`
	} `xml:"resources>object"`
	Items []plainReference `xml:"build>item"`
}

type plainReference struct {
	ID        int    `xml:"objectid,attr"`
	Transform string `xml:"transform,attr"`
}

// matrix is the 4×4 matrix of a reference, by rows.
func (r plainReference) matrix() [4][4]float64 {
	m := [4][4]float64{{1, 0, 0, 0}, {0, 1, 0, 0}, {0, 0, 1, 0}, {0, 0, 0, 1}}
	for i, field := range strings.Fields(r.Transform) {
		m[i/3][i%3], _ = strconv.ParseFloat(field, 64)
	}
	return m
}

func product(a, b [4][4]float64) (c [4][4]float64) {
	for i := range 4 {
		for j := range 4 {
			for k := range 4 {
				c[i][j] += a[i][k] * b[k][j]
			}
		}
	}
	return c
}

// triangles are those of a reference, where they are.
func (m *plainModel) triangles(r plainReference, below [4][4]float64) (list [][3]geom.Vec) {
	place := product(r.matrix(), below)
	turned := place[0][0]*(place[1][1]*place[2][2]-place[1][2]*place[2][1]) - place[0][1]*(place[1][0]*place[2][2]-place[1][2]*place[2][0]) +
		place[0][2]*(place[1][0]*place[2][1]-place[1][1]*place[2][0])
	for _, o := range m.Objects {
		if o.ID != r.ID {
			continue
		}
		point := func(i int) (p geom.Vec) {
			v := [4]float64{o.Vertices[i].X, o.Vertices[i].Y, o.Vertices[i].Z, 1}
			for axis := range p {
				for k := range v {
					p[axis] += v[k] * place[k][axis]
				}
			}
			return p
		}
		for _, t := range o.Triangles {
			corners := [3]geom.Vec{point(t.A), point(t.B), point(t.C)}
			if turned < 0 {
				corners[1], corners[2] = corners[2], corners[1]
			}
			list = append(list, corners)
		}
		for _, c := range o.Components {
			list = append(list, m.triangles(c, place)...)
		}
	}
	return list
}

// randomModel is a model of some meshes, objects composed of them and items, with any
// transforms.
func randomModel(r *rand.Rand) string {
	number := func() string { return strconv.FormatFloat(math.Round((r.Float64()-0.5)*1e5)/1e3, 'g', -1, 64) }
	place := func() string {
		if r.IntN(3) == 0 {
			return ""
		}
		linear := "1 0 0 0 1 0 0 0 1"
		if r.IntN(2) == 0 {
			var list []string
			for range 9 {
				list = append(list, strconv.FormatFloat(math.Round((r.Float64()-0.5)*40)/10, 'g', -1, 64))
			}
			linear = strings.Join(list, " ")
		}
		return fmt.Sprintf(` transform="%s %s %s %s"`, linear, number(), number(), number())
	}
	var resources, build strings.Builder
	meshes := 1 + r.IntN(4)
	objects := meshes + r.IntN(4)
	for id := 1; id <= objects; id++ {
		fmt.Fprintf(&resources, `<object id="%d" name="part %d">`, id, id)
		if id <= meshes {
			n := 4 + r.IntN(8)
			resources.WriteString("<mesh><vertices>")
			for range n {
				fmt.Fprintf(&resources, `<vertex x="%s" y="%s" z="%s"/>`, number(), number(), number())
			}
			resources.WriteString("</vertices><triangles>")
			for range 1 + r.IntN(9) {
				fmt.Fprintf(&resources, `<triangle v1="%d" v2="%d" v3="%d"/>`, r.IntN(n), r.IntN(n), r.IntN(n))
			}
			resources.WriteString("</triangles></mesh>")
		} else {
			resources.WriteString("<components>")
			for range 1 + r.IntN(3) {
				fmt.Fprintf(&resources, `<component objectid="%d"%s/>`, 1+r.IntN(id-1), place())
			}
			resources.WriteString("</components>")
		}
		resources.WriteString("</object>")
	}
	for range 1 + r.IntN(4) {
		fmt.Fprintf(&build, `<item objectid="%d"%s/>`, 1+r.IntN(objects), place())
	}
	return modelText("", resources.String(), build.String())
}

// Whatever is composed of what and turned how: the parts are those that the plain way gives,
// and so are those of a copy.
func TestAgreesWithThePlainWay(t *testing.T) {
	const seed = 3
	r := rand.New(rand.NewPCG(seed, 0))
	for n := range 150 {
		text := randomModel(r)
		var plain plainModel
		require.NoError(t, xml.Unmarshal([]byte(text), &plain))
		f := opened(t, packed(text))
		require.Len(t, f.Parts(), len(plain.Items))
		for i, p := range f.Parts() {
			one := plainReference{}.matrix()
			want := plain.triangles(plain.Items[i], one)
			about := want[0][0]
			sum := mesh.NewAccumulator(about)
			largest := 1.0
			for _, c := range want {
				sum.Add(c[0], c[1], c[2])
				for _, v := range c {
					largest = max(largest, v.Len())
				}
			}
			m := sum.Measures()
			require.Equal(t, m.Triangles, p.Triangles, "model %d", n)
			for axis := range 3 {
				require.InDelta(t, m.Box.Min[axis], p.Box.Min[axis], 1e-12*largest)
				require.InDelta(t, m.Box.Max[axis], p.Box.Max[axis], 1e-12*largest)
			}
			require.InDelta(t, m.Area, p.Area, 1e-11*largest*largest)
			got, err := f.Mesh(context.Background(), i, nil)
			require.NoError(t, err)
			require.Equal(t, len(want), got.Len())
			// The same triangles, in whatever order.
			sums := map[string]int{}
			name := func(a, b, c geom.Vec) string { return fmt.Sprintf("%.3f", a.Add(b).Add(c).Scale(1/largest)) }
			for k, c := range want {
				sums[name(c[0], c[1], c[2])]++
				sums[name(got.Triangle(k))]--
			}
			for where, count := range sums {
				require.Zero(t, count, "model %d: triangles at %s", n, where)
			}
		}
	}
}
