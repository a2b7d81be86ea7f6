package main

// help is the text on a topic: a verb, or "" for all of it. It is empty for any other.
func help(topic string) string {
	switch topic {
	case "":
		return helpAll
	case "measure":
		return helpMeasure
	case "factor":
		return helpFactor + helpWay
	case "rescale":
		return helpRescale + helpWay
	case "help":
		return helpHelp
	}
	return ""
}

const helpAll = `scant finds the one factor at which a kit of model parts must be printed, and saves
rescaled copies. It reads STL, OBJ and glTF (.gltf, .glb) and never changes a source.

  scant measure [--json] PATH...             what each part measures
  scant factor  WAY [--json] [PATH...]       the factor, and what it makes of the parts
  scant rescale WAY --out DIR PATH...        save rescaled copies
  scant help    [VERB]                       more about one of these, with examples

PATH is a model file, or a folder that is searched with all folders in it. Names that
begin with a dot are left out, and links to folders are not followed.

WAY is one of
  --factor F
  --native R --target R
  --real LENGTH --along x|y|z --target R
  --length LENGTH --along x|y|z
  --bed XxYxZ [--margin L]
and is explained by: scant help factor

Flags stand before or behind paths, as --flag VALUE or --flag=VALUE. Behind -- all are
paths. Exit: 0 all done, 1 something failed (the rest is done, and each failure is on
standard error with its file), 2 wrong usage.
`

const helpMeasure = `scant measure [--json] PATH...

Prints for every part its format and unit, triangles, size, where it begins and ends, area,
volume, centroid, whether its surface is closed, and how many shells it has. Lengths are
shown in millimetres and rounded.

  --json   one JSON document on standard output and nothing else: {"parts": [...]}, each
           with file, name, format, encoding, unit, triangles, min, max, size, centroid,
           area, volume, closed, shells, notes, or with file and error. Its numbers are not
           rounded and stand in the file's own unit.

Examples
  scant measure hull.stl
  scant measure --json my-kit-folder
`

const helpFactor = `scant factor WAY [--json] [PATH...]

Prints the factor in full digits, in per cent, the ratio that it gives, and how it was
found; with files, also the size of every part before and after.

  --json   one JSON document on standard output and nothing else: factor, percent, ratio,
           native (where it is known), why, and parts, each with size (in its file's unit)
           and print (in millimetres).

Examples
  scant factor --native 1:17.3 --target 1:48
  scant factor --real "14.2 m" --along x --target 1:87 my-kit-folder
  scant factor --length 250mm --along x my-kit-folder
  scant factor --bed 220x220x250 --margin 5 hull.stl mast.stl
`

const helpRescale = `scant rescale WAY --out DIR [--as FORMAT] [--name PATTERN] [--verify] [--overwrite]
              [--json] PATH...

Saves a copy of every file in which all lengths are multiplied by the factor and nothing
else differs. Sources stay as they are. A copy appears under its name only when it is
complete; one that fails does not stop the others.

  --out DIR        the folder for the copies; it is made if it is not there. When a folder
                   above it is searched, what lies in it is left out.
  --as FORMAT      change the format: stl, stl-ascii, obj or glb. glTF is in metres, the
                   others in millimetres.
  --name PATTERN   names of the copies, without extension; otherwise that of the source.
                   Fields: {part} name of the source, {ratio} 1-48, {percent} 23.5,
                   {factor} 0.235, {kit} folder of the first PATH.
  --verify         read every copy back and compare it with source × factor
  --overwrite      let copies replace files that are there; never a source
  --json           one JSON document on standard output and nothing else: as scant factor,
                   and for each part copy (the file), verified, or error

Examples
  scant rescale --native 1:17.3 --target 1:48 --out copies --verify my-kit-folder
  scant rescale --factor 23.5% --out copies --name "{part}-{ratio}" --as glb hull.stl
  scant rescale --bed 220x220x250 --margin 5mm --out copies my-kit-folder
`

const helpWay = `
WAY, one of
  --factor F              the factor itself: 0.235, 23.5 %, 1/4
  --native R --target R   the ratio at which the files were drawn and the one wanted
  --real LENGTH --along A --target R
                          the true length of the subject along x, y or z of the whole kit
                          (a bare number is metres), and the ratio wanted
  --length LENGTH --along A
                          what the whole kit must measure in print along x, y or z (a bare
                          number is millimetres)
  --bed XxYxZ [--margin L]
                          the largest factor at which every part, as it lies, fits a bed of
                          that width, depth and height, L kept free at each side (bare
                          numbers are millimetres)
--native R beside --factor, --length or --bed names the ratio that they give.

R is a ratio: 1:48, 1/72, 87.1, "3.5 mm = 1 ft", N. LENGTH is 250 mm, 25cm, 9.63 m,
"31 ft 7 in", 6', 1 7/8 in.
`

const helpHelp = `scant help [VERB]

Explains the command, or one of its verbs: measure, factor, rescale.
`
