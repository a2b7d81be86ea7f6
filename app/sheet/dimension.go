package sheet

// Dimensions follow ISO 129-1 in form: thin extension lines that begin a little off the
// object and pass the dimension line a little, slim filled arrowheads, the figure above the
// line, and figures of upright dimensions read from the right. (From general knowledge of
// the standard; its text was not at hand.)
const (
	dimGap   = 3.0  // from object to extension line
	dimPast  = 4.0  // extension line beyond the dimension line
	dimOff   = 19.0 // object to dimension line
	arrowLen = 7.5
	arrowW   = 1.9 // half its width
	perDigit = 6.6 // width of a figure at sizeLabel
	leastDim = 4.0 // smaller extents carry no dimension
)

// width dimensions the width of box below (or above, if from lies above it) the height from.
func (d *drawing) width(part string, box Rect, mm, from float64, ink Ink) {
	label := d.figure(mm)
	if box.W() < leastDim {
		return
	}
	y, past, gap := from+dimOff, dimPast, dimGap
	if from < box.Min.Y {
		y, past, gap = from, -dimPast, -dimGap
	}
	start := box.Max.Y
	if past < 0 {
		start = box.Min.Y
	}
	for _, x := range []float64{box.Min.X, box.Max.X} {
		d.dimLine(ink, Width, part, Point{x, start + gap}, Point{x, y + past})
	}
	a, b := Point{box.Min.X, y}, Point{box.Max.X, y}
	at := Mark{Ink: ink, Role: Width, Clipped: true, Part: part, Text: label, Size: sizeLabel,
		At: Point{(a.X + b.X) / 2, y - 4}, Align: Centre, Halo: true}
	if box.W() > max(2*arrowLen+4, float64(len(label))*perDigit) {
		d.dimLine(ink, Width, part, a, b)
		d.arrow(ink, Width, part, a, 1, 0)
		d.arrow(ink, Width, part, b, -1, 0)
	} else {
		d.dimLine(ink, Width, part, Point{a.X - arrowLen - 6, y}, Point{b.X + arrowLen + 6, y})
		d.arrow(ink, Width, part, a, -1, 0)
		d.arrow(ink, Width, part, b, 1, 0)
		at.Align, at.At = Start, Point{b.X + arrowLen + 8, y + 4}
	}
	d.write(at)
}

// height dimensions the height of box right of it, or left of it if from is its left edge.
func (d *drawing) height(part string, box Rect, mm, from float64, ink Ink) {
	label := d.figure(mm)
	if box.H() < leastDim {
		return
	}
	x, past, gap, start := from+dimOff, dimPast, dimGap, box.Max.X
	if from <= box.Min.X { // left of it, as far as the brackets
		x, past, gap, start = from-dimOff, -dimPast, -dimGap, box.Min.X
	}
	for _, y := range []float64{box.Min.Y, box.Max.Y} {
		d.dimLine(ink, Height, part, Point{start + gap, y}, Point{x + past, y})
	}
	a, b := Point{x, box.Min.Y}, Point{x, box.Max.Y}
	at := Mark{Ink: ink, Role: Height, Clipped: true, Part: part, Text: label, Size: sizeLabel,
		At: Point{x - 4, (a.Y + b.Y) / 2}, Align: Centre, Upwards: true, Halo: true}
	if box.H() > float64(len(label))*perDigit {
		d.dimLine(ink, Height, part, a, b)
		d.arrow(ink, Height, part, a, 0, 1)
		d.arrow(ink, Height, part, b, 0, -1)
	} else {
		d.dimLine(ink, Height, part, Point{x, a.Y - arrowLen - 6}, Point{x, b.Y + arrowLen + 6})
		d.arrow(ink, Height, part, a, 0, -1)
		d.arrow(ink, Height, part, b, 0, 1)
		// Too short for an upright figure: a level one beside the line.
		at.Upwards, at.Align, at.At = false, Start, Point{x + 5, (a.Y+b.Y)/2 + 4}
		if past < 0 {
			at.Align, at.At.X = End, x-5
		}
	}
	d.write(at)
}

func (d *drawing) dimLine(ink Ink, role Role, part string, a, b Point) {
	d.put(Mark{Kind: Line, Ink: ink, Role: role, Clipped: true, Part: part, Width: penThin, Points: []Point{a, b}})
}

// arrow is a head whose tip is at p; its body lies in the direction dx, dy.
func (d *drawing) arrow(ink Ink, role Role, part string, p Point, dx, dy float64) {
	d.put(Mark{Kind: Area, Ink: ink, Role: role, Clipped: true, Part: part, Points: []Point{
		p,
		{p.X + dx*arrowLen - dy*arrowW, p.Y + dy*arrowLen + dx*arrowW},
		{p.X + dx*arrowLen + dy*arrowW, p.Y + dy*arrowLen - dx*arrowW},
	}})
}
