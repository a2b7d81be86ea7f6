package ui

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/theme"

	"scantling/app/sheet"
	"scantling/app/state"
)

// A look is the window's theme: ink on paper, or the white lines of a blueprint.
type look struct {
	fyne.Theme // fonts and icons
	chosen     state.Look
}

// newLook is the theme for a chosen look.
func newLook(chosen state.Look) *look { return &look{theme.DefaultTheme(), chosen} }

// dark reports whether the look is the dark one where the system has the given variant.
func (l *look) dark(system fyne.ThemeVariant) bool {
	switch l.chosen {
	case state.Light:
		return false
	case state.Dark:
		return true
	}
	return system == theme.VariantDark
}

// rgb is an opaque colour from its hexadecimal spelling.
func rgb(hex uint32) color.NRGBA {
	return color.NRGBA{uint8(hex >> 16), uint8(hex >> 8), uint8(hex), 255}
}

func faded(c color.NRGBA, alpha uint8) color.NRGBA {
	c.A = alpha
	return c
}

// Color is the theme's colour by name.
func (l *look) Color(name fyne.ThemeColorName, system fyne.ThemeVariant) color.Color {
	dark := l.dark(system)
	pick := func(light, onDark uint32) color.Color {
		if dark {
			return rgb(onDark)
		}
		return rgb(light)
	}
	shade := func(light, onDark uint32, alpha uint8) color.Color {
		return faded(pick(light, onDark).(color.NRGBA), alpha)
	}
	switch name {
	case theme.ColorNameBackground:
		return pick(0xF1EFE8, 0x0C2138)
	case theme.ColorNameForeground:
		return pick(0x1B2733, 0xE6EEF6)
	case theme.ColorNamePlaceHolder:
		return pick(0x5C6873, 0x9DB3C8)
	case theme.ColorNameDisabled:
		return pick(0x8D959C, 0x6E879F)
	case theme.ColorNamePrimary, theme.ColorNameHyperlink:
		return pick(0x1D4F7C, 0x9CCBF2)
	case theme.ColorNameForegroundOnPrimary:
		return pick(0xFFFFFF, 0x0B1F33)
	case theme.ColorNameButton:
		return pick(0xE3E0D6, 0x1B3A5A)
	case theme.ColorNameDisabledButton:
		return pick(0xE9E7E0, 0x14304B)
	case theme.ColorNameInputBackground:
		return pick(0xFDFCF9, 0x081A2D)
	case theme.ColorNameInputBorder:
		return pick(0xA9ABA6, 0x47678A)
	case theme.ColorNameHeaderBackground:
		return pick(0xE6E3DA, 0x122C47)
	case theme.ColorNameMenuBackground, theme.ColorNameOverlayBackground:
		return pick(0xFAF8F3, 0x12304E)
	case theme.ColorNameSeparator:
		return pick(0xCBC8BD, 0x28486A)
	case theme.ColorNameScrollBar:
		return shade(0x1B2733, 0xE6EEF6, 0x70)
	case theme.ColorNameScrollBarBackground:
		return shade(0x1B2733, 0xE6EEF6, 0x10)
	case theme.ColorNameHover:
		return shade(0x1B2733, 0xE6EEF6, 0x12)
	case theme.ColorNamePressed:
		return shade(0x1B2733, 0xE6EEF6, 0x2A)
	case theme.ColorNameFocus:
		return shade(0x1D4F7C, 0x9CCBF2, 0x58)
	case theme.ColorNameSelection:
		return shade(0x1D4F7C, 0x9CCBF2, 0x30)
	case theme.ColorNameShadow:
		return shade(0x000000, 0x000000, 0x24)
	case theme.ColorNameError:
		return pick(0xA8281E, 0xFF9C8C)
	case theme.ColorNameForegroundOnError:
		return pick(0xFFFFFF, 0x2A0A06)
	case theme.ColorNameWarning:
		return pick(0x8A5A00, 0xF2C063)
	case theme.ColorNameForegroundOnWarning:
		return pick(0xFFFFFF, 0x2B1D00)
	case theme.ColorNameSuccess:
		return pick(0x2C6A3F, 0x8FD6A4)
	case theme.ColorNameForegroundOnSuccess:
		return pick(0xFFFFFF, 0x06210F)
	}
	variant := theme.VariantLight
	if dark {
		variant = theme.VariantDark
	}
	return l.Theme.Color(name, variant)
}

// Size is the theme's size by name.
func (l *look) Size(name fyne.ThemeSizeName) float32 {
	switch name {
	case theme.SizeNameText:
		return 13
	case theme.SizeNameCaptionText:
		return 11
	case theme.SizeNameSubHeadingText:
		return 16
	case theme.SizeNameHeadingText:
		return 30
	case theme.SizeNameInnerPadding:
		return 6
	case theme.SizeNameInputRadius, theme.SizeNameSelectionRadius:
		return 2
	case theme.SizeNameScrollBar:
		return 10
	case theme.SizeNameInlineIcon:
		return 18
	}
	return l.Theme.Size(name)
}

// paper are the sheet's colours in light: ink on paper. What is selected is in red lead.
func paper() *palette {
	return &palette{
		inks: [8]color.NRGBA{
			sheet.Pen:     rgb(0x1B2733),
			sheet.Thin:    rgb(0x4C5964),
			sheet.Grid:    rgb(0xE9E6DC),
			sheet.Selects: rgb(0xA63A1E),
			sheet.Figure:  rgb(0xD3D6D6),
			sheet.BedLine: rgb(0x2F6B57),
			sheet.Margin:  rgb(0xF1EFE8),
			sheet.Blank:   rgb(0xFCFBF7),
		},
		dark: rgb(0x3C4C5A), light: rgb(0xFDFBF4),
	}
}

// blueprint are the sheet's colours in dark: white lines on blue. What is selected is in amber.
func blueprint() *palette {
	return &palette{
		inks: [8]color.NRGBA{
			sheet.Pen:     rgb(0xE8F1FA),
			sheet.Thin:    rgb(0xA9C4DE),
			sheet.Grid:    rgb(0x18395C),
			sheet.Selects: rgb(0xFFC76B),
			sheet.Figure:  rgb(0x3A638C),
			sheet.BedLine: rgb(0x8FD6B8),
			sheet.Margin:  rgb(0x0C2138),
			sheet.Blank:   rgb(0x112F4E),
		},
		dark: rgb(0x0A2340), light: rgb(0x7FA9D1),
	}
}
