package ratio

import (
	"math"
	"math/big"
	"slices"
	"strings"
	"unicode"
)

// A Status says how well a published value is backed.
type Status string

// The kinds of backing, strongest first.
const (
	Seen           Status = "seen"              // read at its source or at a copy of it
	Computed       Status = "computed"          // arithmetic on exact definitions
	SeenSecondHand Status = "seen, second hand" // read on a page that reports another's document
	CommonPractice Status = "common practice"   // a habit of makers, no document
	Memory         Status = "memory"            // from general knowledge, not read
)

// A Standard is one standard ratio of one field.
type Standard struct {
	Ratio  Ratio
	Name   string // "H0", "1/4 in to the foot"; empty where the ratio is its own name
	Field  Field
	Source string // document and clause, or what the practice is
	Status Status
}

// A Field is a trade whose ratios belong together.
type Field string

// The fields, in the order in which they are shown.
const (
	RailwayNEM      Field = "railway-nem"      // continental Europe
	RailwayNMRA     Field = "railway-nmra"     // North America
	RailwayBritish  Field = "railway-british"  //
	RailwayOther    Field = "railway-other"    // Japan, and sizes of no standard
	RailwayGarden   Field = "railway-garden"   // narrow gauge and large sizes
	Ships           Field = "ships"            //
	Aircraft        Field = "aircraft"         //
	Armour          Field = "armour"           // military vehicles
	Cars            Field = "cars"             //
	Plant           Field = "plant"            // construction plant and trucks
	Wargame         Field = "wargame"          // by figure size
	DollsHouse      Field = "dolls-house"      //
	Figures         Field = "figures"          // busts and large figures
	Space           Field = "space"            // launchers
	Park            Field = "park"             // miniature parks
	Architecture    Field = "architecture"     //
	Drawing         Field = "drawing"          // ISO 5455
	DrawingImperial Field = "drawing-imperial" // inches to the foot
)

// Fields are all fields, in the order in which they are shown.
func Fields() []Field {
	return []Field{
		RailwayNEM, RailwayNMRA, RailwayBritish, RailwayOther, RailwayGarden,
		Ships, Aircraft, Armour, Cars, Plant, Wargame, DollsHouse, Figures, Space, Park,
		Architecture, Drawing, DrawingImperial,
	}
}

// Standards is the whole table: every standard ratio of every field, with its source.
func Standards() []Standard {
	var all []Standard
	for _, f := range Fields() {
		for _, r := range table(f) {
			all = append(all, r.standard(f))
		}
	}
	return all
}

// Ladder is a field's standard ratios, largest scale first, each ratio once. Standards that
// share a ratio share a rung: their names and sources are joined, and the weakest status
// counts. It is empty for a field that does not exist.
func Ladder(f Field) []Standard {
	var all []Standard
	for _, r := range table(f) {
		all = append(all, r.standard(f))
	}
	return distinct(all)
}

// Nearest is the rung of the field's ladder that is nearest to the ratio by proportion, the
// larger scale of two that are equally near. It is not ok for a ratio that is not known or a
// field without rungs.
func Nearest(a Ratio, f Field) (s Standard, ok bool) {
	if !a.Known() {
		return Standard{}, false
	}
	best := math.Inf(1)
	for _, rung := range Ladder(f) {
		if d := math.Abs(math.Log(rung.Ratio.Float() / a.Float())); d < best {
			best, s, ok = d, rung, true
		}
	}
	return s, ok
}

// distinct sorts standards, largest scale first, and joins those of one ratio.
func distinct(all []Standard) []Standard {
	slices.SortStableFunc(all, func(a, b Standard) int { return b.Ratio.Cmp(a.Ratio) })
	var out []Standard
	for _, s := range all {
		if n := len(out); n > 0 && out[n-1].Ratio.Equal(s.Ratio) {
			out[n-1].Name = join(out[n-1].Name, s.Name, ", ")
			out[n-1].Source = join(out[n-1].Source, s.Source, "; ")
			out[n-1].Status = weaker(out[n-1].Status, s.Status)
			continue
		}
		out = append(out, s)
	}
	return out
}

// join puts b behind a unless it is there already.
func join(a, b, sign string) string {
	switch {
	case a == "":
		return b
	case b == "" || slices.Contains(strings.Split(a, sign), b):
		return a
	}
	return a + sign + b
}

// weaker is the weaker of two kinds of backing.
func weaker(a, b Status) Status {
	order := []Status{Seen, Computed, SeenSecondHand, CommonPractice, Memory}
	return order[max(slices.Index(order, a), slices.Index(order, b))]
}

// Named is every reading of a named size: a railway size ("H0", "O", "gauge 1", "TT:120"),
// a scale by its millimetres ("4 mm scale"), or a figure size ("28 mm"). The letter O and
// the digit 0 are the same, and so are capitals and small letters. A word for the practice
// narrows it: NEM, NMRA, British or UK, Japanese, garden. It is empty for what is no name.
func Named(typed string) []Standard {
	s, err := clean(typed)
	if err != nil || len(s) > mostTyped {
		return nil
	}
	return nameOf(s).readings()
}

