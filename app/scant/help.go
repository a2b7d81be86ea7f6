package main

// help is the text on a topic: a verb, or "" for all of it. It is empty for any other.
func help(topic string) string {
	switch topic {
	case "":
		return helpAll
	case "measure":
		return helpMeasure
	case "survey":
		return helpSurvey
	case "factor":
		return helpFactor + helpWay
	case "check":
		return helpCheck + helpWay
	case "ladder":
		return helpLadder + helpWay
	case "compare":
		return helpCompare + helpWay
	case "beds":
		return helpBeds + helpWay
	case "gauge":
		return helpGauge
	case "figure":
		return helpFigure
	case "rescale":
		return helpRescale + helpWay
	case "record":
		return helpRecord + helpWay
	case "recover":
		return helpRecover
	case "ratios":
		return helpRatios
	case "objects":
		return helpObjects
	case "printers":
		return helpPrinters
	case "processes":
		return helpProcesses
	case "help":
		return helpHelp
	}
	return ""
}

const helpAll = `scant finds the one factor at which a kit of model parts must be printed, and saves
rescaled copies. It reads STL, OBJ, glTF (.gltf, .glb) and 3MF and never changes a source.

  scant measure [--json] PATH...             what each part measures
  scant survey  [--json] PATH...             walls, pins, gaps, bores, facets, faults
  scant factor  WAY [--json] [PATH...]       the factor, and what it makes of the parts
  scant check   WAY --process P PATH...      will it print at that size, and what it weighs
  scant ladder  --native R --process P PATH...
                                             the same for every standard ratio
  scant compare WAY --with R --process P PATH...
                                             two targets side by side
  scant beds    WAY --bed XxYxZ PATH...      lay the parts on beds, and save a file of each
  scant gauge   --out FILE.stl               a print of known steps, to learn what your machine can do
  scant gauge   --read FIELD=VALUE[,...]     what came out of it, taken into a process
  scant figure  --target R --out FILE        a person to print, to stand beside a model
  scant rescale WAY --out DIR PATH...        save rescaled copies
  scant record  WAY --out FILE PATH...       the page to keep: HTML, PDF, or CSV of the parts
  scant recover [--json] ORIGINAL COPY       the factor between a model and an old copy of it
  scant ratios  [--field F] [--json]         the standard ratios, with their sources
  scant objects [--json]                     things of known real size, for clues
  scant printers [add NAME XxYxZ | remove NAME]
                                             generic sizes of beds, and your own printers
  scant processes [--json]                   ways to print with their limits, and your own
  scant help    [VERB]                       more about one of these, with examples

PATH is a model file, or a folder that is searched with all folders in it. Names that
begin with a dot are left out, and links to folders are not followed.

WAY is one of
  --factor F
  --native R --target R
  --real LENGTH --along x|y|z --target R
  --clue LENGTH=REAL[±SD] ... --target R
  --figure LENGTH ... --person WHOM --native R
  --length LENGTH --along x|y|z
  --bed XxYxZ [--margin L] [--brim L] [--round] [--turn HOW], or --printer NAME [--turn HOW]
and is explained by: scant help factor

What is found out about parts is kept in a folder of your cache, shared with the window, so that
the same part is surveyed once; with --no-cache survey, check, ladder, compare and record neither
use nor fill it.

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

const helpSurvey = `scant survey [--json] [--no-cache] PATH...

Finds for every part how thick its walls and pins are, how wide its gaps, its round bores and
pegs, how far its facets lie from the curves they stand for, and what is wrong with its mesh;
and how the parts lie to each other: what stands in what with how much room, how far those
near each other are apart, which touch and which overlap. None of it depends on a factor.
Lengths are shown in millimetres and rounded, and of each kind the first eight, thinnest first.

  --json   one JSON document on standard output and nothing else: {"parts": [...],
           "clearances": {...}}. Each part has file, name, format, encoding, unit, triangles,
           size, centroid, area, volume, closed, shells, genus, hull (the volume of its convex
           hull), thickness and gaps ({least, p1, p5, median, unmeasured, places}), bores and
           pegs ([{tag, diameter, flats, depth, through, arc, sides, axis, centre, sinks}]),
           facets and health, or file and error. Its numbers are not rounded and stand in the
           file's own unit. p1 and p5 are what a hundredth and a twentieth of the surface do
           not exceed. Clearances have limit, complete, fits ([{inner, outer, peg, bore,
           clearance, flats, length, axis, centre}]) and neighbours ([{one, other, relation,
           distance, depth, at, other_at, complete}]) in millimetres; parts, pegs and bores by
           their numbers from 0, -1 for what is not round. It is null for a single part.

