package batches

import (
	"slices"
	"strings"

	"evenrim/model/record"
	"evenrim/ui/batches/ledger"
	"evenrim/ui/kit"
	"evenrim/ui/look"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"
)

// table lists readings, or the parts of the batches picked.
type table struct {
	p       *Page
	rows    []ledger.Row
	lit     int // the row that stands out, -1 = none
	list    *kit.List
	head    *fyne.Container
	found   *kit.Line
	older   *kit.Button
	labels  *labels
	empty   *fyne.Container
	words   *kit.Prose
	content fyne.CanvasObject
}

func newTable(p *Page) *table {
	t := &table{p: p, lit: -1, found: kit.NewLine("", 0.9, kit.Soft).Cut()}
	t.list = kit.NewList(func() int { return len(t.rows) }, newLine, t.fill)
	t.list.OnSelected = func(i widget.ListItemID) {
		t.lit = i
		if i < len(t.rows) {
			p.choose(t.rows[i].ID)
		}
	}
	t.head = cellRow()
	for i, name := range []string{"", "", "part", "batch", "X", "Y", "|d|", "± 95 %", "made", "note"} {
		l := kit.NewLine(name, 0.8, kit.Soft).Cut()
		if right(i) {
			l.Align = fyne.TextAlignTrailing
		}
		t.head.Add(l)
	}
	t.older = kit.NewButton("Show older ones", p.more)
	t.words = kit.NewProse("", 1.1, kit.Ink)
	demo := kit.NewButtonWithIcon("Show the demo shop", look.IconSample, p.OpenDemo)
	t.empty = middled(kit.Column(16, t.words, kit.Row(10, -1, kit.Tall(demo, 0, touch))))
	t.labels = newLabels(p)
	// As wide as the rows: its columns must be theirs.
	body := container.NewBorder(kit.NewGround(kit.Paper, 0, kit.Tall(t.head, 0, 34)), kit.NewGround(kit.Paper, 6, kit.Row(8, 0, t.found, kit.Tall(t.older, 0, touch))), nil, nil,
		container.NewStack(t.list, t.empty))
	t.content = &fyne.Container{Layout: overSlip{}, Objects: []fyne.CanvasObject{body, t.labels.content}}
	return t
}

// overSlip lays the table over the slip with the labels, which scrolls where it would
// take more than its share.
type overSlip struct{}

const slipShare = 0.55

func (overSlip) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.NewSize(300, 200) }

func (overSlip) Layout(o []fyne.CanvasObject, s fyne.Size) {
	slip := float32(0)
	if o[1].Visible() {
		inner := o[1].(*container.Scroll).Content
		for range 2 { // wrapped text tells its height once it has its width
			inner.Resize(fyne.NewSize(s.Width, inner.MinSize().Height))
		}
		slip = min(inner.MinSize().Height, s.Height*slipShare)
	}
	o[0].Resize(fyne.NewSize(s.Width, s.Height-slip))
	o[0].Move(fyne.NewPos(0, 0))
	o[1].Resize(fyne.NewSize(s.Width, slip))
	o[1].Move(fyne.NewPos(0, s.Height-slip))
}

func (t *table) object() fyne.CanvasObject { return t.content }

func (t *table) refresh() {
	s := t.p.state
	for i, name := range map[int]string{4: "X", 5: "Y", 6: "|d|"} {
		t.head.Objects[i].(*kit.Line).Set(name + ", " + s.Units.String())
	}
	t.rows = nil
	if s.Loaded != nil {
		t.rows = s.Loaded.PartRows(s.Units)
		t.found.Set(ledger.Counted(len(t.rows), "part") + " of " + ledger.Counted(len(s.Loaded.Batches), "batch"))
		t.older.Hide()
	} else {
		for _, e := range s.Entries {
			t.rows = append(t.rows, ledger.RowOf(e, s.Units))
		}
		t.found.Set(s.Found())
		if len(s.Entries) < s.Total && len(s.Picked) == 0 {
			t.older.Show()
		} else {
			t.older.Hide()
		}
	}
	if len(t.rows) == 0 && t.p.archive != nil {
		t.words.Set("Nothing fits the search.")
		if s.Total == 0 && s.Filter.Empty() && len(s.Picked) == 0 {
			t.words.Set("Nothing has been kept yet. What the Bench page reads comes here by itself.\n\nTo see what batches tell, look at the demo shop: three batches of one bracket, the raw edge picked up as reference, then fixed, then drifting. It is kept apart from your record.")
		}
		t.empty.Show()
	} else {
		t.empty.Hide()
	}
	t.list.Refresh()
	t.light()
	t.labels.refresh()
}

