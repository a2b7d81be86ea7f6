package state_test

import (
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/app/state"
	"scantling/engine/deliver"
	"scantling/engine/geom"
	"scantling/engine/judge"
	"scantling/engine/process"
	"scantling/formats"
)

// The ticked parts lie on beds as often as each is printed, and the files of the beds hold just
// that; the kit as one package stands as it is assembled.
func TestBedsAreLaidAndSaved(t *testing.T) {
	s, folder := onDisk(t)
	s.Open([]string{folder})
	s.settle()
	s.Tick(s.part("cut").ID, false)
	s.LayBeds()
	bed := judge.Bed{Size: geom.Vec{120, 100, 120}, Margin: 5}
	s.UseBed(bed)
	require.ErrorIs(t, s.View().Beds.Err, state.ErrNoFactor)
	s.Type(state.InNative, "1:12")
	s.Type(state.InTarget, "1:48")
	s.SetQuantity(s.part("hull").ID, 4)
	s.settle()
	p := s.View().Beds
	require.NoError(t, p.Err)
	require.Len(t, p.Beds, 2, "four hulls of 103 × 24 mm, three to a bed")
	require.Empty(t, p.Large)
	require.Empty(t, p.Grown)
	pieces := 0
	for _, on := range p.Beds {
		covered := 0.0
		for _, one := range on.Pieces {
			pieces++
			require.NotNil(t, one.Seen, "its silhouette is known")
			require.Zero(t, one.Yaw)
			require.InDelta(t, float64(one.Seen.Rect.Dx())/float64(one.Seen.Rect.Dy()), one.Size[0]/one.Size[1], 0.1*one.Size[0]/one.Size[1])
			covered += one.Size[0] * one.Size[1] // boxes all
			for _, at := range append(one.Outline, one.Frame[:]...) {
				for a := range 2 {
					require.GreaterOrEqual(t, at[a], one.Spot.Low[a]-1e-6)
					require.LessOrEqual(t, at[a], one.Spot.Low[a]+one.Size[a]+1e-6)
					require.GreaterOrEqual(t, at[a], bed.Margin-1e-6)
					require.LessOrEqual(t, at[a], bed.Size[a]-bed.Margin+1e-6)
				}
			}
		}
		require.InDelta(t, covered/(110*90), on.Full, 1e-9)
	}
	require.Equal(t, 5, pieces)

	out := filepath.Join(folder, "beds")
	s.SetBedFolder(out)
	for _, k := range []formats.Kind{formats.STL, formats.ThreeMF} {
		s.SaveBeds(k)
		s.settle()
		require.NoError(t, s.View().Notice)
		require.Len(t, s.View().Saved, 2)
		volume := 0.0
		for _, o := range s.View().Saved {
			require.NoError(t, o.Err)
			require.True(t, o.Verified)
			back, err := formats.Open(t.Context(), o.Path, nil)
			require.NoError(t, err)
			for _, part := range back.Parts() {
				volume += part.Volume
				require.GreaterOrEqual(t, part.Box.Min[0], 5-1e-4)
				require.LessOrEqual(t, part.Box.Max[0], 115+1e-4)
				require.InDelta(t, 0, part.Box.Min[2], 1e-6)
			}
		}
		require.InEpsilon(t, (4*412*96*88+6*6*180)/64., volume, 1e-5)
	}
	require.Len(t, s.View().Made, 4, "the kit keeps what was saved")
	// What is there already is kept unless the maker says so, for one run.
	s.SaveBeds(formats.STL)
	s.settle()
	var e *deliver.Error
	require.ErrorAs(t, s.View().Saved[0].Err, &e)
	require.Equal(t, deliver.Exists, e.Code)
	s.ReplaceBeds(true)
	s.SaveBeds(formats.STL)
	s.settle()
	require.NoError(t, s.View().Saved[0].Err)
	require.False(t, s.View().Beds.Replace)

	one := filepath.Join(folder, "tug.3mf")
	s.SaveTogether(one, false)
	s.settle()
	require.True(t, s.View().Saved[0].Verified)
	back, err := formats.Open(t.Context(), one, nil)
	require.NoError(t, err)
	require.Len(t, back.Parts(), 2)
	require.Equal(t, "hull", back.Parts()[0].Name)
	require.InDelta(t, 103, back.Parts()[0].Box.Max[0], 1e-4)
	s.SaveTogether(one, false)
	s.settle()
	require.Error(t, s.View().Saved[0].Err, "it is there already")

	s.Type(state.InTarget, "1:24")
	s.settle()
	require.Equal(t, []string{"hull"}, s.View().Beds.Large, "206 mm")
	s.EndBeds()
	require.Nil(t, s.View().Beds)
	left, err := os.ReadDir(out)
	require.NoError(t, err)
	require.Len(t, left, 4)
}

