package text

import (
	"context"
	"errors"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"math/big"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"

	"scantling/app/state"
	"scantling/engine/deliver"
	"scantling/engine/kit"
	"scantling/engine/ratio"
	"scantling/engine/ways"
	"scantling/formats"
)

// constants reads the values of all string constants of a type in a source file: the codes
// of the formats' inner packages, which cannot be imported from here.
func constants(t *testing.T, path, typeName string) []string {
	t.Helper()
	f, err := parser.ParseFile(token.NewFileSet(), path, nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	var values []string
	ast.Inspect(f, func(n ast.Node) bool {
		spec, ok := n.(*ast.ValueSpec)
		if !ok {
			return true
		}
		if name, ok := spec.Type.(*ast.Ident); ok && name.Name == typeName {
			for _, v := range spec.Values {
				if lit, ok := v.(*ast.BasicLit); ok {
					s, err := strconv.Unquote(lit.Value)
					if err != nil {
						t.Fatal(err)
					}
					values = append(values, s)
				}
			}
		}
		return true
	})
	return values
}

// sayings collects what is said, to find what is said twice or not at all.
type sayings struct {
	t    *testing.T
	by   map[string]string // words to who says them
	seen int
}

func (s *sayings) add(who, what, remedy string) {
	s.t.Helper()
	s.seen++
	if what == "" || remedy == "" {
		s.t.Errorf("%s: no words (%q) or no remedy (%q)", who, what, remedy)
	}
	if other, ok := s.by[what]; ok {
		s.t.Errorf("%s and %s both say %q", who, other, what)
	}
	s.by[what] = who
	if strings.HasSuffix(what, ".") || strings.HasSuffix(remedy, ".") {
		s.t.Errorf("%s: the full stop comes by itself", who)
	}
	if strings.Contains(what, "there is trouble with") {
		s.t.Errorf("%s has no words of its own", who)
	}
}

func TestEveryFaultHasWords(t *testing.T) {
	s := &sayings{t: t, by: map[string]string{}}
	codes := constants(t, filepath.Join("..", "..", "formats", "internal", "fault", "fault.go"), "Code")
	for _, c := range codes {
		what, remedy := faultWords(formats.Code(c))
		s.add(c, what, remedy)
	}
	if s.seen < 17 {
		t.Errorf("only %d codes found", s.seen)
	}
}

func TestEveryNoteHasWords(t *testing.T) {
	s := &sayings{t: t, by: map[string]string{}}
	for _, c := range constants(t, filepath.Join("..", "..", "formats", "internal", "fault", "fault.go"), "NoteCode") {
		words := noteWords(formats.NoteCode(c))
		s.add(c, words, "none needed")
		if words == strings.ReplaceAll(c, "-", " ") {
			t.Errorf("%s has no words of its own", c)
		}
	}
	if s.seen < 7 {
		t.Errorf("only %d note codes found", s.seen)
	}
	check(t, Note(formats.Note{Code: "zero-size", Detail: "mast"}), "A part has no extent at all (mast).")
	check(t, Note(formats.Note{Code: "unit-assumed", Detail: "mm"}), "The format states no unit; the numbers are taken as millimetres.")
}

func TestEverySavingCodeHasWords(t *testing.T) {
	s := &sayings{t: t, by: map[string]string{}}
	for _, c := range deliver.Codes() {
		what, remedy := savingWords(c)
		s.add(string(c), what, remedy)
	}
	for _, c := range kit.Codes() {
		what, remedy := kitWords(c)
		s.add(string(c), what, remedy)
	}
	if s.seen < 18 {
		t.Errorf("only %d codes found", s.seen)
	}
}

// sentinels reads the names of all exported errors that a package declares with errors.New.
func sentinels(t *testing.T, folder string) []string {
	t.Helper()
	paths, err := filepath.Glob(filepath.Join(folder, "*.go"))
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, path := range paths {
		if strings.HasSuffix(path, "_test.go") {
			continue
		}
		f, err := parser.ParseFile(token.NewFileSet(), path, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range f.Decls {
			g, ok := d.(*ast.GenDecl)
			if !ok || g.Tok != token.VAR {
				continue
			}
			for _, spec := range g.Specs {
				for _, n := range spec.(*ast.ValueSpec).Names {
					if n.IsExported() && strings.HasPrefix(n.Name, "Err") {
						names = append(names, n.Name)
					}
				}
			}
		}
	}
	return names
}

// The table of plain errors holds as many of each package as the package has.
func TestEveryPlainErrorHasWords(t *testing.T) {
	source, err := os.ReadFile("message.go")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name, folder string
		least        int
	}{
		{"ratio", "../../engine/ratio", 6}, {"ways", "../../engine/ways", 13}, {"state", "../state", 14},
		{"deliver", "../../engine/deliver", 3}, {"mesh", "../../engine/mesh", 4}, {"geom", "../../engine/geom", 1},
		{"survey", "../../engine/survey", 3}, {"figure", "../../engine/figure", 4}, {"lost", "../../engine/lost", 3},
		{"process", "../../engine/process", 8}, {"gauge", "../../engine/gauge", 1}, {"mannequin", "../../engine/mannequin", 3},
		{"judge", "../../engine/judge", 4}, {"kit", "../../engine/kit", 5},
	} {
		names := sentinels(t, filepath.FromSlash(c.folder))
		if len(names) < c.least {
			t.Errorf("%s: only %d errors found", c.name, len(names))
		}
		for _, n := range names {
			if !strings.Contains(string(source), "{"+c.name+"."+n+", ") {
				t.Errorf("%s.%s has no words", c.name, n)
			}
		}
	}
	s := &sayings{t: t, by: map[string]string{}}
	for _, w := range words() {
		s.add(w.err.Error(), w.what, w.remedy)
	}
}

func TestErrorSentences(t *testing.T) {
	for _, c := range []struct {
		err  error
		want string
	}{
		{&formats.Error{File: "/models/hull.stl", Code: "truncated", Byte: 684, Detail: "facet 12 of 40"},
			"hull.stl, byte 684 (facet 12 of 40): the file ends before all that it announces has come; copy or download it again; this one is incomplete."},
		{fmt.Errorf("opening: %w", &formats.Error{File: "hull.obj", Code: "bad-index", Line: 12, Byte: -1}),
			"hull.obj, line 12: something points to an item that is not there; export the model again; this file contradicts itself."},
		{&formats.Error{File: "x.stl", Code: "quite-new"},
			"x.stl: there is trouble with the file (quite-new); export it again."},
		{&ratio.ParseError{Typed: "abc", Err: ratio.ErrNotANumber},
			"“abc” is not a number; type figures, with a point or a comma for decimals."},
		{ways.ErrNeedNative,
			"The ratio at which the files were drawn is not known; type the native ratio, or find the factor in another way."},
		{&state.PathError{Path: "models", Err: state.ErrNoModels},
			"models: there is no STL, OBJ, glTF or 3MF file in this folder; choose another folder or the files themselves."},
		{&fs.PathError{Op: "open", Path: "models", Err: syscall.EACCES},
			"models: you are not allowed to read or write here; choose another folder, or change the rights."},
		{&fs.PathError{Op: "read", Path: "hull.stl", Err: syscall.EIO},
			"hull.stl: the system reports: " + syscall.EIO.Error() + "; check the disk and its connection, then try again."},
		{&formats.Error{File: "models/hull.stl", Code: "missing-file", Byte: -1, Err: fs.ErrNotExist},
			"hull.stl: the file is not where it was; see “Files of the parts” in the Kit menu: it is looked for nearby, and you can show where it lies."},
		{&formats.Error{File: "models/hull.gltf", Code: "missing-file", Byte: -1, Detail: "hull.bin", Err: fs.ErrNotExist},
			"hull.gltf (hull.bin): a side file that it needs is not there; put that file back beside the model."},
		{&deliver.Error{Code: deliver.Verify, Path: "copies/hull.stl", Err: &deliver.Difference{Kind: deliver.TriangleCount, Part: "hull", Want: 12, Got: 11}},
			"copies/hull.stl: the copy, read back, is not what it should be: hull has 11 triangles instead of 12; do not print it; save it again, and report it if that does not help."},
		{&deliver.Error{Code: deliver.DiskFull, Path: "copies", Err: syscall.ENOSPC},
			"copies: the disk is full; free some room, or choose a folder on another disk."},
		{&kit.Error{File: "tug.scantling", Code: kit.BadValue, Line: 3, Column: 15, Detail: "parts[2].quantity"},
			"tug.scantling, line 3, character 15 (parts[2].quantity): the kit holds a value that cannot be; correct this place in a text editor, or add the parts to a new kit."},
		{&kit.Error{File: "tug.scantling", Code: kit.Newer, Line: 2, Column: 15, Detail: "7"},
			"tug.scantling, line 2, character 15: this kit was saved by a newer version of the program (its format is 7, the newest known here 2); update the program to open it."},
		{&deliver.PatternError{Pattern: "{x}", Field: "x", Err: deliver.ErrUnknownField},
			"The name pattern has a field that is not known: “x”; use {part}, {ratio}, {percent}, {factor}, {kit}, {date} or {quantity}."},
		{&state.PanicError{Job: "opening", Value: "boom"},
			"A job broke down through a mistake of the program; save your kit, start the program again, and report what you did."},
		{context.Canceled, "Cancelled; start it again whenever you like."},
		{errors.New("odd thing"), "Odd thing; try again, and report it if it happens again."},
	} {
		check(t, Error(c.err).String(), c.want)
	}
	if m := Error(nil); m != (Message{}) {
		t.Errorf("no error says %q", m)
	}
}

func TestAmbiguousNameListsItsReadings(t *testing.T) {
	_, err := ratio.Parse("O")
	var several *ratio.AmbiguousError
	if !errors.As(err, &several) {
		t.Fatalf("O gives %v", err)
	}
	m := Error(err)
	for _, r := range several.Readings {
		if !strings.Contains(m.What, Ratio(r.Ratio)) {
			t.Errorf("%q lacks %s", m.What, Ratio(r.Ratio))
		}
	}
}

// What a field says it takes, it takes.
func TestExamplesAreTaken(t *testing.T) {
	for _, in := range state.Inputs() {
		if InputName(in) == string(in) || InputTip(in) == "" || Example(in) == "" {
			t.Errorf("%s has no words", in)
		}
		for _, inches := range []bool{false, true} {
			hint := InputHint(in, inches)
			var err error
			switch in {
			case state.InNative, state.InTarget:
				_, err = ratio.Parse(hint)
			case state.InFactor:
				_, err = ratio.ParseFactor(hint)
			case state.InPerson:
				_, err = ways.ParsePerson(hint)
			case state.InReadings:
				_, err = ways.ParseReadings(hint, ratio.Millimetre)
			case state.InDrawn, state.InIsReal:
				_, err = ways.ParseQuantity(hint, ratio.Millimetre)
			case state.InPrinter: // any name
			case state.InBase, state.InHeadgear, state.InFootwear: // they say that there is none
			default:
				_, err = ratio.ParseLength(hint, ratio.Millimetre)
			}
			if err != nil {
				t.Errorf("%s: the hint %q: %v", in, hint, err)
			}
		}
	}
	for _, typed := range []string{"1:48", "1/72", "87.1"} {
		mustRatio(t, typed)
	}
	for _, typed := range []string{"9.63 m", "31 ft 7 in", "250 mm", "25 cm", "9 7/8 in", "220 mm", "8.5 in"} {
		mustLength(t, typed)
	}
	for _, typed := range []string{"0.235", "23.5 %", "1/4"} {
		mustFactor(t, typed)
	}
	m := Fault(state.InTarget, &ratio.ParseError{Typed: "x", Err: ratio.ErrNotANumber})
	if !strings.Contains(m.Remedy, "1:48") {
		t.Errorf("no example in %q", m.Remedy)
	}
}

func TestEveryChoiceHasWords(t *testing.T) {
	s := &sayings{t: t, by: map[string]string{}}
	for _, a := range Actions() {
		if a.Name() == string(a) {
			t.Errorf("%s has no name", a)
		}
		s.add(string(a), a.Name(), strings.TrimSuffix(a.Tip(), "."))
	}
	steps := map[string]bool{}
	for _, st := range state.Steps() {
		if w := Step(st); w == string(st) || steps[w] {
			t.Errorf("step %s says %q", st, w)
		} else {
			steps[w] = true
		}
	}
	for _, f := range ratio.Fields() {
		if FieldName(f) == string(f) {
			t.Errorf("field %s has no name", f)
		}
	}
	for _, k := range []formats.Kind{"", formats.STL, formats.STLASCII, formats.OBJ, formats.GLB, formats.GLTF, formats.ThreeMF} {
		if FormatName(k) == string(k) {
			t.Errorf("format %q has no name", k)
		}
	}
	for _, k := range ways.Kinds() {
		name, hint := Way(k)
		if name == string(k) || hint == "" {
			t.Errorf("way %s has no words", k)
		}
		if !strings.Contains(strings.Join(Help(), " "), WayOf(k)+": "+hint) {
			t.Errorf("the help says nothing of the way %s", name)
		}
	}
}

func TestNameFields(t *testing.T) {
	seen := map[string]bool{}
	for _, f := range deliver.NameFields() {
		label, tip := NameField(f)
		if tip == "" || seen[tip] || label != "{"+string(f)+"}" {
			t.Errorf("field %s: %q %q", f, label, tip)
		}
		seen[tip] = true
	}
	check(t, Planned(state.PlannedName{Exists: true, Long: 271}, true), "replaces the file that lies there; the path has 271 characters and many Windows programs open at most 259: choose a shorter folder or name")
	check(t, PlanCount(&state.CopyPlan{Names: []state.PlannedName{{Exists: true, Unchanged: true}, {Exists: true}, {}}}), "3 files, 1 unchanged, 1 of them exist already")
	check(t, Planned(state.PlannedName{Exists: true, Unchanged: true}, true), "unchanged, is left as it is")
}

func TestScaledCopies(t *testing.T) {
	note := func(tag string) string { return Note(formats.Note{Code: "scaled-copy", Detail: tag}) }
	check(t, note("Scantling 1:48 x0.2350001 Harbour tug"), "This file was already scaled ×0.235 (1:48) by Scantling, from Harbour tug: use the file that it was made from.")
	check(t, note("Scantling x0.3333333333333333 corrected x1.004 x1.004 x1.002"), "This file was already scaled ×0.333333 by Scantling and corrected for a printer: use the file that it was made from.")
	check(t, ScaledCopy([]formats.Note{{Code: "unit-assumed"}}), "")
}

func TestJobs(t *testing.T) {
	check(t, Job(state.Job{ID: state.Opening, Part: "hull.stl", Done: 2, All: 12, Share: 0.416}), "reading 3 of 12 · hull.stl · 41 %")
	check(t, Job(state.Job{ID: state.Checking, Part: "hull-1-48", Done: 2, All: 12, Share: 0.2}), "checking copies 3 of 12 · hull-1-48 · 20 %")
	made := state.View{Made: []kit.Saved{{Record: deliver.Record{Files: []deliver.Written{{Path: "a"}}}}, {Record: deliver.Record{Files: []deliver.Written{{Path: "b"}}}}},
		Lying: map[string]state.Lying{"a": state.LyingGone, "b": state.LyingChanged}}
	check(t, MadeCount(made), "2 copies. Of them 1 no longer there, 1 changed since by another program.")
	made.Lying = map[string]state.Lying{"a": state.LyingWhole, "b": state.LyingUnread}
	check(t, MadeCount(made), "2 copies. Of them 1 that cannot be read now.")
	said := map[string]bool{"…": true}
	for _, l := range state.Lyings() {
		if said[Lying(l)] {
			t.Errorf("%s has no words of its own", l)
		}
		said[Lying(l)] = true
	}
	check(t, Job(state.Job{ID: state.Saving, Part: "hull.stl", Done: 12, All: 12, Share: 1}), "saving 12 of 12 · hull.stl · 100 %")
	check(t, Job(state.Job{ID: state.Saving, Part: "hull.stl", Done: 0, All: 2, Share: 0.25, DoneBytes: 12_000_000, AllBytes: 48_000_000}),
		"saving 1 of 2 · hull.stl · 12 MB of 48 MB · 25 %")
	check(t, Job(state.Job{ID: state.Opening}), "reading")
	check(t, Job(state.Job{ID: state.Filing}), "saving the kit")
	check(t, Job(state.Job{ID: state.Opening, Part: "models"}), "searching · models")
}

func TestOutcomesAndSummary(t *testing.T) {
	lost := &deliver.Error{Code: deliver.DiskFull, Path: filepath.Join("copies", "mast.stl")}
	outcomes := []deliver.Outcome{
		{Path: filepath.Join("copies", "hull.stl"), Verified: true},
		{Path: filepath.Join("copies", "deck.stl"), Verified: true},
		{Copy: deliver.Copy{Name: "mast.stl"}, Err: lost},
	}
	check(t, Outcome(outcomes[0]), "hull.stl saved and verified.")
	if s := Outcome(outcomes[2]); !strings.HasPrefix(s, "mast.stl was not saved.") || !strings.Contains(s, "disk is full") {
		t.Errorf("failure says %q", s)
	}
	check(t, Summary(outcomes), "2 of 3 copies saved in copies, verified. 1 could not be saved.")
	check(t, Summary(outcomes[:2]), "2 copies saved in copies, verified.")
	check(t, Summary(outcomes[2:]), "No copy was saved.")

	same := deliver.Outcome{Path: filepath.Join("copies", "deck", "stem.stl"), Unchanged: true, Copy: deliver.Copy{Folder: "deck"}}
	check(t, Outcome(same), "stem.stl is unchanged and was left as it is.")
	check(t, Summary([]deliver.Outcome{same, same}), "All 2 copies in copies are unchanged and were left as they are.")
	check(t, Summary(append(outcomes, same)), "2 of 3 copies saved in copies, verified. 1 could not be saved. 1 unchanged.")
	check(t, difference(&deliver.Difference{Kind: deliver.Content, Part: "hull.bin"}), "hull.bin is not byte for byte what was written: another program has changed it, or the disk has kept it wrong")
	check(t, difference(&deliver.Difference{Kind: deliver.Closedness, Part: "hull", Got: 3}), "hull has 3 open edges, and its surface was closed")
}

func TestCautionsNameTheRisks(t *testing.T) {
	all := strings.ToLower(strings.Join(Cautions(), " "))
	for _, word := range []string{"resin", "solvent", "dust", "small parts", "children", "magnets", "load", "data sheet", "qualified"} {
		if !strings.Contains(all, word) {
			t.Errorf("no word of %s", word)
		}
	}
}

func TestPercentIsAHundredfold(t *testing.T) {
	f, err := ratio.NewFactor(big.NewRat(1128, 4800))
	if err != nil {
		t.Fatal(err)
	}
	check(t, Percent(f), "23.50 %")
}

// Where a file beside the part's own has changed, that is said, and what of the part with it.
func TestChangedBeside(t *testing.T) {
	was := kit.Facts{Triangles: 12}
	const beside = "A file beside its own, with its textures, materials or shape, was changed since the kit was saved"
	check(t, ChangedSays(state.Changed{Was: was, Beside: true}), beside+"; what was measured of it is the same.")
	check(t, ChangedSays(state.Changed{Was: was, Beside: true, Change: kit.Change{Size: true, Place: true}}), beside+". What differs: size, place.")
	check(t, ChangedSays(state.Changed{Was: was, Change: kit.Change{Size: true}}), "What differs: size.")
}