Examples
  scant survey mast.stl
  scant survey --json my-kit-folder
`

const helpFactor = `scant factor WAY [--json] [PATH...]

Prints the factor in full digits, in per cent, the ratio that it gives, and how it was
found; with files, also the size of every part before and after.

With --clue and no --target it says at what ratio the files were drawn, so that a finished
model can be told as well. With --figure and no --native it says what ratio the figure is.
Both name the standard ratios that it may be, each with its probability.

  --json     one JSON document on standard output and nothing else: factor and sd (its
             standard uncertainty, 0 where it is exact), percent, ratio, native and implied
             (how the files were drawn and how the copies come out, each with ratio, low and
             high: 95 % between 1:low and 1:high, where they are known), candidates (standard
             ratios with field and probability, where something was measured), why, and
             parts, each with size (in its file's unit) and print (in millimetres). What is
             not known yet is null. By bed also limits (the part that does), axis, drawn and
             room (mm), pose, atMost (no pose gives a larger factor), largest and next (the
             largest standard ratio of --field that fits, and the next larger one with what
             each part needs there: tooLong in mm, pieces), and for each part largest (its
             factor) and pose: a point p of the file comes to lie at
             factor × unit × turn · p + shift, in mm from the middle of the plate.

Examples
  scant factor --native 1:17.3 --target 1:48
  scant factor --clue 175.3mm=1981mm±5 --clue "39.8 mm = chair-seat" --target 1:48
  scant factor --figure 52.3mm --person "5ft 9in" --base 3mm --native 1:11.28
  scant factor --figure 28mm --to-eyes --person man --field wargame
  scant factor --real "14.2 m" --along x --target 1:87 my-kit-folder
  scant factor --length 250mm --along x my-kit-folder
  scant factor --bed 220x220x250 --margin 5 hull.stl mast.stl
  scant factor --printer round-180x300 --turn free --native 1:12 --field ships my-kit-folder
`

const helpCheck = `scant check WAY --process P [--bed XxYxZ | --printer NAME] [--turn T] [--gap L]
            [--json] PATH...

Surveys every part and says what the factor does to it: what stops the print, what to look at,
and what is good to know, each with the factor and the ratio from which on it is gone, and what
can be done besides. Then between which ratios the kit prints, what it weighs, and how many
beds it takes. Exit 1 if something stops the print.

  --process P      filament, resin, powder or other, or one that you saved in the window: the
                   limits, fill and material that are judged by (scant processes)
  --bed, --printer the printer's bed, where it is not the way to the factor; with --margin,
                   --brim and --round as below
  --turn T         how parts may be turned on it: none, yaw, faces, free
  --gap L          what is kept free between parts on the bed, 2 mm
  --json           one JSON document on standard output and nothing else: factor, ratio, why,
                   process, prints, findings ([{code, gravity, part, file, place, value, limit,
                   gone_at_factor, gone_at_ratio, gone_toward, item, drill, offset, says}]),
                   printable and details (least and most factor at which nothing stops the
                   print, and at which there is nothing to look at), weight, beds, and parts
                   with their own weight and ranges. Values and limits are millimetres of the
                   print, or counts; places are in the file's unit; gone_at_factor is exact.

Examples
  scant check --native 1:17.3 --target 1:48 --process resin my-kit-folder
  scant check --factor 0.36 --process filament --bed 220x220x250 --turn faces my-kit-folder
`

const helpLadder = `scant ladder --native R --process P [--bed XxYxZ | --printer NAME] [--turn T]
             [--field F ...] [--json] PATH...

Judges the kit at every standard ratio of the fields that are named, or of all: whether it fits
the bed, whether it prints and what stops it, and what it weighs; and between which ratios it
prints at all. Any WAY that tells the native ratio will do; a target is marked.

  --json   one JSON document on standard output and nothing else: native, process, rungs
           ([{ratio, name, field, factor, fits, fits_turned, prints, stops, failing, looks,
           mass_g, cost, target}]), printable and details

Examples
  scant ladder --native 1:17.3 --process resin --field ships my-kit-folder
  scant ladder --native 1:17.3 --process filament --bed 220x220x250 --turn faces my-kit-folder
`

const helpCompare = `scant compare WAY --with R --process P [--bed XxYxZ | --printer NAME] [--turn T] [--gap L]
              [--json] PATH...

Lays two targets side by side: that of WAY, and another. Of both it says the factor, how large
the kit and its largest and smallest part come out, how many parts fit the bed and how many beds
they take, how many findings of which gravity there are, weight and cost; and then what is found
at the one and not, or less gravely, or in fewer places, at the other.

  --with R   the other target. Where WAY tells no native ratio, the other factor.
  --json     one JSON document on standard output and nothing else: process, sides (both, each
             with ratio, factor, size and largest and smallest in mm, fitting, parts, beds,
             stops, look, note, prints, weight) and differ ([{part, file, code, sides}], each
             side with places, gravity, value, limit, or null where it is not there)

Examples
  scant compare --native 1:17.3 --target 1:48 --with 1:72 --process resin my-kit-folder
  scant compare --factor 0.36 --with 0.24 --process filament --bed 220x220x250 my-kit-folder
`

const helpBeds = `scant beds WAY --bed XxYxZ | --printer NAME [--turn T] [--gap L] [--quantity NAME=COUNT ...]
           [--out DIR [--format stl|3mf] [--overwrite] [--correction C]] [--json] PATH...

Lays all parts at the factor on as few beds as it finds, and says how few they would take by
their area, both by their hulls as seen from above. Parts are turned on the plate so that they take least, and as --turn
allows where they do not fit as they lie; none lies above another. With --out each bed is saved
as one file, read back and compared. Where --bed is the only way to the factor, it is that, too.

  --gap L         kept free between the hulls of the parts from above; 2 mm where it is not given.
                  The brim of the bed is kept free around each besides.
  --quantity N=C  how often the part of that name is printed; it may be there several times
  --out DIR       the folder for one file a bed, named after the kit: KIT-bed-1.3mf
  --format F      3mf (an object for each part, an item for each piece) or stl (all triangles of
                  the bed in one list); 3mf where it is not given
  --overwrite     files that are there already may be replaced
  --correction C  what the parts are multiplied by besides, as for scant rescale; they are laid
                  as large as it makes them
  --json          one JSON document on standard output and nothing else: factor, ratio, why,
                  count (of beds), least, beds ([{bed, file, verified, pieces}]), unplaced (names
                  of parts that fit none) and too_many. Each piece has part, file, piece, x, y,
                  width, depth in mm from the corner of the plate, yaw in degrees (null where it
                  is laid on another side) and pose: a point p of the file comes to lie at
                  factor × unit × turn · p + shift.

Examples
  scant beds --native 1:17.3 --target 1:48 --bed 220x220x250 my-kit-folder
  scant beds --factor 0.36 --bed 120x120x120 --quantity bollard=6 --out beds my-kit-folder
`

const helpFigure = `scant figure --target R --out FILE.stl|FILE.3mf [--stature LENGTH] [--person WHO]
             [--posture standing|seated|reaching] [--process P] [--no-base] [--no-seat]
             [--overwrite] [--json]

Saves a person to print at a ratio, plainly dressed and without features: one closed body on a
small base with the ratio in raised figures, if those are large enough to print. Heights and
lengths are published means of bodies. No limb is thinner than the process makes; where that
is not true to scale, it is said.

  --target R         the ratio: 1:48
  --out FILE         .stl or .3mf; nothing is written over. It is never corrected.
  --stature LENGTH   of the real person, from 0.9 to 2.2 m; else the mean of WHO, or 1.75 m
  --person WHO       whose proportions: man, woman, adult, "boy of 8", "girl of 8", "child of 8";
                     else between men's and women's, and under 1.41 m those of a child
  --posture P        standing where none is given; seated on a block; reaching up and forward
  --process P        whose limits hold: filament where none is given
  --no-base          without the base
  --no-seat          without the block under a seated figure
  --overwrite        the file may be replaced
  --json             one JSON document on standard output and nothing else: file, ratio,
                     stature, height (of the body in print), size, sole (how high the soles
                     stand), landmarks (heights of the real person over the soles), thicker (how
                     many times as thick as true each limb is), label (on the base; empty: left
                     out), triangles, genus, child (years; 0 for an adult) and notes. Lengths
                     are millimetres.

Examples
  scant figure --target 1:48 --out person.stl
  scant figure --target 1:32 --person woman --posture seated --process resin --out sitter.3mf
  scant figure --target 1:24 --stature "3 ft 9 in" --posture reaching --out child.stl
`

const helpGauge = `scant gauge --out FILE.stl [--process P] [--overwrite] [--json]
scant gauge --read FIELD=VALUE[,...] [--process P] [--save NAME] [--overwrite] [--json]

Saves a step gauge: strips of walls, pins, gaps, holes, lines and fits of known sizes about the
limits of a process, each with its number, steps and a bar to measure, and two loose pegs. Print
it at 1:1 on your own machine, see from which size on everything comes out well, and measure
it: those are the limits of your process, and its correction. Then --read says what they change
in a process, and --save keeps that under a name of your own. One print is one sample: leave a
margin, and print the gauge anew when material or settings change.

  --out FILE.stl  where the gauge is saved; nothing is written over. It is never corrected.
  --read F=V,...  what was read, in millimetres; it may be there several times. The number
                  beside the least that came out well: wall, pin, gap, hole, engraved, raised,
                  tight (the peg goes in with force) and loose (it slides). And what calipers
                  say: x (a strip), y (the bar), z (the highest step)
  --process P     the limits that the sizes lie about, or that are read anew: filament where
                  none is given
  --save NAME     keep the process as read, under that name; with that of --process it is
                  brought up to date
  --overwrite     what is there may be replaced: the file, or another process of that name
  --json          one JSON document on standard output and nothing else. With --out: file,
                  process, size, lengths (what a strip, the bar and the highest step were
                  drawn as, along x, y and z), steps ([{kind, mm, at}]). With --read: process,
                  saved (the name, or null), changes ([{field, before, after}], by the fields
                  of scant processes) and correction ({on, x, y, z}: what lengths would be
                  multiplied by). Lengths are millimetres.

Examples
  scant gauge --out gauge.stl
  scant gauge --process resin --out gauge.stl
  scant gauge --read wall=0.6,pin=1,gap=0.3,x=55.8,y=99.7 --process filament --save "fine nozzle"
  scant rescale --factor 0.235 --correction "fine nozzle" --out copies my-kit-folder
`

const helpRescale = `scant rescale WAY --out DIR [--as FORMAT] [--name PATTERN] [--correction C] [--verify]
              [--overwrite] [--folders] [--only-changed] [--quantity NAME=COUNT ...] [--json]
              PATH...

Saves a copy of every file in which all lengths are multiplied by the factor and nothing
else differs. Sources stay as they are. A copy appears under its name only when it is
complete; one that fails does not stop the others.

  --out DIR        the folder for the copies; it is made if it is not there. When a folder
                   above it is searched, what lies in it is left out.
  --as FORMAT      change the format: stl, stl-ascii, obj, glb or 3mf. glTF is in metres, the
                   others in millimetres.
  --one NAME       all parts in one 3MF package, NAME.3mf, which says by what it was scaled
  --name PATTERN   names of the copies, without extension; otherwise that of the source.
                   Fields: {part} name of the source, {ratio} 1-48, {percent} 23.5,
                   {factor} 0.235, {kit} folder of the first PATH, {date} 2026-04-30,
                   {quantity} how often the part is printed. Names that one system or another
                   takes for the same are numbered.
  --quantity N=C   how often the part of that name is printed, once where nothing is said, for
                   {quantity} in a name: it may be there several times. A file has one copy
                   however often it is printed; of several parts that differ it says 1-4.
  --folders        copies lie in folders as their sources do, below the one that has them all
  --verify         read every copy back and compare it with source × factor
  --overwrite      let copies replace files that are there; never a source
  --only-changed   leave copies alone that are there as they would be saved, and keep a list
                   beside them for the next time, in the file .scantling-copies. A copy
                   whose source or factor changed is saved again; with --overwrite over the
                   old one. A run that was interrupted goes on in this way by itself.
  --pose           by bed: put each copy down as it fits best, standing on z = 0 in the middle
                   of the plate. Of a file of several parts the copy stays as it lies.
  --correction C   multiply copies besides the factor, so that they come out of a printer as
                   long as they are meant to be: one number, or X,Y,Z along the bed and up, or
                   a process that has a correction (scant processes). Such copies are for that
                   printer alone.
  --json           one JSON document on standard output and nothing else: as scant factor,
                   and for each part copy (the file), verified, unchanged,
                   corrected, or error

Examples
  scant rescale --native 1:17.3 --target 1:48 --out copies --verify my-kit-folder
  scant rescale --factor 23.5% --out copies --name "{part}-{ratio}" --as glb hull.stl
  scant rescale --factor 0.36 --out copies --name "{quantity}x {part}" --quantity bollard=6 kit
  scant rescale --bed 220x220x250 --margin 5mm --out copies my-kit-folder
  scant rescale --printer 180x180x180 --turn free --pose --verify --out copies hull.stl
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
  --bed XxYxZ [--margin L] [--brim L] [--round]
                          the largest factor at which every part fits a bed of that width,
                          depth and height: the margin is kept free at each side, the brim
                          around the part, and a round plate has the smaller side as its
                          diameter (bare numbers are millimetres)
  --printer NAME          the same for one of: scant printers
    --turn HOW            how a part may be turned to fit: none (it stays as it lies), yaw
                          (about the vertical), faces (laid on any flat side that it can
                          stand on, and turned), free (tilted in any way)
  --clue LENGTH=REAL[±SD] ... --target R
                          how long something is in the files, and how long it is in reality:
                          a length with its standard uncertainty (1 % where none is given),
                          or one of: scant objects. Several clues are weighed against each
                          other, and one that disagrees is pointed out
  --figure LENGTH ... --person WHOM --native R
                          how tall a figure in hand is by calipers, which the kit must suit;
                          several readings tell how well they repeat. WHOM it stands for is
                          a stature ("5ft 9in", 1.75m, "1.8 m ± 2 cm"), or man, woman,
                          adult, us-men, us-women, german-men, german-women, or a boy, girl
                          or child of an age from 2 to 18 ("girl of 8"). With it go
    --to-eyes             measured to the eyes and not to the crown
    --base L              thickness of the base, to be taken off
    --posture P           standing, seated (from the seat), seated-floor (from the sole), or
                          bent: pieces of the body, measured one by one and added
    --segments S,S...     which pieces those are: lower-leg, thigh, trunk, head-neck (all
                          four where none is named), head, upper-arm, forearm, hand, foot
    --headgear L, --footwear L
                          what the person wears, full size: 25mm of hat or shoe, 35mm of
                          helmet
    --limit L             the calipers' limits ± (0.02 mm up to 200 mm where none is given)
--native R beside --figure, --factor, --length or --bed names the ratio that they give. In its
place there may be --clue, or --full-size UNIT: the files were drawn full size in m, ft or
another unit, and beside --figure also --real with --along. --full-size with --target is a way
of its own. --length may be that of some parts together (--of NAME, several times), or of the
distance between two points as drawn (--from x,y,z --to x,y,z, in millimetres). --field F
counts only the standard ratios of that trade (see scant ratios), and reads names such as O as
it does; it may be there several times.

R is a ratio: 1:48, 1/72, 87.1, "3.5 mm = 1 ft", N. LENGTH is 250 mm, 25cm, 9.63 m,
"31 ft 7 in", 6', 1 7/8 in.
`

const helpHelp = `scant help [VERB]

Explains the command, or one of its verbs: measure, survey, factor, check, ladder, compare,
beds, gauge, figure, rescale, record, recover, ratios, objects, printers, processes.
`

const helpRecover = `scant recover [--json] ORIGINAL COPY

Finds the factor between a model and a copy of it that somebody rescaled: from the corners of
its triangles where both have as many in the same order, otherwise from the three extents,
held against the volume. It warns when the copy was scaled unevenly. A copy that is another
model is an error.

  --json   one JSON document on standard output and nothing else: factor, tidy (the shortest
           number that the measurement cannot tell from it), sd, percent, method (corners or
           extents), axes, spread, uneven, residual (mm), turned, warnings, and parts where
           there are several.

Examples
  scant recover hull.stl hull-rescaled.stl
  scant recover --json hull.stl hull-rescaled.obj
`

const helpRecord = `scant record WAY --out FILE.html|FILE.pdf|FILE.csv [--process P] [--bed XxYxZ | --printer NAME]
             [--turn T] [--paper a4|letter] [--title T] [--overwrite] [--json] PATH...
scant record --out FILE [--paper P] [--overwrite] [--json] KIT.scantling

Writes the record of a kit, to print and to keep: the factor in full and how it was found,
drawings with dimensions in print and as drawn, the parts, what was found at this size, how it
is printed, what it weighs, the copies that were saved, and the digests of the files. A kit's
file has all that with it; models and a WAY make a kit for the occasion. The HTML page stands
alone; CSV has the parts, in UTF-8, with numbers to reckon with.

  --out FILE       what is written, by its extension. Nothing is written over.
  --process P      what findings and weight go by: filament where none is given
  --bed, --printer the printer's bed, with --margin, --brim, --round and --turn as below
  --paper P        a4 or letter; otherwise as the locale has it
  --title T        what the kit is called; otherwise as the folder of the first PATH
  --overwrite      let the record replace a file that is there
  --json           one JSON document on standard output and nothing else: file, form, paper,
                   bytes, factor, ratio, parts, findings, unread (parts that could not be read)

Examples
  scant record --native 1:17.3 --target 1:48 --process resin --out tug.pdf my-kit-folder
  scant record --factor 0.36 --bed 220x220x250 --out parts.csv my-kit-folder
  scant record --out tug.html tug.scantling
`

const helpRatios = `scant ratios [--field F] [--json]

Prints the standard ratios, largest scale first, with the document or the practice that they
are from and how well that is backed.

  --field F  only those of this trade; it may be there several times
  --json     one JSON document on standard output and nothing else: {"ratios": [...]}, each
             with ratio, exact, name, field, source, status.

Examples
  scant ratios --field railway-nem
  scant ratios --json
`

const helpObjects = `scant objects [--json]

Prints the things of known real size that a clue may name: how large they are, how much one
differs from the next (one standard uncertainty, and what it rests on), and their sources.

  --json   one JSON document on standard output and nothing else: {"objects": [...]}, each
           with key, name, group, mm, sd, basis, source, status.

Examples
  scant objects
  scant factor --clue "175.3 mm = door-leaf-uk"
`

const helpPrinters = `scant printers [--json]
scant printers add NAME XxYxZ [--margin L] [--brim L] [--round]
scant printers remove NAME

Lists beds by name, for --printer: some generic sizes, and those that you saved under names of
your own. They are kept in a file of your configuration folder, which the window uses too.

  --json   one JSON document on standard output and nothing else: {"printers": [...]}, each
           with name, width, depth, height, margin, brim (mm), round and own.

Examples
  scant printers add workshop 300x300x400 --margin 4 --brim 3
  scant factor --printer workshop --turn faces my-kit-folder
`

const helpProcesses = `scant processes [--json]

Lists the processes for --process: those to begin with, each number with its source, and those
that you changed and saved in the window under names of your own. They are kept in a file of
your configuration folder. A limit of 0 is no limit.

  --json   one JSON document on standard output and nothing else: {"processes": [...]}, each
           with name, kind, own, material and numbers: by field value, unit, source, status.

Examples
  scant processes
  scant check --factor 0.235 --process "my fine nozzle" my-kit-folder
`
