package planner

import (
	"strings"

	"evenrim/ui/kit"
	"evenrim/ui/look"
	"evenrim/ui/planner/draft"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"
)

// form shows a section's fields, each with its default and where that comes from.
type form struct {
	p       *Page
	fields  map[string]*formField
	list    *fyne.Container
	scroll  *container.Scroll
	content fyne.CanvasObject
	loading bool
}

type formField struct {
	field   draft.Field
	entry   *kit.Entry
	selects *kit.Select
	taps    map[string]*kit.Tap
	why     *kit.Prose
	wrong   *kit.Prose
}

func newForm(p *Page) *form {
	f := &form{p: p, list: kit.Column(12)}
	f.scroll = container.NewVScroll(kit.NewGround(kit.Paper, 14, f.list))
	f.content = f.scroll
	return f
}

// show lays out the fields of a section as they stand.
func (f *form) show(s draft.Section) {
	f.loading = true
	f.letGo()
	f.fields = map[string]*formField{}
	f.list.Objects = nil
	group := ""
	for _, d := range f.p.draft.Fields(s) {
		if d.Group != group {
			group = d.Group
			f.list.Objects = append(f.list.Objects, kit.Column(3, strong(kit.NewProse(group, 1.05, kit.Ink)), widget.NewSeparator()))
		}
		f.list.Objects = append(f.list.Objects, f.make(d))
	}
	f.loading = false
	f.list.Refresh()
	f.scroll.Refresh()
	f.scroll.ScrollToTop()
}

// letGo takes the focus from a field that is about to go: it would keep the keys, and
// nobody would see where they are.
func (f *form) letGo() {
	c := f.p.win.Canvas()
	for _, w := range f.fields {
		has := w.entry != nil && c.Focused() == w.entry || w.selects != nil && c.Focused() == w.selects
		for _, t := range w.taps {
			has = has || c.Focused() == t
		}
		if has {
			c.Unfocus()
		}
	}
}

// most choices that are shown side by side instead of in a list.
const mostTaps = 2

func (f *form) make(d draft.Field) fyne.CanvasObject {
	w := &formField{field: d, why: kit.NewProse("", 0.78, kit.Soft), wrong: kit.NewProse("", 0.9, kit.Bad)}
	w.wrong.Hide()
	f.fields[d.Key] = w
	text := f.p.draft.Text(d.Key)
	words := d.Name
	if d.Suffix != "" {
		words += ",\u00a0" + d.Suffix
	}
	name := kit.NewProse(words, 0.95, kit.Ink)
	var line fyne.CanvasObject
	// Tab goes on below what is in sight.
	seen := func() { kit.BringIntoView(f.scroll, line) }
	switch {
	case d.Kind == draft.Choice && len(d.Options) <= mostTaps:
		w.taps = map[string]*kit.Tap{}
		var row []fyne.CanvasObject
		for _, o := range d.Options {
			t := kit.NewTap(kit.NewProse(o, 0.9, kit.Ink).Centred(), func() { f.choose(d.Key, o) })
			t.Edge, t.BarSide = kit.Rule, kit.NoBar
			t.Select(o == text)
			t.OnFocus = seen
			w.taps[o] = t
			row = append(row, kit.Tall(t, 0, touch))
		}
		line = kit.Column(3, name, container.NewGridWithColumns(len(row), row...))
	case d.Kind == draft.Choice:
		w.selects = kit.NewSelect(d.Options, text, func(t string) { f.choose(d.Key, t) })
		line = kit.Column(3, name, kit.Tall(w.selects, 0, touch))
	case d.Kind == draft.Lines:
		w.entry = kit.NewLines()
		w.entry.SetMinRowsVisible(3)
		line = kit.Column(3, name, w.entry)
	default:
		w.entry = kit.NewEntry()
		line = &fyne.Container{Layout: &besides{}, Objects: []fyne.CanvasObject{name, kit.Tall(w.entry, 0, touch)}}
	}
	if w.entry != nil {
		w.entry.OnFocus = seen
		w.entry.SetText(text)
		w.entry.SetPlaceHolder(d.Empty)
		w.entry.OnChanged = func(t string) {
			if !f.loading {
				f.p.edit(d.Key, t)
			}
		}
	}
	w.refreshWhy(f.p.draft.Own(d.Key))
	return kit.Column(2, line, w.wrong, w.why)
}

