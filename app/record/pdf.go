package record

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/go-pdf/fpdf"

	"scantling/app/sheet"
	"scantling/app/text"
)

// Of the pages, mm.
const (
	sideMargin = 13.0
	topMargin  = 14.0
	footRoom   = 17.0
	cellPad    = 1.1
	leading    = 1.32      // from line to line, of the size of the writing
	perPoint   = 25.4 / 72 // mm
)

// Sizes of writing, points.
const (
	bodySize  = 9.5
	tableSize = 7.6
	headSize  = 12.0
	titleSize = 15.0
	bigSize   = 54.0
	footSize  = 7.5
	monoSize  = 6.4
)

// PDF writes the record as pages. What the typeface has no shape for is replaced by a sign that
// the last page explains.
func (r Record) PDF(ctx context.Context, w io.Writer, paper Paper, report func(float64)) error {
	letters, err := newLetters()
	if err != nil {
		return err
	}
	r = r.spelt(letters)
	drawn := map[*Drawing][]stroke{}
	done, all, used := 0, drawings(r), map[int]bool{}
	for _, s := range r.Sections {
		for _, b := range s.Blocks {
			if b.Drawing == nil {
				continue
			}
			if err := ctx.Err(); err != nil {
				return err
			}
			if drawn[b.Drawing], err = b.Drawing.strokes(used); err != nil {
				return err
			}
			done++
			report(0.6 * float64(done) / float64(all))
		}
	}
	// Once to count the pages, and once more with that number at their feet.
	count := r.pages(ctx, paper, drawn, 0)
	if count.f.Err() {
		return count.f.Error()
	}
	report(0.8)
	p := r.pages(ctx, paper, drawn, count.f.PageNo())
	if err := ctx.Err(); err != nil {
		return err
	}
	return p.f.Output(w)
}

// spelt is the record as the typeface can write it, and says so where something is missing.
func (r Record) spelt(l *letters) Record {
	out := r
	s := l.spell
	out.Title, out.Big, out.Foot = s(r.Title), s(r.Big), s(r.Foot)
	out.BigSays, out.Facts = each(r.BigSays, s), pairs(r.Facts, s)
	out.Sections = slices.Clone(r.Sections)
	for i := range out.Sections {
		section := &out.Sections[i]
		section.Title = s(section.Title)
		section.Blocks = slices.Clone(section.Blocks)
		for k := range section.Blocks {
			b := &section.Blocks[k]
			b.Para, b.List, b.Pairs = s(b.Para), each(b.List, s), pairs(b.Pairs, s)
			if b.Table != nil {
				t := *b.Table
				t.Caption, t.Head = s(t.Caption), each(t.Head, s)
				t.Rows = make([][]string, len(b.Table.Rows))
				for n, row := range b.Table.Rows {
					t.Rows[n] = each(row, s)
				}
				b.Table = &t
			}
			if b.Drawing != nil {
				d := *b.Drawing
				d.Title, d.Note = s(d.Title), s(d.Note)
				d.Marks = slices.Clone(d.Marks)
				for n := range d.Marks {
					d.Marks[n].Text = s(d.Marks[n].Text)
				}
				b.Drawing = &d
			}
		}
	}
	if l.lacks {
		last := &out.Sections[len(out.Sections)-1]
		last.Blocks = append(last.Blocks, Block{Para: text.RecordLacks})
	}
	return out
}

func each(all []string, f func(string) string) []string {
	if all == nil {
		return nil
	}
	out := make([]string, len(all))
	for i, s := range all {
		out[i] = f(s)
	}
	return out
}

func pairs(all [][2]string, f func(string) string) [][2]string {
	var out [][2]string
	for _, p := range all {
		out = append(out, [2]string{f(p[0]), f(p[1])})
	}
	return out
}

// A book is the pages that are being written.
type book struct {
	f      *fpdf.Fpdf
	width  float64 // between the margins, mm
	bottom float64 // nothing is written below, but the foot
	y      float64 // where the next line begins
	foot   string
	of     int
	images int
}