// light lets the chosen reading's row stand out and no other: the list keeps a row by its
// place, and does not hear of a tap on the one that it has.
func (t *table) light() {
	chosen := t.p.state.Chosen
	at := slices.IndexFunc(t.rows, func(r ledger.Row) bool { return chosen != 0 && r.ID == chosen })
	if at == t.lit {
		return
	}
	t.list.UnselectAll()
	if t.lit = at; at >= 0 {
		t.list.Select(at)
	}
}

func (t *table) showLabels() { t.labels.refresh() }

// cells lays out a row: mark, verdict, then words by share. What has no room at
// this width or text size is left out in the order of leaveOut; a figure never
// stands without its uncertainty.
type cells struct{}

// shares of the width beyond the two signs, by column from 2: part, batch, X, Y,
// |d|, ±, made, note.
var shares = []float32{0.19, 0.13, 0.1, 0.1, 0.09, 0.1, 0.15, 0.14}

var leaveOut = []int{7, 6, 4, 1}

func right(col int) bool { return col >= 4 && col <= 7 }

func cellRow(o ...fyne.CanvasObject) *fyne.Container {
	return &fyne.Container{Layout: cells{}, Objects: o}
}

// widths are the columns' widths, 0 = left out.
func widths(width float32) []float32 {
	w := append([]float32(nil), shares...)
	total := float32(1)
	// A figure with its sign needs about 70 units at plain text.
	figure := 70 * look.Zoom()
	for _, i := range leaveOut {
		if width*shares[2]/total >= figure {
			break
		}
		total -= w[i]
		w[i] = 0
	}
	for i := range w {
		w[i] *= width / total
	}
	if w[2] < figure { // then the name is shortened, never a figure
		w[2], w[3], w[5] = figure, figure, figure
		w[0] = max(width-3*figure, 0)
	}
	wholeDate(w)
	return w
}

// wholeDate gives the date its room at the names' expense, or leaves it out: half a
// date tells nothing.
func wholeDate(w []float32) {
	const made, name, batch = 6, 0, 1
	z := look.Zoom()
	short := 160*z - w[made]
	if w[made] == 0 || short <= 0 {
		return
	}
	fromBatch := min(max(w[batch]-84*z, 0), short)
	fromName := short - fromBatch
	if w[name]-fromName < 104*z {
		w[name] += w[made]
		w[made] = 0
		return
	}
	w[batch] -= fromBatch
	w[name] -= fromName
	w[made] += short
}

func (cells) Layout(o []fyne.CanvasObject, s fyne.Size) {
	if len(o) != 2+len(shares) {
		return
	}
	z := look.Zoom()
	mark, sign := 40*z, 26*z
	put := func(c fyne.CanvasObject, x, w float32) {
		h := c.MinSize().Height
		c.Resize(fyne.NewSize(w, h))
		c.Move(fyne.NewPos(x, float32(int(s.Height-h)/2))) // whole: between pixels letters lose their tails
	}
	put(o[0], 0, mark)
	put(o[1], mark, sign)
	x := mark + sign + 8
	for i, w := range widths(s.Width - x - 4) {
		c := o[i+2]
		if w == 0 {
			c.Hide()
			continue
		}
		c.Show()
		lead := float32(0)
		if i == 6 {
			lead = 10 // between figures on the right and words on the left
		}
		put(c, x+lead, w-lead-6)
		x += w
	}
}

