package text

import (
	"strings"

	"scantling/app/state"
	"scantling/engine/kit"
)

// MadePage is the page of the copies that were saved of a kit.
const (
	MadePage  = "Copies saved"
	MadeIntro = "Every copy that was saved of this kit; one that was saved again under its name stands here once."
	MadeNone  = "No copy of this kit was saved yet."
)

// MadeHead are the titles of the page's columns.
func MadeHead() [6]string { return [6]string{"When", "Part", "Factor", "Ratio", "Now", "Where"} }

// Lying says how a copy lies there now; empty is not looked for yet.
func Lying(l state.Lying) string {
	switch l {
	case state.LyingWhole:
		return "as saved"
	case state.LyingChanged:
		return "changed since"
	case state.LyingGone:
		return "gone"
	case state.LyingUnread:
		return "cannot be read"
	}
	return "…"
}

// MadeRow is one copy on the page.
func MadeRow(s kit.Saved, v state.View) [6]string {
	var parts []string
	for _, id := range s.Parts {
		if p := partOf(v, id); p.ID != "" {
			parts = append(parts, p.Name)
		}
	}
	names := strings.Join(parts, ", ")
	if names == "" {
		names = "no longer in the kit"
	}
	factor := Factor(s.Factor)
	if now := v.Result.Factor; now.Known() && s.Factor.Known() && !now.Equal(s.Factor) {
		factor += " (not the present one)"
	}
	return [6]string{When(s.When), names, factor, Ratio(s.Ratio), Lying(v.Lying[s.Path()]), s.Path()}
}

// MadeCount says how many copies there are, at how many factors, and how many are not as they were.
func MadeCount(v state.View) string {
	if len(v.Made) == 0 {
		return MadeNone
	}
	factors := map[string]bool{}
	for _, s := range v.Made {
		factors[s.Factor.Exact()] = true
	}
	out := Count(len(v.Made), "copy", "copies")
	if n := len(factors); n > 1 {
		out += " at " + Number(n) + " different factors, which do not fit together"
	}
	out += "."
	gone, changed, unread := 0, 0, 0
	for _, s := range v.Made {
		switch v.Lying[s.Path()] {
		case state.LyingGone:
			gone++
		case state.LyingChanged:
			changed++
		case state.LyingUnread:
			unread++
		}
	}
	var says []string
	if gone > 0 {
		says = append(says, Number(gone)+" no longer there")
	}
	if changed > 0 {
		says = append(says, Number(changed)+" changed since by another program")
	}
	if unread > 0 {
		says = append(says, Number(unread)+" that cannot be read now")
	}
	if len(says) > 0 {
		out += " Of them " + strings.Join(says, ", ") + "."
	}
	return out
}

// EarlierWarning says before copies are saved that older ones have another factor; empty where
// none has.
func EarlierWarning(all []state.Earlier, v state.View) string {
	out := ""
	for _, e := range all {
		what := strings.Join(e.Parts, ", ")
		if len(e.Parts) > 3 {
			what = Parts(len(e.Parts))
		}
		at := Factor(e.Factor)
		if e.Ratio.Known() {
			at += " (" + Ratio(e.Ratio) + ")"
		}
		out = join(out, "; ", what+" at "+at)
	}
	if out == "" {
		return ""
	}
	return "Copies were saved before at another factor: " + out + ". Those saved now, at " + Factor(v.Result.Factor) + ", will not fit them."
}
