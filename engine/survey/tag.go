package survey

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"scantling/engine/geom"
)

// A Tag names a bore or a peg by where it is and how thick, in its file's unit: a maker's
// note about it finds it again when the part was changed elsewhere, drawn finer or surveyed
// anew, though the list is then another.
type Tag string

// TagOf is the tag of a bore or peg: "3.4@12.5,-3,0".
func TagOf(r Round) Tag {
	digits := func(x float64) string { return strconv.FormatFloat(x+0, 'g', 7, 64) }
	return Tag(fmt.Sprintf("%s@%s,%s,%s", digits(r.Diameter), digits(r.Centre[0]), digits(r.Centre[1]), digits(r.Centre[2])))
}

const (
	tagThicker = 0.1 // a bore may have become so much thicker or thinner and is still the same
	tagAway    = 0.5 // or be moved so much, as a share of its diameter
)

// Find is the number of the bore or peg of that name in a list, or of the one that is
// likest: within half a diameter, and a tenth as thick.
func (t Tag) Find(list []Round) (int, bool) {
	thick, where, _ := strings.Cut(string(t), "@")
	diameter, err := strconv.ParseFloat(thick, 64)
	at := strings.Split(where, ",")
	var centre geom.Vec
	if err != nil || len(at) != len(centre) {
		return 0, false
	}
	for i := range centre {
		if centre[i], err = strconv.ParseFloat(at[i], 64); err != nil {
			return 0, false
		}
	}
	best, least := -1, math.Inf(1)
	for i, r := range list {
		away := r.Centre.Sub(centre).Len() / diameter
		other := math.Abs(r.Diameter/diameter - 1)
		if unlike := away/tagAway + other/tagThicker; away <= tagAway && other <= tagThicker && unlike < least {
			best, least = i, unlike
		}
	}
	return best, best >= 0
}
