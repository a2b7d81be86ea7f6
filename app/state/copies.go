package state

import (
	"cmp"
	"context"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"time"

	"scantling/engine/deliver"
	"scantling/engine/geom"
	"scantling/engine/judge"
	"scantling/engine/kit"
	"scantling/engine/ratio"
	"scantling/engine/ways"
	"scantling/formats"
)

// DefaultPattern names copies by their part and the ratio that they have.
const DefaultPattern = "{part}-{ratio}"

// A plan is the CopyPlan that is shown, and the copies that it stands for.
type plan struct {
	CopyPlan
	copies  []deliver.Copy // one for each name that has a source
	at      []int          // index into Names of each copy
	failed  []deliver.Outcome
	stale   bool // what lies in the folder is to be looked up
	unready bool // files are still being read
	opened  time.Time
	usual   string // folder where the kit has none
	// What stands in the fields and is nothing that the kit could keep: no folder, and a pattern
	// that cannot be read, nil where it can; instead is the kit's that it stands for.
	noFolder bool
	mistyped *string
	instead  string
}

// PlanCopies opens the plan of what saving would do.
func (b *Bench) PlanCopies() {
	b.plan = &plan{opened: time.Now(), usual: b.usualFolder(), CopyPlan: CopyPlan{Fields: deliver.NameFields()}}
	b.recompute()
}

// usualFolder is where copies went the last time; else one beside that of the sources, not
// in it, so that opening the sources' folder again does not find the copies. The demo's
// sources lie where nobody looks: its copies go to the maker's own folder.
func (b *Bench) usualFolder() string {
	if kept := b.Folder(ForCopies); kept != "" {
		return kept
	}
	parts := b.history.Kit().Parts
	if len(parts) == 0 {
		return ""
	}
	folder := filepath.Dir(parts[0].File)
	if b.demo {
		if home, err := os.UserHomeDir(); err == nil {
			folder = filepath.Join(home, "tug")
		}
	}
	return filepath.Clean(folder) + "-copies"
}

// replan changes the open plan; nothing happens without one.
func (b *Bench) replan(change func(*plan)) {
	if b.plan != nil {
		change(b.plan)
		b.plan.stale = true
		b.recompute()
	}
}

// choose changes how the kit's copies are saved, while that is shown.
func (b *Bench) choose(change func(*kit.Saving)) {
	k := b.history.Kit()
	change(&k.Saving)
	if b.plan != nil && k.Saving != b.history.Kit().Saving {
		b.merge(StepSaving, "", k)
	}
}

// chosen puts what the kit has of saving into the plan.
func (p *plan) chosen(s kit.Saving) {
	before := p.Folder
	p.Folder, p.Pattern = cmp.Or(s.Folder, p.usual), cmp.Or(s.Pattern, DefaultPattern)
	if p.noFolder {
		p.Folder = ""
	}
	if p.mistyped != nil && p.instead == s.Pattern { // not undone meanwhile
		p.Pattern = *p.mistyped
	}
	p.As, p.Folders, p.Turned, p.Posed = kindCalled(s.Format), s.Folders, s.Turned, s.Posed
	p.stale = p.stale || p.Folder != before
}

// SetCopyFolder chooses the folder for copies; it is made when they are saved.
func (b *Bench) SetCopyFolder(folder string) {
	if folder != "" {
		folder = absolute(folder)
	}
	b.together(func() {
		b.replan(func(p *plan) { p.noFolder = folder == "" })
		b.choose(func(s *kit.Saving) { s.Folder = cmp.Or(folder, s.Folder) })
	})
}

// SetCopyPattern chooses how copies are named: plain text and View.Copies.Fields in braces.
func (b *Bench) SetCopyPattern(pattern string) {
	if _, err := deliver.ParsePattern(pattern); err != nil {
		b.replan(func(p *plan) { p.mistyped, p.instead = &pattern, b.history.Kit().Saving.Pattern })
		return
	}
	b.together(func() {
		b.replan(func(p *plan) { p.mistyped = nil })
		b.choose(func(s *kit.Saving) { s.Pattern = pattern })
	})
}

