package ui

import (
	"sync"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"github.com/stretchr/testify/require"

	"scantling/app/state"
	"scantling/app/text"
	"scantling/engine/deliver"
	"scantling/engine/geom"
	"scantling/engine/kit"
	"scantling/engine/ratio"
)

// A session in memory, with what other windows have left.
type session struct {
	mu     sync.Mutex
	others []kit.Left
	left   map[string]kit.Note
	gone   []string
	ended  bool
}

func (s *session) Keep(kit.Note) error { return nil }
func (s *session) End()                { s.ended = true }
func (s *session) Others() []kit.Left {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.others
}
func (s *session) Recover(id string) (kit.Note, error) { return s.left[id], nil }
func (s *session) Discard(id string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.gone = append(s.gone, id)
}

func leftKit(id, title string) (kit.Left, kit.Note) {
	k := kit.Kit{Title: title}.With(kit.Part{File: at("hull.stl"), Name: "hull", Ticked: true}, kit.Part{File: at("mast.stl"), Name: "mast", Ticked: true})
	n := kit.Note{Path: at(title + ".scantling"), Title: title, At: time.Date(2026, 11, 25, 20, 44, 0, 0, time.Local), Parts: 2}
	l := kit.Left{Note: n, ID: id, Lost: true}
	n.Kit = &k
	return l, n
}

func TestUnsavedChangesAreOffered(t *testing.T) {
	one, kept := leftKit("a", "Harbour tug")
	two, other := leftKit("b", "Lighter")
	ses := &session{others: []kit.Left{one, two}, left: map[string]kit.Note{"a": kept, "b": other}}
	s := newSceneIn(t, ses, "look", "light")
	s.bench.LookAround()
	s.queue.Until("it is offered", func() bool { return len(s.panels) == 1 })
	require.Contains(t, says(s.over()), "Take up “Harbour tug” again?")
	require.Contains(t, says(s.over()), "25 November 2026, 20:44")
	golden(t, "recover-light", shot(s, s.panels[0]))
	s.press(text.NotNow)
	require.Contains(t, says(s.over()), "Take up “Lighter” again?", "one after the other")
	s.press(text.ThrowAway)
	s.settle()
	require.Empty(t, s.panels)
	require.Len(t, s.view().Left, 1, "what was put off stays")
	s.menuItems[text.RecoverKit].Action()
	s.press(text.TakeUp)
	s.settle()
	require.Equal(t, "Harbour tug", s.view().Title)
	require.True(t, s.view().Unsaved)
	require.Len(t, s.view().Parts, 2)
	require.Empty(t, s.view().Left)
	s.queue.Until("both are cleared away", func() bool {
		ses.mu.Lock()
		defer ses.mu.Unlock()
		return len(ses.gone) == 2
	})
	require.True(t, s.menuItems[text.RecoverKit].Disabled)
	s.bench.LookAround()
	s.settle()
	require.Empty(t, s.panels, "nothing is offered twice")
}

// The question about a kit that somebody else has saved has four answers, and each does what it
// says.
func TestSomebodyElseHasSavedTheKit(t *testing.T) {
	s := loaded(t, "look", "dark")
	s.path = at("tug.scantling")
	s.key(text.SaveKit)
	s.settle()
	overtake := func() {
		require.NoError(t, s.disk.PutKit(at("tug.scantling"), kit.Kit{Title: "Theirs"}))
		s.bench.Rename("Mine")
		s.bench.SetKitNotes(time.Now().String())
		s.key(text.SaveKit)
		s.settle()
		require.Contains(t, says(s.over()), "Somebody else has saved this kit")
	}
	overtake()
	golden(t, "overtaken-dark", shot(s, s.panels[0]))
	s.escape()
	require.True(t, s.view().Unsaved)
	require.Empty(t, s.view().Overtaken)

	overtake()
	s.press(text.SaveOver)
	s.settle()
	require.False(t, s.view().Unsaved)
	there, err := s.disk.Kit(at("tug.scantling"))
	require.NoError(t, err)
	require.Equal(t, "Mine", there.Title)

	overtake()
	s.path = at("mine.scantling")
	s.press(text.SaveElse)
	s.settle()
	require.Equal(t, at("mine.scantling"), s.view().Path)
	require.False(t, s.view().Unsaved)

	s.bench.OpenKit(at("tug.scantling"))
	s.settle()
	overtake()
	s.press(text.OpenTheirs)
	s.settle()
	require.Equal(t, "Theirs", s.view().Title)
}