// pages writes all pages; of is how many there are, 0 where that is to be found out.
func (r Record) pages(ctx context.Context, paper Paper, drawn map[*Drawing][]stroke, of int) *book {
	w, h := paper.Size()
	f := fpdf.NewCustom(&fpdf.InitType{UnitStr: "mm", Size: fpdf.SizeType{Wd: w, Ht: h}})
	p := &book{f: f, width: w - 2*sideMargin, bottom: h - footRoom, foot: r.Foot, of: of}
	addFonts(f)
	f.SetCatalogSort(true) // the same record gives the same bytes
	f.SetCreationDate(r.Made)
	f.SetModificationDate(r.Made)
	f.SetProducer(text.Program, true)
	f.SetCreator(text.Program, true)
	f.SetTitle(r.Title, true)
	f.SetLang(text.RecordLang)
	f.SetAutoPageBreak(false, 0)
	f.SetMargins(sideMargin, topMargin, sideMargin)
	f.SetLineJoinStyle("miter")
	p.turn()
	p.para(r.Title, "B", titleSize)
	p.para(r.Big, "B", bigSize)
	for _, s := range r.BigSays {
		p.para(s, "", bodySize+1)
	}
	p.gap(1.5)
	p.pairs(r.Facts)
	for _, s := range r.Sections {
		p.heading(s.Title, s.Blocks)
		for _, b := range s.Blocks {
			if ctx.Err() != nil {
				return p
			}
			p.block(b, drawn)
		}
	}
	return p
}

// turn begins a new page.
func (p *book) turn() {
	p.f.AddPage()
	p.y = topMargin
	_, h := p.f.GetPageSize()
	p.font("", footSize)
	p.grey(0)
	number := text.RecordPage(p.f.PageNo(), p.of)
	wide := p.f.GetStringWidth(number)
	at := h - footRoom/2
	p.f.SetLineWidth(0.2)
	p.f.Line(sideMargin, at-4, sideMargin+p.width, at-4)
	p.f.Text(sideMargin+p.width-wide, at, number)
	p.f.Text(sideMargin, at, p.wrap(p.foot, p.width-wide-6)[0])
}

// need begins a new page where there is not that much room on this one.
func (p *book) need(mm float64) {
	if p.y+mm > p.bottom && p.y > topMargin {
		p.turn()
	}
}

func (p *book) gap(mm float64) { p.y += mm }

func (p *book) font(style string, size float64) {
	family := "text"
	if style == "M" {
		family, style = "mono", ""
	}
	p.f.SetFont(family, style, size)
}

func (p *book) grey(g int) {
	p.f.SetTextColor(g, g, g)
	p.f.SetDrawColor(g, g, g)
	p.f.SetFillColor(g, g, g)
}

// high is from one line to the next, mm.
func high(size float64) float64 { return size * perPoint * leading }

// baseline is where a line's letters stand, from its top.
func baseline(size float64) float64 { return size * perPoint * 1.02 }

// para writes a paragraph over the whole width.
func (p *book) para(s, style string, size float64) {
	p.font(style, size)
	for _, line := range p.wrap(s, p.width) {
		p.need(high(size))
		p.font(style, size) // a new page has its foot written
		p.f.Text(sideMargin, p.y+baseline(size), line)
		p.y += high(size)
	}
	p.gap(0.3 * high(size))
}

// heading keeps a section's title with what follows.
func (p *book) heading(title string, blocks []Block) {
	room := 12 + p.begins(blocks)
	p.gap(3)
	p.need(room)
	p.f.Bookmark(title, 0, p.y)
	p.para(title, "B", headSize)
	p.f.SetLineWidth(0.3)
	p.f.Line(sideMargin, p.y, sideMargin+p.width, p.y)
	p.gap(2)
}

// begins is the room that blocks need to begin, so that no heading stands alone at a page's foot:
// the first with its first lines, and what follows a paragraph that leads to it.
func (p *book) begins(blocks []Block) float64 {
	if len(blocks) == 0 {
		return 0
	}
	switch b := blocks[0]; {
	case b.Para != "":
		p.font("", bodySize)
		high := (float64(len(p.wrap(b.Para, p.width))) + 0.3) * high(bodySize)
		return high + p.begins(blocks[1:])
	case b.Table != nil:
		return p.rowsBegin(b.Table, tableSize, false)
	case b.Drawing != nil:
		return 12 + p.drawingHigh(b.Drawing)
	}
	return 12
}

func (p *book) block(b Block, drawn map[*Drawing][]stroke) {
	switch {
	case b.Para != "":
		p.para(b.Para, "", bodySize)
	case b.List != nil:
		for _, s := range b.List {
			p.para("– "+s, "", bodySize)
		}
	case b.Pairs != nil:
		p.pairs(b.Pairs)
	case b.Table != nil:
		p.table(b.Table)
	case b.Drawing != nil:
		p.drawing(b.Drawing, drawn[b.Drawing])
	}
}

// pairs is a table without heads, whose first column is bold.
func (p *book) pairs(rows [][2]string) {
	t := &Table{Shares: []float64{28, 72}, Mono: -1}
	for _, r := range rows {
		t.Rows = append(t.Rows, r[:])
	}
	p.rows(t, tableSize+1, true)
}

