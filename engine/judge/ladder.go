package judge

import (
	"scantling/engine/geom"
	"scantling/engine/ratio"
)

// A Rung is one standard ratio, judged for the whole kit.
type Rung struct {
	Standard ratio.Standard
	Factor   ratio.Factor // unknown while the native ratio is
	Size     geom.Vec     // of the assembled kit at it, mm, kit axes
	Fits     bool         // every ticked part fits the bed as it lies
	TooLong  int          // how many parts do not fit
	InForce  bool         // it is the target
}
