package chart

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"io"
	"math"
	"time"

	"codeberg.org/go-pdf/fpdf"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
)

// Pages is a PDF document to draw on with gonum/plot's canvas interface. Unlike
// plot's own PDF canvas it writes any letter of the typeface (± ² − µ), embeds
// only the glyphs that are used, stores opaque pictures as JPEG and gives the
// same bytes for the same drawing. Errors are kept and returned by WriteTo.
type Pages struct {
	doc      *fpdf.Fpdf
	w, h     vg.Length
	state    []pageState // what Pop brings back; never empty
	fonts    map[string]bool
	pictures int
}

var (
	_ vg.CanvasSizer = (*Pages)(nil)
	_ io.WriterTo    = (*Pages)(nil)
)

type pageState struct {
	width vg.Length // of lines
	color color.Color
}

func (c *Pages) now() *pageState { return &c.state[len(c.state)-1] }

// NewPages starts a document of pages w x h with its first page; at is the date
// it carries.
func NewPages(w, h vg.Length, at time.Time) *Pages {
	doc := fpdf.NewCustom(&fpdf.InitType{
		UnitStr: "pt", Size: fpdf.SizeType{Wd: w.Points(), Ht: h.Points()},
	})
	doc.SetCreationDate(at)
	doc.SetModificationDate(at)
	doc.SetCatalogSort(true)
	doc.SetProducer("evenrim", true)
	doc.SetMargins(0, 0, 0)
	doc.SetAutoPageBreak(false, 0)
	doc.SetCellMargin(0)
	c := &Pages{doc: doc, w: w, h: h, state: make([]pageState, 1), fonts: map[string]bool{}}
	c.startPage()
	return c
}

// SetInfo sets the document's title and author as a reader program shows them.
func (c *Pages) SetInfo(title, author string) {
	c.doc.SetTitle(title, true)
	c.doc.SetAuthor(author, true)
}

// NextPage ends the page and starts another of the same size.
func (c *Pages) NextPage() {
	c.doc.TransformEnd()
	c.startPage()
}

// startPage begins a page; a PDF's own axes point right and up, as ours.
func (c *Pages) startPage() {
	c.doc.AddPage()
	c.doc.SetLineCapStyle("butt")
	c.doc.SetLineJoinStyle("round")
	c.doc.TransformBegin()
	vg.Initialize(c)
}

// Size is the size of a page.
func (c *Pages) Size() (w, h vg.Length) { return c.w, c.h }

func (c *Pages) SetLineWidth(w vg.Length) {
	c.now().width = w
	c.doc.SetLineWidth(w.Points())
}

func (c *Pages) SetLineDash(pattern []vg.Length, offset vg.Length) {
	d := make([]float64, len(pattern))
	for i, l := range pattern {
		d[i] = l.Points()
	}
	c.doc.SetDashPattern(d, offset.Points())
}

func (c *Pages) SetColor(clr color.Color) {
	if clr == nil {
		clr = color.Black
	}
	c.now().color = clr
	n := color.NRGBAModel.Convert(clr).(color.NRGBA)
	r, g, b := int(n.R), int(n.G), int(n.B)
	c.doc.SetDrawColor(r, g, b)
	c.doc.SetFillColor(r, g, b)
	c.doc.SetTextColor(r, g, b)
	c.doc.SetAlpha(float64(n.A)/255, "Normal")
}

func (c *Pages) Rotate(rad float64) {
	s, co := math.Sincos(rad)
	c.doc.Transform(fpdf.TransformMatrix{A: co, B: s, C: -s, D: co})
}

func (c *Pages) Translate(p vg.Point) {
	c.doc.Transform(fpdf.TransformMatrix{A: 1, D: 1, E: p.X.Points(), F: p.Y.Points()})
}

func (c *Pages) Scale(x, y float64) {
	c.doc.Transform(fpdf.TransformMatrix{A: x, D: y})
}

func (c *Pages) Push() {
	c.state = append(c.state, *c.now())
	c.doc.TransformBegin()
}

func (c *Pages) Pop() {
	c.doc.TransformEnd()
	c.state = c.state[:len(c.state)-1]
	// fpdf remembers colours by itself and must be told; PDF has restored them.
	c.SetColor(c.now().color)
}

func (c *Pages) Stroke(p vg.Path) {
	if c.now().width > 0 {
		c.path(p, "D")
	}
}

func (c *Pages) Fill(p vg.Path) { c.path(p, "F") }

