package gltf

// What a copy is stands in asset.extras, in a member of the program's name.
const (
	tagMember = "scantling"
	tagWords  = "copy"
)

// tag is what the document says of itself; empty for nothing.
func (d *document) tag() string {
	words := d.json.root().at("asset", "extras", tagMember, tagWords)
	if words.kind() != kindString {
		return ""
	}
	return words.str()
}

// tagged is the member as JSON.
func tagged(tag string) any { return map[string]any{tagMember: map[string]string{tagWords: tag}} }

// editTag says in the document what the copy is, instead of what the source was: no tag takes
// that away. Extras that are no object are somebody else's, and stay without.
func (r *rescaling) editTag(tag string) {
	asset := r.doc.json.root().get("asset")
	extras := asset.get("extras")
	own := extras.get(tagMember)
	words := []byte(`{}`)
	if tag != "" {
		words = append(append([]byte(`{"`+tagWords+`":`), quote(tag)...), '}')
	}
	whole := append(append([]byte(`{"`+tagMember+`":`), words...), '}')
	last := func(of value) (last value) {
		of.members(func(_, m value) { last = m })
		return last
	}
	switch {
	case own.kind() != kindNone:
		r.edits.replace(own, words)
	case tag == "":
	case extras.kind() == kindNone:
		r.edits.insert(last(asset), append([]byte(`,"extras":`), whole...))
	case extras.kind() != kindObject:
	case last(extras).kind() == kindNone:
		r.edits.replace(extras, whole)
	default:
		r.edits.insert(last(extras), append([]byte(`,"`+tagMember+`":`), words...))
	}
}
