package look

import (
	"bytes"
	"embed"
	"fmt"
	"image/color"

	"fyne.io/fyne/v2"
)

//go:embed icons/*.svg
var iconFiles embed.FS

// Icon is one of the window's own drawings. It is a resource whose colours
// follow the light: black lines turn to ink, blue to setup 1, orange to setup 2.
// The files in icons/ are ours, drawn for this program.
type Icon string

const (
	IconBench      Icon = "bench"
	IconPart       Icon = "part"
	IconBatches    Icon = "batches"
	IconApprentice Icon = "apprentice"
	IconPlanner    Icon = "planner"
	IconOpen       Icon = "open"
	IconSample     Icon = "sample"
	IconCamera     Icon = "camera"
	IconFit        Icon = "fit"
	IconOne        Icon = "one"
	IconRims       Icon = "rims"
	IconCard       Icon = "card"
	IconKept       Icon = "kept"
	IconLight      Icon = "light"
	IconWarn       Icon = "warn"
	IconChip       Icon = "chip"
	IconWaiting    Icon = "waiting"
	IconFlipY      Icon = "flip-y"
	IconFlipX      Icon = "flip-x"
	IconUndo       Icon = "undo"
	IconRedo       Icon = "redo"
	IconCancel     Icon = "cancel"
	IconRetry      Icon = "retry"
	IconReport     Icon = "report"
	IconHelp       Icon = "help"
	IconMore       Icon = "more"
	IconHand       Icon = "hand"
	IconTurn       Icon = "turn"

	IconConforms  Icon = "conforms"
	IconNot       Icon = "not"
	IconUndecided Icon = "undecided"
	IconRefused   Icon = "refused"
)

var _ fyne.Resource = Icon("")

// Name implements fyne.Resource; it differs by light, because pictures are cached by name.
func (i Icon) Name() string {
	if Now().Dark {
		return string(i) + "-night.svg"
	}
	return string(i) + "-day.svg"
}

// Content implements fyne.Resource.
func (i Icon) Content() []byte {
	p := Now()
	stamp := p.Soft
	switch i {
	case IconConforms:
		stamp = p.Good
	case IconNot, IconRefused:
		stamp = p.Bad
	case IconUndecided:
		stamp = p.Doubt
	}
	return i.coloured(p, p.Ink, stamp)
}

func (i Icon) coloured(p Palette, ink, stamp color.NRGBA) []byte {
	b, err := iconFiles.ReadFile("icons/" + string(i) + ".svg")
	if err != nil {
		panic(fmt.Sprintf("ui/look: no icon %q", string(i))) // a slip of ours: names are the constants above
	}
	for _, r := range []struct {
		from string
		to   color.NRGBA
	}{{"#111111", ink}, {"#0000ff", p.Setup1}, {"#ff8000", p.Setup2}, {"#222222", stamp}, {"#eeeeee", p.OnStamp}} {
		b = bytes.ReplaceAll(b, []byte(r.from), []byte(fmt.Sprintf("#%02x%02x%02x", r.to.R, r.to.G, r.to.B)))
	}
	return b
}

// OnStamp is the icon in one plain colour for use on a filled ground.
func (i Icon) OnStamp() fyne.Resource { return stampIcon{i} }

type stampIcon struct{ Icon }

func (s stampIcon) Name() string { return "stamp-" + s.Icon.Name() }

func (s stampIcon) Content() []byte {
	p := Now()
	p.Setup1, p.Setup2 = p.OnStamp, p.OnStamp
	return s.coloured(p, p.OnStamp, p.OnStamp)
}
