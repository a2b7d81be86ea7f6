// Package hardware knows what is bought and does not scale: screws, lights, magnets, rods and
// bearings, and the bores that they need.
package hardware

import (
	"math"
	"strings"

	"scantling/engine/ratio"
)

// A Kind is a kind of hardware.
type Kind string

// The kinds.
const (
	Screw   Kind = "screw"   // passes through
	Thread  Kind = "thread"  // a metric thread is cut into the bore
	Insert  Kind = "insert"  // a threaded sleeve is melted into the bore
	LED     Kind = "led"     // round, by the diameter of its body
	Magnet  Kind = "magnet"  // a disc
	Rod     Kind = "rod"     // rod, wire or shaft
	Bearing Kind = "bearing" // its outer ring
)

// Kinds are all kinds.
func Kinds() []Kind { return []Kind{Screw, Thread, Insert, LED, Magnet, Rod, Bearing} }

// An Item is a piece of hardware and the bore that it needs, in millimetres.
type Item struct {
	Key    string // "m3", "m3-thread", "led-5"; app/text has its name
	Kind   Kind
	Size   float64 // what it is called by: nominal diameter
	Least  float64 // the least bore that takes it
	Drill  float64 // the drill to open a bore to
	Most   float64 // the largest bore that still holds or guides it
	Source string
	Status ratio.Status
}

// Find finds an item by its key, in any case and with blanks for dashes.
func Find(key string) (Item, bool) {
	key = strings.Join(strings.FieldsFunc(strings.ToLower(key), func(r rune) bool { return r == ' ' || r == '-' || r == '\u00a0' }), "-")
	for _, i := range Items() {
		if i.Key == key {
			return i, true
		}
	}
	return Item{}, false
}

// nearStandard is by how many millimetres a bore's diameter may differ from that of a standard
// to be taken for it: what a drawn polygon and rounding make of one. Judged, no source.
const nearStandard = 0.03

// Guess is what a bore of this diameter, as drawn, was likely meant for: a screw whose medium,
// fine or coarse hole by ISO 273 it is, or else the hole for a thread; false where it is close
// to none. It is a guess, and the maker knows better.
func Guess(diameterMM float64) (Item, bool) {
	near := func(a float64) bool { return math.Abs(a-diameterMM) <= nearStandard }
	for _, fits := range []func(s screw) bool{
		func(s screw) bool { return near(s.medium) },
		func(s screw) bool { return near(s.fine) || near(s.coarse) },
	} {
		for _, s := range screws() {
			if fits(s) {
				return s.clearance(), true
			}
		}
	}
	for _, s := range screws() {
		if near(s.tap) {
			return s.thread(), true
		}
	}
	return Item{}, false
}

// Passing is the largest screw that passes through a bore of this diameter; false where none
// of the table does.
func Passing(diameterMM float64) (found Item, ok bool) {
	for _, s := range screws() {
		if i := s.clearance(); i.Least <= diameterMM {
			found, ok = i, true
		}
	}
	return found, ok
}

// Items is the whole table, in the order in which it is shown.
func Items() []Item {
	var out []Item
	for _, s := range screws() {
		out = append(out, s.clearance())
	}
	for _, s := range screws() {
		out = append(out, s.thread())
	}
	return append(out, others()...)
}

// A screw is a metric screw with coarse pitch: its holes by ISO 273 and its tapping drill.
type screw struct {
	name                 string
	size                 float64
	fine, medium, coarse float64
	tap                  float64
	tapStatus            ratio.Status
}

func (s screw) clearance() Item {
	return Item{
		Key: s.name, Kind: Screw, Size: s.size, Least: s.fine, Drill: s.medium, Most: s.coarse,
		Source: "ISO 273:1979, fine, medium and coarse series", Status: ratio.SeenSecondHand,
	}
}

// thread needs a bore within a tenth of the screw's size above its drill to hold.
func (s screw) thread() Item {
	return Item{
		Key: s.name + "-thread", Kind: Thread, Size: s.size, Least: s.tap, Drill: s.tap, Most: s.tap + 0.1*s.size,
		Source: "ISO 2306:1972, coarse pitch", Status: s.tapStatus,
	}
}

