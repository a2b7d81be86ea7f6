package threemf

import (
	"bytes"
	"compress/flate"
	"io"
	"runtime"
)

const (
	// block is how much is packed on its own. The blocks know nothing of each other, which
	// costs a few bytes in a thousand and lets all cores work.
	block = 1 << 20
	// level packs models to 18 % of their size, at twice the speed of level 4 and seven times
	// that of level 6, which come to 14 % (BenchmarkDeflate, a million triangles). Packing is
	// what saving takes longest for.
	level = flate.BestSpeed
	// mostPackers bounds the memory on machines with many cores, some 3 MB each.
	mostPackers = 4
)

// A deflater packs what is written to it, in blocks and on all cores, into one deflate
// stream (RFC 1951): every block ends at a byte, with an empty stored block, and an empty
// last block ends the stream. What it gives depends on what was written alone.
type deflater struct {
	w      io.Writer
	free   chan *packer
	order  []*packer // at work, in the order of the stream
	now    *packer   // being filled
	failed error
}

// A packer packs one block after another.
type packer struct {
	in   []byte
	out  bytes.Buffer
	pack *flate.Writer
	done chan error
}

func newDeflater(w io.Writer) *deflater {
	n := min(runtime.GOMAXPROCS(0), mostPackers) + 1 // one is being filled
	d := &deflater{w: w, free: make(chan *packer, n)}
	for range n {
		d.free <- &packer{done: make(chan error, 1)}
	}
	return d
}

// Write is io.Writer's. The first error stays.
func (d *deflater) Write(b []byte) (int, error) {
	n := len(b)
	for len(b) > 0 && d.failed == nil {
		if d.now == nil {
			d.take()
			continue
		}
		k := min(len(b), block-len(d.now.in))
		d.now.in = append(d.now.in, b[:k]...)
		b = b[k:]
		if len(d.now.in) == block {
			d.start()
		}
	}
	if d.failed != nil {
		return 0, d.failed
	}
	return n, nil
}

// take gets a packer to fill: a free one, or that which has been at work the longest.
func (d *deflater) take() {
	select {
	case d.now = <-d.free:
	default:
		d.failed = d.collect()
		return
	}
	if d.now.in == nil {
		d.now.in = make([]byte, 0, block)
	}
	d.now.in = d.now.in[:0]
}

// start sets the filled packer to work.
func (d *deflater) start() {
	p := d.now
	d.now = nil
	d.order = append(d.order, p)
	go func() { p.done <- p.run() }()
}

func (p *packer) run() error {
	p.out.Reset()
	if p.pack == nil {
		var err error
		if p.pack, err = flate.NewWriter(&p.out, level); err != nil {
			return err
		}
	} else {
		p.pack.Reset(&p.out)
	}
	if _, err := p.pack.Write(p.in); err != nil {
		return err
	}
	return p.pack.Flush()
}

// collect writes the block that has been at work the longest.
func (d *deflater) collect() error {
	p := d.order[0]
	d.order = d.order[1:]
	err := <-p.done
	if err == nil {
		_, err = d.w.Write(p.out.Bytes())
	}
	d.free <- p
	return err
}

// Close packs and writes what is left, and ends the stream. No packer is at work after it.
func (d *deflater) Close() error {
	if d.now != nil && len(d.now.in) > 0 && d.failed == nil {
		d.start()
	}
	for len(d.order) > 0 {
		if err := d.collect(); d.failed == nil {
			d.failed = err
		}
	}
	if d.failed != nil {
		return d.failed
	}
	_, err := d.w.Write([]byte{0x03, 0x00}) // the last block, of fixed codes, empty
	return err
}