// refreshWhy says whose figure it is: the default's source, or that it is the
// shop's own.
func (w *formField) refreshWhy(own bool) {
	w.why.Set(w.field.Says(own))
}

func (f *form) choose(key, text string) {
	if f.loading || f.p.draft.Text(key) == text {
		return
	}
	for o, t := range f.fields[key].taps {
		t.Select(o == text)
	}
	f.p.edit(key, text)
	// A camera, an eye or a material bring figures of their own.
	if key == "camera" || key == "person" || key == "material" {
		f.reload()
	}
}

// reload writes the draft's texts and sources into the fields, cursor and place
// kept.
func (f *form) reload() {
	f.loading = true
	for _, d := range f.p.draft.Fields(f.p.section) {
		w := f.fields[d.Key]
		if w == nil {
			continue
		}
		w.field = d
		if t := f.p.draft.Text(d.Key); w.entry != nil && w.entry.Text != t {
			w.entry.SetText(t)
		}
		w.refreshWhy(f.p.draft.Own(d.Key))
	}
	f.loading = false
}

// edited refreshes the words under one field.
func (f *form) edited(key string) {
	if w := f.fields[key]; w != nil {
		w.refreshWhy(f.p.draft.Own(key))
	}
}

// problems shows what is wrong beside each field.
func (f *form) problems(by map[string]string) {
	changed := false
	for key, w := range f.fields {
		words := by[key]
		if words == w.wrong.Text && (words != "") == w.wrong.Visible() {
			continue
		}
		changed = true
		w.wrong.Set(words)
		if words == "" {
			w.wrong.Hide()
		} else {
			w.wrong.Show()
		}
	}
	if changed {
		f.list.Refresh()
		f.scroll.Refresh()
	}
}

// besides puts a name left of its entry.
type besides struct{ width float32 } // as last laid out

func (*besides) share(width float32) (name, entry float32) {
	entry = min(max(width*0.46, 132*look.Zoom()), width*0.6)
	return width - entry - 8, entry
}

// stacked says whether a word of the name would not fit beside the entry: then the
// name stands above it.
func (b *besides) stacked(o []fyne.CanvasObject) bool {
	name, _ := b.share(b.width)
	for _, word := range strings.Fields(o[0].(*kit.Prose).Text) {
		if b.width > 0 && o[0].(*kit.Prose).Measure(word).Width > name {
			return true
		}
	}
	return false
}

func (b *besides) MinSize(o []fyne.CanvasObject) fyne.Size {
	if b.stacked(o) {
		return fyne.NewSize(200, o[0].MinSize().Height+o[1].MinSize().Height)
	}
	return fyne.NewSize(200, max(o[0].MinSize().Height, o[1].MinSize().Height))
}

func (b *besides) Layout(o []fyne.CanvasObject, s fyne.Size) {
	b.width = s.Width
	name, entry := b.share(s.Width)
	if b.stacked(o) {
		for range 2 { // wrapped text tells its height once it has its width
			o[0].Resize(fyne.NewSize(s.Width, o[0].MinSize().Height))
		}
		o[0].Move(fyne.NewPos(0, 0))
		o[1].Resize(fyne.NewSize(s.Width, o[1].MinSize().Height))
		o[1].Move(fyne.NewPos(0, o[0].Size().Height))
		return
	}
	o[0].Resize(fyne.NewSize(name, o[0].Size().Height))
	h := o[0].MinSize().Height
	o[0].Resize(fyne.NewSize(name, h))
	o[0].Move(fyne.NewPos(0, max((s.Height-h)/2, 0)))
	h = o[1].MinSize().Height
	o[1].Resize(fyne.NewSize(entry, h))
	o[1].Move(fyne.NewPos(name+8, max((s.Height-h)/2, 0)))
}
