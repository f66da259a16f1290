package look

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/theme"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/gobolditalic"
	"golang.org/x/image/font/gofont/goitalic"
	"golang.org/x/image/font/gofont/gomono"
	"golang.org/x/image/font/gofont/goregular"
)

// Mode says whose light the window follows.
type Mode int

const (
	FollowSystem Mode = iota
	AlwaysDay
	AlwaysNight
)

// Theme dresses the toolkit's own widgets. Its lettering tells 0 from O and 1
// from l at arm's length, and its figures are all of one width.
type Theme struct {
	Mode  Mode
	Scale float32 // of all text and touch sizes; 0 = 1
}

var _ fyne.Theme = (*Theme)(nil)

// Dark reports whether the window is in its night dress.
func (t *Theme) Dark(system fyne.ThemeVariant) bool {
	switch t.Mode {
	case AlwaysDay:
		return false
	case AlwaysNight:
		return true
	}
	return system == theme.VariantDark
}

// Color implements fyne.Theme.
func (t *Theme) Color(n fyne.ThemeColorName, v fyne.ThemeVariant) color.Color {
	p := ForDark(t.Dark(v))
	switch n {
	case theme.ColorNameBackground, theme.ColorNameHeaderBackground:
		return p.Paper
	case theme.ColorNameButton:
		return p.Margin
	case theme.ColorNameDisabledButton:
		return Fade(p.Margin, 0.5)
	case theme.ColorNameDisabled:
		return p.Soft
	case theme.ColorNamePlaceHolder:
		return Fade(p.Soft, 0.75)
	case theme.ColorNameError:
		return p.Bad
	case theme.ColorNameFocus:
		return Fade(p.Setup1, 0.35)
	case theme.ColorNameForeground:
		return p.Ink
	case theme.ColorNameForegroundOnError, theme.ColorNameForegroundOnPrimary,
		theme.ColorNameForegroundOnSuccess, theme.ColorNameForegroundOnWarning:
		return p.OnStamp
	case theme.ColorNameHover:
		return Fade(p.Ink, 0.07)
	case theme.ColorNamePressed:
		return Fade(p.Ink, 0.16)
	case theme.ColorNameInputBackground, theme.ColorNameMenuBackground, theme.ColorNameOverlayBackground:
		return p.Raised
	case theme.ColorNameInputBorder, theme.ColorNameSeparator:
		return p.Rule
	case theme.ColorNamePrimary, theme.ColorNameHyperlink:
		return p.Setup1
	case theme.ColorNameSelection:
		return Fade(p.Setup1, 0.25)
	case theme.ColorNameScrollBar:
		return Fade(p.Soft, 0.6)
	case theme.ColorNameScrollBarBackground:
		return color.Transparent
	case theme.ColorNameSuccess:
		return p.Good
	case theme.ColorNameWarning:
		return p.Doubt
	case theme.ColorNameShadow:
		return color.NRGBA{A: 0x30}
	}
	if f, ok := own[n]; ok {
		return f(p)
	}
	return theme.DefaultTheme().Color(n, v)
}

// Names of our own colours, for rich text.
const (
	ColorSetup1 fyne.ThemeColorName = "setup1"
	ColorSetup2 fyne.ThemeColorName = "setup2"
	ColorGood   fyne.ThemeColorName = "good"
	ColorBad    fyne.ThemeColorName = "bad"
	ColorDoubt  fyne.ThemeColorName = "doubt"
	ColorSoft   fyne.ThemeColorName = "soft"
)

var own = map[fyne.ThemeColorName]func(Palette) color.NRGBA{
	ColorSetup1: func(p Palette) color.NRGBA { return p.Setup1 },
	ColorSetup2: func(p Palette) color.NRGBA { return p.Setup2 },
	ColorGood:   func(p Palette) color.NRGBA { return p.Good },
	ColorBad:    func(p Palette) color.NRGBA { return p.Bad },
	ColorDoubt:  func(p Palette) color.NRGBA { return p.Doubt },
	ColorSoft:   func(p Palette) color.NRGBA { return p.Soft },
}

var (
	regular    = withTails("go-regular.ttf", goregular.TTF)
	bold       = withTails("go-bold.ttf", gobold.TTF)
	italic     = withTails("go-italic.ttf", goitalic.TTF)
	boldItalic = withTails("go-bold-italic.ttf", gobolditalic.TTF)
	mono       = withTails("go-mono.ttf", gomono.TTF)
)

// Font implements fyne.Theme.
func (t *Theme) Font(s fyne.TextStyle) fyne.Resource {
	switch {
	case s.Symbol:
		return theme.DefaultTheme().Font(s)
	case s.Monospace:
		return mono
	case s.Bold && s.Italic:
		return boldItalic
	case s.Bold:
		return bold
	case s.Italic:
		return italic
	}
	return regular
}

// Icon implements fyne.Theme.
func (t *Theme) Icon(n fyne.ThemeIconName) fyne.Resource { return theme.DefaultTheme().Icon(n) }

// Size implements fyne.Theme: text and targets follow Scale, hairlines don't.
func (t *Theme) Size(n fyne.ThemeSizeName) float32 {
	k := t.Scale
	if k == 0 {
		k = 1
	}
	switch n {
	case theme.SizeNameText:
		return 15 * k
	case theme.SizeNameCaptionText:
		return 12.5 * k
	case theme.SizeNameSubHeadingText:
		return 18 * k
	case theme.SizeNameHeadingText:
		return 25 * k
	case theme.SizeNameInlineIcon:
		return 22 * k
	case theme.SizeNameInnerPadding:
		return 9 * k
	case theme.SizeNamePadding:
		return 5
	case theme.SizeNameInputRadius, theme.SizeNameSelectionRadius:
		return 3
	case theme.SizeNameScrollBar:
		return 14
	case theme.SizeNameScrollBarSmall:
		return 5
	}
	return theme.DefaultTheme().Size(n)
}

// Now returns the colours in force. It is for widgets' renderers, on the UI goroutine.
func Now() Palette {
	s := fyne.CurrentApp().Settings()
	if t, ok := s.Theme().(*Theme); ok {
		return ForDark(t.Dark(s.ThemeVariant()))
	}
	return ForDark(s.ThemeVariant() == theme.VariantDark)
}

// Zoom returns the text scale in force, 1 to 2.
func Zoom() float32 {
	if t, ok := fyne.CurrentApp().Settings().Theme().(*Theme); ok && t.Scale > 0 {
		return t.Scale
	}
	return 1
}

// Text returns the body text size in force; everything on a page is a multiple of it.
func Text() float32 { return theme.TextSize() }