// Closing with changes waits for the answer, and goes on when the kit was saved elsewhere.
func TestClosingAKitThatSomebodyElseHasSaved(t *testing.T) {
	s := loaded(t)
	s.path = at("tug.scantling")
	s.key(text.SaveKit)
	s.settle()
	require.NoError(t, s.disk.PutKit(at("tug.scantling"), kit.Kit{Title: "Theirs"}))
	s.bench.Rename("Mine")
	s.key(text.Quit)
	s.press(text.AnswerSave)
	s.settle()
	require.False(t, s.leaving)
	s.press(text.SaveOver)
	s.settle()
	require.True(t, s.leaving)
}

func TestRecentKitsInTheMenu(t *testing.T) {
	s := loaded(t)
	entries := func() []*fyne.MenuItem { return s.menuItems[text.RecentKits].ChildMenu.Items }
	require.Len(t, entries(), 1)
	require.True(t, entries()[0].Disabled)
	s.path = at("tug.scantling")
	s.bench.Rename("Tug")
	s.key(text.SaveKit)
	s.settle()
	require.NoError(t, s.disk.PutKit(at("other.scantling"), kit.Kit{Title: "Other"}))
	s.bench.OpenKit(at("other.scantling"))
	s.settle()
	require.Len(t, entries(), 2)
	require.Contains(t, entries()[0].Label, "Other")
	require.Contains(t, entries()[1].Label, "Tug")
	entries()[1].Action()
	s.settle()
	require.Equal(t, "Tug", s.view().Title)
	v := s.view()
	v.Recent = []state.Recent{{Path: at("gone.scantling"), Title: "Gone", Err: state.ErrFolderGone}}
	s.keeper.draw(v)
	require.True(t, entries()[0].Disabled)
	require.Contains(t, entries()[0].Label, "its folder is not there")
}

func TestTryAnotherRatio(t *testing.T) {
	s := loaded(t)
	s.path = at("tug.scantling")
	s.bench.Rename("Tug")
	s.key(text.SaveKit)
	s.settle()
	s.bench.SetQuantity(s.part("mast").ID, 2)
	s.key(text.DuplicateKit)
	require.Contains(t, says(s.over()), "Save the changes", "the old kit must not lose them")
	s.press(text.AnswerSave)
	s.settle()
	s.write("Tug 1:72")
	s.press(text.AnswerOK)
	s.settle()
	require.Equal(t, "Tug 1:72", s.view().Title)
	s.key(text.AboutKit)
	require.Contains(t, says(s.over()), "not saved yet; begun from "+at("tug.scantling"))
	s.escape()
	require.Empty(t, s.view().Path)
	require.True(t, s.view().Unsaved)
	require.Equal(t, 2, s.part("mast").Quantity)
}

