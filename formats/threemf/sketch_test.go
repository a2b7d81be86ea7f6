package threemf

import (
	"archive/zip"
	"bytes"
	"fmt"
	"hash/crc32"
	"io"
	"strings"
)

// A sketch is a package in the making: parts in order.
type sketch []part

type part struct {
	name, text string
}

const relsOfRoot = `<Relationships xmlns="` + relationsURI + `"><Relationship Type="` + modelRelation + `" Target="/3D/3dmodel.model" Id="r"/></Relationships>`

const typesText = xmlHead + `<Types xmlns="` + contentTypesURI + `"><Default Extension="rels" ContentType="` + relationsType + `"/>` +
	`<Default Extension="model" ContentType="` + modelType + `"/><Default Extension="png" ContentType="image/png"/></Types>`

// packed is a package with the usual frame around a model, and more parts.
func packed(model string, more ...part) []byte {
	return sketch(append([]part{{"[Content_Types].xml", typesText}, {"_rels/.rels", relsOfRoot}, {"3D/3dmodel.model", model}}, more...)).zip()
}

// bare is a package with no more than is needed to read it: so small that all prefixes of it
// are tried.
func bare(model string) []byte {
	return sketch{{"_rels/.rels", relsOfRoot}, {"3D/3dmodel.model", model}}.zip()
}

func (s sketch) zip() []byte {
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, p := range s {
		method := zip.Deflate
		if !strings.HasSuffix(p.name, ".model") { // as most parts of a package are: small, or packed already
			method = zip.Store
		}
		w, err := z.CreateHeader(&zip.FileHeader{Name: p.name, Method: method, ModifiedDate: 1<<5 | 1})
		if err != nil {
			panic(err)
		}
		if _, err := w.Write([]byte(p.text)); err != nil {
			panic(err)
		}
	}
	if err := z.Close(); err != nil {
		panic(err)
	}
	return b.Bytes()
}

// model is the text of a model: attributes of its element beyond the namespace, resources
// and build.
func modelText(attributes, resources, build string) string {
	return `<model xmlns="` + coreURI + `" ` + attributes + "><resources>" + resources + "</resources><build>" + build + "</build></model>"
}

// box is a mesh of a box with a corner at the origin, closed and facing out.
func box(x, y, z string) string {
	var b strings.Builder
	b.WriteString("<mesh><vertices>")
	for i := range 8 {
		at := [3]string{"0", "0", "0"}
		for axis, size := range []string{x, y, z} {
			if i>>axis&1 == 1 {
				at[axis] = size
			}
		}
		fmt.Fprintf(&b, `<vertex x="%s" y="%s" z="%s"/>`, at[0], at[1], at[2])
	}
	b.WriteString("</vertices><triangles>")
	for _, t := range [][3]int{{0, 2, 1}, {1, 2, 3}, {4, 5, 6}, {5, 7, 6}, {0, 1, 4}, {1, 5, 4}, {2, 6, 3}, {3, 6, 7}, {0, 4, 2}, {2, 4, 6}, {1, 3, 5}, {3, 7, 5}} {
		fmt.Fprintf(&b, `<triangle v1="%d" v2="%d" v3="%d"/>`, t[0], t[1], t[2])
	}
	b.WriteString("</triangles></mesh>")
	return b.String()
}

// object is an object around a mesh or components.
func objectText(id int, attributes, inside string) string {
	return fmt.Sprintf(`<object id="%d" %s>%s</object>`, id, attributes, inside)
}

// tetra is the smallest closed mesh.
const tetra = `<mesh><vertices><vertex x="0" y="0" z="0"/><vertex x="1" y="0" z="0"/><vertex x="0" y="1" z="0"/><vertex x="0" y="0" z="1"/></vertices>` +
	`<triangles><triangle v1="0" v2="2" v3="1"/><triangle v1="0" v2="1" v3="3"/><triangle v1="0" v2="3" v3="2"/><triangle v1="1" v2="2" v3="3"/></triangles></mesh>`

// unpacked is what is in a package, in order.
func unpacked(b []byte) (sketch, error) {
	z, err := zip.NewReader(bytes.NewReader(b), int64(len(b)))
	if err != nil {
		return nil, err
	}
	var s sketch
	for _, f := range z.File {
		r, err := f.Open()
		if err != nil {
			return nil, err
		}
		text, err := io.ReadAll(r)
		if err != nil {
			return nil, err
		}
		s = append(s, part{f.Name, string(text)})
	}
	return s, nil
}

// storedZip is a package of parts that are not packed, with their sizes before them.
func storedZip(s sketch) []byte {
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, p := range s {
		n := uint64(len(p.text))
		w, err := z.CreateRaw(&zip.FileHeader{Name: p.name, Method: zip.Store, ModifiedDate: 1<<5 | 1,
			CRC32: crc32.ChecksumIEEE([]byte(p.text)), CompressedSize64: n, UncompressedSize64: n})
		if err != nil {
			panic(err)
		}
		if _, err := w.Write([]byte(p.text)); err != nil {
			panic(err)
		}
	}
	if err := z.Close(); err != nil {
		panic(err)
	}
	return b.Bytes()
}
