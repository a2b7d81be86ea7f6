package threemf

import (
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"os"
	"path/filepath"
	"sort"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/formats/formattest"
	"scantling/formats/internal/fault"
)

// vectorFolder has the test files. They are made here, so that what is in them can be read;
// SCANTLING_UPDATE=1 writes them anew.
const vectorFolder = "../../testdata/3mf"

// leastVectors is how many there were when this was last looked at.
const leastVectors = 60

func TestFormat(t *testing.T) {
	open := func(ctx context.Context, path string) (formattest.File, error) { return Open(ctx, path, nil) }
	formattest.Run(t, open, vectorFolder, leastVectors, ".3mf")
}

// A vector is one file and what it must give.
type vector struct {
	name  string
	bytes []byte
	want  []string // lines of the .want file
}

func TestVectorsAreWhatIsMadeHere(t *testing.T) {
	made := map[string][]byte{}
	for _, v := range vectors() {
		require.NotContains(t, made, v.name+".3mf", "two vectors of one name")
		made[v.name+".3mf"] = v.bytes
		made[v.name+".want"] = []byte(strings.Join(v.want, "\n") + "\n")
	}
	if os.Getenv("SCANTLING_UPDATE") != "" {
		require.NoError(t, os.RemoveAll(vectorFolder))
		require.NoError(t, os.MkdirAll(vectorFolder, 0o755))
		for name, b := range made {
			require.NoError(t, os.WriteFile(filepath.Join(vectorFolder, name), b, 0o644))
		}
	}
	entries, err := os.ReadDir(vectorFolder)
	require.NoError(t, err)
	there := map[string]bool{}
	for _, e := range entries {
		there[e.Name()] = true
	}
	var names []string
	for name := range made {
		names = append(names, name)
	}
	sort.Strings(names)
	for _, name := range names {
		b, err := os.ReadFile(filepath.Join(vectorFolder, name))
		require.NoError(t, err)
		delete(there, name)
		if strings.HasSuffix(name, ".want") || bytes.Equal(b, made[name]) {
			require.Equal(t, string(made[name]), string(b), name)
			continue
		}
		// Another version of the library may pack the same parts otherwise.
		was, err := unpacked(b)
		is, errToo := unpacked(made[name])
		require.True(t, err == nil && errToo == nil && len(is) > 0, "%s differs from what is made here", name)
		require.Equal(t, is, was, name)
	}
	require.Empty(t, there, "files that are not made here")
}

func vectors() []vector { return append(goodVectors(), badVectors()...) }

func good(name, why string, b []byte, triangles int, more ...string) vector {
	return vector{name, b, append([]string{"expect: ok", "why: " + why, "from: made by formats/threemf", fmt.Sprintf("triangles: %d", triangles)}, more...)}
}

func bad(name, why string, b []byte, code fault.Code, more ...string) vector {
	return vector{name, b, append([]string{"expect: " + string(code), "why: " + why, "from: made by formats/threemf"}, more...)}
}

const (
	productionNS = `xmlns:p="http://schemas.microsoft.com/3dmanufacturing/production/2015/06"`
	materialNS   = `xmlns:m="http://schemas.microsoft.com/3dmanufacturing/material/2015/02"`
	sliceNS      = `xmlns:s="http://schemas.microsoft.com/3dmanufacturing/slice/2015/07"`
	beamNS       = `xmlns:b="http://schemas.microsoft.com/3dmanufacturing/beamlattice/2017/02"`
	ballNS       = `xmlns:b2="http://schemas.microsoft.com/3dmanufacturing/beamlattice/balls/2020/07"`
	foreignNS    = `xmlns:v="urn:invented:bolts"`
)

const quarter = "0 1 0 -1 0 0 0 0 1" // about z, to the left

