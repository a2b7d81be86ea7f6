package state

import (
	"encoding/json"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"scantling/engine/kit"
	"scantling/engine/process"
	"scantling/engine/ratio"
)

// MoneyOf is how many characters the word for money may have.
const MoneyOf = 12

// usualProcess is what was chosen last, with all its numbers.
func (b *Bench) usualProcess() process.Process {
	kept := b.config.Preferences.String(keyProcess)
	var p process.Process
	if json.Unmarshal([]byte(kept), &p) == nil && p.Check() == nil {
		return p
	}
	all := process.Presets()
	for _, p := range all {
		if p.Process.Name == kept { // older versions kept the name only
			return p.Process
		}
	}
	return all[0].Process
}

// SetProcess chooses how the kit is printed. What Check refuses changes nothing.
func (b *Bench) SetProcess(p process.Process) {
	b.history.Pause()
	_ = b.editProcess("", p) // what is refused changes nothing
	b.history.Pause()
}

// editProcess changes the process; changes under the same key are one step of undo.
func (b *Bench) editProcess(key string, p process.Process) error {
	if err := p.Check(); err != nil {
		return err
	}
	k := b.history.Kit()
	if b.processOf(k) == p {
		return nil
	}
	if kept, err := json.Marshal(p); err == nil {
		b.config.Preferences.SetString(keyProcess, string(kept))
	}
	b.merge(StepProcess, key, k.WithProcess(p))
	return nil
}

// TypeProcess changes a number of the process. What cannot be read or is refused changes
// nothing and is the error. Typing on in the same field is one step of undo.
func (b *Bench) TypeProcess(f process.Field, typed string) error {
	v, err := ProcessNumber(f, typed)
	if err != nil {
		return err
	}
	p := b.view.Judged.Process
	into := p.Number(f)
	if into == nil {
		return nil
	}
	*into = v
	return b.editProcess(string(f), p)
}

// CorrectCopies turns the correction of saved copies on or off.
func (b *Bench) CorrectCopies(on bool) {
	p := b.view.Judged.Process
	p.Correction.On = on && p.Correction.Corrects()
	b.SetProcess(p)
}

// CorrectShrinkage takes the correction that makes up for the shrinkage of the material.
func (b *Bench) CorrectShrinkage() {
	p := b.view.Judged.Process
	on := p.Correction.On
	p.Correction = process.ForShrinkage(p.Material)
	p.Correction.On = on && p.Correction.Corrects()
	b.SetProcess(p)
}

// ProcessNumber reads a number of a process: a length in millimetres unless it says its unit, a
// share also in percent, and nothing for 0.
func ProcessNumber(f process.Field, typed string) (float64, error) {
	typed = strings.TrimSpace(typed)
	if typed == "" {
		return 0, nil
	}
	number, per := typed, 1.0
	switch f {
	case process.Density, process.Price:
	case process.CorrectionX, process.CorrectionY, process.CorrectionZ:
		number = strings.TrimSpace(strings.TrimPrefix(typed, "×"))
		if meant, measured, two := strings.Cut(number, "/"); two {
			return meantByMeasured(meant, measured)
		}
	case process.Infill, process.ShrinkageX, process.ShrinkageY, process.ShrinkageZ:
		if share, ok := strings.CutSuffix(typed, "%"); ok {
			number, per = strings.TrimSpace(share), 100
		}
	default:
		l, err := ratio.ParseLength(typed, ratio.Millimetre)
		if err != nil {
			return 0, err
		}
		return l.MM(), nil
	}
	v, err := strconv.ParseFloat(strings.Replace(number, ",", ".", 1), 64)
	if err != nil {
		return 0, &ratio.ParseError{Typed: typed, Err: ratio.ErrNotANumber}
	}
	return v / per, nil
}

// meantByMeasured is the correction for a length that was meant and measured, each in millimetres
// unless it says its unit.
func meantByMeasured(meant, measured string) (float64, error) {
	var mm [2]float64
	for i, typed := range []string{meant, measured} {
		l, err := ratio.ParseLength(strings.TrimSpace(typed), ratio.Millimetre)
		if err != nil {
			return 0, err
		}
		mm[i] = l.MM()
	}
	if mm[0] == 0 || mm[1] == 0 {
		return 0, process.ErrCorrection
	}
	return mm[0] / mm[1], nil
}

// TypeMoney says what the price is counted in; what is too long or is no writing changes
// nothing.
func (b *Bench) TypeMoney(money string) {
	money = strings.TrimSpace(money)
	if utf8.RuneCountInString(money) > MoneyOf || strings.ContainsFunc(money, unicode.IsControl) {
		return
	}
	p := b.view.Judged.Process
	p.Material.Money = money
	_ = b.editProcess("money", p) // it was sound before
}

// SetMaterial takes the density and the shrinkage of a material; the price stays.
func (b *Bench) SetMaterial(m process.Material) {
	p := b.view.Judged.Process
	m.PriceKG, m.Money = p.Material.PriceKG, p.Material.Money
	p.Material = m
	b.SetProcess(p)
}

// BaseProcess is what is kept under the name of the process in force, and where its numbers
// come from; false where nothing is.
func (v View) BaseProcess() (base process.Preset, ok bool) {
	name := v.Judged.Process.Name
	for _, p := range process.Presets() {
		if p.Process.Name == name {
			return p, true
		}
	}
	for _, p := range v.Processes {
		if p.Name == name {
			return process.Preset{Process: p, Sources: process.SourcesOf(p)}, true
		}
	}
	return process.Preset{}, false
}

// WantProcesses fills View.Processes, once.
func (b *Bench) WantProcesses() {
	if !b.asked {
		b.asked = true
		b.processes(nil, b.notice)
	}
}

// SaveProcess saves the process in force under a name, which it then has.
func (b *Bench) SaveProcess(name string) {
	p := b.view.Judged.Process
	p.Name = strings.TrimSpace(name)
	b.processes(func(all kit.Processes) (kit.Processes, error) { return all.With(p) }, func(err error) {
		if err != nil {
			b.notice(err)
			return
		}
		b.SetProcess(p)
	})
}

// ForgetProcess removes one of the maker's own processes; the kit keeps its numbers.
func (b *Bench) ForgetProcess(name string) {
	b.processes(func(all kit.Processes) (kit.Processes, error) { return all.Without(name) }, b.notice)
}

// processes changes the maker's own processes and tells done what came of it.
func (b *Bench) processes(change func(kit.Processes) (kit.Processes, error), done func(error)) {
	var own kit.Processes
	b.start(&b.processing, func(*worker) (err error) {
		own, err = b.config.Disk.Processes(change)
		return err
	}, func(err error) {
		b.together(func() {
			if err == nil {
				b.view.Processes = own.All
			}
			done(err)
			b.change()
		})
	})
}