// SetCopyFormat chooses the format of the copies; "" is that of each source.
func (b *Bench) SetCopyFormat(k formats.Kind) {
	b.choose(func(s *kit.Saving) { s.Format = string(k) })
}

// SetPartFormat chooses the format of the copy of a part's file alone; "" is that of all copies.
func (b *Bench) SetPartFormat(id string, k formats.Kind) {
	p, ok := b.history.Kit().Part(id)
	if !ok || p.As == string(k) {
		return
	}
	b.do(StepFormat, b.history.Kit().WithEach(func(q *kit.Part) {
		if q.File == p.File {
			q.As = string(k)
		}
	}))
}

// SetFolders lets copies lie in folders as their sources do.
func (b *Bench) SetFolders(on bool) { b.choose(func(s *kit.Saving) { s.Folders = on }) }

// SetOverwrite allows existing files to be replaced, for the next run only.
func (b *Bench) SetOverwrite(on bool) { b.replan(func(p *plan) { p.Overwrite = on }) }

// SetPosed says whether the copies are turned and put down as they fit the bed.
func (b *Bench) SetPosed(on bool) { b.choose(func(s *kit.Saving) { s.Posed = on }) }

// overOnceCorrected is by how much parts of a file that fit the bed at a factor may be too long
// for it when they are corrected: as if they were so along all axes by the most, since a part may
// be laid on the plate in any way.
func (b *Bench) overOnceCorrected(f *modelFile, factor float64, by geom.Vec) geom.Vec {
	var over geom.Vec
	most := max(by[0], by[1], by[2])
	if most <= 1 || b.view.Bed.Check() != nil {
		return over
	}
	for i := range b.view.Parts {
		if p := &b.view.Parts[i]; p.File == f.path && p.Ticked && p.State == Measured && p.Fits {
			if fits, long := p.fits(b.view.Bed, factor*most); !fits {
				for a := range over {
					over[a] = max(over[a], long[a])
				}
			}
		}
	}
	return over
}

// posed is how the one part of a file is put down at a factor: nothing for a file of several.
func (b *Bench) posed(f *modelFile, factor float64) (*judge.Pose, geom.Pose) {
	if len(f.parts) != 1 {
		return nil, geom.Pose{}
	}
	for i := range b.view.Parts {
		p := &b.view.Parts[i]
		if p.File != f.path || p.Fit == nil {
			continue
		}
		hull := b.hullFor(p, onBed{b.view.Bed, b.view.Way.Turn})
		turn, shift := p.Fit.Pose.OfFile(hull.Scaled(p.Measured.Unit.MM))
		return &p.Fit.Pose, geom.Pose{Rows: turn, Shift: shift.Scale(factor / f.parts[0].Unit.MM)}
	}
	return nil, geom.Pose{}
}

// CloseCopies drops the plan. A run that is under way goes on.
func (b *Bench) CloseCopies() {
	b.plan = nil
	b.listing.stop()
	b.change()
}

// shown is the plan as the view has it.
func (p *plan) shown() *CopyPlan {
	if p == nil {
		return nil
	}
	shown := p.CopyPlan
	shown.Names = slices.Clone(p.Names)
	return &shown
}

