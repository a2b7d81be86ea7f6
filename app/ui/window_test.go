package ui

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"strconv"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/storage"
	"fyne.io/fyne/v2/test"
	"github.com/stretchr/testify/require"

	"scantling/app/state"
	"scantling/app/text"
	"scantling/engine/ways"
	"scantling/formats"
)

func TestEmptyWindowSaysWhatToDo(t *testing.T) {
	s := newScene(t)
	require.Contains(t, says(s.drawer.root), text.NothingToTell(s.view()))
	require.True(t, s.factor.save.Disabled(), "there is nothing to save")
	require.True(t, s.parts.remove.Disabled())
	require.Equal(t, text.WindowTitle(s.view()), s.win.Title())
}

func TestDroppedFilesBecomeRows(t *testing.T) {
	s := newScene(t)
	s.Dropped(fyne.Position{}, []fyne.URI{storage.NewFileURI(at("hull.stl")), storage.NewFileURI(at("bad.stl"))})
	s.settle()
	list := says(s.parts.root)
	for _, want := range []string{"hull", "412 × 96 × 88", "12 triangles  ·  closed", "bad", "×1"} {
		require.Contains(t, list, want)
	}
	require.Contains(t, list, text.Stops.Sign(), "the bad one is marked")
	require.Contains(t, says(s.drawer.root), "bad.stl", "and the drawer says why")
}

func TestDropWhileAPanelLiesOverTheWindowIsLeftAlone(t *testing.T) {
	s := loaded(t)
	s.run(s.byID[text.ShowAbout])
	s.Dropped(fyne.Position{}, []fyne.URI{storage.NewFileURI(at("bad.stl"))})
	s.settle()
	require.Len(t, s.view().Parts, 3)
}

func TestTicksQuantityAndRemoval(t *testing.T) {
	s := loaded(t)
	row := newPartRow()
	s.parts.fill(2, row)
	test.Tap(row.tick)
	require.False(t, s.part("mast").Ticked)
	require.Contains(t, says(s.parts.root), "2 of 3 parts ticked")

	s.parts.list.Select(1)
	require.Equal(t, s.part("house").ID, s.view().Selected)
	require.Contains(t, says(s.parts.root), text.QuantityOf("house"))
	s.fill(s.parts.quantity, "4")
	require.Equal(t, 4, s.part("house").Quantity)
	test.Tap(s.parts.more)
	require.Equal(t, 5, s.part("house").Quantity)
	require.Contains(t, says(s.parts.root), "×5")

	s.fill(s.parts.quantity, "0")
	require.Equal(t, 5, s.part("house").Quantity, "none is no quantity")
	require.Contains(t, says(s.status.root), text.Error(state.ErrQuantity).String())
	s.press(text.Dismiss.Name())
	require.NotContains(t, says(s.status.root), text.Error(state.ErrQuantity).String())

	s.press(text.RemovePart.Name())
	require.Len(t, s.view().Parts, 2)
	require.True(t, s.parts.quantity.Disabled(), "nothing is selected any more")
	s.key(text.Undo)
	require.Len(t, s.view().Parts, 3)
	s.key(text.TickNone)
	require.Contains(t, says(s.parts.root), "0 of 3 parts ticked")
	s.key(text.TickAll)
}

func TestAddingPartsThroughTheChooser(t *testing.T) {
	s := newScene(t)
	s.files = []string{at("hull.stl"), at("mast.stl")}
	s.press(text.AddFiles.Name())
	s.settle()
	require.Len(t, s.view().Parts, 2)
	require.Equal(t, []string{".stl", ".obj", ".gltf", ".glb", ".3mf"}, s.asked[0].Extensions)
	s.files = nil // cancelled
	s.press(text.AddFiles.Name())
	s.settle()
	require.Len(t, s.view().Parts, 2)
}

func TestHeadlineHasThreeSpellings(t *testing.T) {
	s := loaded(t)
	require.Contains(t, says(s.factor.root), text.Error(ways.ErrNeedNative).What[1:])
	s.at48()
	panel := says(s.factor.root)
	for _, want := range []string{"×0.2350", "23.50 %  ·  1:48", "Native 1:11.28 ÷ target 1:48."} {
		require.Contains(t, panel, want)
	}
	require.Contains(t, says(s.parts.root), "412 × 96 × 88 → 96.8 × 22.6 × 20.7")
	require.InDelta(t, 0.235, s.factor.rule.factor, 1e-12)
}

