package obj

import (
	"bytes"
	"errors"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"scantling/formats/internal/fault"
)

// What is searched for companions, so that no file can keep us busy for long.
const (
	maxLibrary    = 16 << 20 // bytes of a material library that are searched
	maxCompanions = 4096     // names that are looked for
)

// A finder looks for side files in the folder of a file, and nowhere else.
type finder struct {
	root    *os.Root
	self    string // the file itself
	found   []string
	notes   []fault.Note
	asked   map[string]bool
	folders map[string][]string // names in folders that were searched
}

// findCompanions looks for the material libraries, by what mtllib statements say, and for
// the textures that they name. What is not there, or not in the folder, is noted.
func (f *File) findCompanions(libraries []string) {
	if len(libraries) == 0 {
		return
	}
	root, err := os.OpenRoot(filepath.Dir(f.path))
	if err != nil {
		for _, name := range libraries {
			f.notes = append(f.notes, fault.Note{Code: fault.MissingCompanion, Detail: name})
		}
		return
	}
	defer root.Close()
	c := &finder{root: root, self: filepath.Base(f.path), asked: map[string]bool{}, folders: map[string][]string{}}
	for _, said := range libraries {
		for _, name := range c.libraryNames(said) {
			if at := c.find(".", name); at != "" {
				c.textures(at)
			}
		}
	}
	f.companions = c.found
	f.notes = append(f.notes, c.notes...)
}

// libraryNames are the names in an mtllib statement. The format separates them by blanks,
// and has none in names; where that does not fit what is there, a name goes on to the next
// word that ends with .mtl.
func (c *finder) libraryNames(said string) []string {
	said = strings.Trim(said, `"`)
	if strings.ContainsAny(said, " \t") {
		if _, _, ok := c.look(".", said); ok {
			return []string{said}
		}
	}
	var names, open []string
	for _, word := range strings.Fields(said) {
		open = append(open, word)
		if strings.EqualFold(path.Ext(word), ".mtl") {
			names = append(names, strings.Join(open, " "))
			open = nil
		}
	}
	return append(names, open...)
}

// find looks for the file that a side file in folder calls name, and makes it a companion,
// or notes why not. It gives its place if it is a new companion.
func (c *finder) find(folder, name string) string {
	key := folder + "\x00" + name
	if name == "" || c.asked[key] || len(c.asked) >= maxCompanions {
		return ""
	}
	c.asked[key] = true
	at, differs, ok := c.look(folder, name)
	switch {
	case isNetwork(name):
		c.note(fault.NetworkCompanion, name)
	case !ok && isOutside(folder, name):
		c.note(fault.OutsideCompanion, name)
	case !ok:
		if c.leaves(slashed(folder, name)) {
			c.note(fault.OutsideCompanion, name)
		} else {
			c.note(fault.MissingCompanion, name)
		}
	case at == c.self || slices.Contains(c.found, at):
	default:
		if differs {
			c.note(fault.CaseDiffers, name+" → "+at)
		}
		c.found = append(c.found, at)
		return at
	}
	return ""
}

func (c *finder) note(code fault.NoteCode, detail string) {
	n := fault.Note{Code: code, Detail: detail}
	if !slices.Contains(c.notes, n) {
		c.notes = append(c.notes, n)
	}
}