// rename plans all names anew for the kit and the factor as they are.
func (p *plan) rename(b *Bench) {
	if p == nil {
		return
	}
	before, beforeNames := p.copies, p.Names
	p.copies, p.at, p.failed, p.Names, p.unready = nil, nil, nil, nil, false
	p.chosen(b.history.Kit().Saving)
	factor := b.view.Result.Factor
	pattern, patternErr := deliver.ParsePattern(p.Pattern)
	p.Correction = b.processOf(b.history.Kit()).Correction
	labels := deliver.Labels{Kit: b.history.Kit().Title, Target: b.view.Result.Target, Factor: factor, Correction: p.Correction.Factors(), Date: p.opened}
	for _, f := range b.tickedFiles() {
		name := PlannedName{Part: filepath.Base(f.path), Along: b.alongWith(f)}
		if f.state != Measured {
			p.unready = p.unready || f.state != Failed
			name.Err = &PathError{Path: f.path, Err: ErrFailedPart}
			p.failed = append(p.failed, deliver.Outcome{Copy: deliver.Copy{Name: name.Part}, Err: name.Err})
			p.Names = append(p.Names, name)
			continue
		}
		times, by, err := b.unitBy(f, factor)
		if err != nil {
			name.Err = err
			p.failed = append(p.failed, deliver.Outcome{Copy: deliver.Copy{Name: name.Part}, Err: err})
			p.Names = append(p.Names, name)
			continue
		}
		name.UnitBy = by
		c := deliver.Copy{Source: f.file, Factor: times, PerUnit: 1, UnitBy: by, Tag: labels.Tag(), Correction: labels.Correction}
		if p.Posed {
			name.Pose, c.Pose = b.posed(f, factor.Float())
			name.Stays = len(f.parts) > 1
		} else if p.Turned {
			if c.Pose, name.Err = b.standing(f); name.Err != nil {
				p.failed = append(p.failed, deliver.Outcome{Copy: deliver.Copy{Name: name.Part}, Err: name.Err})
				p.Names = append(p.Names, name)
				continue
			}
		}
		name.Over = b.overOnceCorrected(f, factor.Float(), p.Correction.Factors())
		var chosen string
		name.ID, chosen, labels.Least, labels.Most = b.ofFile(f)
		name.Of = kindCalled(chosen)
		if as := cmp.Or(name.Of, p.As); as != "" {
			c.Source, c.PerUnit = formats.As(f.file, as)
		}
		if patternErr == nil {
			c.Name = pattern.Name(c.Source, labels)
		}
		p.at = append(p.at, len(p.Names))
		p.copies = append(p.copies, c)
		p.Names = append(p.Names, name)
	}
	if patternErr == nil {
		p.settle(b.history.Kit())
	}
	switch {
	case len(p.copies) == 0 && !p.unready:
		p.Err = ErrNoneTicked
	case !factor.Known():
		p.Err = ErrNoFactor
		for i := range p.Names {
			p.Names[i].Name = "" // it would tell a factor of 0
		}
	case p.Folder == "":
		p.Err = ErrNoFolder
	case patternErr != nil:
		p.Err = patternErr
	case p.unready || len(b.fresh) > 0:
		p.Err = ErrStillOpens
	case p.Posed && b.view.Bed.Check() != nil:
		p.Err = ways.ErrNeedBed
	case b.view.Result.Pending || p.Posed && b.view.Bedding.Unknown > 0:
		p.Err = ErrStillFits
	default:
		p.Err = nil
	}
	p.stale = p.stale || !slices.EqualFunc(before, p.copies, sameCopy)
	if !p.stale && len(beforeNames) == len(p.Names) {
		for i := range p.Names { // what is known of the folder still holds
			if p.Names[i].Err == nil {
				was := &beforeNames[i]
				p.Names[i].Exists, p.Names[i].Unchanged, p.Names[i].Long, p.Names[i].Err = was.Exists, was.Unchanged, was.Long, was.Err
			}
		}
	}
}

// tickedFiles are the files of which a part is ticked, in the order of the kit.
func (b *Bench) tickedFiles() []*modelFile {
	var files []*modelFile
	for _, p := range b.history.Kit().Ticked() {
		if f := b.files[p.File]; !slices.Contains(files, f) {
			files = append(files, f)
		}
	}
	return files
}

// alongWith counts the parts of a file that are not ticked, or were taken out of the kit,
// and come along all the same: a copy is of the whole file.
func (b *Bench) alongWith(f *modelFile) int {
	n := len(f.parts)
	for _, p := range b.history.Kit().Ticked() {
		if p.File == f.path {
			n--
		}
	}
	return max(0, n)
}