func TestWhatCannotBeReadIsSaidUnderItsField(t *testing.T) {
	s := loaded(t)
	s.at48()
	target := s.factor.fields[state.InTarget][0]
	s.fill(target.entry, "abc")
	require.True(t, target.fault.Visible())
	require.Equal(t, text.Fault(state.InTarget, s.view().Faults[state.InTarget]).String(), target.fault.Text)
	require.Contains(t, says(s.factor.root), "×0.2350", "the last value that could be read stays in force")
	require.Equal(t, "abc", target.entry.Text, "what is being typed stays")
	s.fill(target.entry, "1:24")
	require.False(t, target.fault.Visible())
	require.Contains(t, says(s.factor.root), "×0.4700")
}

func TestEveryWayCanBeTaken(t *testing.T) {
	s := loaded(t)
	row := func(k ways.Kind) wayPart {
		for _, p := range s.factor.ways {
			if p.kind == k {
				return p
			}
		}
		t.Fatalf("no way %s", k)
		return wayPart{}
	}
	take := func(k ways.Kind) {
		test.Tap(row(k).head)
		require.Equal(t, k, s.view().Way.Kind)
		for _, p := range s.factor.ways {
			require.Equal(t, p.kind == k, p.body.Visible(), "only the way in force shows its fields")
			require.Equal(t, p.kind == k, p.head.on)
		}
	}
	take(ways.ByReal)
	s.fill(s.factor.first[ways.ByReal].entry, "4.65 m")
	s.fill(s.factor.fields[state.InTarget][1].entry, "1:48")
	require.Contains(t, says(s.factor.root), "×0.2351", "4650 / 412 = 11.286")

	take(ways.ByLength)
	s.fill(s.factor.first[ways.ByLength].entry, "103 mm")
	require.Contains(t, says(s.factor.root), "×0.2500")
	s.factor.measure.SetSelectedIndex(3) // the mast
	s.factor.along[1].SetSelectedIndex(2)
	require.Contains(t, says(s.factor.root), "×0.5722", "103 / 180")

	take(ways.ByBed)
	s.fill(s.factor.fields[state.InBedX][0].entry, "216")
	s.fill(s.factor.fields[state.InBedMargin][0].entry, "5 mm")
	require.Contains(t, says(s.factor.root), "×0.5000", "206 / 412")

	take(ways.ByFactor)
	s.fill(s.factor.first[ways.ByFactor].entry, "25 %")
	require.Contains(t, says(s.factor.root), "×0.2500")
	require.Equal(t, "×0.5000", row(ways.ByBed).head.gives.full, "the others still show what they would give")
}

func TestLadderRungBecomesTheTarget(t *testing.T) {
	s := loaded(t, "field", "ships")
	s.at48()
	at := -1
	for i, r := range s.view().Ladder {
		if text.Ratio(r.Standard.Ratio) == "1:96" {
			at = i
		}
	}
	require.GreaterOrEqual(t, at, 0, "ships are built at 1:96")
	s.factor.ladder.Select(at)
	require.Equal(t, "1:96", s.factor.fields[state.InTarget][0].entry.Text)
	require.Contains(t, says(s.factor.root), "×0.1175")
	require.True(t, s.view().Ladder[at].InForce)
	row := newLineRow(s.factor.titles.layout)
	s.factor.fillRung(at, row)
	require.True(t, row.inForce, "a bar and bold figures say so")
	require.Contains(t, says(row), "48.4", "the kit's length at it")
	s.factor.trades.SetSelectedIndex(0)
	require.Equal(t, s.view().Fields[0], s.view().Field)
}

func TestRuleIsDraggedAndOneStepOfUndo(t *testing.T) {
	s := loaded(t)
	s.at48()
	rule := s.factor.rule
	rule.Dragged(&fyne.DragEvent{Dragged: fyne.Delta{DX: -20}})
	rule.Dragged(&fyne.DragEvent{Dragged: fyne.Delta{DX: -20}})
	rule.DragEnd()
	require.InEpsilon(t, 0.235*1.2452, s.view().Result.Factor.Float(), 2e-3, "40 of 420 pixels of a decade")
	require.Equal(t, ways.ByFactor, s.view().Way.Kind)
	s.key(text.Undo)
	require.Contains(t, says(s.factor.root), "×0.2350")
}