// path writes p in PDF's own operators: fpdf's drawing calls measure y from the
// top of the page, and round.
func (c *Pages) path(p vg.Path, how string) {
	if len(p) == 0 {
		return
	}
	var b bytes.Buffer
	xy := func(q vg.Point) string { return fmt.Sprintf("%.3f %.3f", q.X.Points(), q.Y.Points()) }
	open := false
	for _, s := range p {
		switch s.Type {
		case vg.MoveComp:
			fmt.Fprintf(&b, "%s m\n", xy(s.Pos))
			open = true
		case vg.LineComp:
			fmt.Fprintf(&b, "%s l\n", xy(s.Pos))
		case vg.ArcComp:
			arc(&b, s, open)
			open = true
		case vg.CurveComp:
			k := s.Control
			if len(k) == 1 { // quadratic: only drawn shapes of ours use cubic
				fmt.Fprintf(&b, "%s %s v\n", xy(k[0]), xy(s.Pos))
			} else {
				fmt.Fprintf(&b, "%s %s %s c\n", xy(k[0]), xy(k[1]), xy(s.Pos))
			}
		case vg.CloseComp:
			b.WriteString("h\n")
		}
	}
	b.WriteString(map[string]string{"D": "S", "F": "f"}[how])
	c.doc.RawWriteBuf(&b)
}

// arc writes an arc as cubic curves of at most a quarter turn.
func arc(b *bytes.Buffer, s vg.PathComp, open bool) {
	n := max(int(math.Ceil(math.Abs(s.Angle)/(math.Pi/2)-1e-9)), 1)
	step := s.Angle / float64(n)
	k := 4.0 / 3 * math.Tan(step/4) // the usual handle length for a circular arc
	at := func(a, along float64) (x, y float64) {
		si, co := math.Sincos(a)
		r := s.Radius.Points()
		return s.Pos.X.Points() + r*(co-along*si), s.Pos.Y.Points() + r*(si+along*co)
	}
	op := "m"
	if open {
		op = "l"
	}
	x, y := at(s.Start, 0)
	fmt.Fprintf(b, "%.3f %.3f %s\n", x, y, op)
	for i := range n {
		a0, a1 := s.Start+float64(i)*step, s.Start+float64(i+1)*step
		x0, y0 := at(a0, k)
		x1, y1 := at(a1, -k)
		x, y = at(a1, 0)
		fmt.Fprintf(b, "%.3f %.3f %.3f %.3f %.3f %.3f c\n", x0, y0, x1, y1, x, y)
	}
}

// at runs draw so that fpdf's (0, 0), the top left corner, falls on p.
func (c *Pages) at(p vg.Point, draw func()) {
	c.doc.TransformBegin()
	c.doc.Transform(fpdf.TransformMatrix{A: 1, D: 1, E: p.X.Points(), F: p.Y.Points() - c.h.Points()})
	draw()
	c.doc.TransformEnd()
}

func (c *Pages) FillString(f font.Face, p vg.Point, s string) {
	if f.Font.Size == 0 || s == "" {
		return
	}
	name := f.Font.Name()
	if !c.fonts[name] {
		data, ok := faceData[name]
		if !ok {
			c.doc.SetError(fmt.Errorf("chart: font %s is not embedded", name))
			return
		}
		// A copy: fpdf writes into the file it is given when it picks glyphs.
		c.doc.AddUTF8FontFromBytes(name, "", bytes.Clone(data))
		c.fonts[name] = true
	}
	c.doc.SetFont(name, "", f.Font.Size.Points())
	c.at(p, func() { c.doc.Text(0, 0, s) })
}

// DrawImage puts img into rect; opaque pictures as JPEG, which suits photos.
func (c *Pages) DrawImage(rect vg.Rectangle, img image.Image) {
	var b bytes.Buffer
	kind, err := "png", error(nil)
	if o, ok := img.(interface{ Opaque() bool }); ok && o.Opaque() {
		kind = "jpg"
		err = jpeg.Encode(&b, img, &jpeg.Options{Quality: 90})
	} else {
		err = png.Encode(&b, img)
	}
	if err != nil {
		c.doc.SetError(fmt.Errorf("chart: picture for a page: %w", err))
		return
	}
	c.pictures++
	name, opt := fmt.Sprintf("picture%d", c.pictures), fpdf.ImageOptions{ImageType: kind}
	c.doc.RegisterImageOptionsReader(name, opt, &b)
	c.at(rect.Min, func() {
		size := rect.Size()
		c.doc.ImageOptions(name, 0, -size.Y.Points(), size.X.Points(), size.Y.Points(), false, opt, 0, "")
	})
}

// WriteTo ends the document and writes it; nothing can be drawn afterwards.
func (c *Pages) WriteTo(w io.Writer) (int64, error) {
	c.doc.TransformEnd()
	var b bytes.Buffer
	if err := c.doc.Output(&b); err != nil {
		return 0, fmt.Errorf("chart: write pages: %w", err)
	}
	return b.WriteTo(w)
}