func TestTheKitPage(t *testing.T) {
	s := loaded(t, "look", "light")
	s.at48()
	s.key(text.AboutKit)
	require.Same(t, s.kit.title, s.canvas().Focused())
	s.write("Harbour tug")
	s.fill(s.kit.notes, "Drawn from the sheer plan.")
	require.Equal(t, "Drawn from the sheer plan.", s.view().Notes)
	require.Equal(t, "Undo: notes on the kit", s.menuItems[text.Undo].Label)
	require.Contains(t, says(s.over()), "×0.235 = 47/200")
	require.Contains(t, says(s.over()), text.NoKitFile)
	golden(t, "kit-light", shot(s, s.kit.panel))
	s.canvas().Unfocus()
	s.key(text.Undo)
	require.Empty(t, s.kit.notes.Text)
	s.escape()
	require.Empty(t, s.panels)
	require.Equal(t, "Harbour tug", s.view().Title)

	s.bench.Select(s.part("mast").ID)
	s.key(text.PartDetails)
	s.fill(s.page.words, "print upright")
	require.Equal(t, "print upright", s.part("mast").Words)
	s.escape()
}

func TestFilesThatAreNotAsTheKitHasThem(t *testing.T) {
	s := loaded(t, "look", "light")
	s.at48()
	s.path = at("tug.scantling")
	s.key(text.SaveKit)
	s.settle()
	s.disk.Move(at("house.stl"), at("old/house.stl"))
	s.disk.Boxes(at("mast.stl"), geom.Box{Min: geom.Vec{247, -3, 150}, Max: geom.Vec{253, 3, 350}})
	s.bench.OpenKit(at("tug.scantling"))
	s.settle()
	page := says(s.over())
	for _, want := range []string{text.HeadMissing, "found at " + at("old/house.stl") + ", with the same content.", "1 file is missing, 1 found elsewhere; 1 part has changed.",
		"What differs: size, volume.", "6 × 6 × 180", "6 × 6 × 200", "closed"} {
		require.Contains(t, page, want)
	}
	golden(t, "sources-light", shot(s, s.sources.panel))
	s.bench.SetLook(state.Dark)
	golden(t, "sources-dark", shot(s, s.sources.panel))
	s.escape()
	drawer := says(s.drawer.root)
	require.Contains(t, drawer, "Its file was changed since the kit was saved. What differs: size, volume.")
	require.Contains(t, drawer, "Its file is not where it was; found at "+at("old/house.stl"))
	asks := map[text.Asks]text.Finding{}
	for _, f := range s.drawer.found {
		asks[f.Asks] = f
	}
	s.answerFinding(asks[text.AsksFound], 1)
	s.settle()
	require.Equal(t, state.Measured, s.part("house").State)
	s.key(text.Undo)
	s.answerFinding(asks[text.AsksChanged], 1)
	require.False(t, s.part("mast").Differs)
	s.key(text.Undo)
	s.answerFinding(asks[text.AsksChanged], 0)
	s.press(text.UseFound)
	s.settle()
	require.Equal(t, state.Measured, s.part("house").State)
	require.NotContains(t, says(s.over()), text.HeadMissing)
	s.press(text.TakeChanged)
	s.settle()
	require.Contains(t, says(s.over()), text.SourcesFine)
	require.Equal(t, "Undo: taking mast as it is now", s.menuItems[text.Undo].Label)
	s.escape()
	require.Empty(t, s.panels)
	s.key(text.ShowSources)
	require.Len(t, s.panels, 1)

	// Another place is pointed to.
	s.escape()
	s.disk.Move(at("hull.stl"), at("far/away.stl"))
	s.key(text.SaveKit)
	s.settle()
	s.bench.NewKit()
	s.bench.OpenKit(at("tug.scantling"))
	s.settle()
	s.files = []string{at("far/away.stl")}
	s.press(text.PointTo)
	s.settle()
	require.Equal(t, state.Measured, s.part("hull").State)
}

