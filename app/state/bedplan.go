package state

import (
	"cmp"
	"context"
	"errors"
	"image"
	"math"
	"path/filepath"
	"slices"
	"strconv"

	"scantling/engine/deliver"
	"scantling/engine/geom"
	"scantling/engine/judge"
	"scantling/engine/kit"
	"scantling/engine/ways"
	"scantling/formats"
)

// A BedPlan is how the ticked parts lie on beds, each as often as it is printed.
type BedPlan struct {
	Bed     judge.Bed
	Layout  judge.Layout // its parts are those of View.Judged
	Beds    []LaidBed
	Large   []string // names of parts that are too large for any bed
	Grown   []string // and of those that are so only as copies, which the correction makes larger
	Closer  bool     // a closer layout is being looked for
	Waiting int      // ticked parts of which it is not known yet how they fit
	Correct geom.Vec // what lengths along the plate's axes are multiplied by in copies
	Folder  string   // where their files go
	Replace bool     // files that are there already may be replaced
	Err     error    // why nothing is laid out
}

// Ready reports whether the beds can be saved, as far as it is known how everything lies.
func (p *BedPlan) Ready() bool {
	return p != nil && p.Err == nil && p.Waiting == 0 && !p.Closer && len(p.Beds) > 0
}

// A LaidBed is one bed and what lies on it, in the order of the parts.
type LaidBed struct {
	Pieces []BedPiece
	// Full is the share of the usable room, seen from above, that lies under the hulls of the
	// pieces.
	Full float64
}

// A BedPiece is one piece on a bed, in millimetres from the corner of the plate.
type BedPiece struct {
	judge.Placed
	judge.Spot
	ID, Name string
	Of       int // how often the part is printed
	// Seen is the part from above as it lies in its file, where it stands so and that is known:
	// turned by Yaw it fills Frame.
	Seen *image.NRGBA

	part *Part
}

// laying is what is kept of beds from one change to the next.
type laying struct {
	folder  string
	replace bool
	rests   map[restKey]judge.Rest
}

// A restKey is a part on a bed by a turning, or as it lies narrowest.
type restKey struct {
	fitKey
	narrow bool
}

// LayBeds shows the ticked parts on beds, from above, in the place of the kit. View.Beds has
// that until EndBeds, or until another view is chosen.
func (b *Bench) LayBeds() {
	b.SetByEye(false)
	s := &b.view.Sheet
	if s.Beds {
		return
	}
	s.Beds, s.Pose, s.Fit = true, false, true
	b.view.Measure.On, b.view.Measure.Begun = false, false
	b.laying = laying{folder: b.usualFolder(), rests: map[restKey]judge.Rest{}}
	b.recompute()
}

// EndBeds shows the kit again. A run that is under way goes on.
func (b *Bench) EndBeds() {
	if b.view.Sheet.Beds {
		b.showKit()
		b.view.Sheet.Fit = true
		b.change()
	}
}

// showKit puts the kit on the sheet in the place of whatever is shown instead.
func (b *Bench) showKit() {
	s := &b.view.Sheet
	s.Pose, s.Beds = false, false
	b.laying, b.view.Beds = laying{}, nil
}

// SetBedFolder chooses the folder for the files of beds; it is made when they are saved.
func (b *Bench) SetBedFolder(folder string) {
	if folder != "" {
		folder = absolute(folder)
	}
	b.laying.folder = folder
	b.recompute()
}

// ReplaceBeds allows files that are there already to be replaced, for the next run only.
func (b *Bench) ReplaceBeds(on bool) {
	b.laying.replace = on
	b.recompute()
}

