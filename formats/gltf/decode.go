package gltf

import (
	"bytes"
	"fmt"
	"math"

	"scantling/formats/internal/fault"
)

// place is where a value stands: "accessors[3].byteOffset". It searches, so it is for
// errors only.
func (t *tree) place(at value) string {
	place := ""
	for i := uint32(0); i < at.i; {
		i++ // into the value
		if t.tokens[i-1].kind == kindObject {
			for t.tokens[i+1].next <= at.i {
				i = t.tokens[i+1].next
			}
			name := value{t, i}.str()
			if i == at.i {
				return place // the name itself
			}
			if place != "" {
				place += "."
			}
			place += name
			i++
		} else {
			n := 0
			for ; t.tokens[i].next <= at.i; n++ {
				i = t.tokens[i].next
			}
			place += fmt.Sprintf("[%d]", n)
		}
	}
	return place
}

// A decoder turns the tree into what this package needs of it. Its first failure stays;
// everything after that is harmless.
type decoder struct {
	file  string
	start int64 // where the JSON begins in the file
	lines bool  // the file is text
	err   error
}

// fail records what is wrong with v.
func (d *decoder) fail(code fault.Code, v value, what string) {
	if d.err == nil {
		d.err = d.fault(code, v, what)
	}
}

// fault is an error about v.
func (d *decoder) fault(code fault.Code, v value, what string) error {
	e := &fault.Error{File: d.file, Code: code, Byte: -1, Detail: what}
	if v.t == nil {
		return e
	}
	if place := v.t.place(v); place != "" {
		e.Detail = place + ": " + what
	}
	d.locate(e, v.t.text, int(v.t.tokens[v.i].start))
	return e
}

func (d *decoder) locate(e *fault.Error, text []byte, at int) {
	e.Byte = d.start + int64(at)
	if d.lines {
		e.Line = 1 + bytes.Count(text[:at], []byte("\n"))
	}
}

// list is an array's items. Where there is none it is empty; anything else is a fault.
func (d *decoder) list(o value, name string) []value {
	v := o.get(name)
	if k := v.kind(); k != kindNone && k != kindArray {
		d.fail(fault.Syntax, v, "not a list")
	}
	return v.items()
}

// objects is a list whose items are all objects.
func (d *decoder) objects(o value, name string) []value {
	items := d.list(o, name)
	for _, v := range items {
		if v.kind() != kindObject {
			d.fail(fault.Syntax, v, "not an object")
		}
	}
	return items
}

// whole is a whole number from 0 to most, or otherwise where there is none.
func (d *decoder) whole(o value, name string, otherwise, most int64, code fault.Code) int64 {
	v := o.get(name)
	if v.kind() == kindNone {
		return otherwise
	}
	return d.wholeOf(v, most, code)
}

func (d *decoder) wholeOf(v value, most int64, code fault.Code) int64 {
	f, err := v.number()
	switch {
	case err != nil:
		d.fail(fault.BadNumber, v, "not a finite number")
		return 0
	case f != math.Trunc(f):
		d.fail(fault.BadNumber, v, "not a whole number")
		return 0
	case f < 0 || f > float64(most):
		d.fail(code, v, fmt.Sprintf("%s is not within 0 to %d", v.raw(), most))
		return 0
	}
	return int64(f)
}

// mostBytes bounds every length and offset: what float64 counts exactly.
const mostBytes = 1 << 53

// bytes is a length or an offset.
func (d *decoder) bytes(o value, name string, otherwise int64) int64 {
	return d.whole(o, name, otherwise, mostBytes, fault.BadRange)
}

// must reports whether o has the member.
func (d *decoder) must(o value, name string) {
	if o.get(name).kind() == kindNone {
		d.fail(fault.Syntax, o, "has no "+name)
	}
}

// index is an index into a list of n, or -1 where there is none.
func (d *decoder) index(o value, name string, n int) int {
	return int(d.whole(o, name, -1, int64(n)-1, fault.BadIndex))
}

func (d *decoder) indexOf(v value, n int) int {
	return int(d.wholeOf(v, int64(n)-1, fault.BadIndex))
}

// indices is a list of indices into a list of n.
func (d *decoder) indices(o value, name string, n int) []int {
	var list []int
	for _, v := range d.list(o, name) {
		list = append(list, d.indexOf(v, n))
	}
	return list
}

// numbers is a list of finite numbers.
func (d *decoder) numbers(o value, name string) []float64 {
	var list []float64
	for _, v := range d.list(o, name) {
		f, err := v.number()
		if err != nil {
			d.fail(fault.BadNumber, v, "not a finite number")
		}
		list = append(list, f)
	}
	return list
}

// fixed fills to from a list of exactly as many numbers, and reports whether it is there.
func (d *decoder) fixed(o value, name string, to []float64) bool {
	v := o.get(name)
	if v.kind() == kindNone {
		return false
	}
	list := d.numbers(o, name)
	if len(list) != len(to) {
		d.fail(fault.Syntax, v, fmt.Sprintf("%d numbers instead of %d", len(list), len(to)))
		return false
	}
	copy(to, list)
	return true
}
