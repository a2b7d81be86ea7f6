package main

import (
	"fmt"
	"path"
	"path/filepath"

	"scantling/app/text"
	"scantling/engine/deliver"
	"scantling/engine/geom"
	"scantling/engine/ways"
	"scantling/formats"
	"scantling/formats/threemf"
)

// rescale saves a copy of every file that can be read.
func (s *session) rescale() error {
	w, err := s.call.way()
	if err != nil {
		return err
	}
	c, err := s.call.copying()
	if err != nil {
		return err
	}
	models, err := s.models()
	if err != nil {
		return err
	}
	if c.count, err = s.quantities(models); err != nil {
		return err
	}
	found, err := s.find(&w, models)
	if err != nil {
		return s.noFactor(err, models)
	}
	copies := make([]deliver.Copy, 0, len(models))
	copied := make([]*model, 0, len(models))
	for _, m := range models {
		if m.err == nil {
			s.warnOfCopy(m)
			copies = append(copies, s.copyOf(m, c, found))
			copied = append(copied, m)
		}
	}
	if s.call.has("folders") {
		deliver.Folders(copies)
	}
	deliver.Distinct(copies)
	if c.one != "" && len(copied) > 0 {
		copies = []deliver.Copy{s.oneOf(copied, c, found)}
	}
	outcomes, err := s.save(copies, c.folder)
	if err != nil {
		return err
	}
	byModel := map[*model]deliver.Outcome{}
	for i, m := range copied {
		o := outcomes[min(i, len(outcomes)-1)] // of all, where all go into one
		byModel[m] = o
		if o.Err != nil && i < len(outcomes) {
			s.fail(m.path, o.Err)
		}
	}
	if s.call.has("json") {
		return s.printCopiesJSON(w, found, models, byModel)
	}
	return s.printCopies(w, found, models, byModel, outcomes)
}

// warnOfCopy tells where a source says that it is a copy already.
func (s *session) warnOfCopy(m *model) {
	if said := text.ScaledCopy(m.file.Notes()); said != "" {
		fmt.Fprintf(s.err, "scant: %s: %s\n", m.path, said)
	}
}

// copyOf plans the copy of one file.
func (s *session) copyOf(m *model, c copying, found ways.Result) deliver.Copy {
	labels := deliver.Labels{Kit: s.call.title(), Target: found.Target, Factor: found.Factor, Correction: c.correct, Date: c.now}
	copied := deliver.Copy{Source: m.file, Factor: found.Factor.Float(), PerUnit: 1, Tag: labels.Tag(), Correction: c.correct}
	if s.call.has("pose") {
		copied.Pose = s.posed(m, found.Factor.Float())
	}
	if c.as != "" {
		copied.Source, copied.PerUnit = formats.As(m.file, c.as)
	}
	for i, p := range m.file.Parts() {
		n := max(1, c.count[p.Name])
		if labels.Most = max(labels.Most, n); i == 0 || n < labels.Least {
			labels.Least = n
		}
	}
	copied.Name = c.pattern.Name(copied.Source, labels)
	return copied
}

// oneOf plans the one package of all files.
func (s *session) oneOf(models []*model, c copying, found ways.Result) deliver.Copy {
	files := make([]formats.File, len(models))
	for i, m := range models {
		files[i] = m.file
	}
	about := threemf.About{Title: s.call.title()}
	if found.Target.Known() {
		about.Ratio = found.Target.String()
	}
	tag := deliver.Labels{Kit: s.call.title(), Target: found.Target, Factor: found.Factor, Correction: c.correct}.Tag()
	return deliver.Copy{Source: formats.Together(about, files), Name: c.one, Factor: found.Factor.Float(), PerUnit: 1, Tag: tag, Correction: c.correct}
}

// save saves those copies that nothing stands in the way of; the others have their reason
// in their outcome. The error is that nothing could be begun.
func (s *session) save(copies []deliver.Copy, folder string) ([]deliver.Outcome, error) {
	out := make([]deliver.Outcome, len(copies))
	var free []deliver.Copy
	var at []int
	for i, p := range deliver.Plan(copies, folder) {
		out[i] = deliver.Outcome{Copy: copies[i], Err: p.Err}
		if p.Long > 0 {
			fmt.Fprintf(s.err, "scant: %s: %s\n", copies[i].Name, text.LongPath(p.Long))
		}
		if p.Err == nil {
			free = append(free, copies[i])
			at = append(at, i)
		}
	}
	if len(free) == 0 {
		return out, nil
	}
	o := deliver.Options{Folder: folder, Overwrite: s.call.has("overwrite"), Keep: s.call.has("only-changed")}
	if s.call.has("verify") {
		o.Verify = formats.ReadBack
	}
	saved, err := deliver.Run(s.ctx, free, o, nil)
	if err != nil {
		return nil, err
	}
	for i, o := range saved {
		out[at[i]] = o
	}
	return out, nil
}

func (s *session) printCopiesJSON(w ways.Way, found ways.Result, models []*model, byModel map[*model]deliver.Outcome) error {
	a := s.answerOf(w, found)
	for _, m := range models {
		if m.err != nil {
			a.Parts = append(a.Parts, failedRow(m))
			continue
		}
		o := byModel[m]
		for i, p := range m.file.Parts() {
			r := s.printed(rowOf(m, p), m, i, found.Factor)
			r.Copy, r.Verified, r.Unchanged = o.Path, &o.Verified, o.Unchanged
			if by := o.Copy.Correction; by != (geom.Vec{}) {
				r.Corrected = tripleOf(by)
			}
			if o.Err != nil {
				r.Error = sentence(m.path, o.Err)
			}
			a.Parts = append(a.Parts, r)
		}
	}
	return s.printJSON(a)
}

func (s *session) printCopies(w ways.Way, found ways.Result, models []*model, byModel map[*model]deliver.Outcome, outcomes []deliver.Outcome) error {
	if err := s.printFactor(w, found); err != nil {
		return err
	}
	rows := [][]string{{"part", "as drawn, mm", "print, mm", "copy", ""}}
	for _, m := range models {
		if m.err != nil {
			continue
		}
		o := byModel[m]
		name, remark := o.Copy.Name, "saved"
		switch {
		case o.Path == "":
			remark = "not saved"
		case o.Unchanged:
			remark = "unchanged"
		case o.Verified:
			remark = "verified"
		case o.Err != nil:
			remark = "differs"
		}
		if o.Path != "" {
			name = path.Join(o.Copy.Folder, filepath.Base(o.Path))
		}
		for _, p := range m.file.Parts() {
			rows = append(rows, append(sizes(p, found.Factor), name, remark))
		}
	}
	if len(rows) > 1 {
		fmt.Fprintln(s.out)
		if err := printTable(s.out, rows); err != nil {
			return err
		}
	}
	if len(outcomes) > 0 {
		if by := outcomes[0].Copy.Correction; by != (geom.Vec{}) {
			fmt.Fprintf(s.out, "\nThe copies are corrected for the printer besides: %s. The sizes of the print are those without.\n", text.Correction(by))
			if s.beds != nil && max(by[0], by[1], by[2]) > 1 {
				fmt.Fprintln(s.out, "The factor fills the bed before they are corrected: leave a margin for that.")
			}
		}
	}
	_, err := fmt.Fprintf(s.out, "\n%s\n", text.Summary(outcomes))
	return err
}