func goodVectors() []vector {
	hull := objectText(1, `name="hull"`, box("10", "20", "30"))
	hullWant := []string{"parts: 1", "names: hull", "closed: yes", "size: 10 20 30", "area: 2200", "volume: 6000"}
	one := `<item objectid="1"/>`
	// small is a model in as few words as will do.
	small := modelText("", objectText(1, "", tetra), one)
	list := []vector{
		good("tetrahedron", "the least that is a model", bare(small), 4, "parts: 1", "names: tetrahedron", "encoding: zip", "closed: yes", "size: 1 1 1", "volume: 0.16666667", "notes:"),
		good("box", "one object, one item", packed(modelText(`unit="millimeter" xml:lang="en-US"`, hull, one)), 12, hullWant...),
		good("stored", "parts that are not packed", stored(bare(small)), 4, "closed: yes", "names: stored"),
		good("declaration", "an XML declaration, a byte order mark, comments, an instruction, CDATA",
			packed("\xef\xbb\xbf<?xml version='1.0' encoding='utf-8' standalone=\"yes\"?>\n<!-- <vertex x=\"9\"/> > -- - -->\n<?keep this?>"+
				strings.Replace(modelText("", hull, one), "<resources>", `<metadata name="Title"><![CDATA[a <b> & ]] c]]></metadata><resources><!---->`, 1)+"\n<!-- end -->\n"), 12, hullWant...),
		good("blanks", "line ends and blanks wherever XML allows them",
			packed(strings.NewReplacer("><", ">\r\n\t <", " x=", "\n\tx\t=\r\n", "/>", "\n/>", `"10"`, "' 10\t'", "</vertices>", "</vertices \n>").Replace(modelText("", hull, one))), 12, hullWant...),
		good("prefixed", "the core namespace has a prefix",
			packed(strings.NewReplacer("</", "</c:", "<", "<c:", "xmlns=", "xmlns:c=").Replace(modelText("", hull, one))), 12, hullWant...),
		good("numbers", "all ways to write a number",
			packed(strings.NewReplacer(`"10"`, `"+1.e1"`, `"20"`, `"2E+01"`, `"30"`, `"0.030000e3"`, `x="0"`, `x="-0.0"`).Replace(modelText("", hull, one))), 12, "closed: yes", "size: 10 20 30"),
		good("wide", "numbers that float32 does not hold",
			packed(modelText("", objectText(1, `name="mast"`, box("10.123456789012", "20", "30")), `<item objectid="1" transform="1 0 0 0 1 0 0 0 1 100000.123456789 0 0"/>`)), 12,
			"closed: yes", "size: 10.123456789012 20 30"),
		good("several", "three objects, four items, each moved",
			packed(modelText("", hull+objectText(2, `name="mast"`, box("2", "2", "60"))+objectText(7, `name="never built"`, tetra),
				one+`<item objectid="2" transform="1 0 0 0 1 0 0 0 1 20 0 0"/><item objectid="2" transform="1 0 0 0 1 0 0 0 1 -5.5 0 0"/><item objectid="1" transform="1 0 0 0 1 0 0 0 1 0 50 0" partnumber="7"/>`)), 48,
			"parts: 4", "names: hull, mast, mast, hull", "closed: yes", "size: 27.5 70 60", "volume: 12480"),
		good("turned", "an item turned a quarter about z",
			packed(modelText("", hull, `<item objectid="1" transform="`+quarter+` 1 2 3"/>`)), 12, "closed: yes", "size: 20 10 30", "volume: 6000", "area: 2200"),
		good("mirrored", "a transform that mirrors keeps the sign of the volume",
			packed(modelText("", hull, `<item objectid="1" transform="-1 0 0 0 1 0 0 0 1 0 0 0"/>`)), 12, hullWant...),
		good("stretched", "a transform that stretches", packed(modelText("", hull, `<item objectid="1" transform="2 0 0 0 0.5 0 0 0 1 0 0 0"/>`)), 12,
			"closed: yes", "size: 20 10 30", "volume: 6000"),
		good("components", "an object of two, one of them of two again, one turned",
			packed(modelText("", hull+objectText(2, "", `<components><component objectid="1"/><component objectid="1" transform="`+quarter+` 50 0 0"/></components>`)+
				objectText(3, `name="tug"`, `<components><component objectid="2" transform="1 0 0 0 1 0 0 0 1 0 0 100"/><component objectid="1"/></components>`),
				`<item objectid="3"/>`)), 36, "parts: 1", "names: tug", "closed: yes", "size: 50 20 130", "volume: 18000"),
		good("named-below", "an object without a name has that of the only thing it is made of",
			packed(modelText("", hull+objectText(2, "", `<components><component objectid="1"/></components>`), `<item objectid="2"/>`)), 12, hullWant...),
		good("nameless", "items without names have the file's",
			packed(modelText("", objectText(1, "", tetra), one+one)), 8, "parts: 2", "names: nameless 1, nameless 2"),
		good("words", "names with references and blanks", packed(modelText("", objectText(1, `name=" bow &amp; stern &#x2693; &lt;a&gt; "`, tetra), one)), 4, "names: bow & stern ⚓ <a>"),
		good("supports", "supports are carried, not measured",
			packed(modelText("", hull+objectText(2, `type="support"`, box("1", "1", "90"))+objectText(3, `name="hull on stilts"`, `<components><component objectid="1"/><component objectid="2"/></components>`),
				`<item objectid="3"/>`)), 12, "names: hull on stilts", "size: 10 20 30", "notes: skipped-parts"),
		good("materials", "colours, textures and a thumbnail",
			packed(strings.Replace(modelText(materialNS+` requiredextensions="m"`,
				`<basematerials id="9"><base name="Oak" displaycolor="#806040"/></basematerials><m:texture2d id="4" path="/3D/Textures/planks.png" contenttype="image/png"/>`+
					`<m:texture2dgroup id="5" texid="4"><m:tex2coord u="0.25" v="1"/></m:texture2dgroup>`+
					strings.ReplaceAll(objectText(1, `name="hull" pid="5" pindex="0" thumbnail="/3D/thumb.png"`, box("10", "20", "30")), `v3="1"/>`, `v3="1" pid="5" p1="0" p2="0" p3="0"/>`), one),
				"<resources>", `<metadata name="Designer" preserve="1">Nobody</metadata><resources>`, 1),
				part{"3D/Textures/planks.png", "no picture"}, part{"3D/thumb.png", "none either"}, part{"Metadata/ticket.xml", "<ticket/>"}), 12, hullWant...),
		good("foreign", "an extension that is not required is carried, with its numbers",
			packed(modelText(foreignNS, `<v:bolt x="5" radius="2"><vertex x="1" y="2" z="3"/></v:bolt>`+
				strings.Replace(hull, "</triangles>", `</triangles><v:note x="1"/>`, 1), one), part{"3D/Other/bolts.bin", "\x00\x01"}), 12, hullWant...),
		good("lattice", "beams and balls beside triangles",
			packed(modelText(beamNS+" "+ballNS+` requiredextensions="b b2"`, strings.Replace(hull, "</triangles>",
				`</triangles><b:beamlattice minlength="0.0001" radius="1" b2:ballmode="all" b2:ballradius="0.25"><b:beams><b:beam v1="0" v2="7" r1="1.5" r2="2"/><b:beam v1="1" v2="6"/></b:beams>`+
					`<b2:balls><b2:ball vindex="0" r=".5"/></b2:balls></b:beamlattice>`, 1), one)), 12, append(hullWant, "notes: skipped-parts")...),
		good("beams-alone", "an object of beams is carried beside one of triangles",
			packed(modelText(beamNS+` requiredextensions="b"`, hull+objectText(2, `name="cage"`,
				`<mesh><vertices><vertex x="0" y="0" z="0"/><vertex x="5" y="0" z="0"/></vertices><triangles/><b:beamlattice minlength="0.1" radius="1"><b:beams><b:beam v1="0" v2="1"/></b:beams></b:beamlattice></mesh>`),
				one+`<item objectid="2"/>`)), 12, append(hullWant, "notes: skipped-parts, skipped-parts")...),
		good("production", "objects in models of their own",
			packed(modelText(productionNS+` requiredextensions="p"`,
				objectText(1, `name="tug"`, `<components><component objectid="1" p:path="/3D/hull.model" p:UUID="a"/><component objectid="5" p:path="/3D/mast.model" transform="1 0 0 0 1 0 0 0 1 0 0 30"/></components>`),
				one+`<item objectid="5" p:path="/3D/mast.model" transform="`+quarter+` 0 0 0"/>`),
				part{"3D/hull.model", modelText("", hull, `<item objectid="99"/>`)}, part{"3D/mast.model", modelText("", objectText(5, `name="mast"`, box("2", "2", "60")), "")},
				part{"3D/_rels/3dmodel.model.rels", `<Relationships xmlns="` + relationsURI + `"><Relationship Type="` + modelRelation + `" Target="/3D/hull.model" Id="a"/><Relationship Type="` + modelRelation + `" Target="mast.model" Id="b"/></Relationships>`}), 36,
			"parts: 2", "names: tug, mast", "closed: yes", "size: 12 20 90", "volume: 6480"),
		good("signed", "a package with a digital signature",
			sketch{{"_rels/.rels", strings.Replace(relsOfRoot, "</Rel", `<Relationship Type="`+originRelation+`" Target="/sign" Id="s"/></Rel`, 1)}, {"3D/3dmodel.model", small}, {"sign", ""}}.zip(),
			4, "notes: signed"),
		good("elsewhere", "the model has another name and the relationship is relative, in other letters",
			sketch{{"_rels/.rels", strings.Replace(relsOfRoot, "/3D/3dmodel.model", "Tug/HULL.model", 1)}, {"tug/hull.model", small}}.zip(), 4),
		good("flat", "a part without extent in one direction", packed(modelText("", objectText(1, `name="sheet"`, strings.ReplaceAll(tetra, `z="1"`, `z="0"`)), one)), 4, "size: 1 1 0"),
		good("point", "a part without any extent", packed(modelText("", objectText(1, `name="dot"`, strings.ReplaceAll(tetra, `="1"`, `="0"`)), one)), 4, "size: 0 0 0", "notes: zero-size"),
		good("same-corners", "a triangle that has a corner twice is one without area",
			packed(modelText("", objectText(1, "", strings.Replace(tetra, "</triangles>", `<triangle v1="1" v2="1" v3="2"/></triangles>`, 1)), one)), 5, "closed: yes"),
		good("unused-vertices", "vertices that no triangle uses do not count",
			packed(modelText("", objectText(1, "", strings.Replace(tetra, "</vertices>", `<vertex x="900" y="0" z="0"/></vertices>`, 1)), one)), 4, "size: 1 1 1"),
	}
	for _, u := range []string{"micron", "centimeter", "inch", "foot", "meter"} {
		list = append(list, good("unit-"+u, "a model in another unit", packed(modelText(`unit="`+u+`"`, hull, one)), 12, hullWant...))
	}
	return list
}

