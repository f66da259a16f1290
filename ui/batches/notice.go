package batches

import (
	"fmt"

	"evenrim/ui/kit"
	"evenrim/ui/look"

	"fyne.io/fyne/v2"
)

// notice is the slip below the bar: what is being done, what came of it, what
// went wrong.
type notice struct {
	p       *Page
	words   *kit.Prose
	track   *kit.Track
	button  *kit.Button
	onTap   func()
	content *fyne.Container
}

func newNotice(p *Page) *notice {
	n := &notice{p: p, words: kit.NewProse("", 1, kit.Ink), track: kit.NewTrack()}
	n.button = kit.NewButtonWithIcon("Close", look.IconCancel, func() { n.onTap() })
	n.content = kit.Column(0, kit.NewGround(kit.Margin, 8, kit.Row(12, 0, kit.Column(6, n.words, n.track), kit.Tall(n.button, 0, touch))))
	n.content.Hide()
	return n
}

// say shows a sentence until it is closed.
func (n *notice) say(words string) {
	n.show(words, "Close", n.hide)
	n.track.Hide()
	n.settle()
}

// list shows a heading with sentences, if there are any.
func (n *notice) list(head string, lines []string) {
	if len(lines) == 0 {
		return
	}
	const most = 5
	for i, l := range lines {
		if i == most {
			head += fmt.Sprintf("\nand %d more.", len(lines)-most)
			break
		}
		head += "\n" + l
	}
	n.say(head)
}

func (n *notice) working(words string, stop func()) {
	n.show(words, "Stop", stop)
	n.track.Set(0)
	n.track.Show()
	n.settle()
}

func (n *notice) progress(share float64, doing string) {
	if n.content.Visible() && n.track.Visible() {
		n.words.Set(capital(doing))
		n.track.Set(share)
	}
}

func (n *notice) show(words, button string, tap func()) {
	n.words.Set(words)
	n.button.SetText(button)
	n.onTap = tap
	n.content.Show()
}

func (n *notice) hide() {
	if n.content.Visible() {
		n.content.Hide()
		n.settle()
	}
}

func (n *notice) settle() {
	if n.p.content != nil {
		n.p.content.Refresh()
	}
}

func capital(s string) string {
	r := []rune(s)
	if len(r) > 0 && r[0] >= 'a' && r[0] <= 'z' {
		r[0] -= 'a' - 'A'
	}
	return string(r)
}
