package main

import (
	"context"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"os"
	"path/filepath"

	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/engine/survey"
)

// drawViews draws the assembled kit from three sides and every file by itself, on white.
func drawViews(files []file, folder string) error {
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return err
	}
	side := survey.Look{Right: geom.Vec{1, 0, 0}, Up: geom.Vec{0, 0, 1}}
	var all []*mesh.Mesh
	for _, f := range files {
		all = append(all, f.bodies...)
		if len(f.bodies) > 0 {
			if err := drawView(f.bodies, side, 700, filepath.Join(folder, "part-"+f.name+".png")); err != nil {
				return err
			}
		}
	}
	for name, look := range map[string]survey.Look{
		"side":  side,
		"front": {Right: geom.Vec{0, 1, 0}, Up: geom.Vec{0, 0, 1}},
		"top":   {Right: geom.Vec{1, 0, 0}, Up: geom.Vec{0, 1, 0}},
	} {
		if err := drawView(all, look, 1600, filepath.Join(folder, name+".png")); err != nil {
			return err
		}
	}
	return nil
}

func drawView(bodies []*mesh.Mesh, look survey.Look, pixels int, path string) error {
	one := &mesh.Mesh{}
	box := geom.EmptyBox()
	for _, m := range bodies {
		base := uint32(len(one.Vertices))
		one.Vertices = append(one.Vertices, m.Vertices...)
		for _, c := range m.Triangles {
			one.Triangles = append(one.Triangles, [3]uint32{base + c[0], base + c[1], base + c[2]})
		}
		box = box.Union(mesh.MeasuresOf(m).Box)
	}
	picture, err := survey.Silhouette(context.Background(), one, look, box, pixels)
	if err != nil {
		return err
	}
	sheet := image.NewRGBA(picture.Bounds().Inset(-10))
	draw.Draw(sheet, sheet.Bounds(), image.NewUniform(color.White), image.Point{}, draw.Src)
	draw.Draw(sheet, picture.Bounds(), picture, image.Point{}, draw.Over)
	out, err := os.Create(path)
	if err != nil {
		return err
	}
	if err := png.Encode(out, sheet); err != nil {
		out.Close()
		return err
	}
	return out.Close()
}
