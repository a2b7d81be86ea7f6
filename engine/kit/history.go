package kit

import "slices"

// A History keeps the kits that were, for undo and redo. It is not safe for several
// goroutines. At most 500 steps are kept; the oldest go first.
type History struct {
	kits  []Kit  // kits[at] is the present one
	steps []step // steps[i] leads from kits[i] to kits[i+1]
	at    int
	saved int  // index of the kit that is on disk; -1: none of them
	open  bool // the last step may still take more typing
}

type step struct{ name, key string }

const maxSteps = 500

// NewHistory begins with a kit as it was opened, saved and with nothing to undo.
func NewHistory(k Kit) *History { return &History{kits: []Kit{k}} }

// Kit is the present kit.
func (h *History) Kit() Kit { return h.kits[h.at] }

// Do makes after the present kit. The name is that of the step, as menus show it. What
// could have been redone is gone.
func (h *History) Do(name string, after Kit) { h.push(step{name: name}, after, false) }

// Type is Do for steps that come in quick succession, such as typing in one field or
// dragging: as long as name and key stay the same and nothing else happens in between (a
// step, an undo, a Pause or a save), they make one step. The key says what is typed in.
func (h *History) Type(name, key string, after Kit) { h.push(step{name, key}, after, true) }

func (h *History) push(s step, after Kit, typing bool) {
	if typing && h.open && h.at > 0 && h.at == len(h.kits)-1 && h.steps[h.at-1] == s {
		h.kits[h.at] = after
		return
	}
	if h.saved > h.at {
		h.saved = -1
	}
	h.kits = append(h.kits[:h.at+1], after)
	h.steps = append(h.steps[:h.at], s)
	h.at++
	h.open = typing
	if n := len(h.steps) - maxSteps; n > 0 {
		h.kits = slices.Clone(h.kits[n:])
		h.steps = slices.Clone(h.steps[n:])
		h.at -= n
		h.saved = max(-1, h.saved-n)
	}
}

// Amend changes every kit in the history without a step: for what comes to be known and is
// not the maker's doing, such as the digest of a part that was read. No undo takes it back,
// and it does not make the kit unsaved. Some of the kits may lack what edit looks for.
func (h *History) Amend(edit func(Kit) Kit) {
	for i, k := range h.kits {
		h.kits[i] = edit(k)
	}
}

// Undo goes back one step and gives the kit and the name of the step that was taken back;
// false when there is none.
func (h *History) Undo() (Kit, string, bool) {
	h.open = false
	if h.at == 0 {
		return h.Kit(), "", false
	}
	h.at--
	return h.Kit(), h.steps[h.at].name, true
}

// Redo takes the step again that was last taken back.
func (h *History) Redo() (Kit, string, bool) {
	h.open = false
	if h.at == len(h.steps) {
		return h.Kit(), "", false
	}
	h.at++
	return h.Kit(), h.steps[h.at-1].name, true
}

// UndoName is the name of the step that Undo would take back, or empty.
func (h *History) UndoName() string {
	if h.at == 0 {
		return ""
	}
	return h.steps[h.at-1].name
}

// RedoName is the name of the step that Redo would take again, or empty.
func (h *History) RedoName() string {
	if h.at == len(h.steps) {
		return ""
	}
	return h.steps[h.at].name
}

// Undoes is the step that Undo would take back: its name, what Type was told of it, and the kits
// before and after it; false when there is none.
func (h *History) Undoes() (name, key string, before, after Kit, ok bool) {
	if h.at == 0 {
		return "", "", Kit{}, Kit{}, false
	}
	s := h.steps[h.at-1]
	return s.name, s.key, h.kits[h.at-1], h.kits[h.at], true
}

// Redoes is the step that Redo would take again, as Undoes has it.
func (h *History) Redoes() (name, key string, before, after Kit, ok bool) {
	if h.at == len(h.steps) {
		return "", "", Kit{}, Kit{}, false
	}
	s := h.steps[h.at]
	return s.name, s.key, h.kits[h.at], h.kits[h.at+1], true
}

// Pause ends a run of typing: the next Type is a step of its own.
func (h *History) Pause() { h.open = false }

// Saved marks the present kit as the one on disk.
func (h *History) Saved() {
	h.saved = h.at
	h.open = false
}

// Lost marks the present kit as one that is on no disk: it was recovered.
func (h *History) Lost() { h.saved = -1 }

// Unsaved reports whether the present kit is another than the one on disk. Undoing back to
// that one makes it false again.
func (h *History) Unsaved() bool { return h.saved != h.at }
