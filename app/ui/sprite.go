package ui

import (
	"image"
	"image/color"
	"math"
	"runtime"
	"sync"

	"scantling/app/sheet"
)

// sprites are shaded pictures scaled to their size on the page and tinted, kept as long as
// the last few pages have used them.
type sprites struct {
	made map[spriteKey]*sprite
	mips map[turnedImage]*shades
	use  int // of the picture being painted
}

// A turnedImage is turned counter-clockwise about its middle, radians.
type turnedImage struct {
	from *image.NRGBA
	by   float64
}

type spriteKey struct {
	turnedImage
	size    image.Point     // of the whole picture on the page
	crop    image.Rectangle // what of it is made
	colours *palette
}

// A sprite is ready to be put on a page: premultiplied.
type sprite struct {
	img *image.RGBA
	use int
}

// place is where a picture lies on the page, in whole pixels, and what of it is to be seen.
func place(m *sheet.Mark, scale float64, clip image.Rectangle) (box, crop image.Rectangle) {
	whole := func(x float64) int { return int(math.Round(min(max(x*scale, -1e7), 1e7))) }
	box = image.Rect(whole(m.Box.Min.X), whole(m.Box.Min.Y), whole(m.Box.Max.X), whole(m.Box.Max.Y))
	box.Max.X, box.Max.Y = max(box.Max.X, box.Min.X+1), max(box.Max.Y, box.Min.Y+1)
	crop = box.Intersect(clip)
	return box, crop.Sub(box.Min)
}

// prepare makes the sprites that are missing, on all processors.
func (s *sprites) prepare(marks []sheet.Mark, clip image.Rectangle, scale float64, colours *palette) {
	if s.made == nil {
		s.made, s.mips = map[spriteKey]*sprite{}, map[turnedImage]*shades{}
	}
	s.use++
	type job struct {
		to   *sprite
		key  spriteKey
		from *shades
	}
	var jobs []job
	for i := range marks {
		m := &marks[i]
		if m.Kind != sheet.Picture {
			continue
		}
		box, crop := place(m, scale, clip)
		if crop.Empty() {
			continue
		}
		key := spriteKey{turnedImage{m.Shades, m.Turn}, box.Size(), crop, colours}
		if have := s.made[key]; have != nil {
			have.use = s.use
			continue
		}
		from := s.mips[key.turnedImage]
		if from == nil {
			from = &shades{}
			s.mips[key.turnedImage] = from
		}
		from.use = s.use
		made := &sprite{use: s.use}
		s.made[key] = made
		jobs = append(jobs, job{made, key, from})
	}
	var next int
	var lock sync.Mutex
	var wait sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(jobs)) {
		wait.Go(func() {
			for {
				lock.Lock()
				i := next
				next++
				lock.Unlock()
				if i >= len(jobs) {
					return
				}
				j := jobs[i]
				j.from.once.Do(func() { j.from.read(j.key.turnedImage) })
				j.to.img = j.from.scaled(j.key)
			}
		})
	}
	wait.Wait()
}

// put draws a prepared sprite.
func (s *sprites) put(g *page, m *sheet.Mark) {
	box, crop := place(m, g.scale, g.clip)
	have := s.made[spriteKey{turnedImage{m.Shades, m.Turn}, box.Size(), crop, g.colours}]
	if have == nil || have.img == nil {
		return
	}
	at := box.Min.Add(crop.Min)
	for y := range crop.Dy() {
		from := have.img.Pix[y*have.img.Stride : y*have.img.Stride+4*crop.Dx()]
		to := g.img.Pix[g.img.PixOffset(at.X, at.Y+y):]
		for i := 0; i < len(from); i += 4 {
			switch a := from[i+3]; a {
			case 0:
			case 255:
				to[i], to[i+1], to[i+2] = from[i], from[i+1], from[i+2]
			default:
				b := 255 - uint32(a)
				to[i] = from[i] + byte((uint32(to[i])*b+127)/255)
				to[i+1] = from[i+1] + byte((uint32(to[i+1])*b+127)/255)
				to[i+2] = from[i+2] + byte((uint32(to[i+2])*b+127)/255)
			}
		}
	}
}

