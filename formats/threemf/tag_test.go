package threemf

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/deliver"
	"scantling/engine/geom"
)

// A copy says what it is, and no longer what its source was; nothing else differs.
func TestTag(t *testing.T) {
	const tag = "Scantling 1:48 x2 bow & stern"
	plain := modelText(`unit="inch"`, objectText(1, "", tetra), `<item objectid="1"/>`)
	twice := func(text string) string { return strings.Replace(text, tetra, doubled, 1) }
	for name, c := range map[string]struct{ before, after string }{
		"none yet": {plain, strings.NewReplacer("<model", `<model xmlns:scantling="`+aboutURI+`"`, "<resources>",
			`<metadata name="scantling:copy">Scantling 1:48 x2 bow &amp; stern</metadata><resources>`).Replace(twice(plain))},
		"an older one, under another prefix": {
			strings.NewReplacer("unit=", `xmlns:k="`+aboutURI+`" unit=`, "<resources>", ` <metadata name="k:copy">old <!-- > --> one</metadata><metadata name="Title">x</metadata><metadata name="k:factor"/><resources>`).Replace(plain),
			strings.NewReplacer("unit=", `xmlns:k="`+aboutURI+`" unit=`, "<resources>", `<metadata name="k:copy">Scantling 1:48 x2 bow &amp; stern</metadata> <metadata name="Title">x</metadata><resources>`).Replace(twice(plain))},
		"the prefix means something else": {
			strings.Replace(plain, "unit=", `xmlns:scantling="urn:x" unit=`, 1), twice(strings.Replace(plain, "unit=", `xmlns:scantling="urn:x" unit=`, 1))},
	} {
		b := copyOf(t, opened(t, packed(c.before)), deliver.Change{Factor: 2, Tag: tag})
		require.Equal(t, c.after, textOf(t, b, "3D/3dmodel.model"), name)
		opened(t, b)
	}
	prefixed := strings.NewReplacer("</", "</c:", "<", "<c:", "xmlns=", "xmlns:c=").Replace(plain)
	require.Contains(t, textOf(t, copyOf(t, opened(t, packed(prefixed)), deliver.Change{Factor: 2, Tag: tag}), "3D/3dmodel.model"), `><c:metadata name="scantling:copy">`)

	// Copies of copies, and of what was made from another format.
	made := encoded(t, About{Factor: 0.5, Ratio: "1:96", Tag: "Scantling x0.5"}, bodies(1, geom.Pose{}, soup("hull", geom.Vec{})))
	require.Contains(t, textOf(t, made, "3D/3dmodel.model"), `<metadata name="scantling:copy">Scantling x0.5</metadata>`)
	again := textOf(t, copyOf(t, opened(t, copyOf(t, opened(t, made), deliver.Change{Factor: 3, Tag: "Scantling x3"})), deliver.Change{Factor: 2, Tag: tag}), "3D/3dmodel.model")
	require.Equal(t, 1, strings.Count(again, "scantling:copy"))
	require.NotContains(t, again, "scantling:factor")
	require.NotContains(t, again, "x3")
	require.NotContains(t, textOf(t, copyOf(t, opened(t, made), deliver.Change{Factor: 3}), "3D/3dmodel.model"), "scantling:copy", "better nothing than what is no longer so")
}

// doubled is tetra twice as large.
var doubled = strings.NewReplacer(`x="1"`, `x="2"`, `y="1"`, `y="2"`, `z="1"`, `z="2"`).Replace(tetra)
