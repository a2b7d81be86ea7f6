// Make draws the demo kit: a harbour tug of our own invention, about 14 m long, with her
// helmsman and gear. It writes the kit's model files, the same to the byte on every run.
//
//	go run ./assets/demo/make [-to folder] [-views folder]
//
// The tug is drawn in millimetres of the real thing, x forward from the middle of her
// length, y to port, z up from the keel, and divided by the native ratio at the end. STL
// and OBJ files are in mm and z up, GLB files in metres and y up.
package main

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"

	"scantling/engine/mesh"
)

// native is the ratio at which the kit is drawn, 1:17.3. It is of no known series: finding
// it out is what the kit is for.
const (
	native     = 17.3
	nativeText = "17.3"
)

func main() {
	to := flag.String("to", filepath.Join("assets", "demo"), "folder for the model files")
	views := flag.String("views", "", "folder for pictures of the assembled kit; none if empty")
	flag.Parse()
	if err := run(*to, *views); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func run(to, views string) error {
	files := kit()
	for _, f := range files {
		if err := os.WriteFile(filepath.Join(to, f.name), f.content, 0o644); err != nil {
			return err
		}
	}
	if views == "" {
		return nil
	}
	return drawViews(files, views)
}

// A file of the kit, and what it holds as it stands in the assembled model.
type file struct {
	name    string
	content []byte
	bodies  []*mesh.Mesh
}

func kit() []file {
	var files []file
	add := func(name string, content []byte, bodies ...*mesh.Mesh) {
		files = append(files, file{name, content, bodies})
	}
	bin := func(name string, s solid) {
		m := s.model(name)
		add(name+".stl", binarySTL(m), m)
	}
	text := func(name string, solids ...*mesh.Mesh) { add(name+".stl", asciiSTL(solids), solids...) }
	group := func(name string, bodies ...body) {
		var meshes []*mesh.Mesh
		for _, b := range bodies {
			meshes = append(meshes, b.Mesh)
		}
		add(name+".obj", obj(bodies), meshes...)
	}
	scene := func(name string, s solid, colour [3]float64, places ...place) {
		var shown []*mesh.Mesh
		for _, p := range places {
			shown = append(shown, s.turned(2, p.degrees).by(p.at[0], p.at[1], p.at[2]).model(p.name))
		}
		add(name+".glb", glb(s.model(name), places, colour), shown...)
	}

	bin("hull", hull())
	bin("deck", deck())
	bin("deckhouse", deckhouse())
	group("wheelhouse", body{wheelhouse().model("wheelhouse"), "cream"})
	bin("wheelhouse-roof", roof())
	bin("funnel", funnel())
	text("mast", mast().model("mast"))
	text("mast-socket", mastSocket().model("mast socket"))
	text("searchlight", searchlight().model("searchlight"))
	bin("rail", rail())
	scene("cowls", cowl(), [3]float64{0.93, 0.87, 0.72}, cowlPlaces()...)
	group("winch", body{winchFrame().model("winch_frame"), "steel"}, body{winchDrum().model("winch_drum"), "rope"})
	group("towing-hook", body{hook().model("towing_hook"), "steel"})
	var bollards []*mesh.Mesh
	for _, p := range bollardPlaces() {
		bollards = append(bollards, bollard().turned(2, p.degrees).by(p.at[0], p.at[1], p.at[2]).model(p.name))
	}
	text("bollards", bollards...)
	scene("lifebuoy", lifebuoy(), [3]float64{0.87, 0.27, 0.11}, place{name: "lifebuoy"})
	scene("tyres", tyre(), [3]float64{0.08, 0.08, 0.09}, tyrePlaces()...)
	bin("bow-fender", bowFender())
	bin("propeller", propeller())
	bin("rudder", rudder())
	stand, wheel := helm()
	group("helm", body{stand.model("steering_stand"), "teak"}, body{wheel.model("steering_wheel"), "teak"})
	scene("helmsman", helmsman(), [3]float64{0.13, 0.20, 0.34}, place{name: "helmsman"})
	scene("chair", chair(), [3]float64{0.45, 0.27, 0.14}, place{name: "chair"})
	add(materialFile, materials())
	return files
}