// slashed is the place of a name relative to the root.
func slashed(folder, name string) string {
	return path.Join(folder, strings.ReplaceAll(name, `\`, "/"))
}

// isNetwork reports whether a name is a URL or a path on another computer.
func isNetwork(name string) bool {
	name = strings.ReplaceAll(name, `\`, "/")
	return strings.Contains(name, "://") || strings.HasPrefix(name, "//")
}

// isOutside reports whether a name leads out of the root, on any system.
func isOutside(folder, name string) bool {
	plain := strings.ReplaceAll(name, `\`, "/")
	drive := len(plain) > 1 && plain[1] == ':'
	return strings.HasPrefix(plain, "/") || drive || !filepath.IsLocal(filepath.FromSlash(slashed(folder, name)))
}

// look finds the regular file that name means, seen from folder or else from the root, if
// need be under another case. It never leaves the root.
func (c *finder) look(folder, name string) (at string, differs, ok bool) {
	if isNetwork(name) || strings.ContainsRune(name, 0) {
		return "", false, false
	}
	for _, from := range []string{folder, "."} {
		if isOutside(from, name) {
			continue
		}
		at := slashed(from, name)
		if c.isFile(at) {
			return at, false, true
		}
		if at, ok := c.anyCase(at); ok {
			return at, true, true
		}
		if from == "." {
			break
		}
	}
	return "", false, false
}

func (c *finder) isFile(at string) bool {
	info, err := c.root.Stat(filepath.FromSlash(at))
	return err == nil && info.Mode().IsRegular()
}

// anyCase finds a file whose path is at but for upper and lower case.
func (c *finder) anyCase(at string) (string, bool) {
	folder := "."
	for _, element := range strings.Split(at, "/") {
		names := c.names(folder)
		i := slices.Index(names, element)
		if i < 0 {
			i = slices.IndexFunc(names, func(n string) bool { return strings.EqualFold(n, element) })
		}
		if i < 0 {
			return "", false
		}
		folder = path.Join(folder, names[i])
	}
	return folder, c.isFile(folder)
}

// names are those in a folder, in order.
func (c *finder) names(folder string) []string {
	names, ok := c.folders[folder]
	if !ok {
		if d, err := c.root.Open(filepath.FromSlash(folder)); err == nil {
			names, _ = d.Readdirnames(-1) // what cannot be listed is not found
			d.Close()
			slices.Sort(names)
		}
		c.folders[folder] = names
	}
	return names
}

// leaves reports whether a link on the way to at leads out of the root.
func (c *finder) leaves(at string) bool {
	for i := range len(at) + 1 {
		if i < len(at) && at[i] != '/' {
			continue
		}
		way := filepath.FromSlash(at[:i])
		info, err := c.root.Lstat(way)
		if err != nil {
			return false
		}
		if info.Mode()&fs.ModeSymlink != 0 {
			_, err := c.root.Stat(way)
			return err != nil && !errors.Is(err, fs.ErrNotExist)
		}
	}
	return false
}

// textures finds the files that the material library at a place names.
func (c *finder) textures(library string) {
	in, err := c.root.Open(filepath.FromSlash(library))
	if err != nil {
		c.note(fault.MissingCompanion, library)
		return
	}
	stored, err := io.ReadAll(io.LimitReader(in, maxLibrary))
	in.Close()
	if err != nil {
		c.note(fault.MissingCompanion, library)
		return
	}
	e := encodingOf(stored)
	var room []byte
	text := e.text(&room, stored)
	folder := path.Dir(library)
	for x := lex(text, true); ; {
		k, at := x.next()
		if k == atEnd {
			return
		}
		if k == comment {
			continue
		}
		if options, ok := namesFile(string(bytes.ToLower(text[at:x.i]))); ok {
			if name := c.fileName(folder, strings.TrimSpace(e.name(x.words())), options); name != "" {
				c.find(folder, name)
			}
		}
	}
}

// namesFile reports whether a statement of a material library names a file, and whether
// options may stand before it. Source: the description of MTL files that goes with that of
// OBJ files, reprinted at paulbourke.net/dataformats/mtl; norm and the map_P statements for
// physical materials are common practice.
func namesFile(keyword string) (options, ok bool) {
	switch keyword {
	case "map_aat": // on or off
		return false, false
	case "bump", "disp", "decal", "refl", "norm":
		return true, true
	case "ka", "kd", "ks", "tf": // spectral file.rfl factor
		return false, true
	}
	return true, strings.HasPrefix(keyword, "map_")
}

// fileName takes the name of a file out of what a statement of a material library says.
// A name may have blanks; if there is no such file, it is the last word.
func (c *finder) fileName(folder, said string, options bool) string {
	words := strings.Fields(said)
	if !options {
		if len(words) < 2 || words[0] != "spectral" {
			return ""
		}
		return words[1]
	}
	for len(words) > 0 && len(words[0]) > 1 && words[0][0] == '-' {
		n := 1 + optionWords(words)
		for range n {
			said = strings.TrimSpace(said[len(words[0]):])
			words = words[1:]
		}
	}
	said = strings.Trim(said, `"`)
	if len(words) > 1 {
		if _, _, ok := c.look(folder, said); !ok {
			if _, _, ok := c.look(folder, words[len(words)-1]); ok {
				return words[len(words)-1]
			}
		}
	}
	return said
}

// optionWords counts the words that belong to the option that words begin with: at most
// as many as the format gives it, and never the last word of all, which is the file.
func optionWords(words []string) int {
	rest := words[1:]
	n := 1
	switch strings.ToLower(words[0]) {
	case "-mm":
		n = 2
	case "-o", "-s", "-t": // one to three numbers
		n = 0
		for n < 3 && n < len(rest) && isNumber(rest[n]) {
			n++
		}
	}
	return min(n, max(len(rest)-1, 0))
}

func isNumber(word string) bool {
	b := []byte(word)
	l, code := readLength(b, 0, nil)
	return code == "" && l.to == len(b)
}

// isFile reports whether a regular file is at a path of the system.
func isFile(at string) bool {
	info, err := os.Stat(at)
	return err == nil && info.Mode().IsRegular()
}
