package ui

import (
	"evenrim/ui/look"
	"evenrim/ui/state"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
)

// Every key is in this file and in a menu. Menu shortcuts work while an entry has
// the focus; plain keys (typed) only while none has.

func ctrl(k fyne.KeyName) fyne.Shortcut {
	return &desktop.CustomShortcut{KeyName: k, Modifier: fyne.KeyModifierShortcutDefault}
}

func ctrlShift(k fyne.KeyName) fyne.Shortcut {
	return &desktop.CustomShortcut{KeyName: k, Modifier: fyne.KeyModifierShortcutDefault | fyne.KeyModifierShift}
}

func item(label string, s fyne.Shortcut, f func()) *fyne.MenuItem {
	m := fyne.NewMenuItem(label, f)
	m.Shortcut = s
	return m
}

func (w *Window) menu(samples int) *fyne.MainMenu {
	b := w.bench
	sample := item("Open the sample", ctrlShift(fyne.KeyO), func() { b.OpenSample(0) })
	sample.Disabled = samples == 0
	return fyne.NewMainMenu(
		fyne.NewMenu("File",
			item("Open a photo…", ctrl(fyne.KeyO), b.AskOpen),
			sample,
			item("Kept readings", ctrl(fyne.KeyK), b.ToggleKept),
			fyne.NewMenuItemSeparator(),
			item("Quit", ctrl(fyne.KeyQ), w.close),
		),
		fyne.NewMenu("Photo",
			item("Look again", ctrl(fyne.KeyR), b.Again),
			item("Stop", ctrl(fyne.KeyPeriod), b.Cancel),
			item("Next photo", ctrl(fyne.KeyPageDown), func() { b.Step(1) }),
			item("Photo before", ctrl(fyne.KeyPageUp), func() { b.Step(-1) }),
			item("Take off the bench", ctrl(fyne.KeyW), b.Remove),
			fyne.NewMenuItemSeparator(),
			item("Job card", ctrl(fyne.KeyJ), b.ToggleCard),
			item("Use the card for all photos", ctrlShift(fyne.KeyJ), b.UseCardForAll),
		),
		fyne.NewMenu("View",
			item("Rims on or off", ctrl(fyne.KeyE), b.ToggleRims),
			item("Whole photo", ctrl(fyne.Key0), b.Fit),
			item("The hole", ctrl(fyne.KeyH), b.ShowHole),
			item("One to one", ctrl(fyne.Key1), b.OneToOne),
			item("Closer", ctrl(fyne.KeyEqual), func() { b.ZoomBy(1.5) }),
			item("Further", ctrl(fyne.KeyMinus), func() { b.ZoomBy(1 / 1.5) }),
			fyne.NewMenuItemSeparator(),
			item("mm", nil, func() { b.ShowIn(state.MM) }),
			item("Inch", nil, func() { b.ShowIn(state.Inch) }),
			item("Swap mm and inch", ctrl(fyne.KeyU), b.SwapUnits),
			fyne.NewMenuItemSeparator(),
			item("Light as the system", nil, func() { w.setLight(look.FollowSystem) }),
			item("Day", nil, func() { w.setLight(look.AlwaysDay) }),
			item("Night", nil, func() { w.setLight(look.AlwaysNight) }),
			item("Swap day and night", ctrl(fyne.KeyL), w.swapLight),
			item("Larger text", ctrlShift(fyne.KeyEqual), func() { w.stepText(1) }),
			item("Smaller text", ctrlShift(fyne.KeyMinus), func() { w.stepText(-1) }),
		),
	)
}

// typed serves plain letters while nothing is being typed into.
func (w *Window) typed(r rune) {
	b := w.bench
	switch r {
	case 'o', 'O':
		b.AskOpen()
	case 'r', 'R':
		b.ToggleRims()
	case 'u', 'U':
		b.SwapUnits()
	case 'h', 'H':
		b.ShowHole()
	case 'j', 'J':
		b.ToggleCard()
	case 'k', 'K':
		b.ToggleKept()
	case '0', 'f', 'F':
		b.Fit()
	case '1':
		b.OneToOne()
	case '+', '=':
		b.ZoomBy(1.25)
	case '-':
		b.ZoomBy(0.8)
	}
}

func (w *Window) typedKey(e *fyne.KeyEvent) {
	switch e.Name {
	case fyne.KeyPageDown:
		w.bench.Step(1)
	case fyne.KeyPageUp:
		w.bench.Step(-1)
	case fyne.KeyEscape:
		w.bench.Cancel()
	}
}