func (cells) MinSize(o []fyne.CanvasObject) fyne.Size {
	h := float32(0)
	for _, c := range o {
		h = max(h, c.MinSize().Height)
	}
	return fyne.NewSize(200, h)
}

// newLine is a row of the table; a list recycles its rows, so parts are found by
// place.
func newLine() fyne.CanvasObject {
	mark := kit.NewCheck("", nil)
	c := cellRow(mark, kit.NewSign(look.IconUndecided, 1.4))
	for i := 2; i < 10; i++ {
		l := kit.NewLine("", 0.95, kit.Ink).Cut()
		if right(i) {
			l.Align = fyne.TextAlignTrailing
		}
		c.Add(l)
	}
	c.Objects[2].(*kit.Line).Style.Bold = true
	for _, i := range []int{3, 7, 8, 9} {
		c.Objects[i].(*kit.Line).Tint = kit.Soft
	}
	return kit.Tall(c, 0, touch)
}

func (t *table) fill(i int, o fyne.CanvasObject) {
	c := o.(*fyne.Container).Objects[0].(*fyne.Container)
	r := t.rows[i]
	mark := c.Objects[0].(*kit.Check)
	mark.OnChanged = nil
	mark.SetChecked(t.p.state.Marked[r.ID])
	mark.OnChanged = func(on bool) {
		t.p.state.Mark(r.ID, on)
		t.labels.refresh()
	}
	icon, _ := kit.VerdictLook(r.Verdict)
	c.Objects[1].(*kit.Sign).Set(icon)
	for k, words := range []string{r.Name, r.Batch, r.X, r.Y, r.D, r.PM, r.Made, r.Remark} {
		l := c.Objects[k+2].(*kit.Line)
		tint := kit.Tint(kit.Ink)
		if k == 1 || k >= 5 || r.Corrected {
			tint = kit.Soft
		}
		l.Tint, l.Text = tint, words
		l.Refresh()
	}
	c.Layout.Layout(c.Objects, c.Size())
}

// labels is the slip below the table: what the shop writes about the reading
// chosen, or about all that are marked.
type labels struct {
	p       *Page
	title   *kit.Prose
	about   *kit.Prose
	fields  []*kit.Entry
	save    *kit.Button
	bench   *kit.Button
	history *kit.Prose
	content fyne.CanvasObject
	shown   record.ID
	several int
	of      record.ID // whose labels stand in the fields; 0 = of all that are marked
	filling bool
}

var labelFields = []string{"Part", "Hole", "Batch", "Person", "Machine", "Tags", "Note"}

func newLabels(p *Page) *labels {
	l := &labels{p: p, title: kit.NewProse("", 1, kit.Ink).Bold(), about: kit.NewProse("", 0.85, kit.Soft), history: kit.NewProse("", 0.85, kit.Soft)}
	var grid []fyne.CanvasObject
	for _, name := range labelFields {
		e := kit.NewEntry()
		e.OnChanged = func(string) { l.typed() }
		e.OnSubmitted = func(string) { l.write() }
		l.fields = append(l.fields, e)
		w := 132 * look.Zoom()
		if name == "Note" {
			w = 280 * look.Zoom()
		}
		grid = append(grid, kit.Column(1, kit.NewLine(name, 0.8, kit.Soft), kit.Tall(e, w, touch)))
	}
	l.save = kit.NewButtonWithIcon("Write", look.IconCard, l.write)
	l.save.Importance = widget.HighImportance
	l.save.SetIcon(look.IconCard.OnStamp())
	l.bench = kit.NewButtonWithIcon("On the bench", look.IconBench, func() {
		if p.deps.Reopen != nil && l.shown != 0 {
			p.deps.Reopen(idText(l.shown))
		}
	})
	grid = append(grid, kit.Column(1, kit.NewLine("", 0.8, kit.Soft), kit.Row(6, -1, kit.Tall(l.save, 0, touch), kit.Tall(l.bench, 0, touch))))
	inner := kit.Column(6, l.title, kit.Flow(8, grid...), l.about, l.history)
	l.content = container.NewVScroll(kit.NewGround(kit.Margin, 10, inner))
	l.content.Hide()
	return l
}