// screws: ISO 273 as printed by engineeringhardware.com, the same from M1.6 up on
// humechan.blogspot.in (May 2012) except for M12 and larger, where that follows an older
// national table. Tapping drills of ISO 2306 as printed by utilitiesbunker.com and
// toolcroze.com; those below M1.6 are from memory.
func screws() []screw {
	const second, memory = ratio.SeenSecondHand, ratio.Memory
	return []screw{
		{"m1", 1, 1.1, 1.2, 1.3, 0.75, memory},
		{"m1.2", 1.2, 1.3, 1.4, 1.5, 0.95, memory},
		{"m1.4", 1.4, 1.5, 1.6, 1.8, 1.1, memory},
		{"m1.6", 1.6, 1.7, 1.8, 2.0, 1.25, second},
		{"m2", 2, 2.2, 2.4, 2.6, 1.6, second},
		{"m2.5", 2.5, 2.7, 2.9, 3.1, 2.05, second},
		{"m3", 3, 3.2, 3.4, 3.6, 2.5, second},
		{"m3.5", 3.5, 3.7, 3.9, 4.2, 2.9, second},
		{"m4", 4, 4.3, 4.5, 4.8, 3.3, second},
		{"m5", 5, 5.3, 5.5, 5.8, 4.2, second},
		{"m6", 6, 6.4, 6.6, 7, 5, second},
		{"m8", 8, 8.4, 9, 10, 6.8, second},
		{"m10", 10, 10.5, 11, 12, 8.5, second},
		{"m12", 12, 13, 13.5, 14.5, 10.2, second},
	}
}

func others() []Item {
	const seen, practice, memory = ratio.Seen, ratio.CommonPractice, ratio.Memory
	insert := func(name string, size, pilot float64, source string) Item {
		return Item{name + "-insert", Insert, size, pilot, pilot, pilot + 0.1, source, seen}
	}
	// Panel holes are a tenth or two larger than the body.
	led := func(key string, size, body float64, source string) Item {
		return Item{key, LED, size, body, size + 0.1, size + 0.4, source + "; the room around it is common practice", seen}
	}
	magnet := func(key string, size float64) Item {
		return Item{key, Magnet, size, size + 0.05, size + 0.1, size + 0.3, "dealers' lists, ±0.1 mm; pockets 0.1 to 0.2 wider", practice}
	}
	rod := func(key string, size float64) Item {
		return Item{key, Rod, size, size, size + 0.1, size + 0.3, "brass rod and piano wire; holes 0.1 wider", practice}
	}
	bearing := func(key string, size float64, source string, status ratio.Status) Item {
		return Item{key, Bearing, size, size, size, size + 0.1, source, status}
	}
	const iso15 = "ISO 15 series"
	return []Item{
		insert("m2", 2, 2.6, "a maker's table, +0.1/0"),
		insert("m2.5", 2.5, 3.15, "a maker's table, +0.1/0"),
		insert("m3", 3, 4.0, "a supplier's chart, +0.1/0"),
		insert("m4", 4, 5.6, "a supplier's chart, +0.1/0"),
		insert("m5", 5, 6.4, "a supplier's chart, +0.1/0"),
		insert("m6", 6, 8.0, "a supplier's chart, +0.1/0"),
		led("led-3", 3, 2.95, "a maker's data sheet: T-1, 2.95 ± 0.2"),
		led("led-5", 5, 5.00, "a maker's data sheet: T-1¾, 5.00 ± 0.2"),
		magnet("magnet-2", 2), magnet("magnet-3", 3), magnet("magnet-4", 4), magnet("magnet-5", 5),
		magnet("magnet-6", 6), magnet("magnet-8", 8), magnet("magnet-10", 10),
		rod("rod-0.5", 0.5), rod("rod-0.8", 0.8), rod("rod-1", 1), rod("rod-1.5", 1.5), rod("rod-2", 2),
		bearing("bearing-688", 16, iso15, memory),
		bearing("bearing-623", 10, iso15, memory),
		bearing("bearing-624", 13, iso15, memory),
		bearing("bearing-625", 16, iso15, memory),
		bearing("bearing-608", 22, "a maker's sheet: 22 × 8 × 7", seen),
	}
}