func TestSheetZoomsAtThePointerAndSelects(t *testing.T) {
	s := loaded(t)
	s.at48()
	view := s.sheet.view
	before := s.view().Sheet
	require.True(t, before.Fit)
	pos := fyne.NewPos(200, 150)
	camera := cameraOf(view)
	u, v := camera.Print(view.point(pos))
	e := &fyne.ScrollEvent{Scrolled: fyne.Delta{DY: 50}}
	e.Position = pos
	view.Scrolled(e)
	require.False(t, s.view().Sheet.Fit)
	require.InEpsilon(t, camera.Zoom*notch*notch, cameraOf(view).Zoom, 1e-9)
	u2, v2 := cameraOf(view).Print(view.point(pos))
	require.InDelta(t, u, u2, 1e-9)
	require.InDelta(t, v, v2, 1e-9)

	view.Dragged(&fyne.DragEvent{Dragged: fyne.Delta{DX: 30, DY: -12}})
	p := cameraOf(view).Paper(u, v)
	require.InDelta(t, 230, p.X, 1e-3)
	require.InDelta(t, 138, p.Y, 1e-3)

	s.key(text.FitAll)
	mast := s.part("mast").Box.Centre().Scale(0.235)
	p = cameraOf(view).Paper(mast[0], mast[2])
	view.Tapped(&fyne.PointEvent{Position: fyne.NewPos(float32(p.X), float32(p.Y))})
	require.Equal(t, s.part("mast").ID, s.view().Selected)
	require.Equal(t, 2, s.parts.list.mark, "the list marks it, too")
	view.TypedKey(&fyne.KeyEvent{Name: fyne.KeyEscape})
	require.Empty(t, s.view().Selected)
}

func TestSwitchesOfTheSheet(t *testing.T) {
	s := loaded(t)
	test.Tap(s.sheet.sides[2])
	require.Equal(t, state.Top, s.view().Sheet.Side)
	require.True(t, s.sheet.sides[2].on)
	require.False(t, s.sheet.sides[0].on)
	test.Tap(s.sheet.ways[1])
	require.True(t, s.view().Sheet.InRow)
	test.Tap(s.sheet.inch)
	require.Contains(t, says(s.parts.root), text.SizesIn(false, true))
	require.True(t, s.menuItems[text.UseInches].Checked, "the menu says the same")
	s.key(text.LookDark)
	require.Equal(t, s.papers[1], s.palette())
	s.key(text.LookLight)
	require.Equal(t, s.papers[0], s.palette())
}