// A part that fits askew only is drawn and saved so.
func TestBedsAskew(t *testing.T) {
	s, folder := onDisk(t)
	s.Open([]string{folder})
	s.settle()
	s.Tick(s.part("cut").ID, false)
	s.Tick(s.part("mast").ID, false)
	s.UseBed(judge.Bed{Size: geom.Vec{100, 100, 120}})
	s.SetTurning(judge.Yaw)
	s.Type(state.InNative, "1:12")
	s.Type(state.InTarget, "1:48")
	s.settle()
	s.LayBeds()
	require.Len(t, s.View().Beds.Beds, 1)
	one := s.View().Beds.Beds[0].Pieces[0]
	require.NotNil(t, one.Seen)
	require.Equal(t, judge.Yaw, one.Turning)
	require.InDelta(t, math.Pi/4, math.Mod(one.Yaw, math.Pi/2), 0.3)
	require.Len(t, one.Outline, 4)
	long := math.Hypot(one.Outline[1][0]-one.Outline[0][0], one.Outline[1][1]-one.Outline[0][1])
	wide := math.Hypot(one.Outline[2][0]-one.Outline[1][0], one.Outline[2][1]-one.Outline[1][1])
	require.InDelta(t, 103*24, long*wide, 1e-6)
	s.SetBedFolder(filepath.Join(folder, "beds"))
	s.SaveBeds(formats.ThreeMF)
	s.settle()
	require.True(t, s.View().Saved[0].Verified)
	back, err := formats.Open(t.Context(), s.View().Saved[0].Path, nil)
	require.NoError(t, err)
	for a := range 2 {
		require.GreaterOrEqual(t, back.Parts()[0].Box.Min[a], -1e-4)
		require.LessOrEqual(t, back.Parts()[0].Box.Max[a], 100+1e-4)
		require.InDelta(t, one.Spot.Low[a], back.Parts()[0].Box.Min[a], 1e-4)
	}
}

// The beds take the place of the kit on the sheet until another view is chosen; nothing of it is
// in the kit's history.
func TestBedsOnTheSheet(t *testing.T) {
	s, folder := onDisk(t)
	s.Open([]string{folder})
	s.settle()
	s.Type(state.InFactor, "0.2")
	s.settle()
	before := s.View()
	for _, c := range []struct {
		name  string
		leave func()
	}{
		{"side", func() { s.SetSide(state.Top) }},
		{"row", func() { s.SetInRow(true) }},
		{"pose", s.TogglePose},
		{"eye", func() { s.SetByEye(true) }},
		{"measure", s.StartMeasure},
		{"end", s.EndBeds},
		{"kit", s.NewKit}, // the last: the parts are gone
	} {
		s.TogglePose()
		s.SetByEye(true)
		s.StartMeasure()
		s.LayBeds()
		v := s.View()
		require.True(t, v.Sheet.Beds, c.name)
		require.False(t, v.Sheet.Pose || v.Sheet.ByEye || v.Measure.On || v.Sheet.ShowsKit(), c.name)
		require.NotNil(t, v.Beds, c.name)
		require.True(t, v.Sheet.Fit, c.name)
		require.Equal(t, before.Undo, v.Undo, c.name)
		require.Equal(t, before.Unsaved, v.Unsaved, c.name)
		c.leave()
		v = s.View()
		require.False(t, v.Sheet.Beds, c.name)
		require.Nil(t, v.Beds, c.name)
		require.Equal(t, c.name == "pose", v.Sheet.Pose, c.name)
	}
}