// The drawer asks about parts that lie or stand unlike the rest, and about a factor that parts
// have changed; its buttons do what they say.
func TestTheDrawerAsksAboutAddedParts(t *testing.T) {
	s := loaded(t)
	s.at48()
	s.path = at("tug.scantling")
	s.key(text.SaveKit)
	s.settle()
	s.disk.Boxes(at("later/anchor.stl"), geom.Box{Min: geom.Vec{9000, 0, 0}, Max: geom.Vec{9030, 20, 60}})
	s.disk.Boxes(at("later/bollard.stl"), geom.Box{Min: geom.Vec{30, 90, 28}, Max: geom.Vec{42, 104, 36}})
	s.Open([]string{at("later/bollard.stl")})
	s.settle()
	asked := func(a text.Asks) text.Finding {
		t.Helper()
		for _, f := range s.drawer.found {
			if f.Asks == a {
				return f
			}
		}
		t.Fatalf("nothing asks %q in %q", a, says(s.drawer.root))
		return text.Finding{}
	}
	require.Contains(t, says(s.drawer.root), "would lie among them with the file's y up")
	s.answerFinding(asked(text.AsksUp), 0)
	s.settle()
	require.Equal(t, "Undo: turning bollard", s.menuItems[text.Undo].Label)
	require.Empty(t, s.view().Strays)
	s.Open([]string{at("later/anchor.stl")})
	s.settle()
	s.answerFinding(asked(text.AsksPlace), 0)
	require.NotNil(t, s.page.panel)
	s.escape()
	s.answerFinding(asked(text.AsksPlace), 1)
	require.Empty(t, s.view().Strays)
	v := s.view()
	v.Shift = state.Shift{Saved: v.Result.Factor, Now: v.Result.Factor}
	s.drawer.draw(v)
	f := asked(text.AsksShift)
	s.askFinding(f)
	require.Contains(t, says(s.over()), text.KeepSaved)
	s.press(text.TakeNew)
	require.Empty(t, s.panels)
}

// withCopies is the loaded kit, of which copies were saved in two years at two ratios.
func withCopies(t *testing.T, kept ...string) *scene {
	t.Helper()
	s := loaded(t, kept...)
	s.at48()
	s.bench.Rename("Harbour tug")
	s.path = at("tug.scantling")
	s.key(text.SaveKit)
	s.settle()
	k, err := s.disk.Kit(at("tug.scantling"))
	require.NoError(t, err)
	for i, p := range k.Parts {
		c := kit.Saved{Parts: []string{p.ID}, When: time.Date(2025, 3, 7, 12, i, 0, 0, time.Local), Factor: k.Factor,
			Record: deliver.Record{Files: []deliver.Written{{Path: at("copies/" + p.Name + "-1-48.stl")}}}}
		c.Ratio = k.Way.Target
		if i == 2 {
			c.When, c.Files[0].Path = c.When.AddDate(1, 0, 0), at("copies/"+p.Name+"-1-72.stl")
			c.Factor, err = ratio.ParseFactor("0.1567")
			require.NoError(t, err)
			c.Ratio, err = ratio.Parse("1:72")
			require.NoError(t, err)
		}
		k = k.WithSaved(c)
	}
	require.NoError(t, s.disk.PutKit(at("tug.scantling"), k))
	s.bench.OpenKit(at("tug.scantling"))
	s.settle()
	return s
}

func TestCopiesThatWereSaved(t *testing.T) {
	s := withCopies(t, "look", "light")
	s.disk.Box(at("copies/hull-1-48.stl"), geom.Vec{1, 1, 1})
	s.key(text.ShowMade)
	s.settle()
	page := says(s.over())
	for _, want := range []string{"3 copies at 2 different factors, which do not fit together. Of them 2 no longer there.", "gone", "as saved", "7 March 2025, 12:01", "×0.1567 (not the present one)", "1:72", at("copies/hull-1-48.stl")} {
		require.Contains(t, page, want)
	}
	golden(t, "made-light", shot(s, s.made.panel))
	s.press(text.OpenFolder.Name())
	require.Equal(t, []string{at("copies")}, s.shown)
	s.escape()
	require.Empty(t, s.panels)
	s.key(text.PlanCopies)
	s.settle()
	require.Contains(t, says(s.over()), "Copies were saved before at another factor: mast at ×0.1567 (1:72). Those saved now, at ×0.2350, will not fit them.")
}
