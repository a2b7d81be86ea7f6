package ui

import (
	"path/filepath"

	"fyne.io/fyne/v2/lang"

	"scantling/app/record"
	"scantling/app/state"
	"scantling/app/text"
)

// A recordKeeper saves records, and says where one lies.
type recordKeeper struct {
	w       *Window
	waiting bool // a record is being written
}

// askRecord asks as what the record is to be saved, and where. The paper that is usual here
// comes first.
func (w *Window) askRecord() {
	v := w.bench.View()
	if err := v.CanRecord(); err != nil {
		w.tell(text.SaveRecord.Name(), text.Error(err).String())
		return
	}
	usual := record.UsualPaper(func() string { return lang.SystemLocale().String() })
	other := record.A4
	if usual == record.A4 {
		other = record.Letter
	}
	w.ask(text.RecordAsk, text.RecordAskDetail,
		answer{text.RecordPDF(usual.String()), true, func() { w.saveRecord(record.PDF, usual) }},
		answer{text.RecordPDF(other.String()), false, func() { w.saveRecord(record.PDF, other) }},
		answer{text.RecordHTML, false, func() { w.saveRecord(record.HTML, usual) }},
		answer{text.RecordCSV, false, func() { w.saveRecord(record.CSV, usual) }},
		answer{text.AnswerCancel, false, func() {}})
}

// saveRecord asks where the record is to be saved.
func (w *Window) saveRecord(form record.Form, paper record.Paper) {
	b, ext := w.bench, form.Extension()
	w.chooseSave(
		Ask{Title: text.SaveRecord.Name(), Folder: b.Folder(state.ForRecords), Kind: text.RecordsChosen, Extensions: []string{ext},
			Name: fileName(text.RecordFileName(b.View())) + ext},
		func(path string, asked bool) {
			w.record.waiting = true
			b.SaveRecord(path, asked, record.Recorder(form, paper))
		})
}

// draw says what came of a record once it is written; of one that was cancelled, nothing.
func (r *recordKeeper) draw(v state.View) {
	if !r.waiting {
		return
	}
	for _, j := range v.Jobs {
		if j.ID == state.Recording {
			return
		}
	}
	r.waiting = false
	switch {
	case v.Recorded != "":
		folder := filepath.Dir(v.Recorded)
		r.w.ask(text.RecordSaved, v.Recorded,
			answer{text.OpenFolder.Name(), false, func() {
				if err := r.w.env.Show(folder); err != nil {
					r.w.tell(text.OpenFolder.Name(), folder, text.Error(err).String())
				}
			}},
			answer{text.AnswerClose, false, func() {}})
	case v.Notice != nil:
		r.w.tell(text.RecordFailed, text.Error(v.Notice).String())
	}
}