func (p *book) table(t *Table) { p.rows(t, tableSize, false) }

// rows writes a table, its heads once more on each page.
func (p *book) rows(t *Table, size float64, named bool) {
	widths := p.columns(t)
	line := high(size)
	style := t.style(size, named)
	split := func(cells []string, style func(int) (string, float64)) (out [][]string, lines int) {
		return p.split(cells, widths, style)
	}
	draw := func(cells [][]string, from, to int, style func(int) (string, float64), heavy bool) {
		h := float64(to-from)*line + 2*cellPad
		x := sideMargin
		for i, c := range cells {
			st, sz := style(i)
			p.font(st, sz)
			for k := from; k < min(to, len(c)); k++ {
				at := x + cellPad
				if i < len(t.Right) && t.Right[i] {
					at = x + widths[i] - cellPad - p.f.GetStringWidth(c[k])
				}
				p.f.Text(at, p.y+cellPad+float64(k-from)*line+baseline(size), c[k])
			}
			p.grey(0x80)
			p.f.SetLineWidth(0.15)
			p.f.Rect(x, p.y, widths[i], h, "D")
			p.grey(0)
			x += widths[i]
		}
		p.y += h
		if heavy {
			p.f.SetLineWidth(0.4)
			p.f.Line(sideMargin, p.y, sideMargin+p.width, p.y)
		}
	}
	bold := func(int) (string, float64) { return "B", size }
	var head [][]string
	headLines := 0
	if len(t.Head) > 0 {
		head, headLines = split(t.Head, bold)
	}
	begin := func() {
		if headLines > 0 {
			draw(head, 0, headLines, bold, true)
		}
	}
	p.need(p.rowsBegin(t, size, named))
	if t.Caption != "" {
		p.para(t.Caption, "B", bodySize)
	}
	begin()
	for _, row := range t.Rows {
		cells, lines := split(row, style)
		fits := func() int { return int((p.bottom - p.y - 2*cellPad + 1e-6) / line) }
		if lines > fits() && fits() < together {
			p.turn()
			begin()
		}
		for from := 0; from < lines; { // a row that is longer than a page goes on over the next
			to := min(lines, from+max(1, fits()))
			draw(cells, from, to, style, false)
			if from = to; from < lines {
				p.turn()
				begin()
			}
		}
	}
	p.gap(3)
}

// together are the lines of a row that stay with the heads of their table.
const together = 12

// style is how the cells of a column are written: style and size. Of named rows the first is
// their name.
func (t *Table) style(size float64, named bool) func(col int) (string, float64) {
	return func(col int) (string, float64) {
		switch {
		case named && col == 0:
			return "B", size
		case col == t.Mono:
			return "M", monoSize
		}
		return "", size
	}
}

// split cuts cells into lines as wide as their columns; lines is how many the longest has.
func (p *book) split(cells []string, widths []float64, style func(int) (string, float64)) (out [][]string, lines int) {
	for i, c := range cells {
		p.font(style(i))
		out = append(out, p.wrap(c, widths[i]-2*cellPad))
		lines = max(lines, len(out[i]))
	}
	return out, lines
}

// rowsBegin is the room that a table needs to begin: its caption, its heads and its first row.
func (p *book) rowsBegin(t *Table, size float64, named bool) float64 {
	room, widths := 0.0, p.columns(t)
	if t.Caption != "" {
		room += 1.3 * high(bodySize)
	}
	if len(t.Head) > 0 {
		_, lines := p.split(t.Head, widths, func(int) (string, float64) { return "B", size })
		room += float64(lines)*high(size) + 2*cellPad
	}
	first := 1
	if len(t.Rows) > 0 {
		_, first = p.split(t.Rows[0], widths, t.style(size, named))
	}
	return room + float64(min(first, together))*high(size) + 2*cellPad
}

// columns are the widths of a table's, mm.
func (p *book) columns(t *Table) []float64 {
	all := 0.0
	for _, s := range t.Shares {
		all += s
	}
	out := make([]float64, len(t.Shares))
	for i, s := range t.Shares {
		out[i] = p.width * s / all
	}
	return out
}

