package kit

import (
	"encoding/json"
	"errors"
	"fmt"
	"slices"

	"scantling/engine/judge"
	"scantling/engine/process"
)

// What a kit keeps for judging it. The members of its objects, besides those that
// process.Process writes of itself:
//
//	aside: code part at reason (a finding that was set aside; at in the part's file units)
//	bore:  part at item (what a bore is for)

// errReason is what a finding that was set aside without saying why is refused with.
var errReason = errors.New("needs a reason")

var errCode = errors.New("is no finding")

// judged writes the process, unless none was chosen, and what the maker said of findings.
func (w *writer) judged(k Kit) error {
	if k.Process.Kind != "" {
		var p writer
		if err := p.process(k.Process, k.processExtra); err != nil {
			return err
		}
		object, err := p.object(k.processExtra[""])
		if err != nil {
			return err
		}
		w.member("process", object)
	}
	var asides, bores []json.RawMessage
	for _, a := range k.Asides {
		var o writer
		o.member("code", a.Code)
		o.nonEmpty("part", a.Part)
		o.member("at", a.At)
		o.member("reason", a.Reason)
		raw, err := o.object(k.judgedExtra[asideKey(a)])
		if err != nil {
			return err
		}
		asides = append(asides, raw)
	}
	for _, n := range k.Named {
		var o writer
		o.member("part", n.Part)
		o.member("at", n.At)
		o.member("item", n.Item)
		raw, err := o.object(k.judgedExtra[boreKey(n)])
		if err != nil {
			return err
		}
		bores = append(bores, raw)
	}
	if len(asides) > 0 {
		w.member("asides", asides)
	}
	if len(bores) > 0 {
		w.member("bores", bores)
	}
	return nil
}

// judged reads what the writer wrote.
func (r *reader) judged(o object, k *Kit) {
	if m, there := o.take("process"); there {
		members := r.object(m)
		k.Process, k.processExtra = r.processWhole(m, members)
	}
	keep := func(key string, rest object) {
		if e := rest.rest(); e != nil {
			if k.judgedExtra == nil {
				k.judgedExtra = map[string]extras{}
			}
			k.judgedExtra[key] = e
		}
	}
	for _, m := range r.members(o, "asides") {
		o := r.object(m)
		a := judge.Aside{
			Code: one(r, o, "code", errCode, judge.Codes()...), Part: r.text(o, "part"), At: r.point(o, "at"), Reason: r.text(o, "reason"),
		}
		if a.Reason == "" {
			r.fail(BadValue, m.at, m.path+".reason", errReason)
		}
		k.Asides = append(k.Asides, a)
		keep(asideKey(a), o)
	}
	for _, m := range r.members(o, "bores") {
		o := r.object(m)
		n := judge.Named{Part: r.text(o, "part"), At: r.point(o, "at"), Item: r.text(o, "item")}
		k.Named = append(k.Named, n)
		keep(boreKey(n), o)
	}
}

// asideKey and boreKey tell one finding set aside, and one bore, from another.
func asideKey(a judge.Aside) string { return fmt.Sprint("aside ", a.Code, " ", a.Part, " ", a.At) }
func boreKey(n judge.Named) string  { return fmt.Sprint("bore ", n.Part, " ", n.At) }

// members takes a list.
func (r *reader) members(o object, key string) []member {
	m, there := o.take(key)
	if !there {
		return nil
	}
	return r.list(m)
}

// WithProcess is k printed by a process.
func (k Kit) WithProcess(p process.Process) Kit {
	k.Process = p
	return k
}

// WithAside is k with a finding set aside, instead of any other note of the same one.
func (k Kit) WithAside(a judge.Aside) Kit {
	k.Asides = append(k.withoutAside(a), a)
	return k
}

// WithoutAside is k without what was set aside of the same code, part and place.
func (k Kit) WithoutAside(a judge.Aside) Kit {
	k.Asides = k.withoutAside(a)
	return k
}

func (k Kit) withoutAside(a judge.Aside) []judge.Aside {
	return slices.DeleteFunc(slices.Clone(k.Asides), func(b judge.Aside) bool { return b.Code == a.Code && b.Part == a.Part && b.At == a.At })
}

// WithNamed is k with a bore of a part said to be for something; the same bore is told by its
// place to a thousandth of a unit.
func (k Kit) WithNamed(n judge.Named) Kit {
	k.Named = append(k.WithoutNamed(n).Named, n)
	return k
}

// WithoutNamed is k without what was said of that bore.
func (k Kit) WithoutNamed(n judge.Named) Kit {
	const same = 1e-3
	k.Named = slices.DeleteFunc(slices.Clone(k.Named), func(o judge.Named) bool {
		return o.Part == n.Part && o.At.Sub(n.At).Len() <= same
	})
	return k
}
