// Package record is the page that says what was scaled by what, from what evidence, and where
// the copies lie: one model of it, made of what the bench shows, and three ways to write it, as an
// HTML page, as a PDF and, the parts alone, as a CSV table. It has no widget, and is the same from
// the window and from the command.
//
// A record of the same bench and the same moment is the same to the last byte.
package record

import (
	"path/filepath"
	"time"

	"scantling/app/sheet"
	"scantling/app/state"
	"scantling/app/text"
)

// A Record is all that the pages say, in words, in order.
type Record struct {
	Title    string
	Big      string // the factor in large type
	BigSays  []string
	Facts    [][2]string // under it
	Sections []Section
	Foot     string // of each page
	Made     time.Time
	Rows     [][]string // the table of parts for CSV, heads first; its numbers are numbers
}

// A Section has a title and blocks.
type Section struct {
	Title  string
	Blocks []Block
}

// A Block is one of its members.
type Block struct {
	Para    string
	List    []string
	Pairs   [][2]string
	Table   *Table
	Drawing *Drawing
}

// A Table has rows of cells; lines in a cell are parted by "\n".
type Table struct {
	Caption string
	Head    []string
	Rows    [][]string
	Shares  []float64 // of the width, by column
	Right   []bool    // columns of figures
	Mono    int       // column of digests; -1 for none
}

// A Drawing is a list of marks on a field of the sheet's paper.
type Drawing struct {
	Title string
	Says  string // for whoever cannot see it
	Note  string // under it
	Marks []sheet.Mark
	Field sheet.Rect
}

// Of is the record of what is on the bench, which must be fit to be recorded
// (state.View.CanRecord).
func Of(r state.Recorded) Record {
	v := r.View
	d := draft{r, v, v.Sheet.Inches}
	out := Record{
		Title: text.RecordTitle(v),
		Big:   text.RecordBig(v.Result.Factor),
		Facts: d.facts(),
		Foot:  text.RecordFoot(v, r.When),
		Made:  r.When,
		Rows:  d.rows(),
	}
	out.BigSays = append(out.BigSays, text.RecordTypeThis)
	if !text.RecordBigExact(v.Result.Factor) {
		out.BigSays = append(out.BigSays, text.RecordRounded)
	}
	if v.Result.SD > 0 {
		out.BigSays = append(out.BigSays, text.RecordUnsure)
	}
	add := func(title string, blocks []Block) {
		if len(blocks) > 0 {
			out.Sections = append(out.Sections, Section{title, blocks})
		}
	}
	if v.Notes != "" {
		add(text.RecordKitNotes, []Block{{Para: v.Notes}})
	}
	add(text.RecordHow, d.how())
	add(text.RecordDrawings, d.drawings())
	add(text.RecordParts, d.parts())
	add(text.RecordFindings, d.findings())
	add(text.RecordAsides, d.asides())
	add(text.RecordPrinting, d.printing())
	add(text.RecordCopies, d.copies())
	add(text.RecordCautions, []Block{{List: text.Cautions()}})
	add(text.RecordDigests, d.digests())
	return out
}

// A draft is a record that is being made.
type draft struct {
	r      state.Recorded
	v      state.View
	inches bool
}

// facts stand under the large factor.
func (d *draft) facts() [][2]string {
	v, res := d.v, d.v.Result
	var out [][2]string
	add := func(name, value string) {
		if value != "" && value != text.None {
			out = append(out, [2]string{name, value})
		}
	}
	add(text.RecordPercent, text.RecordAllPercent(res.Factor))
	add(text.RecordFactor, text.RecordAllFactor(res.Factor))
	if res.SD == 0 { // the fraction of what was measured tells nothing
		add(text.RecordExact, text.RecordFraction(res.Factor))
	} else {
		add(text.RecordOff, text.UncertainFactor(res))
	}
	if res.Target.Known() {
		add(text.RecordRatio, text.Uncertain(res.TargetEstimate()))
		add(text.RecordNative, text.Uncertain(res.NativeEstimate()))
	} else {
		add(text.RecordRatio, text.RecordNoNative)
	}
	if !v.KitBox.Empty() {
		add(text.RecordSize, text.Size(v.KitBox.Size(), d.inches))
		add(text.RecordPrint, text.Size(v.KitBox.Size().Scale(res.Factor.Float()), d.inches))
	}
	add(text.RecordKit, text.Title(v.Title)+", "+text.Ticked(v.Parts))
	if v.Path != "" {
		add(text.RecordFile, filepath.Base(v.Path))
	}
	add(text.RecordMade, text.RecordMadeOn(d.r.When))
	return out
}

// how is how the factor was found: the way in force with its evidence, every way with what it
// gives, and what disagrees.
func (d *draft) how() []Block {
	v := d.v
	var out []Block
	for _, p := range text.Chain(v) {
		out = append(out, Block{Para: p})
	}
	t := &Table{Head: text.RecordHeadWays(), Shares: []float64{17, 18, 18, 47}, Mono: -1}
	var silent []string
	for _, o := range v.Offers {
		name, _ := text.Way(o.Kind)
		switch {
		case o.Err == nil:
			way := v.Way
			way.Kind = o.Kind
			r := text.None
			if o.Result.Target.Known() {
				r = text.Uncertain(o.Result.TargetEstimate())
			}
			t.Rows = append(t.Rows, []string{text.RecordInForce(name, o.Kind == v.Way.Kind), text.UncertainFactor(o.Result), r, text.Why(way, o.Result, d.inches)})
		case text.Offered(o) != text.None: // it has a ratio, and lacks what makes a factor of it
			way := v.Way
			way.Kind = o.Kind
			t.Rows = append(t.Rows, []string{text.RecordInForce(name, false), text.None, text.Offered(o), text.SoFar(way, o.SoFar, d.inches)})
		default:
			silent = append(silent, name)
		}
	}
	out = append(out, Block{Table: t})
	if s := text.RecordOthers(silent); s != "" {
		out = append(out, Block{Para: s})
	}
	for _, x := range v.Evidence.Disagree {
		out = append(out, Block{Para: text.RecordDisagree(x)})
	}
	return out
}
