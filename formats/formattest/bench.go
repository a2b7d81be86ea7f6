package formattest

import (
	"io"
	"math"
	"os"
)

// Plate calls f for each of n triangles of a rippled plate a thousand squares wide, whose
// coordinates have all their digits, as those of a scan or a sculpture have. Benchmarks of
// all formats write it.
func Plate(n int, f func(normal [3]float32, corners [3][3]float32)) {
	const row = 1000
	point := func(x, y int) [3]float32 {
		u, v := float64(x)*0.1234567, float64(y)*0.1357911
		return [3]float32{float32(u), float32(v), float32(10 * math.Sin(u/3) * math.Cos(v/5))}
	}
	for i := range n {
		x, y := i/2%row, i/2/row
		a, b, c, d := point(x, y), point(x+1, y), point(x+1, y+1), point(x, y+1)
		// Not that of the triangle, but with as many digits.
		normal := [3]float32{float32(math.Sin(float64(i))) * 0.1, 0, 0.99}
		if i%2 == 0 {
			f(normal, [3][3]float32{a, b, c})
		} else {
			f(normal, [3][3]float32{a, c, d})
		}
	}
}

// Synced is a Folder whose files are on the disk when they are closed.
type Synced string

// Create makes one.
func (d Synced) Create(name string) (io.WriteCloser, error) {
	w, err := Folder(d).Create(name)
	if err != nil {
		return nil, err
	}
	return syncedFile{w.(*os.File)}, nil
}

// Carry copies one.
func (d Synced) Carry(name, source string) error { return Folder(d).Carry(name, source) }

type syncedFile struct{ *os.File }

func (f syncedFile) Close() error {
	if err := f.Sync(); err != nil {
		f.File.Close()
		return err
	}
	return f.File.Close()
}
