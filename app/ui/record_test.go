package ui

import (
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/app/text"
	"scantling/engine/deliver"
)

// A record is saved from the menu, as what is chosen; a name without extension gets one, and what
// is there is not written over unasked.
func TestSavingARecord(t *testing.T) {
	s := loaded(t)
	s.key(text.SaveRecord)
	s.press(text.AnswerClose) // there is no factor yet
	s.at48()
	s.settle()
	s.key(text.SaveRecord)
	s.path = at("mine/tug")
	s.press(text.RecordHTML)
	s.queue.Until("it is saved", func() bool { return s.view().Recorded != "" })
	require.Equal(t, s.path+".html", s.view().Recorded)
	require.Contains(t, s.disk.Saved(), s.path+".html")
	require.Equal(t, []string{".html"}, s.asked[len(s.asked)-1].Extensions)
	s.press(text.OpenFolder.Name())
	require.Equal(t, []string{at("mine")}, s.shown)

	s.key(text.SaveRecord)
	s.press(text.RecordHTML)
	s.queue.Until("it is refused", func() bool { return s.view().Notice != nil })
	var fault *deliver.Error
	require.ErrorAs(t, s.view().Notice, &fault)
	require.Equal(t, deliver.Exists, fault.Code)
	s.press(text.AnswerClose)

	for name, file := range map[string]string{text.RecordPDF("A4"): "one.pdf", text.RecordPDF("Letter"): "two.pdf", text.RecordCSV: "three.csv"} {
		s.bench.DismissNotice()
		s.key(text.SaveRecord)
		s.path = at("mine/" + file)
		s.press(name)
		s.queue.Until("it is saved", func() bool { return s.view().Recorded == s.path && len(s.view().Jobs) == 0 })
		s.press(text.AnswerClose)
		require.NoError(t, s.view().Notice)
	}
	require.Len(t, s.disk.Saved(), 4)
}