// wrap cuts a text into lines that are no wider than width in the font in force: between words,
// else after signs that part the pieces of a name, else wherever it must be.
func (p *book) wrap(s string, width float64) []string {
	var out []string
	for _, para := range strings.Split(s, "\n") {
		line := ""
		for _, word := range pieces(para) {
			if p.f.GetStringWidth(strings.TrimRight(line+word, " ")) <= width {
				line += word
				continue
			}
			if strings.TrimSpace(line) != "" {
				out = append(out, strings.TrimRight(line, " "))
			}
			line = ""
			for _, r := range strings.TrimLeft(word, " ") {
				if line != "" && p.f.GetStringWidth(line+string(r)) > width {
					out = append(out, line)
					line = ""
				}
				line += string(r)
			}
		}
		out = append(out, strings.TrimRight(line, " "))
	}
	return out
}

// pieces are where a text may be cut: after blanks, and after the signs that names are joined by.
func pieces(s string) []string {
	var out []string
	start := 0
	for i, r := range s {
		if strings.ContainsRune(" -_/\\", r) {
			out = append(out, s[start:i+1])
			start = i + 1
		}
	}
	return append(out, s[start:])
}

func (p *book) drawingHigh(d *Drawing) float64 {
	return p.width*d.Field.H()/d.Field.W() + 2*high(tableSize+1) + 3
}

// drawing draws the marks to the width of the page.
func (p *book) drawing(d *Drawing, strokes []stroke) {
	p.need(p.drawingHigh(d))
	mm := p.width / d.Field.W()
	at := func(q sheet.Point) (x, y float64) {
		return sideMargin + (q.X-d.Field.Min.X)*mm, p.y + (q.Y-d.Field.Min.Y)*mm
	}
	h := d.Field.H() * mm
	p.f.ClipRect(sideMargin, p.y, p.width, h, false)
	for _, s := range strokes {
		if s.picture == nil {
			p.mark(s.mark, mm, at)
			continue
		}
		p.images++
		name := fmt.Sprint("silhouettes ", p.images)
		options := fpdf.ImageOptions{ImageType: "PNG"}
		if p.of > 0 { // the first time round only counts pages
			p.f.RegisterImageOptionsReader(name, options, bytes.NewReader(s.picture.png))
			x, y := at(s.picture.box.Min)
			p.f.ImageOptions(name, x, y, s.picture.box.W()*mm, s.picture.box.H()*mm, false, options, 0, "")
		}
	}
	p.f.ClipEnd()
	p.grey(0)
	p.f.SetLineWidth(0.3)
	p.f.Rect(sideMargin, p.y, p.width, h, "D")
	p.y += h + 1.2
	p.font("B", tableSize+1)
	p.f.Text(sideMargin, p.y+baseline(tableSize+1), d.Title)
	wide := p.f.GetStringWidth(d.Title)
	p.font("", tableSize+1)
	p.f.Text(sideMargin+wide+3, p.y+baseline(tableSize+1), d.Note)
	p.y += high(tableSize+1) + 3
}

func (p *book) mark(m sheet.Mark, mm float64, at func(sheet.Point) (x, y float64)) {
	p.grey(grey(m.Ink))
	switch m.Kind {
	case sheet.Line, sheet.Outline, sheet.Area:
		points := make([]fpdf.PointType, len(m.Points))
		for i, q := range m.Points {
			points[i].X, points[i].Y = at(q)
		}
		if len(points) < 2 {
			return
		}
		p.f.SetLineWidth(max(m.Width*mm, 0.08))
		if m.Dashed {
			p.f.SetDashPattern([]float64{5 * mm, 4 * mm}, 0)
			defer p.f.SetDashPattern(nil, 0)
		}
		switch m.Kind {
		case sheet.Line:
			p.f.MoveTo(points[0].X, points[0].Y)
			for _, q := range points[1:] {
				p.f.LineTo(q.X, q.Y)
			}
			p.f.DrawPath("D")
		case sheet.Outline:
			p.f.Polygon(points, "D")
		default:
			p.f.Polygon(points, "F")
		}
	case sheet.Writing:
		size := m.Size * mm / perPoint
		style := ""
		if m.Bold {
			style = "B"
		}
		p.font(style, size)
		x, y := at(m.At)
		wide := p.f.GetStringWidth(m.Text)
		left := x
		switch m.Align {
		case sheet.Centre:
			left -= wide / 2
		case sheet.End:
			left -= wide
		}
		if m.Upwards {
			p.f.TransformBegin()
			p.f.TransformRotate(90, x, y)
			defer p.f.TransformEnd()
		}
		if m.Halo {
			p.f.SetFillColor(255, 255, 255)
			p.f.Rect(left-0.3, y-0.78*m.Size*mm, wide+0.6, m.Size*mm*0.98, "F")
		}
		p.f.Text(left, y, m.Text)
	}
}
