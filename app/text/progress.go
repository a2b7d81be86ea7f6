package text

import (
	"context"
	"errors"
	"path/filepath"
	"strings"

	"scantling/app/state"
	"scantling/engine/deliver"
	"scantling/engine/geom"
	"scantling/engine/mesh"
)

// Job is a running job for the status line: "reading 3 of 12 · hull.stl · 41 %".
func Job(j state.Job) string {
	s := ""
	switch j.ID {
	case state.Opening:
		s = "reading"
	case state.Looking:
		s = "looking at"
	case state.Fitting:
		s = "trying poses"
	case state.Nesting:
		return "laying the beds closer"
	case state.Surveying:
		if j.Part == "" {
			return "looking how parts lie to each other · " + Share(j.Share)
		}
		s = "surveying"
	case state.Saving:
		s = "saving"
	case state.Comparing:
		return join("comparing with "+j.Part, " · ", Share(j.Share))
	case state.Checking:
		s = "checking copies"
	case state.Figuring:
		return "making the figure to print · " + Share(j.Share)
	case state.Recording:
		s = "writing the record"
		if j.All > 0 {
			s = "summing up for the record"
		}
	case state.Filing:
		return "saving the kit"
	default:
		s = j.ID
	}
	if j.All > 0 {
		s += " " + Number(min(j.Done+1, j.All)) + " of " + Number(j.All)
	} else if j.ID == state.Opening && j.Part != "" {
		s = "searching"
	}
	s = join(s, " · ", j.Part)
	if j.AllBytes > 0 {
		s += " · " + Bytes(j.DoneBytes) + " of " + Bytes(j.AllBytes)
	}
	if j.All > 0 {
		s += " · " + Share(j.Share)
	}
	return s
}

// PartState says how far a part has come.
func PartState(s state.PartState) string {
	switch s {
	case state.Waiting:
		return "waiting"
	case state.Reading:
		return "reading"
	case state.Measured:
		return "measured"
	}
	return "could not be read"
}

// Topology says whether a surface is closed: "closed", "open: 12 edges". Nil is not known
// yet.
func Topology(t *mesh.Topology) string {
	switch {
	case t == nil:
		return "not looked at yet"
	case t.Closed && t.Shells > 1:
		return "closed, " + Count(t.Shells, "shell", "shells")
	case t.Closed:
		return "closed"
	case t.OpenEdges > 0:
		return "open: " + Count(t.OpenEdges, "edge", "edges")
	case t.CrowdedEdges > 0:
		return "not closed: " + Count(t.CrowdedEdges, "edge", "edges") + " with more than two triangles"
	case t.FlippedEdges > 0:
		return "not closed: triangles face both ways at " + Count(t.FlippedEdges, "edge", "edges")
	}
	return "no surface"
}

// Fit says whether a part fits the bed, and where it is too long: "fits the bed",
// "12.0 mm too wide".
func Fit(p state.Part, inches bool) string {
	if p.Fits {
		return "fits the bed"
	}
	return TooLong(p.Excess, inches) + would(p.Would)
}

// Rung says in a few words how a ratio would do: "fits the bed", "3 parts too large".
func Rung(known, fits bool, tooLong int) string {
	switch {
	case !known:
		return "native ratio not known"
	case fits:
		return "fits the bed"
	case tooLong > 0:
		return Parts(tooLong) + " too large for the bed"
	}
	return ""
}

// Ticked sums up the list: "11 of 12 parts ticked".
func Ticked(parts []state.Part) string {
	n := 0
	for _, p := range parts {
		if p.Ticked {
			n++
		}
	}
	return Number(n) + " of " + Parts(len(parts)) + " ticked"
}