// layBeds fills View.Beds from how View.Judged says that the parts are packed.
func (b *Bench) layBeds(rows []Part) {
	v, l := &b.view, &b.laying
	v.Beds = nil
	if !v.Sheet.Beds {
		return
	}
	out := &BedPlan{Bed: v.Bed, Waiting: v.Bedding.Unknown, Folder: l.folder, Replace: l.replace,
		Correct: b.processOf(b.history.Kit()).Correction.Factors()}
	v.Beds = out
	f := v.Result.Factor.Float()
	switch {
	case len(v.Judged.IDs) == 0:
		out.Err = ErrNoneTicked
	case v.Judged.Beds != nil:
	case !(f > 0):
		out.Err = ErrNoFactor
	default:
		out.Err = ways.ErrNeedBed
	}
	if out.Err != nil {
		return
	}
	out.Layout, out.Closer = *v.Judged.Beds, b.wantsNest()
	byID := map[string]*Part{}
	for i := range rows {
		byID[rows[i].ID] = &rows[i]
	}
	for _, i := range out.Layout.Left {
		part := byID[v.Judged.IDs[i]]
		switch {
		case slices.Contains(out.Layout.Grown, i):
			out.Grown = append(out.Grown, part.Name)
		case part.Fit != nil:
			out.Large = append(out.Large, part.Name)
		}
	}
	for _, p := range out.Layout.Placed {
		piece, ok := b.bedPiece(p, byID[v.Judged.IDs[p.Part]], f, out.Correct)
		if !ok {
			continue
		}
		for len(out.Beds) <= p.Bed {
			out.Beds = append(out.Beds, LaidBed{})
		}
		on := &out.Beds[p.Bed]
		on.Pieces = append(on.Pieces, piece)
		on.Full += piece.Covers() / out.Bed.Plate()
	}
	for _, on := range out.Beds {
		slices.SortStableFunc(on.Pieces, func(a, b BedPiece) int {
			return cmp.Or(cmp.Compare(a.Part, b.Part), cmp.Compare(a.Piece, b.Piece))
		})
	}
}

// bedPiece is a placed piece with all that is shown and saved of it.
func (b *Bench) bedPiece(p judge.Placed, part *Part, f float64, correct geom.Vec) (BedPiece, bool) {
	rest, ok := b.restOf(p, part)
	if !ok {
		return BedPiece{}, false
	}
	out := BedPiece{Placed: p, Spot: b.view.Bed.Lay(p, rest, f, correct), ID: part.ID, Name: part.Name, Of: max(1, part.Quantity), part: part}
	if !math.IsNaN(out.Yaw) {
		out.Seen = part.Silhouettes[Top]
	}
	return out, true
}

// restOf is how a part stands by itself, posed as a piece of it is; false while that is not known.
func (b *Bench) restOf(p judge.Placed, part *Part) (judge.Rest, bool) {
	now := onBed{b.view.Bed, p.Turning}
	hull := b.hullFor(part, now)
	if hull == nil {
		return judge.Rest{}, false
	}
	key := restKey{fitKey{hull, part.Measured.Unit.MM, now}, p.Narrow}
	if known, ok := b.laying.rests[key]; ok {
		return known, true
	}
	scaled := hull.Scaled(key.unit)
	var pose judge.Pose
	if p.Narrow {
		pose = now.bed.Narrow(scaled).Pose
	} else if fit := b.fitOf(key.fitKey); fit != nil {
		pose = fit.Pose
	} else {
		return judge.Rest{}, false
	}
	known := judge.RestOf(pose, scaled)
	b.laying.rests[key] = known
	return known, true
}

// BedFile is how the file of a bed is called, numbered from 1, without its extension.
func BedFile(title string, bed int) string {
	if title == "" {
		title = "kit"
	}
	return title + "-bed-" + strconv.Itoa(bed)
}

// SaveBeds saves a file of each bed: k is formats.STL or formats.ThreeMF. View.Saved tells what
// came of it.
func (b *Bench) SaveBeds(k formats.Kind) {
	p := b.view.Beds
	switch {
	case p == nil || len(p.Beds) == 0:
		return
	case p.Waiting > 0 || p.Closer:
		b.notice(ErrStillFits)
		return
	case p.Folder == "":
		b.notice(ErrNoFolder)
		return
	}
	f := b.view.Result.Factor.Float()
	var copies []deliver.Copy
	var parts [][]string
	for i, on := range p.Beds {
		var layings []formats.Laying
		var last *Part
		var ids []string
		for _, piece := range on.Pieces {
			if piece.part != last {
				last = piece.part
				ids = append(ids, last.ID)
				layings = append(layings, b.layingOf(last, f))
			}
			one := &layings[len(layings)-1]
			one.Poses = append(one.Poses, piece.Pose)
		}
		if len(layings) == 0 { // how its pieces stand is not known
			continue
		}
		source := formats.Lay(b.aboutKit(), k, layings)
		parts = append(parts, ids)
		copies = append(copies, b.laidCopy(source, deliver.SafeName(BedFile(b.history.Kit().Title, i+1), source.Extension())))
	}
	if len(copies) == 0 {
		b.notice(ErrStillFits)
		return
	}
	b.SetFolder(ForCopies, p.Folder)
	b.laying.replace = false // for this run only
	b.saveLaid(copies, parts, k, p.Folder, p.Replace)
}

