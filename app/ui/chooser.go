package ui

import (
	"context"
	"errors"
	"os"
	"path/filepath"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/storage"
	"github.com/ncruces/zenity"

	"scantling/app/text"
)

// NewChooser asks through the system's own dialogs where it has them, else through dialogs
// drawn in the window.
func NewChooser(win fyne.Window) Chooser {
	if zenity.IsAvailable() {
		return either{native{}, drawn{win}}
	}
	return drawn{win}
}

// An either asks the first chooser, and the second where the first cannot show its dialog: the
// system's may be there and yet not start, as without a display of its own kind or with a
// language that is not installed.
type either [2]Chooser

func (e either) Files(ctx context.Context, a Ask) ([]string, error) {
	return first(func(c Chooser) ([]string, error) { return c.Files(ctx, a) }, e)
}

func (e either) Folder(ctx context.Context, a Ask) (string, error) {
	return first(func(c Chooser) (string, error) { return c.Folder(ctx, a) }, e)
}

func (e either) Save(ctx context.Context, a Ask) (string, error) {
	return first(func(c Chooser) (string, error) { return c.Save(ctx, a) }, e)
}

// first is the answer of the first chooser that can ask.
func first[T any](ask func(Chooser) (T, error), e either) (T, error) {
	got, err := ask(e[0])
	if err != nil {
		return ask(e[1])
	}
	return got, nil
}

// native are the system's dialogs.
type native struct{}

func (native) options(ctx context.Context, a Ask) []zenity.Option {
	o := []zenity.Option{zenity.Context(ctx), zenity.Title(a.Title)}
	at := a.Folder
	if at != "" {
		at += string(filepath.Separator)
	}
	if at+a.Name != "" {
		o = append(o, zenity.Filename(at+a.Name))
	}
	if len(a.Extensions) > 0 {
		patterns := make([]string, len(a.Extensions))
		for i, e := range a.Extensions {
			patterns[i] = "*" + e
		}
		o = append(o, zenity.FileFilters{
			{Name: a.Kind, Patterns: patterns, CaseFold: true},
			{Name: text.AllFiles, Patterns: []string{"*"}},
		})
	}
	return o
}

// answered turns a cancelled dialog into an empty answer.
func answered[T any](got T, err error) (T, error) {
	if errors.Is(err, zenity.ErrCanceled) || errors.Is(err, context.Canceled) {
		var none T
		return none, nil
	}
	return got, err
}

func (n native) Files(ctx context.Context, a Ask) ([]string, error) {
	return answered(zenity.SelectFileMultiple(n.options(ctx, a)...))
}

func (n native) Folder(ctx context.Context, a Ask) (string, error) {
	a.Extensions = nil
	return answered(zenity.SelectFile(append(n.options(ctx, a), zenity.Directory())...))
}

func (n native) Save(ctx context.Context, a Ask) (string, error) {
	return answered(zenity.SelectFileSave(append(n.options(ctx, a), zenity.ConfirmOverwrite())...))
}

// drawn are dialogs in the window itself. They give one file at a time.
type drawn struct{ win fyne.Window }

// ask shows a dialog on the window's goroutine and waits for its answer.
func (d drawn) ask(ctx context.Context, show func(answer func(string, error)) dialog.Dialog) (string, error) {
	type result struct {
		path string
		err  error
	}
	got := make(chan result, 1)
	var shown dialog.Dialog
	fyne.Do(func() {
		shown = show(func(path string, err error) {
			select {
			case got <- result{path, err}:
			default: // answered already
			}
		})
		shown.Resize(d.win.Canvas().Size())
		shown.Show()
	})
	select {
	case r := <-got:
		return r.path, r.err
	case <-ctx.Done():
		fyne.Do(func() { shown.Hide() })
		return "", nil
	}
}

// begin opens a file dialog where an Ask says.
func begin(f *dialog.FileDialog, a Ask) {
	f.SetTitleText(a.Title)
	if l, err := storage.ListerForURI(storage.NewFileURI(a.Folder)); a.Folder != "" && err == nil {
		f.SetLocation(l)
	}
	if len(a.Extensions) > 0 {
		f.SetFilter(storage.NewExtensionFileFilter(a.Extensions))
	}
}

func (d drawn) Files(ctx context.Context, a Ask) ([]string, error) {
	path, err := d.ask(ctx, func(answer func(string, error)) dialog.Dialog {
		f := dialog.NewFileOpen(func(r fyne.URIReadCloser, err error) {
			if r == nil {
				answer("", err)
				return
			}
			r.Close() // it is opened again by whoever reads it
			answer(r.URI().Path(), err)
		}, d.win)
		begin(f, a)
		return f
	})
	if path == "" {
		return nil, err
	}
	return []string{path}, err
}

func (d drawn) Folder(ctx context.Context, a Ask) (string, error) {
	a.Extensions = nil
	return d.ask(ctx, func(answer func(string, error)) dialog.Dialog {
		f := dialog.NewFolderOpen(func(l fyne.ListableURI, err error) {
			if l == nil {
				answer("", err)
				return
			}
			answer(l.Path(), err)
		}, d.win)
		begin(f, a)
		return f
	})
}

// Save asks for a folder and puts the proposed name into it: the toolkit's own dialog for
// saving empties the chosen file before anything is written.
func (d drawn) Save(ctx context.Context, a Ask) (string, error) {
	folder, err := d.Folder(ctx, a)
	if folder == "" || err != nil {
		return "", err
	}
	return unused(filepath.Join(folder, a.Name)), nil
}

// unused is the path, or the path with the first number at which nothing lies.
func unused(path string) string {
	ext := filepath.Ext(path)
	for n := 2; n < 1000; n++ {
		if _, err := os.Lstat(path); errors.Is(err, os.ErrNotExist) {
			return path
		}
		path = text.Numbered(path[:len(path)-len(ext)], n) + ext
	}
	return path
}
