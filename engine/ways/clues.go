package ways

import (
	"errors"
	"math"
	"slices"

	"scantling/engine/geom"
)

// A Direction is how a length was measured between two points: along an axis of the kit, or
// straight from one to the other.
type Direction string

// The directions.
const (
	Free   Direction = ""
	AlongX Direction = "x"
	AlongY Direction = "y"
	AlongZ Direction = "z"
)

// A Clue is an object of known real size that was measured in the files as they are drawn.
type Clue struct {
	ID       string    `json:"id"`
	Part     string    `json:"part,omitempty"`    // id of the part it was measured on; empty for the kit
	From     geom.Vec  `json:"from"`              // kit axes, mm as drawn; both zero where only the length was typed
	To       geom.Vec  `json:"to"`                //
	Along    Direction `json:"along,omitempty"`   // how the length was taken between them
	Drawn    float64   `json:"drawn"`             // mm as drawn
	DrawnSD  float64   `json:"drawnSD,omitempty"` // its standard uncertainty, mm
	Object   string    `json:"object,omitempty"`  // key of the table of objects; empty for one of the maker's own
	Name     string    `json:"name,omitempty"`    // the maker's own name for it
	RealMM   float64   `json:"real"`              // mm: how long it is in reality
	RealSD   float64   `json:"realSD,omitempty"`  // its standard uncertainty, mm
	SetAside bool      `json:"setAside,omitempty"`
}

// Between is the length from one point to the other, straight or along an axis.
func Between(from, to geom.Vec, along Direction) float64 {
	d := to.Sub(from)
	switch along {
	case AlongX:
		return math.Abs(d[geom.X])
	case AlongY:
		return math.Abs(d[geom.Y])
	case AlongZ:
		return math.Abs(d[geom.Z])
	}
	return d.Len()
}

// What a clue can have wrong. app/text has the words.
var (
	ErrNeedClue    = errors.New("no clue counts")
	ErrClueDrawn   = errors.New("the drawn length of a clue is no length")
	ErrClueReal    = errors.New("the real length of a clue is no length")
	ErrClueUnsure  = errors.New("the uncertainty of a clue is as large as its length")
	ErrClueUnknown = errors.New("the object is not in the table")
)

// A ClueError says which clue has something wrong; Err is one of the package's errors.
type ClueError struct {
	Index int // in the list of clues
	ID    string
	Err   error
}

func (e *ClueError) Error() string { return "clue " + e.ID + ": " + e.Err.Error() }

// Unwrap is one of the package's errors.
func (e *ClueError) Unwrap() error { return e.Err }

// Estimate is the native ratio as this clue alone gives it: drawn to real.
func (c Clue) Estimate() (Estimate, error) {
	finite := func(x float64) bool { return x-x == 0 }
	switch {
	case !(c.Drawn > 0) || !finite(c.Drawn):
		return Estimate{}, ErrClueDrawn
	case !(c.RealMM > 0) || !finite(c.RealMM):
		return Estimate{}, ErrClueReal
	case !(c.DrawnSD >= 0 && c.DrawnSD < c.Drawn) || !(c.RealSD >= 0 && c.RealSD < c.RealMM):
		return Estimate{}, ErrClueUnsure
	}
	e := Estimate{Ratio: ratioOf(c.Drawn, c.RealMM), SD: math.Hypot(c.DrawnSD/c.Drawn, c.RealSD/c.RealMM)}
	if !e.Known() || !usable(e.Ratio.Float()) {
		return Estimate{}, ErrAbsurd
	}
	return e, nil
}

// A Weighed is one clue beside the others.
type Weighed struct {
	Estimate         // by this clue alone
	Err      error   // why it cannot count; one of the package's errors
	Counts   bool    // it is not set aside and nothing is wrong with it
	Weight   float64 // its share in the mean; 0 where it does not count
	Sigmas   float64 // how far it is from what the others give, in standard uncertainties, the worst clue not among them; 0 where there are none
}

// A Combined is what clues give together.
type Combined struct {
	Estimate             // the native ratio
	Count        int     // clues that count
	ChiSquared   float64 // how far they are from their mean
	Freedom      int     // clues less one
	Probability  float64 // that clues which are right are as far apart as this; 1 for one clue
	Birge        float64 // √(χ²/freedom): about 1 where the clues agree as well as they claim; 0 for one clue
	Inconsistent bool    // that probability is below 5 %
	Worst        int     // the clue that disagrees with the others, -1 for none or where it cannot be told which
	Each         []Weighed
}

// leastClueSD stands for the uncertainty of a clue that claims none, so that it outweighs
// others without silencing them.
const leastClueSD = 1e-6