// SaveTogether saves all ticked parts at the factor as one 3MF package, once each, as they are
// assembled, over what lies at the path only where that may be. View.Saved tells what came of it.
func (b *Bench) SaveTogether(path string, over bool) {
	f := b.view.Result.Factor.Float()
	if !(f > 0) {
		b.notice(ErrNoFactor)
		return
	}
	path = absolute(path)
	correct := b.processOf(b.history.Kit()).Correction.Factors()
	var layings []formats.Laying
	var ids []string
	for i := range b.view.Parts {
		p := &b.view.Parts[i]
		if p.State != Measured || !p.Ticked || p.Measured.Triangles == 0 {
			continue
		}
		one := b.layingOf(p, f)
		one.Poses = []geom.Pose{kit.Upright(p.Measured).Pose().Stretched(correct)}
		layings, ids = append(layings, one), append(ids, p.ID)
	}
	if len(layings) == 0 {
		b.notice(ErrNoneTicked)
		return
	}
	source := formats.Lay(b.aboutKit(), formats.ThreeMF, layings)
	b.SetFolder(ForCopies, filepath.Dir(path))
	b.saveLaid([]deliver.Copy{b.laidCopy(source, filepath.Base(path))}, [][]string{ids}, formats.ThreeMF, filepath.Dir(path), over)
}

// layingOf is a part at a factor, put nowhere yet.
func (b *Bench) layingOf(p *Part, f float64) formats.Laying {
	return formats.Laying{File: b.files[p.File].file, Index: p.Index, Factor: f * p.Measured.Unit.MM,
		Closed: p.Topology != nil && p.Topology.Closed}
}

// aboutKit is what packages say of the kit.
func (b *Bench) aboutKit() formats.About {
	about := formats.About{Title: b.history.Kit().Title, Factor: b.view.Result.Factor.Float()}
	if target := b.view.Result.Target; target.Known() {
		about.Ratio = target.String()
	}
	return about
}

func (b *Bench) laidCopy(source *formats.Laid, name string) deliver.Copy {
	labels := deliver.Labels{Kit: b.history.Kit().Title, Target: b.view.Result.Target, Factor: b.view.Result.Factor,
		Correction: b.processOf(b.history.Kit()).Correction.Factors()}
	return deliver.Copy{Source: source, Name: name, Factor: 1, PerUnit: 1, Tag: labels.Tag()}
}

// saveLaid saves what is laid out, of those parts each, reads it back and notes it in the kit.
func (b *Bench) saveLaid(copies []deliver.Copy, parts [][]string, k formats.Kind, folder string, over bool) {
	if b.saving.busy {
		b.notice(ErrStillSaving)
		return
	}
	laid := map[string]*formats.Laid{}
	for _, c := range copies {
		laid[c.Name] = c.Source.(*formats.Laid)
	}
	disk := b.config.Disk
	options := deliver.Options{Folder: folder, Overwrite: over,
		Verify: formats.OpenLaid(func(path string) *formats.Laid { return laid[filepath.Base(path)] })}
	var outcomes []deliver.Outcome
	note := b.note(b.history, b.view.Result, parts, slices.Repeat([]string{string(k)}, len(copies)))
	b.view.Saved = nil
	b.looking.stop()
	b.surveying.stop() // one mesh at a time: they go on afterwards
	b.start(&b.saving, func(w *worker) (err error) {
		outcomes, err = disk.Save(w.ctx, copies, options, func(at deliver.Progress) {
			j := Job{Part: copies[min(max(at.Copy, 0), len(copies)-1)].Name, Done: at.CopiesDone, All: at.Copies}
			if at.All > 0 {
				j.Share = float64(at.Done) / float64(at.All)
			}
			b.progress(w, &b.saving, j)
		})
		return err
	}, func(err error) {
		if err != nil && !errors.Is(err, context.Canceled) {
			b.notice(err)
		}
		if len(outcomes) > 0 {
			note(outcomes)
			b.view.Saved = outcomes
		}
		b.leave()
		b.nextLook()
		b.recompute()
	})
}