// unitBy is what the lengths of a file are multiplied by: the kit's one factor, and what the
// maker's unit makes of the file's on top, so that all copies read in one unit fit together.
// The product is exact until it is rounded once. by is 0 where no unit was corrected.
func (b *Bench) unitBy(f *modelFile, factor ratio.Factor) (times, by float64, err error) {
	var one *kit.Part
	for _, p := range b.history.Kit().Parts {
		if p.File != f.path {
			continue
		}
		if one != nil && !one.Unit.Equal(p.Unit) {
			return 0, 0, &PathError{Path: f.path, Err: ErrUnitsDiffer}
		}
		one = &p
	}
	if one == nil || !one.Unit.Known() || len(f.parts) == 0 || !factor.Known() {
		return factor.Float(), 0, nil
	}
	correction := one.Correction(f.parts[0].Unit)
	if by, _ = correction.Float64(); by == 1 {
		by = 0
	}
	times, _ = correction.Mul(factor.Rat(), correction).Float64()
	return times, by, nil
}

// standing is how a file's parts were turned, which must be alike for a copy of the file.
func (b *Bench) standing(f *modelFile) (geom.Pose, error) {
	k := b.history.Kit()
	var turn geom.Turn
	first := true
	for _, p := range k.Parts {
		if p.File != f.path || p.Index >= len(f.parts) {
			continue
		}
		seen := k.Seen(p, f.parts[p.Index])
		if !first && seen.Turn != turn {
			return geom.Pose{}, &PathError{Path: f.path, Err: ErrTurnsDiffer}
		}
		turn, first = seen.Turn, false
	}
	return turn.Pose(), nil
}

// SetTurned lets copies stand as the parts do on the sheet, instead of as their files have
// them.
func (b *Bench) SetTurned(on bool) { b.choose(func(s *kit.Saving) { s.Turned = on }) }

// lookUpNames asks the disk what the planned names would meet there.
func (b *Bench) lookUpNames() {
	p := b.plan
	if p == nil || !p.stale || p.Err != nil || len(p.copies) == 0 {
		return
	}
	p.stale = false
	copies, folder, disk := p.copies, p.Folder, b.config.Disk
	var met []deliver.Planned
	b.start(&b.listing, func(*worker) error {
		met = disk.Plan(copies, folder)
		return nil
	}, func(err error) {
		if err != nil || b.plan != p || len(met) != len(p.at) {
			return
		}
		for i, m := range met {
			n := &p.Names[p.at[i]]
			n.Exists, n.Unchanged, n.Long, n.Err = m.Exists, m.Unchanged, m.Long, m.Err
		}
		b.change()
	})
}

// SaveCopies saves what is planned. The plan closes when the run ends; View.Saved tells
// what came of it.
func (b *Bench) SaveCopies() {
	p := b.plan
	switch {
	case p == nil:
		return
	case b.saving.busy:
		b.notice(ErrStillSaving)
		return
	case p.Err != nil:
		b.notice(p.Err)
		return
	}
	b.SetFolder(ForCopies, p.Folder)
	copies, failed, disk := p.copies, p.failed, b.config.Disk
	options := deliver.Options{Folder: p.Folder, Overwrite: p.Overwrite, Verify: formats.ReadBack}
	p.Overwrite = false // for this run only
	var outcomes []deliver.Outcome
	note := b.noteSaved(p)
	b.view.Saved = nil
	b.start(&b.saving, func(w *worker) (err error) {
		outcomes, err = disk.Save(w.ctx, copies, options, func(at deliver.Progress) {
			j := Job{Done: at.CopiesDone, All: at.Copies, DoneBytes: at.Done, AllBytes: at.All}
			if at.Copy >= 0 && at.Copy < len(copies) {
				j.Part = copies[at.Copy].Name
			}
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
			b.view.Saved = append(outcomes, failed...)
			if b.plan == p {
				b.plan = nil
			}
		}
		b.leave()
		b.nextLook()
		b.change()
	})
}