// Combine finds the native ratio from all clues that are not set aside. Each of Each is the
// clue of the same place in the list. A clue that cannot be is a *ClueError, the first of
// them; Each is there all the same.
//
// Method: the mean of the logarithms weighted by 1/σ²; χ² against σ says whether they are
// consistent; where the Birge ratio is more than 1, the uncertainty is multiplied by it (Birge,
// Phys. Rev. 40, 207, 1932). The clue that disagrees is the one farthest from the mean of the
// others, where clues are inconsistent, there are three at least, and it is off by more than
// two standard uncertainties. Clues count as independent of each other.
func Combine(clues []Clue) (Combined, error) {
	out := Combined{Worst: -1, Each: make([]Weighed, len(clues))}
	var err error
	weight := make([]float64, len(clues)) // 1/σ²
	logs := make([]float64, len(clues))
	total := 0.0
	for i, c := range clues {
		w := &out.Each[i]
		w.Estimate, w.Err = c.Estimate()
		if w.Err != nil {
			if err == nil && !c.SetAside {
				err = &ClueError{i, c.ID, w.Err}
			}
			continue
		}
		if c.SetAside {
			continue
		}
		w.Counts = true
		out.Count++
		sd := max(w.SD, leastClueSD)
		logs[i], weight[i] = math.Log(w.Ratio.Float()), 1/(sd*sd)
		total += weight[i]
	}
	if err == nil && out.Count == 0 {
		err = ErrNeedClue
	}
	if err != nil {
		return out, err
	}
	mean := 0.0
	for i := range clues {
		out.Each[i].Weight = weight[i] / total
		mean += out.Each[i].Weight * logs[i]
	}
	out.SD, out.Probability = 1/math.Sqrt(total), 1
	out.Ratio = ratioOf(math.Exp(mean), 1)
	if out.Freedom = out.Count - 1; out.Freedom == 0 {
		return out, nil
	}
	for i := range clues {
		out.ChiSquared += weight[i] * (logs[i] - mean) * (logs[i] - mean)
	}
	out.Birge = math.Sqrt(out.ChiSquared / float64(out.Freedom))
	out.Probability = chiSquaredTail(out.ChiSquared, out.Freedom)
	out.Inconsistent = out.Probability < 0.05
	out.SD *= max(1, out.Birge)
	out.weighOthers(logs, weight)
	return out, nil
}

// weighOthers holds each clue against the mean of all others, and then, where one of them
// disagrees, the rest against each other without it.
func (out *Combined) weighOthers(logs, weight []float64) {
	out.holdAgainst(logs, weight)
	if !out.Inconsistent || out.Count < 3 {
		return
	}
	worst, second := -1, 0.0
	for i, w := range out.Each {
		switch z := math.Abs(w.Sigmas); {
		case worst < 0 || z > math.Abs(out.Each[worst].Sigmas):
			if worst >= 0 {
				second = math.Abs(out.Each[worst].Sigmas)
			}
			worst = i
		case z > second:
			second = z
		}
	}
	// Two that are equally far off accuse each other.
	off := math.Abs(out.Each[worst].Sigmas)
	if off <= 2 || off <= 1.05*second {
		return
	}
	out.Worst = worst
	sigmas := out.Each[worst].Sigmas
	rest := slices.Clone(weight)
	rest[worst] = 0
	out.holdAgainst(logs, rest)
	out.Each[worst].Sigmas = sigmas
}

// holdAgainst finds the distance of each clue that has a weight from the mean of the others.
func (out *Combined) holdAgainst(logs, weight []float64) {
	// What lies behind each clue in the list; what lies before it is added up on the way. One
	// clue may outweigh all others a million million times, and then nothing is left of them
	// in a total to take it from.
	behind, behindLogs := make([]float64, len(logs)+1), make([]float64, len(logs)+1)
	for i := len(logs) - 1; i >= 0; i-- {
		behind[i] = behind[i+1] + weight[i]
		behindLogs[i] = behindLogs[i+1] + weight[i]*logs[i]
	}
	before, beforeLogs := 0.0, 0.0
	for i := range logs {
		rest := before + behind[i+1]
		if weight[i] == 0 || rest == 0 {
			continue
		}
		others := (beforeLogs + behindLogs[i+1]) / rest
		before, beforeLogs = before+weight[i], beforeLogs+weight[i]*logs[i]
		out.Each[i].Sigmas = (logs[i] - others) / math.Sqrt(1/weight[i]+1/rest)
	}
}

// chiSquaredTail is the probability that χ² with so many degrees of freedom is at least x:
// the upper incomplete gamma function of half of each. By halves from the closed forms of one
// and two degrees of freedom up: Q(a+1, x) = Q(a, x) + xᵃe⁻ˣ/Γ(a+1).
func chiSquaredTail(x float64, freedom int) float64 {
	if freedom < 1 || !(x > 0) {
		return 1
	}
	h := x / 2
	var q, a float64
	if freedom%2 == 0 {
		q, a = math.Exp(-h), 1
	} else {
		q, a = math.Erfc(math.Sqrt(h)), 0.5
	}
	for ; a < float64(freedom)/2; a++ {
		gamma, _ := math.Lgamma(a + 1)
		q += math.Exp(a*math.Log(h) - h - gamma)
	}
	return min(1, q)
}
