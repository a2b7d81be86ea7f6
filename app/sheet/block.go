package sheet

import "scantling/app/text"

// titleBlock is the table in the lower right corner, in the spirit of ISO 7200: what is drawn,
// at which scale, from where, in which unit.
func (d *drawing) titleBlock() {
	f := d.layout.field
	box := Rect{Point{f.Max.X - blockW, f.Max.Y - blockH}, f.Max}
	if box.Min.X < f.Min.X+20 || box.Min.Y < f.Min.Y+60 {
		return
	}
	v := d.view
	d.put(Mark{Kind: Area, Ink: Blank, Role: TitleBlock, Points: box.corners()})
	d.put(Mark{Kind: Outline, Ink: Pen, Role: TitleBlock, Points: box.corners(), Width: 1})
	mid := box.Min.Y + 40
	ratioX := box.Max.X - 100
	cell := func(x, y, w, size float64, caption, value string, bold bool) {
		d.write(Mark{Ink: Thin, Role: TitleBlock, Text: caption, Size: sizeCaption - 0.5, At: Point{x + 7, y + 12}})
		d.write(Mark{Ink: Pen, Role: TitleBlock, Text: shortened(value, (w-10)*sizeLabel/size), Size: size,
			At: Point{x + 7, y + 14 + size}, Bold: bold})
	}
	words := text.TitleBlock(v)
	d.rule(Point{box.Min.X, mid}, Point{box.Max.X, mid})
	d.rule(Point{ratioX, box.Min.Y}, Point{ratioX, mid})
	cell(box.Min.X, box.Min.Y, blockW-100, sizeTitle, words.Title.Caption, words.Title.Value, true)
	cell(ratioX, box.Min.Y, 100, sizeTitle, words.Scale.Caption, words.Scale.Value, true)
	w := blockW / float64(len(words.Rest))
	for i, c := range words.Rest {
		x := box.Min.X + w*float64(i)
		if i > 0 {
			d.rule(Point{x, mid}, Point{x, box.Max.Y})
		}
		cell(x, mid-2, w, sizeLabel, c.Caption, c.Value, false)
	}
}

func (d *drawing) rule(a, b Point) {
	d.put(Mark{Kind: Line, Ink: Pen, Role: TitleBlock, Width: penThin, Points: []Point{a, b}})
}