func TestSavingCopies(t *testing.T) {
	s := loaded(t)
	s.at48()
	s.press(text.PlanCopies.Name())
	require.Contains(t, says(s.over()), "hull-1-48.stl")
	s.fill(s.copies.folder, at("out"))
	s.fill(s.copies.pattern, "{part} at {percent}")
	s.queue.Drain()
	require.Contains(t, says(s.over()), "mast at 23.5")
	s.fill(s.copies.pattern, "{part")
	require.Contains(t, says(s.over()), text.Error(s.view().Copies.Err).What[1:8], "a pattern that makes no name is explained")
	require.True(t, s.copies.save.Disabled())
	s.fill(s.copies.pattern, "{part}-small")

	s.disk.SaveErr["mast-small.stl"] = os.ErrPermission
	s.press(text.SaveCopies.Name())
	s.settle()
	require.Nil(t, s.copies.panel, "the plan is done")
	summary := says(s.over())
	require.Contains(t, summary, "2 of 3 copies saved in "+at("out"))
	require.Contains(t, summary, "hull-small.stl saved and verified.")
	require.Contains(t, summary, "mast-small.stl was not saved.")
	s.press(text.OpenFolder.Name())
	require.Equal(t, []string{at("out")}, s.shown)
	s.press(text.AnswerClose)
	require.Contains(t, says(s.drawer.root), "2 of 3 copies saved", "the drawer keeps the summary")
	require.Len(t, s.disk.Saved(), 2)
	require.InDelta(t, 0.235, s.disk.Saved()[at("out/hull-small.stl")].Factor, 1e-15)

	// Once more: what is there as it would be saved is left alone.
	delete(s.disk.SaveErr, "mast-small.stl")
	s.press(text.PlanCopies.Name())
	s.fill(s.copies.pattern, "{part}-")
	s.copies.pattern.CursorColumn = len("{part}-")
	test.Tap(s.copies.fields[1])
	require.Equal(t, "{part}-{ratio}", s.copies.pattern.Text, "a field is put where the cursor is")
	s.fill(s.copies.pattern, "{part}-small")
	s.queue.Until("the folder was looked at", func() bool { return s.view().Copies.Names[0].Unchanged })
	require.Contains(t, says(s.over()), "3 files, 2 unchanged")
	require.True(t, s.copies.own.Disabled())
	s.copies.names.Select(2)
	require.False(t, s.copies.own.Disabled())
	s.copies.own.SetSelected(text.OwnFormat(formats.OBJ))
	require.Contains(t, says(s.over()), "mast-small.obj")
	s.copies.own.SetSelected(text.OwnFormat(""))
	require.NotContains(t, says(s.over()), "mast-small.obj")
	s.press(text.SaveCopies.Name())
	s.settle()
	require.Contains(t, says(s.over()), "1 copy saved in "+at("out")+", verified. 2 unchanged.")
	s.press(text.AnswerClose)

	// At another factor what is there is told, and stays unless that is allowed.
	s.fill(s.factor.fields[state.InTarget][0].entry, "1:24")
	s.press(text.PlanCopies.Name())
	s.fill(s.copies.pattern, "{part}-small")
	s.queue.Until("the folder was looked at", func() bool { return s.view().Copies.Names[0].Exists })
	require.Contains(t, says(s.over()), "exists already")
	test.Tap(s.copies.replace)
	s.queue.Until("it is told again", func() bool { return strings.Contains(says(s.over()), "replaces") })
	s.press(text.SaveCopies.Name())
	s.settle()
	require.Contains(t, says(s.over()), "3 copies saved")
	s.press(text.AnswerClose)
}

func TestSavingCanBeCancelled(t *testing.T) {
	s := loaded(t)
	s.at48()
	s.disk.Gate = make(chan struct{})
	s.press(text.PlanCopies.Name())
	s.press(text.SaveCopies.Name())
	s.queue.Until("saving shows", func() bool { return len(s.view().Jobs) == 1 && s.view().Jobs[0].All > 0 })
	require.True(t, s.copies.running.Visible())
	require.True(t, s.copies.pattern.Disabled())
	s.press(text.AnswerCancel)
	s.settle()
	require.Empty(t, s.disk.Saved())
}

func TestKitIsSavedAndLeavingAsksFirst(t *testing.T) {
	s := loaded(t)
	s.leave()
	question, _ := text.UnsavedQuestion("")
	require.Contains(t, says(s.over()), question)
	s.press(text.AnswerCancel)
	require.Nil(t, s.canvas().Overlays().Top())
	require.False(t, s.leaving)

	s.path = at("tug.scantling")
	s.key(text.SaveKit)
	s.settle()
	require.False(t, s.view().Unsaved)
	require.Equal(t, at("tug.scantling"), s.view().Path)
	require.Contains(t, says(s.status.root), "tug.scantling")

	s.at48()
	s.leave()
	s.press(text.AnswerSave)
	s.queue.Until("the window is left", func() bool { return s.leaving })
	require.False(t, s.view().Unsaved)
}

func TestLeavingClosesWhatOnlyTells(t *testing.T) {
	s := newScene(t)
	s.run(s.byID[text.ShowKeys])
	s.leave()
	require.True(t, s.leaving)
}

func TestLeavingWhileCopiesAreSavedAsks(t *testing.T) {
	s := loaded(t)
	s.at48()
	s.path = at("tug.scantling")
	s.key(text.SaveKit)
	s.settle()
	s.disk.Gate = make(chan struct{})
	s.press(text.PlanCopies.Name())
	s.press(text.SaveCopies.Name())
	s.queue.Until("saving shows", func() bool { return len(s.view().Jobs) == 1 })
	s.leave()
	question, _ := text.SavingQuestion()
	require.Contains(t, says(s.over()), question)
	s.press(text.AnswerGoOn)
	require.False(t, s.leaving)
	s.leave()
	s.press(text.AnswerStop)
	require.True(t, s.leaving)
	s.settle()
	require.Empty(t, s.disk.Saved())
}