// A part that fits the bed as a print, and not as its copy, is told apart from one that is too
// large altogether; what fits is laid as large as its copy.
func TestBedsAreLaidCorrected(t *testing.T) {
	s, folder := onDisk(t)
	s.Open([]string{folder})
	s.settle()
	s.Tick(s.part("cut").ID, false)
	s.UseBed(judge.Bed{Size: geom.Vec{103.5, 103.5, 120}})
	s.Type(state.InNative, "1:12")
	s.Type(state.InTarget, "1:48")
	s.LayBeds()
	s.settle()
	require.Empty(t, s.View().Beds.Grown)
	p := s.View().Judged.Process
	p.Correction = process.Correction{On: true, Scale: geom.Vec{1.01, 1.02, 1}}
	s.SetProcess(p)
	s.settle()
	v := s.View()
	require.Equal(t, geom.Vec{1.01, 1.02, 1}, v.Beds.Correct)
	require.Equal(t, []string{"hull"}, v.Beds.Grown)
	require.Empty(t, v.Beds.Large)
	require.Len(t, v.Beds.Beds, 1)
	mast := v.Beds.Beds[0].Pieces[0]
	require.InDelta(t, 1.5*1.5*1.01*1.02, mast.Size[0]*mast.Size[1], 1e-9)
	s.Type(state.InTarget, "1:47")
	s.settle()
	require.Equal(t, []string{"hull"}, s.View().Beds.Large)
}

// On a round plate the outlines lie closer than rectangles do; that is looked for aside while the
// sheet shows the beds, and holds as long as nothing else is to be laid.
func TestBedsAreLaidCloser(t *testing.T) {
	s, folder := onDisk(t)
	s.Open([]string{folder})
	s.settle()
	s.Tick(s.part("cut").ID, false)
	s.UseBed(judge.Bed{Size: geom.Vec{120, 120, 120}, Margin: 2, Round: true})
	s.Type(state.InNative, "1:12")
	s.Type(state.InTarget, "1:48")
	s.SetQuantity(s.part("hull").ID, 3)
	s.settle()
	require.Equal(t, 4, s.View().Judged.Beds.Beds, "as rectangles one hull to a bed, and the mast")
	s.LayBeds()
	require.True(t, s.View().Beds.Closer)
	require.False(t, s.View().Beds.Ready())
	s.SaveBeds(formats.STL)
	require.ErrorIs(t, s.View().Notice, state.ErrStillFits)
	s.DismissNotice()
	s.settle()
	v := s.View()
	require.False(t, v.Beds.Closer)
	require.True(t, v.Beds.Ready())
	require.Len(t, v.Beds.Beds, 2)
	require.Equal(t, 2, v.Judged.Beds.Beds, "one count in all places")
	s.SetBedFolder(filepath.Join(folder, "beds"))
	s.SaveBeds(formats.ThreeMF)
	s.settle()
	require.Len(t, s.View().Saved, 2)
	for _, o := range s.View().Saved {
		require.NoError(t, o.Err)
		require.True(t, o.Verified)
	}
	s.EndBeds()
	require.Equal(t, 2, s.View().Judged.Beds.Beds, "it is still known")
	s.SetQuantity(s.part("hull").ID, 4)
	s.settle()
	require.Equal(t, 5, s.View().Judged.Beds.Beds, "nobody looks")

	// Cancelled, the rectangles stay until something changes.
	s.LayBeds()
	require.True(t, s.View().Beds.Closer)
	s.Cancel(state.Nesting)
	s.settle()
	require.False(t, s.View().Beds.Closer)
	require.Len(t, s.View().Beds.Beds, 5)
	s.SetQuantity(s.part("hull").ID, 3)
	s.settle()
	require.Len(t, s.View().Beds.Beds, 2)
}