// Outcome says what came of one copy in a sentence.
func Outcome(o deliver.Outcome) string {
	switch {
	case o.Err != nil && o.Path != "":
		return filepath.Base(o.Path) + " was saved, but: " + Error(o.Err).String()
	case errors.Is(o.Err, context.Canceled):
		return o.Copy.Name + " was not saved: cancelled."
	case o.Err != nil:
		return o.Copy.Name + " was not saved. " + Error(o.Err).String()
	case o.Unchanged:
		return filepath.Base(o.Path) + " is unchanged and was left as it is."
	case o.Verified:
		return filepath.Base(o.Path) + " saved and verified" + posed(o.Copy.Pose.Known()) + corrected(o.Copy.Correction) + unitBy(", ", o.Copy.UnitBy) + "."
	}
	return filepath.Base(o.Path) + " saved, not verified" + posed(o.Copy.Pose.Known()) + corrected(o.Copy.Correction) + unitBy(", ", o.Copy.UnitBy) + "."
}

// posed adds that a copy was put down in its pose.
func posed(is bool) string {
	if is {
		return ", in its pose on the bed"
	}
	return ""
}

// Summary says what came of a whole run, and where the copies lie: "11 of 12 copies saved in
// <folder>, all of them verified. 1 was not."
func Summary(outcomes []deliver.Outcome) string {
	saved, verified, corrected, unchanged, folder := 0, 0, 0, 0, ""
	for _, o := range outcomes {
		if o.Path == "" {
			continue
		}
		folder = strings.TrimSuffix(filepath.Dir(o.Path), string(filepath.Separator)+filepath.FromSlash(o.Copy.Folder))
		if o.Unchanged {
			unchanged++
			continue
		}
		saved++
		if o.Verified {
			verified++
		}
		if o.Copy.UnitBy != 0 {
			corrected++
		}
	}
	all := len(outcomes) - unchanged
	s := "No copy was saved."
	switch {
	case all == 0 && unchanged > 0:
		return "All " + Count(unchanged, "copy", "copies") + " in " + folder + " are unchanged and were left as they are."
	case all == 0:
		return s
	case saved > 0:
		s = Count(saved, "copy", "copies")
		if saved < all {
			s = Number(saved) + " of " + Count(all, "copy", "copies")
		}
		s += " saved in " + folder + ", "
		switch {
		case verified == saved:
			s += "verified."
		case verified == 0:
			s += "not verified."
		default:
			s += Number(verified) + " of them verified."
		}
	}
	if missing := all - saved; missing > 0 && saved > 0 {
		s += " " + Number(missing) + " could not be saved."
	}
	if unchanged > 0 {
		s += " " + Number(unchanged) + " unchanged."
	}
	if corrected > 0 {
		s += " " + Number(corrected) + " of them had another unit, which was made up for, so that all fit together."
	}
	return s
}

// unitBy says what a copy is multiplied by on top of the factor, for a corrected unit.
func unitBy(before string, by float64) string {
	if by == 0 {
		return ""
	}
	return before + "×" + trimZeros(significant(by, 6)) + " on top of the factor for its corrected unit"
}

// LongPath says that a path has so many characters, more than Windows likes; empty for 0.
func LongPath(characters int) string {
	if characters == 0 {
		return ""
	}
	return "the path has " + Number(characters) + " characters and many Windows programs open at most " + Number(deliver.MostPath) + ": choose a shorter folder or name"
}

// Planned says what a planned name would meet: "", "replaces a file", or what stands in the
// way.
func Planned(n state.PlannedName, overwrite bool) string {
	s := ""
	switch {
	case n.Err != nil:
		s = Error(n.Err).What
	case n.Unchanged:
		s = "unchanged, is left as it is"
	case n.Exists && overwrite:
		s = "replaces the file that lies there"
	case n.Exists:
		s = "exists already and will be left as it is"
	}
	if n.Along > 0 && n.Err == nil {
		s = join(s, "; ", "brings along "+Count(n.Along, "unticked part", "unticked parts")+" of its file")
	}
	if n.Err == nil {
		s = join(s, "; ", LongPath(n.Long))
		s = join(s, "; ", unitBy("", n.UnitBy))
		if n.Over != (geom.Vec{}) {
			s = join(s, "; ", "once corrected up to "+TooLong(n.Over, false)+" for the bed")
		}
		if n.Pose != nil {
			s = join(s, "; ", Pose(*n.Pose))
		}
		if n.Stays {
			s = join(s, "; ", "stays as it is: its parts belong together")
		}
	}
	return s
}