func badVectors() []vector {
	hull := objectText(1, `name="hull"`, box("10", "20", "30"))
	one := `<item objectid="1"/>`
	text := modelText("", hull, one)
	plain := packed(text)
	changed := func(old, new string) []byte {
		if !strings.Contains(text, old) {
			panic(old)
		}
		return packed(strings.Replace(text, old, new, 1))
	}
	twice := sketch{{"_rels/.rels", relsOfRoot}, {"3D/3dmodel.model", text}, {"3d/3DModel.model", text}}.zip()
	encrypted := bytes.Clone(plain)
	for _, mark := range []string{"PK\x03\x04", "PK\x01\x02"} { // the flags of the last part
		at := bytes.LastIndex(encrypted, []byte(mark)) + map[string]int{"PK\x03\x04": 6, "PK\x01\x02": 8}[mark]
		binary.LittleEndian.PutUint16(encrypted[at:], binary.LittleEndian.Uint16(encrypted[at:])|1)
	}
	damaged := bytes.Clone(stored(plain))
	damaged[bytes.Index(damaged, []byte(`name="hull"`))+7]++
	boom := hull
	for i := 2; i < 60; i++ {
		boom += objectText(i, "", strings.Repeat(fmt.Sprintf(`<components><component objectid="%d"/><component objectid="%d"/></components>`, i-1, i-1), 1))
	}
	list := []vector{
		bad("empty", "no bytes", nil, fault.Empty),
		bad("no-zip", "words", []byte("This is no model.\n"), fault.NotAModel),
		bad("cut", "ends within its parts", plain[:len(plain)/2], fault.Truncated),
		bad("no-parts", "an archive of nothing", sketch{}.zip(), fault.NotAModel),
		bad("other-archive", "an archive of something else", sketch{{"letter.txt", "Dear Sir,"}}.zip(), fault.NotAModel),
		bad("no-model", "the relationship leads to no part", sketch{{"_rels/.rels", relsOfRoot}}.zip(), fault.MissingFile),
		bad("twice", "two parts of one name but for letters' case", twice, fault.Syntax),
		bad("encrypted", "the model is encrypted", encrypted, fault.Unsupported),
		bad("damaged", "the checksum is not that of the model", damaged, fault.Syntax),
		bad("no-core", "another root element", packed(strings.ReplaceAll(text, coreURI, "urn:another")), fault.Unsupported, "line: 1"),
		bad("cut-model", "the model ends within its resources", packed(text[:len(text)/2]), fault.Truncated),
		bad("no-end", "the last end tag is missing", packed(strings.TrimSuffix(text, "</model>")), fault.Truncated),
		bad("wrong-end", "ends that do not match", changed("</vertices>", "</vertexes>"), fault.Syntax),
		bad("two-roots", "a second root element", packed(text+"<a/>"), fault.Syntax),
		bad("words-after", "words after the root element", packed(text+"end"), fault.Syntax),
		bad("doctype", "a document type definition, which could hold entities", packed(`<!DOCTYPE model [<!ENTITY a "aaaa">]>`+text), fault.Unsupported),
		bad("entity", "an entity that nobody defined", changed(`name="hull"`, `name="&hull;"`), fault.Syntax),
		bad("utf-16", "an encoding that 3MF does not allow", packed(`<?xml version="1.0" encoding="UTF-16"?>`+text), fault.Unsupported),
		bad("no-quotes", "an attribute without quotes", changed(`id="1"`, `id=1`), fault.Syntax),
		bad("attribute-twice", "an attribute twice", changed(`x="0"`, `x="0" x="1"`), fault.Syntax),
		bad("unit-unknown", "a unit that is not known", packed(modelText(`unit="cubit"`, hull, one)), fault.Syntax),
		bad("word-for-number", "a coordinate that is a word", changed(`x="10"`, `x="ten"`), fault.BadNumber),
		bad("decimal-comma", "a coordinate with a comma", changed(`x="10"`, `x="10,5"`), fault.BadNumber),
		bad("nan", "a coordinate that is not a number", changed(`x="10"`, `x="NaN"`), fault.BadNumber),
		bad("infinite", "a coordinate beyond all numbers", changed(`x="10"`, `x="1e999"`), fault.BadNumber),
		bad("two-coordinates", "a vertex without z", changed(` z="0"/>`, `/>`), fault.Syntax),
		bad("two-corners", "a triangle without a third corner", changed(` v3="1"/>`, `/>`), fault.Syntax),
		bad("index-past", "a triangle of a ninth vertex", changed(`v3="1"`, `v3="8"`), fault.BadIndex),
		bad("index-negative", "a negative index", changed(`v3="1"`, `v3="-1"`), fault.BadNumber),
		bad("index-huge", "an index beyond 32 bits", changed(`v3="1"`, `v3="4294967297"`), fault.BadNumber),
		bad("no-object", "an item of an object that is not there", packed(modelText("", hull, `<item objectid="2"/>`)), fault.BadIndex),
		bad("object-twice", "two objects of one number", packed(modelText("", hull+hull, one)), fault.Syntax),
		bad("no-id", "an object without a number", changed(`id="1"`, ``), fault.Syntax),
		bad("two-meshes", "an object with two meshes", packed(modelText("", objectText(1, "", tetra+tetra), one)), fault.Syntax),
		bad("nothing-built", "objects, but no item", packed(modelText("", hull, "")), fault.NoTriangles),
		bad("only-beams", "an object without triangles", packed(modelText("", objectText(1, "", "<mesh><vertices/><triangles/></mesh>"), one)), fault.NoTriangles),
		bad("own-component", "an object that contains itself", packed(modelText("", objectText(1, "", `<components><component objectid="1"/></components>`), one)), fault.Cycle),
		bad("cycle", "two objects that contain each other", packed(modelText("", objectText(1, "", `<components><component objectid="2"/></components>`)+
			objectText(2, "", `<components><component objectid="1"/></components>`), one)), fault.Cycle),
		bad("doubled-and-doubled", "fifty-eight objects, each of the former twice", packed(modelText("", boom, `<item objectid="59"/>`)), fault.Overfull),
		bad("short-transform", "a transform of eleven numbers", packed(modelText("", hull, `<item objectid="1" transform="1 0 0 0 1 0 0 0 1 0 0"/>`)), fault.Syntax),
		bad("transform-words", "a transform with a word", packed(modelText("", hull, `<item objectid="1" transform="1 0 0 0 1 0 0 0 1 0 0 up"/>`)), fault.BadNumber),
		bad("far-out", "a transform beyond all numbers", packed(modelText("", hull, `<item objectid="1" transform="1e308 0 0 0 1 0 0 0 1 0 0 0"/>`)), fault.BadNumber),
		bad("required-unknown", "requires an extension that is not known", packed(modelText(foreignNS+` requiredextensions="v"`, hull, one)), fault.Unsupported),
		bad("required-unnamed", "requires an extension without a namespace", packed(modelText(`requiredextensions="v"`, hull, one)), fault.Syntax),
		bad("other-unit", "an object of a model in another unit", packed(modelText(productionNS, "", `<item objectid="1" p:path="/3D/a.model"/>`), part{"3D/a.model", modelText(`unit="inch"`, hull, "")}), fault.Unsupported),
		bad("no-such-model", "an object of a model that is not there", packed(modelText(productionNS, "", `<item objectid="1" p:path="/3D/a.model"/>`)), fault.MissingFile),
		bad("line", "the third line has a stray sign", packed("<?xml version=\"1.0\"?>\r\n\r\n"+strings.Replace(text, "<build>", "<build><", 1)), fault.Syntax, "line: 3"),
		bad("deep", "three hundred elements in each other", packed(strings.Replace(text, "<build>", strings.Repeat("<a>", 300)+"<build>", 1)), fault.Syntax),
	}
	return list
}

// stored is the package with its parts not packed.
func stored(b []byte) []byte {
	parts, err := unpacked(b)
	if err != nil {
		panic(err)
	}
	return storedZip(parts)
}