// sweep forgets what the last few pictures did not use.
func (s *sprites) sweep() {
	for k, v := range s.made {
		if v.use < s.use-2 {
			delete(s.made, k)
		}
	}
	used := map[turnedImage]bool{}
	for k := range s.made {
		used[k.turnedImage] = true
	}
	for k, v := range s.mips {
		if !used[k] && v.use < s.use-50 {
			delete(s.mips, k)
		}
	}
}

// shades are a picture in halving sizes, each pixel a grey and how far it covers.
type shades struct {
	once   sync.Once
	use    int
	levels []level
}

// A level is one size. grey is weighted by cover, so that means are means.
type level struct {
	w, h        int
	grey, cover []uint8
}

// read takes the picture in and halves it down to a pixel.
func (s *shades) read(p turnedImage) {
	m := p.from
	b := m.Bounds()
	l := level{b.Dx(), b.Dy(), make([]uint8, b.Dx()*b.Dy()), make([]uint8, b.Dx()*b.Dy())}
	for y := range l.h {
		row := m.Pix[m.PixOffset(b.Min.X, b.Min.Y+y):]
		for x := range l.w {
			a := row[4*x+3]
			l.cover[y*l.w+x] = a
			l.grey[y*l.w+x] = uint8((uint32(row[4*x])*uint32(a) + 127) / 255)
		}
	}
	if p.by != 0 {
		l = l.turned(p.by)
	}
	s.levels = append(s.levels, l)
	for l.w > 1 || l.h > 1 {
		l = l.halved()
		s.levels = append(s.levels, l)
	}
}

// turned is a level turned counter-clockwise about its middle, as large as the turned rectangle.
func (l level) turned(by float64) level {
	sin, cos := math.Sincos(by)
	w, h := float64(l.w), float64(l.h)
	whole := func(x float64) int { return max(1, int(math.Ceil(x-1e-6))) } // a quarter is not a pixel more
	out := level{w: whole(w*math.Abs(cos) + h*math.Abs(sin)), h: whole(w*math.Abs(sin) + h*math.Abs(cos))}
	out.grey, out.cover = make([]uint8, out.w*out.h), make([]uint8, out.w*out.h)
	for y := range out.h {
		for x := range out.w {
			u, v := float64(x)+0.5-float64(out.w)/2, float64(out.h)/2-float64(y)-0.5
			fx, fy := cos*u+sin*v+w/2-0.5, h/2-(cos*v-sin*u)-0.5
			i, j := int(math.Floor(fx)), int(math.Floor(fy))
			tx, ty := fx-float64(i), fy-float64(j)
			var grey, cover float64
			for k, share := range [4]float64{(1 - tx) * (1 - ty), tx * (1 - ty), (1 - tx) * ty, tx * ty} {
				if px, py := i+k%2, j+k/2; px >= 0 && px < l.w && py >= 0 && py < l.h {
					grey += share * float64(l.grey[py*l.w+px])
					cover += share * float64(l.cover[py*l.w+px])
				}
			}
			out.grey[y*out.w+x], out.cover[y*out.w+x] = uint8(grey+0.5), uint8(cover+0.5)
		}
	}
	return out
}

// halved averages two by two pixels; the last odd one counts twice.
func (l level) halved() level {
	out := level{w: (l.w + 1) / 2, h: (l.h + 1) / 2}
	out.grey, out.cover = make([]uint8, out.w*out.h), make([]uint8, out.w*out.h)
	mean := func(p []uint8, a, b, c, d int) uint8 {
		return uint8((uint32(p[a]) + uint32(p[b]) + uint32(p[c]) + uint32(p[d]) + 2) / 4)
	}
	for y := range out.h {
		r0, r1 := 2*y*l.w, min(2*y+1, l.h-1)*l.w
		for x := range out.w {
			x0, x1 := 2*x, min(2*x+1, l.w-1)
			i := y*out.w + x
			out.grey[i] = mean(l.grey, r0+x0, r0+x1, r1+x0, r1+x1)
			out.cover[i] = mean(l.cover, r0+x0, r0+x1, r1+x0, r1+x1)
		}
	}
	return out
}

