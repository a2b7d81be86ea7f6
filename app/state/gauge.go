package state

import (
	"path/filepath"
	"strings"

	"scantling/engine/deliver"
	"scantling/engine/gauge"
	"scantling/engine/kit"
	"scantling/engine/process"
	"scantling/engine/ratio"
	"scantling/formats"
)

// A Gauged is what was done last with a step gauge.
type Gauged struct {
	Saved string // where one was saved; empty: nowhere yet
	Kept  string // the process that readings were kept as; empty: none yet
}

// A GaugeReading is what was typed of a printed step gauge, and what it makes of a process.
type GaugeReading struct {
	Readings gauge.Readings // those without a fault
	Faults   map[gauge.Field]error
	After    process.Process
}

// ReadGauge reads what was typed: millimetres unless it says its unit, nothing where a strip was
// not read. The name of the process stays.
func ReadGauge(p process.Process, typed map[gauge.Field]string) GaugeReading {
	g := GaugeReading{Readings: gauge.Readings{}, Faults: map[gauge.Field]error{}}
	for f, s := range typed {
		if s = strings.TrimSpace(s); s == "" {
			continue
		}
		l, err := ratio.ParseLength(s, ratio.Millimetre)
		if err == nil {
			g.Readings[f] = l.MM()
			err = g.Readings.Check(f)
		}
		if err != nil {
			delete(g.Readings, f)
			g.Faults[f] = err
		}
	}
	if after, err := g.Readings.Apply(p); err == nil {
		g.After = after
	} else {
		g.After = p
	}
	return g
}

// SaveGauge saves a step gauge for the process in force, over what lies at the path only where
// that may be. View.Gauged tells of it.
func (b *Bench) SaveGauge(path string, over bool) {
	p, disk := b.view.Judged.Process, b.config.Disk
	path = absolute(path)
	b.start(&b.gauging, func(w *worker) error {
		made, err := gauge.Make(p)
		if err != nil {
			return err
		}
		c := deliver.Copy{Source: formats.Made(made.Parts), Name: filepath.Base(path), Factor: 1, PerUnit: 1, Tag: gauge.Tag}
		done, err := disk.Save(w.ctx, []deliver.Copy{c}, deliver.Options{Folder: filepath.Dir(path), Overwrite: over}, func(deliver.Progress) {})
		if err == nil {
			err = done[0].Err
		}
		return err
	}, func(err error) {
		if err == nil {
			b.SetFolder(ForGauges, filepath.Dir(path))
			b.view.Gauged.Saved = path
		}
		b.notice(err)
	})
}

// KeepReadings makes a process of the maker's own of the one in force and of readings, and
// prints the kit by it. It renews the one in force where it has that name, and no other.
// View.Gauged tells of it.
func (b *Bench) KeepReadings(r gauge.Readings, name string) {
	now := b.view.Judged.Process
	p, err := r.Apply(now)
	if err != nil {
		b.notice(err)
		return
	}
	p.Name = strings.TrimSpace(name)
	renews := strings.EqualFold(p.Name, now.Name)
	b.processes(func(all kit.Processes) (kit.Processes, error) {
		if renews {
			return all.Renewed(p)
		}
		return all.With(p)
	}, func(err error) {
		if err == nil {
			b.SetProcess(p)
			b.view.Gauged.Kept = p.Name
		}
		b.notice(err)
	})
}
