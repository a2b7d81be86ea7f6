package kit

import (
	"path/filepath"
	"strings"
)

// A Saving is how the maker wants the kit's copies saved. The members of its object:
//
//	saving: folder pattern format folders turned posed
type Saving struct {
	Folder  string // full path in memory; in the kit's file as the parts' files are; empty: none was chosen
	Pattern string // as deliver.ParsePattern reads it; empty: the usual
	Format  string // of all copies, as formats.Kind has it; empty: that of each source
	Folders bool   // copies lie in folders as their sources do
	Turned  bool   // copies stand as the parts do on the sheet
	Posed   bool   // copies lie as they fit the bed
}

// saving writes how copies are saved, unless nothing was chosen.
func (w *writer) saving(k Kit, folder string) error {
	if k.Saving == (Saving{}) && len(k.savingExtra) == 0 {
		return nil
	}
	var o writer
	if k.Saving.Folder != "" {
		o.member("folder", stored(k.Saving.Folder, folder))
	}
	o.nonEmpty("pattern", k.Saving.Pattern)
	o.nonEmpty("format", k.Saving.Format)
	o.truth("folders", k.Saving.Folders)
	o.truth("turned", k.Saving.Turned)
	o.truth("posed", k.Saving.Posed)
	object, err := o.object(k.savingExtra)
	if err != nil {
		return err
	}
	w.member("saving", object)
	return nil
}

// saving reads what the writer wrote.
func (r *reader) saving(o object, k *Kit, folder string) {
	m, there := o.take("saving")
	if !there {
		return
	}
	s := r.object(m)
	at := s["folder"]
	k.Saving = Saving{
		Folder:  r.text(s, "folder"),
		Pattern: r.text(s, "pattern"),
		Format:  r.text(s, "format"),
		Folders: r.truth(s, "folders", false),
		Turned:  r.truth(s, "turned", false),
		Posed:   r.truth(s, "posed", false),
	}
	k.savingExtra = s.rest()
	if strings.ContainsRune(k.Saving.Folder, 0) {
		r.bad(at, errPath)
	}
	if f := &k.Saving.Folder; *f != "" {
		if *f = filepath.FromSlash(*f); !filepath.IsAbs(*f) {
			*f = filepath.Join(folder, *f)
		}
	}
}