func TestLeavingAnUnsavedKitThatCannotBeSavedKeepsTheWindow(t *testing.T) {
	s := loaded(t)
	s.path = at("tug.scantling")
	s.disk.SaveErr["tug.scantling"] = os.ErrPermission
	s.leave()
	s.press(text.AnswerSave)
	s.settle()
	s.queue.Drain()
	require.False(t, s.leaving)
	require.Contains(t, says(s.status.root), text.Error(os.ErrPermission).What[1:])
	s.leave()
	s.press(text.AnswerDiscard)
	require.True(t, s.leaving)
}

// From an empty bench to saved copies without a pointer.
func TestKeyboardAlone(t *testing.T) {
	s := newScene(t)
	s.files = []string{at("hull.stl"), at("house.stl"), at("mast.stl")}
	s.key(text.AddFiles)
	s.settle()

	s.key(text.GoParts)
	s.keys(fyne.KeyDown)
	require.Equal(t, s.part("house").ID, s.view().Selected, "the selection follows the keys")
	s.keys(fyne.KeyEnd)
	require.Equal(t, s.part("mast").ID, s.view().Selected)
	s.keys(fyne.KeyPlus, fyne.KeyPlus, fyne.KeyMinus)
	require.Equal(t, 2, s.part("mast").Quantity)
	s.keys(fyne.KeyInsert)
	require.False(t, s.part("mast").Ticked)
	s.keys(fyne.KeyHome, fyne.KeyDelete)
	require.Len(t, s.view().Parts, 2)
	s.key(text.Undo)
	require.Len(t, s.view().Parts, 3)

	s.key(text.GoFactor)
	s.write("1:48")
	test.FocusPrevious(s.canvas())
	s.write("1:11.28")
	require.Contains(t, says(s.factor.root), "×0.2350")

	s.key(text.GoLadder)
	s.keys(fyne.KeyDown)
	require.NotContains(t, says(s.factor.factor), "×0.2350", "a rung is the target now")
	s.key(text.Undo)
	require.Contains(t, says(s.factor.factor), "×0.2350")

	s.key(text.GoSheet)
	s.keys(fyne.KeyLeft)
	require.False(t, s.view().Sheet.Fit)
	s.canvas().Focused().TypedRune('+')
	s.keys(fyne.KeyHome)
	require.True(t, s.view().Sheet.Fit)

	s.key(text.PlanCopies)
	require.Equal(t, fyne.Focusable(s.copies.save), s.canvas().Focused())
	s.keys(fyne.KeyEscape)
	require.Nil(t, s.view().Copies, "Escape leaves the plan")
	s.key(text.PlanCopies)
	s.keys(fyne.KeyReturn)
	s.settle()
	require.Len(t, s.disk.Saved(), 2, "the mast is not ticked")
	s.keys(fyne.KeyEscape)
	require.Nil(t, s.canvas().Overlays().Top())
}

// Tab comes to everything that can be worked, in the order in which it is read.
func TestTabGoesThroughTheWindow(t *testing.T) {
	s := loaded(t)
	s.at48()
	s.canvas().Unfocus()
	seen := map[fyne.Focusable]int{}
	for i := range 200 {
		test.FocusNext(s.canvas())
		f := s.canvas().Focused()
		if f == nil {
			continue
		}
		if _, again := seen[f]; again {
			break
		}
		seen[f] = i
	}
	before := func(a, b fyne.Focusable) {
		t.Helper()
		require.Contains(t, seen, a)
		require.Contains(t, seen, b)
		require.Less(t, seen[a], seen[b])
	}
	before(s.parts.list, s.sheet.sides[0])
	before(s.sheet.sides[0], s.sheet.view)
	before(s.sheet.view, s.factor.rule)
	before(s.factor.rule, s.factor.fields[state.InTarget][0].entry)
	before(s.factor.fields[state.InTarget][0].entry, s.factor.ladder)
	before(s.factor.ladder, s.factor.save)
	before(s.factor.save, s.drawer.list)
}