// scaled is the crop of the picture at a size, tinted, with its outline inked.
func (s *shades) scaled(k spriteKey) *image.RGBA {
	n := 0
	for n+1 < len(s.levels) && (s.levels[n].w >= 2*k.size.X || s.levels[n].h >= 2*k.size.Y) &&
		s.levels[n+1].w >= k.size.X/2 && s.levels[n+1].h >= k.size.Y/2 {
		n++
	}
	l := s.levels[n]
	w, h := k.crop.Dx(), k.crop.Dy()
	// One pixel more on every side, for the outline.
	pw := w + 2
	grey, cover := make([]float32, pw*(h+2)), make([]float32, pw*(h+2))
	fx, fy := float64(l.w)/float64(k.size.X), float64(l.h)/float64(k.size.Y)
	// Enlarged edges are drawn together again, so that they stay one pixel wide.
	steep := float32(max(1, min(1/fx, 1/fy)))
	xs := make([]sample, pw)
	for x := range xs {
		xs[x] = sampleAt(float64(k.crop.Min.X+x-1), fx, l.w, k.size.X)
	}
	for y := range h + 2 {
		sy := sampleAt(float64(k.crop.Min.Y+y-1), fy, l.h, k.size.Y)
		if sy.none {
			continue
		}
		r0, r1 := sy.i*l.w, sy.j*l.w
		for x, sx := range xs {
			if sx.none {
				continue
			}
			between := func(p []uint8) float32 {
				above := float32(p[r0+sx.i])*(1-sx.t) + float32(p[r0+sx.j])*sx.t
				below := float32(p[r1+sx.i])*(1-sx.t) + float32(p[r1+sx.j])*sx.t
				return above*(1-sy.t) + below*sy.t
			}
			a := between(l.cover)
			if a <= 0 {
				continue
			}
			grey[y*pw+x] = between(l.grey) / a
			cover[y*pw+x] = min(max((a/255-0.5)*steep+0.5, 0), 1)
		}
	}
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	tint := tints(k.colours)
	ink := k.colours.inks[sheet.Pen]
	for y := range h {
		for x := range w {
			i := (y+1)*pw + x + 1
			a := cover[i]
			if a <= 0 {
				continue
			}
			edge := a - min(cover[i-1], cover[i+1], cover[i-pw], cover[i+pw])
			edge = min(max(edge, 0)+(1-a)*0.6, 1)
			c := tint[min(int(grey[i]*255+0.5), 255)]
			o := img.PixOffset(x, y)
			mix := func(tint, ink uint8) byte { return byte((float32(tint)*(1-edge)+float32(ink)*edge)*a + 0.5) }
			img.Pix[o], img.Pix[o+1], img.Pix[o+2] = mix(c.R, ink.R), mix(c.G, ink.G), mix(c.B, ink.B)
			img.Pix[o+3] = byte(a*255 + 0.5)
		}
	}
	return img
}

// A sample is where a pixel of the page lies in a level: between i and j, at t.
type sample struct {
	i, j int
	t    float32
	none bool // outside the picture
}

func sampleAt(pixel, f float64, n, size int) sample {
	if pixel < 0 || pixel >= float64(size) {
		return sample{none: true}
	}
	at := min(max((pixel+0.5)*f-0.5, 0), float64(n-1))
	i := int(at)
	return sample{i: i, j: min(i+1, n-1), t: float32(at - float64(i))}
}

// tints are the colours of all greys.
func tints(p *palette) *[256]color.NRGBA {
	var out [256]color.NRGBA
	for i := range out {
		t := float64(i) / 255
		mix := func(a, b uint8) uint8 { return uint8(float64(a)*(1-t) + float64(b)*t + 0.5) }
		out[i] = color.NRGBA{mix(p.dark.R, p.light.R), mix(p.dark.G, p.light.G), mix(p.dark.B, p.light.B), 255}
	}
	return &out
}