// named is Named for the parser: numbers are no names, but for 0 and 00, which are no
// ratios, and for 1 in a railway field that knows it. The field decides where it has a
// reading.
func named(s string, field Field) []Standard {
	n := nameOf(s)
	bare := !strings.ContainsFunc(n.key, unicode.IsLetter) && !n.gauge && n.practice == nil
	one := bare && n.key == "1"
	if bare && n.key != "0" && n.key != "00" && !one || one && !strings.HasPrefix(string(field), "railway-") {
		return nil
	}
	all := n.readings()
	in := slices.DeleteFunc(slices.Clone(all), func(s Standard) bool { return s.Field != field })
	if len(in) > 0 || one {
		return in
	}
	return all
}

// A name is what was typed, taken apart.
type name struct {
	key      string  // as the table spells it: in capitals, 0 for O, no blanks
	gauge    bool    // the word was there: a size of railway
	scale    bool    // the word was there
	practice []Field // that was named; nil for none
}

func nameOf(s string) name {
	var n name
	var key strings.Builder
	for _, w := range strings.FieldsFunc(strings.ToLower(s), func(r rune) bool {
		return plain(r) == ' ' || r == '(' || r == ')' || plain(r) == '-'
	}) {
		switch w {
		case "gauge":
			n.gauge = true
		case "scale":
			n.scale = true
		case "figure", "figures":
			n.practice = append(n.practice, Wargame)
		case "nem":
			n.practice = append(n.practice, RailwayNEM)
		case "nmra":
			n.practice = append(n.practice, RailwayNMRA)
		case "british", "uk", "gb":
			n.practice = append(n.practice, RailwayBritish)
		case "japan", "japanese":
			n.practice = append(n.practice, RailwayOther)
		case "garden":
			n.practice = append(n.practice, RailwayGarden)
		default:
			key.WriteString(w)
		}
	}
	n.key = strings.NewReplacer("O", "0", ",", ".").Replace(strings.ToUpper(key.String()))
	return n
}

// readings finds all that the name stands for, in the practices named or in all fields.
func (n name) readings() []Standard {
	if n.key == "" {
		return nil
	}
	var out []Standard
	figures := n.practice == nil || slices.Contains(n.practice, Wargame)
	for _, f := range Fields() {
		if n.practice != nil && !slices.Contains(n.practice, f) {
			continue
		}
		for _, r := range table(f) {
			if slices.Contains(r.keys, n.key) {
				out = append(out, r.standard(f))
			}
		}
	}
	// "4 mm scale" is a railway's; "28 mm scale" can only mean figures, "15 mm scale" both.
	sold := slices.ContainsFunc(out, func(s Standard) bool { return s.Field == Wargame })
	if figures && (sold || !n.scale || len(out) == 0) {
		out = append(out, figureReadings(n.key)...)
	}
	return out
}

// FigureSize is the ratio of a figure that is sold by its size: a figure of that size from
// the sole to the crown, or to the eyes, of a person of that stature. Both the convention
// and the stature are for the maker to say; makers of figures stray from either by up to a
// third (reported second hand).
//
// The eyes are at 0.936 of the stature (Drillis and Contini 1966, as printed in Winter,
// Biomechanics and Motor Control of Human Movement, fig. 4.1; seen second hand).
func FigureSize(size Length, toEyes bool, stature Length) (Ratio, error) {
	height := stature.Rat()
	if toEyes {
		height.Mul(height, big.NewRat(936, 1000))
	}
	return Of(size.Rat(), height)
}

// figureReadings are the readings of a size such as 28MM that arithmetic gives: to the crown
// and to the eyes, for the two statures that are usual for such figures.
func figureReadings(key string) []Standard {
	digits, ok := strings.CutSuffix(key, "MM")
	if !ok {
		return nil
	}
	size, err := ParseLength(digits, Millimetre)
	if err != nil || size.MM() < 2 || size.MM() > 200 {
		return nil
	}
	var out []Standard
	for _, stature := range []struct {
		mm   *big.Rat
		name string
	}{
		{big.NewRat(1730, 1), "1730 mm"}, // common practice, no source
		{big.NewRat(18288, 10), "6 ft"},  // the six-foot man of the trade, second hand
	} {
		for _, toEyes := range []bool{false, true} {
			to := "crown"
			if toEyes {
				to = "eyes"
			}
			a, err := FigureSize(size, toEyes, Millimetres(stature.mm))
			if err != nil {
				continue
			}
			out = append(out, Standard{
				Ratio: a, Name: digits + " mm", Field: Wargame,
				Source: "sole to " + to + ", stature " + stature.name, Status: Computed,
			})
		}
	}
	return out
}
