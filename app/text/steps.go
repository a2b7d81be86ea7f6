package text

import (
	"strings"

	"scantling/app/state"
)

// UndoName is the menu's entry for undo: "Undo: target ratio 1:48".
func UndoName(s state.Step, of state.Stepped) string { return join(Undo.Name(), ": ", Stepped(s, of)) }

// RedoName is the menu's entry for redo.
func RedoName(s state.Step, of state.Stepped) string { return join(Redo.Name(), ": ", Stepped(s, of)) }

// Stepped says what a step of undo did, with what it did it to where a few words can tell.
func Stepped(s state.Step, of state.Stepped) string {
	what := Step(s)
	which := ""
	switch {
	case s == "":
		return ""
	case of.Part != "":
		which = short(of.Part)
	case of.Parts > 1:
		which = Number(of.Parts) + " parts"
	}
	switch s {
	case state.StepType, state.StepRung:
		if of.Input == "" {
			return what
		}
		what = strings.ToLower(InputName(of.Input))
		if of.Value == "" {
			return what + " emptied"
		}
		return what + " " + short(of.Value)
	case state.StepWay:
		return WayOf(of.Kind)
	case state.StepDrag:
		if of.Factor.Known() {
			return "factor dragged to ×" + significant(of.Factor.Float(), 4)
		}
	case state.StepRename:
		return what + " “" + short(Title(of.Value)) + "”"
	case state.StepProcess:
		if of.Value != "" {
			return "process " + short(ProcessName(of.Value))
		}
	case state.StepOpen:
		return join("adding", " ", which)
	case state.StepRemove:
		return join("removing", " ", which)
	case state.StepTick:
		return join("ticks of", " ", which)
	case state.StepQuantity:
		return "quantity of " + which + " ×" + Number(of.Number)
	case state.StepNotes:
		if which == "" {
			which = "the kit"
		}
		return "notes on " + which
	case state.StepUnit:
		return join("unit of", " ", which)
	case state.StepTurn:
		if which == "" {
			which = "the kit"
		}
		return "turning " + which
	case state.StepFound:
		return join("where to find", " ", which)
	case state.StepAccept:
		return join("taking", " ", join(which, " ", "as it is now"))
	}
	return what
}

// short is a name that leaves room for others in a menu.
func short(s string) string {
	const most = 32
	if r := []rune(s); len(r) > most {
		return string(r[:most-1]) + "…"
	}
	return s
}
