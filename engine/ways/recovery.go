package ways

import "scantling/engine/ratio"

// A Recovery is where a factor was found again: in an old copy of a part. It explains the
// way's factor as long as that is the one that was found.
type Recovery struct {
	Factor ratio.Factor `json:"factor"`
	SD     float64      `json:"sd"`     // relative standard uncertainty of what was found
	Part   string       `json:"part"`   // name of the original
	Copy   string       `json:"copy"`   // name of the copy's file
	Method string       `json:"method"` // from what it was found, as package lost names it
	Uneven bool         `json:"uneven"` // the copy was scaled unevenly: no one factor makes it
}

// Found reports whether the way's factor is the one that was found again.
func (w Way) Found() bool { return w.Recovered.Factor.Known() && w.Factor.Equal(w.Recovered.Factor) }
