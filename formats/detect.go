package formats

import (
	"bytes"
	"strings"

	"scantling/formats/stl"
	"scantling/formats/threemf"
)

// detect tells the format from a file's first bytes, its size, and, where these leave it
// open, its extension: "stl", "obj", "gltf", "3mf", or "" for none of them.
func detect(head []byte, size int64, extension string) string {
	encoding, sure := stl.Sniff(head, size)
	text := bytes.TrimLeft(bytes.TrimPrefix(head, []byte("\xef\xbb\xbf")), " \t\r\n")
	switch {
	case bytes.HasPrefix(head, []byte("glTF")):
		return "gltf"
	case threemf.LooksPacked(head):
		return "3mf"
	case encoding != "" && sure:
		return "stl"
	case bytes.HasPrefix(text, []byte("{")):
		return "gltf"
	case looksOBJ(head):
		return "obj"
	}
	switch extension {
	case ".stl", ".obj", ".3mf":
		return extension[1:]
	case ".gltf", ".glb":
		return "gltf"
	}
	if encoding != "" {
		return "stl"
	}
	return ""
}

// looksOBJ reports whether the first line that is neither blank nor a comment is a
// statement as OBJ files begin with.
func looksOBJ(head []byte) bool {
	if bytes.HasPrefix(head, []byte("\xff\xfe")) || bytes.HasPrefix(head, []byte("\xfe\xff")) {
		// UTF-16: such statements are ASCII, so every other byte is enough.
		head = bytes.ReplaceAll(head[2:], []byte{0}, nil)
	}
	for line := range strings.FieldsFuncSeq(string(head), func(c rune) bool { return c == '\n' || c == '\r' }) {
		words := strings.Fields(strings.TrimPrefix(line, "\ufeff"))
		if len(words) == 0 || strings.HasPrefix(words[0], "#") {
			continue
		}
		switch strings.ToLower(words[0]) {
		case "v", "vn", "vt", "vp":
			return len(words) > 1 && strings.ContainsAny(words[1][:1], "+-.0123456789")
		case "mtllib", "usemtl", "o", "g", "s", "f", "l", "p", "mg", "cstype":
			return len(words) > 1 || words[0] == "o" || words[0] == "g"
		}
		return false
	}
	return false
}