func (l *labels) refresh() {
	s := l.p.state
	several := len(s.Marked)
	if several == 0 && s.Chosen == 0 {
		l.hide()
		return
	}
	if several > 1 || several == 1 && s.Chosen == 0 {
		l.shown = 0
		l.title.Set(ledger.Counted(several, "reading") + " marked")
		l.history.Set("")
		if l.several != several || !l.content.Visible() {
			l.fill(0, ledger.LabelForm{}, "Only what you fill in is written; the rest stays as it is. The readings themselves never change.")
		}
		l.several = several
		l.bench.Hide()
		l.show()
		return
	}
	id := s.Chosen
	if id == 0 {
		for m := range s.Marked {
			id = m
		}
	}
	l.several = 0
	if l.shown == id && l.content.Visible() {
		return
	}
	l.shown = id
	a := l.p.archive
	l.p.crew.Go(func() {
		_, e, err := a.Get(l.p.ctx, id)
		h, err2 := a.History(l.p.ctx, id)
		l.p.crew.Do(func() {
			if l.shown != id {
				return
			}
			if err != nil || err2 != nil {
				l.p.notice.say("That reading could not be opened.")
				return
			}
			l.title.Set(ledger.TitleOf(e))
			l.history.Set(strings.Join(append(ledger.CorrectionWords(e), ledger.HistoryWords(h)...), "\n"))
			l.fill(id, ledger.FormOf(e.Labels), "A new line in the reading's labels; the reading itself and what was written before stay.")
			if s.Source == ledger.Own && l.p.deps.Reopen != nil {
				l.bench.Show()
			} else {
				l.bench.Hide()
			}
			l.show()
		})
	})
}

func (l *labels) show() {
	if !l.content.Visible() {
		l.content.Show()
	}
	l.p.content.Refresh()
}

func (l *labels) hide() {
	if l.content.Visible() {
		l.content.Hide()
		l.shown = 0
		l.p.content.Refresh()
	}
}

// fill puts labels into the fields, or what was typed over them and not written yet.
func (l *labels) fill(of record.ID, f ledger.LabelForm, about string) {
	if typed, ok := l.p.state.Typed(of); ok && typed != f {
		f, about = typed, "Typed here before, and not written yet. "+about
	}
	l.of, l.filling = of, true
	for i, v := range []string{f.Part, f.Hole, f.Batch, f.Operator, f.Machine, f.Tags, f.Note} {
		l.fields[i].SetText(v)
	}
	l.filling = false
	l.about.Set(about)
}

// typed keeps what stands in the fields until it is written, whatever is looked at meanwhile.
func (l *labels) typed() {
	if !l.filling {
		l.p.state.Type(l.of, l.form())
	}
}

func (l *labels) form() ledger.LabelForm {
	t := func(i int) string { return l.fields[i].Text }
	return ledger.LabelForm{Part: t(0), Hole: t(1), Batch: t(2), Operator: t(3), Machine: t(4), Tags: t(5), Note: t(6)}
}

// write adds the labels to the reading chosen, or to all that are marked.
func (l *labels) write() {
	p, of, form, a := l.p, l.of, l.form(), l.p.archive
	ids := []record.ID{of}
	several := of == 0
	if several {
		ids = nil
		for id := range p.state.Marked {
			ids = append(ids, id)
		}
	}
	p.crew.Go(func() {
		n, err := ledger.Write(p.ctx, a, p.deps.Who, ids, form, several)
		p.crew.Do(func() {
			if err != nil {
				p.notice.say(err.Error()) // what was typed stays, to be written again
				p.search()
				return
			}
			p.notice.say("Written beside " + ledger.Counted(n, "reading") + ".")
			if a == p.archive {
				p.state.Wrote(of)
			}
			p.search()
		})
	})
}