func TestEveryActionHasAPlaceWordsAndItsOwnKey(t *testing.T) {
	s := newScene(t)
	keys := map[string]text.Action{}
	for _, id := range text.Actions() {
		if id == text.SaveCopies { // the button of the panel that PlanCopies opens
			continue
		}
		a := s.byID[id]
		require.NotNil(t, a, "the window cannot do %s", id)
		require.NotNil(t, s.menuItems[id], "%s is in no menu", id)
		require.NotEmpty(t, a.tip())
		if k := a.keyName(); k != "" {
			require.NotContains(t, keys, k, "%s and %s have one key", id, keys[k])
			keys[k] = id
		}
	}
	require.Len(t, s.byID, len(text.Actions())-1, "no action without words")
	for _, taken := range []string{"C", "V", "X", "A"} { // the entries' own
		require.NotContains(t, keys, text.KeyWith(taken))
	}
}

func TestHelpKeysCautionsAbout(t *testing.T) {
	s := newScene(t)
	for id, want := range map[text.Action]string{
		text.ShowHelp: "one factor holds for all", text.ShowKeys: text.KeyShifted("S"), text.ShowCautions: "solvents", text.ShowAbout: "0.1.0",
	} {
		s.run(s.byID[id])
		require.Contains(t, says(s.over()), want, id)
		s.keys(fyne.KeyEscape)
		require.Nil(t, s.canvas().Overlays().Top())
	}
}

func TestRenaming(t *testing.T) {
	s := loaded(t)
	s.key(text.RenameKit)
	s.write("Harbour tug")
	s.keys(fyne.KeyReturn)
	require.Equal(t, "Harbour tug", s.view().Title)
	require.Contains(t, s.win.Title(), "Harbour tug")
}

// All words are made in app/text: no literal of this package reads like one to be shown.
func TestNoWordsAreMadeHere(t *testing.T) {
	files := 0
	entries, err := os.ReadDir(".")
	require.NoError(t, err)
	for _, e := range entries {
		if !strings.HasSuffix(e.Name(), ".go") || strings.HasSuffix(e.Name(), "_test.go") {
			continue
		}
		files++
		f, err := parser.ParseFile(token.NewFileSet(), e.Name(), nil, 0)
		require.NoError(t, err)
		ast.Inspect(f, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.ImportSpec:
				return false
			case *ast.CallExpr:
				if name, ok := n.Fun.(*ast.Ident); ok && name.Name == "panic" {
					return false
				}
				if sel, ok := n.Fun.(*ast.SelectorExpr); ok && sel.Sel.Name == "New" {
					if pkg, ok := sel.X.(*ast.Ident); ok && pkg.Name == "errors" {
						return false
					}
				}
			case *ast.BasicLit:
				s, err := strconv.Unquote(n.Value)
				if n.Kind == token.STRING && err == nil && strings.ContainsFunc(s, func(r rune) bool { return r > ' ' && (r|32 >= 'a' && r|32 <= 'z') }) &&
					(strings.Contains(strings.TrimSpace(s), " ") || s[0] >= 'A' && s[0] <= 'Z') {
					t.Errorf("%s: %q is for app/text to say", e.Name(), s)
				}
			}
			return true
		})
	}
	require.Greater(t, files, 10)
}

func TestPanesKeepTheirWidthWhenTheWindowGrows(t *testing.T) {
	s := loaded(t)
	near := func(want, got float32) {
		t.Helper()
		require.InDelta(t, want, got, 12, "within the width of a split's bar")
	}
	near(326, s.parts.root.Size().Width)
	near(346, s.factor.root.Size().Width)
	s.win.Resize(fyne.NewSize(900, 700))
	require.Greater(t, s.sheet.root.Size().Width, float32(300), "a small window leaves room to the sheet")
	s.win.Resize(fyne.NewSize(2000, 1200))
	near(326, s.parts.root.Size().Width)
	near(346, s.factor.root.Size().Width)
	s.left.SetOffset(0.2) // dragged
	near(400, s.parts.root.Size().Width)
	near(346, s.factor.root.Size().Width)
	s.win.Resize(fyne.NewSize(1800, 1200))
	near(400, s.parts.root.Size().Width)
	near(346, s.factor.root.Size().Width)
}
