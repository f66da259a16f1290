package ui

import (
	"strconv"

	"evenrim/ui/look"
	"evenrim/ui/state"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
)

// Every key is in a menu. Menu shortcuts work while an entry has the focus; plain
// keys (page.Typed) only while none has.

func ctrl(k fyne.KeyName) fyne.Shortcut {
	return &desktop.CustomShortcut{KeyName: k, Modifier: fyne.KeyModifierShortcutDefault}
}

func ctrlShift(k fyne.KeyName) fyne.Shortcut {
	return &desktop.CustomShortcut{KeyName: k, Modifier: fyne.KeyModifierShortcutDefault | fyne.KeyModifierShift}
}

func alt(k fyne.KeyName) fyne.Shortcut {
	return &desktop.CustomShortcut{KeyName: k, Modifier: fyne.KeyModifierAlt}
}

func item(label string, s fyne.Shortcut, f func()) *fyne.MenuItem {
	m := fyne.NewMenuItem(label, f)
	m.Shortcut = s
	return m
}

func (w *Window) menu(samples int) *fyne.MainMenu {
	b := w.bench
	sample := item("Open the sample", ctrlShift(fyne.KeyO), w.onBench(func() { b.OpenSample(0) }))
	sample.Disabled = samples == 0
	camera := item("Live camera", ctrl(fyne.KeyM), w.ShowCamera)
	camera.Disabled = w.deps.Cameras == nil
	return fyne.NewMainMenu(
		fyne.NewMenu("File",
			item("Open a photo…", ctrl(fyne.KeyO), w.onBench(b.AskOpen)),
			sample,
			camera,
			item("Kept readings", ctrl(fyne.KeyK), w.onBench(b.ToggleKept)),
			fyne.NewMenuItemSeparator(),
			item("Report as PDF…", ctrl(fyne.KeyP), w.report),
			w.benchItem("Pictures as PNG…", ctrlShift(fyne.KeyS), b.SavePlots),
			w.benchItem("Keep the job card", ctrl(fyne.KeyS), b.KeepCard),
			fyne.NewMenuItemSeparator(),
			item("Quit", ctrl(fyne.KeyQ), w.close),
		),
		fyne.NewMenu("Edit",
			item("Undo", &fyne.ShortcutUndo{}, w.undo),
			item("Redo", ctrlShift(fyne.KeyZ), w.redo),
			fyne.NewMenuItemSeparator(),
			w.benchItem("Help the finder", ctrl(fyne.KeyG), b.ToggleHelp),
			w.benchItem("Draw the hole", ctrlShift(fyne.KeyD), b.DrawHole),
			w.benchItem("Pull a rim", ctrlShift(fyne.KeyP), b.PullRim),
			w.benchItem("Brush out an arc", ctrlShift(fyne.KeyB), b.BrushOut),
		),
		fyne.NewMenu("Pages", w.pageItems()...),
		fyne.NewMenu("Photo",
			w.benchItem("Look again", ctrl(fyne.KeyR), b.Again),
			w.benchItem("Stop", ctrl(fyne.KeyPeriod), b.Cancel),
			item("Next photo", ctrl(fyne.KeyPageDown), w.onBench(func() { b.Step(1) })),
			item("Photo before", ctrl(fyne.KeyPageUp), w.onBench(func() { b.Step(-1) })),
			w.benchItem("Take off the bench", ctrl(fyne.KeyW), b.Remove),
			w.benchItem("Take all off the bench", ctrlShift(fyne.KeyW), b.RemoveAll),
			fyne.NewMenuItemSeparator(),
			item("Job card", ctrl(fyne.KeyJ), w.onBench(b.ToggleCard)),
			w.benchItem("Use the card for all photos", ctrlShift(fyne.KeyJ), b.UseCardForAll),
			fyne.NewMenuItemSeparator(),
			w.benchItem("+X along the nearest edge", ctrlShift(fyne.KeyX), b.SnapPlusX),
			w.benchItem("Turn set", ctrl(fyne.KeyT), b.StartTurns),
		),
		w.partMenu(),
		w.batchMenu(),
		fyne.NewMenu("View",
			item("Rims on or off", ctrl(fyne.KeyE), w.onBench(b.ToggleRims)),
			item("Whole photo", ctrl(fyne.Key0), w.onBench(b.Fit)),
			item("The hole", ctrl(fyne.KeyH), w.onBench(b.ShowHole)),
			item("One to one", ctrl(fyne.Key1), w.onBench(b.OneToOne)),
			item("Closer", ctrl(fyne.KeyEqual), w.onBench(func() { b.ZoomBy(1.5) })),
			item("Further", ctrl(fyne.KeyMinus), w.onBench(func() { b.ZoomBy(1 / 1.5) })),
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
		fyne.NewMenu("Help",
			item("Keys (? or F1)", nil, w.showKeys),
			item("Words, with drawings", nil, b.ShowGlossary),
			fyne.NewMenuItemSeparator(),
			item("Where X and Y come from", nil, w.onBench(func() { b.Explain(state.AboutMismatch) })),
			item("Where the ± comes from", nil, w.onBench(func() { b.Explain(state.AboutUncertainty) })),
			item("Where the verdict comes from", nil, w.onBench(func() { b.Explain(state.AboutVerdict) })),
			item("Where the correction comes from", nil, w.onBench(func() { b.Explain(state.AboutMoves) })),
		),
	)
}

// showKeys lists every key that a menu has, and the bench's own.
func (w *Window) showKeys() {
	var keys [][2]string
	for _, m := range w.win.MainMenu().Items {
		for _, i := range m.Items {
			if k, ok := i.Shortcut.(fyne.KeyboardShortcut); ok && i.Shortcut != nil {
				keys = append(keys, [2]string{keyWords(k), i.Label})
			}
		}
	}
	w.bench.ShowKeys(keys)
}

func keyWords(k fyne.KeyboardShortcut) string {
	s := ""
	if k.Mod()&fyne.KeyModifierShortcutDefault != 0 {
		s += "Ctrl+"
	}
	if k.Mod()&fyne.KeyModifierShift != 0 {
		s += "Shift+"
	}
	if k.Mod()&fyne.KeyModifierAlt != 0 {
		s += "Alt+"
	}
	switch k.Key() { // the toolkit's names are not what stands on the keys
	case fyne.KeyPageUp:
		return s + "Page Up"
	case fyne.KeyPageDown:
		return s + "Page Down"
	}
	return s + string(k.Key())
}

// pageItems turn to the pages.
func (w *Window) pageItems() []*fyne.MenuItem {
	var items []*fyne.MenuItem
	for i, l := range w.pages {
		items = append(items, item(l.name, alt(fyne.KeyName(strconv.Itoa(i+1))), func() { w.turnTo(i) }))
	}
	return items
}
