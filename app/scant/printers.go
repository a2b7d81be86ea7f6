package main

import (
	"errors"
	"fmt"
	"io"
	"strings"

	"scantling/app/text"
	"scantling/engine/judge"
	"scantling/engine/kit"
	"scantling/engine/ratio"
)

// bed reads the bed that the flags say: its size with margin, brim and shape, or a printer.
func (c call) bed(b *judge.Bed) error {
	if name, ok := c.flags["printer"]; ok {
		var err error
		var file *kit.PrintersError
		if *b, err = printer(name); err != nil && !errors.As(err, &file) {
			return unread(c, "--printer", name, err)
		}
		return err
	}
	if err := value(c, "bed", b, sides); err != nil {
		return err
	}
	return c.edges(b)
}

// edges reads what belongs to a bed beside its size.
func (c call) edges(b *judge.Bed) error {
	var margin, brim ratio.Length
	if err := value(c, "margin", &margin, anyLength); err != nil {
		return err
	}
	if err := value(c, "brim", &brim, anyLength); err != nil {
		return err
	}
	b.Margin, b.Brim, b.Round = margin.MM(), brim.MM(), c.has("round")
	return nil
}

// sides reads width, depth and height: 220x220x250, 8.5in x 8.5in x 10in.
func sides(typed string) (b judge.Bed, err error) {
	all := strings.FieldsFunc(typed, func(r rune) bool { return r == 'x' || r == 'X' || r == '×' })
	if len(all) != len(b.Size) {
		return b, misuse("", "is no bed; give width, depth and height, such as 220x220x250")
	}
	for i, side := range all {
		l, err := lengthIn(ratio.Millimetre)(side)
		if err != nil {
			return b, err
		}
		b.Size[i] = l.MM()
	}
	return b, nil
}

// usualPrinters are the generic sizes under names that can be typed.
func usualPrinters() []judge.Printer {
	var out []judge.Printer
	for _, b := range judge.UsualBeds() {
		name := fmt.Sprintf("%gx%gx%g", b.Size[0], b.Size[1], b.Size[2])
		if b.Round {
			name = fmt.Sprintf("round-%gx%g", b.Size[0], b.Size[2])
		}
		out = append(out, judge.Printer{Name: name, Bed: b})
	}
	return out
}

// printer is the bed of a printer by its name: one of the generic sizes, or the maker's own.
func printer(name string) (judge.Bed, error) {
	for _, p := range usualPrinters() {
		if p.Name == name {
			return p.Bed, nil
		}
	}
	path, err := kit.PrintersFile()
	if err != nil {
		return judge.Bed{}, err
	}
	own, err := kit.LoadPrinters(path)
	if err != nil {
		return judge.Bed{}, err
	}
	p, err := own.Find(name)
	return p.Bed, err
}

// A printerRow is a printer in JSON; lengths are millimetres.
type printerRow struct {
	Name   string `json:"name"`
	Width  number `json:"width"`
	Depth  number `json:"depth"`
	Height number `json:"height"`
	Margin number `json:"margin"`
	Brim   number `json:"brim"`
	Round  bool   `json:"round"`
	Own    bool   `json:"own"` // saved by the maker, not one of the generic sizes
}

// printers lists the generic sizes and the maker's own printers, adds one or removes one.
func (s *session) printers() error {
	c := s.call
	verb := ""
	if len(c.paths) > 0 {
		verb = c.paths[0]
	}
	if verb != "add" {
		for _, flag := range []string{"margin", "brim", "round"} {
			if c.has(flag) {
				return misuse(c.verb, "--"+flag+" goes with: scant printers add")
			}
		}
	}
	switch {
	case verb == "":
		return s.listPrinters()
	case verb == "add" && len(c.paths) == 3:
		b, err := sides(c.paths[2])
		if err != nil {
			return unread(c, "add", c.paths[2], err)
		}
		if err := c.edges(&b); err != nil {
			return err
		}
		p := judge.Printer{Name: c.paths[1], Bed: b}
		for _, usual := range usualPrinters() {
			if strings.EqualFold(usual.Name, strings.TrimSpace(p.Name)) {
				return kit.ErrPrinterTaken
			}
		}
		return s.changePrinters(func(all kit.Printers) (kit.Printers, error) { return all.With(p) })
	case verb == "remove" && len(c.paths) == 2:
		return s.changePrinters(func(all kit.Printers) (kit.Printers, error) { return all.Without(c.paths[1]) })
	}
	return misuse(c.verb, "say: scant printers, scant printers add NAME XxYxZ, or scant printers remove NAME")
}

// changePrinters changes the maker's own printers and lists them all.
func (s *session) changePrinters(change func(kit.Printers) (kit.Printers, error)) error {
	path, err := kit.PrintersFile()
	if err != nil {
		return err
	}
	if _, err := kit.ChangePrinters(path, change); err != nil {
		return err
	}
	return s.listPrinters()
}

// listPrinters lists the generic sizes in any case, even where the maker's own cannot be read.
func (s *session) listPrinters() error {
	out := []printerRow{}
	rows := [][]string{{"printer", "bed", "margin", "brim", ""}}
	add := func(p judge.Printer, own bool) {
		whose := "generic size"
		if own {
			whose = "your own"
		}
		b := p.Bed
		out = append(out, printerRow{p.Name, number(b.Size[0]), number(b.Size[1]), number(b.Size[2]), number(b.Margin), number(b.Brim), b.Round, own})
		rows = append(rows, []string{p.Name, text.BedSize(b, false), text.Length(b.Margin, false), text.Length(b.Brim, false), whose})
	}
	path, err := kit.PrintersFile()
	var own kit.Printers
	if err == nil {
		own, err = kit.LoadPrinters(path)
	}
	for _, p := range own.All {
		add(p, true)
	}
	for _, p := range usualPrinters() {
		add(p, false)
	}
	if s.call.has("json") {
		return errors.Join(s.printJSON(map[string]any{"printers": out}), err)
	}
	if print := printTable(s.out, rows); print != nil {
		return print
	}
	if err == nil {
		_, err = io.WriteString(s.out, "\nGeneric sizes are common practice: measure your own bed, and save it under a name.\n")
	}
	return err
}
