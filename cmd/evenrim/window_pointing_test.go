package main

import (
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"evenrim/model/record"
)

// drawnPhoto draws a photo of a hole by the verb synth.
func drawnPhoto(t *testing.T, args ...string) *image.NRGBA {
	t.Helper()
	path := filepath.Join(t.TempDir(), "drawn.png")
	if code, _, words := call(t, append([]string{"synth", "--out", path}, args...)...); code != exitOK {
		t.Fatal(words)
	}
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	im, err := png.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	out := image.NewNRGBA(im.Bounds())
	draw.Draw(out, out.Rect, im, image.Point{}, draw.Src)
	return out
}

func savePNG(t *testing.T, im image.Image, name string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	f, err := os.Create(path)
	if err == nil {
		err = png.Encode(f, im)
	}
	if err == nil {
		err = f.Close()
	}
	if err != nil {
		t.Fatal(err)
	}
	return path
}

// Two holes look alike in one photo: the one that is pressed is read.
func TestOneOfTwoHolesIsPickedOnAScreen(t *testing.T) {
	const side = 1000
	both := image.NewNRGBA(image.Rect(0, 0, 2*side, side))
	for i, dx := range []string{"20um", "-15um"} {
		one := drawnPhoto(t, "--bore", "10mm", "--dx", dx, "--seed", fmt.Sprint(i+1), "--width", fmt.Sprint(side), "--height", fmt.Sprint(side))
		draw.Draw(both, image.Rect(i*side, 0, (i+1)*side, side), one, image.Point{}, draw.Src)
	}
	hand := &hand{openOnScreen(t, filepath.Join(t.TempDir(), "shop"), 90*time.Second, "--bore", "10mm", "--chamfer", "0.25mm", savePNG(t, both, "two.png"))}
	hand.waitForWindow()
	// Pressed until it is read: before the finder has said that it cannot tell, and
	// after the choice, a press in the photo does nothing.
	var got []record.Entry
	hand.wait("a reading of the hole pressed", func() bool {
		hand.do("mousemove", "536", "422", "click", "1") // the left one
		s, err := record.Open(t.Context(), hand.data)
		if err != nil {
			return false
		}
		defer s.Close()
		got, err = s.Find(t.Context(), record.Query{})
		return err == nil && len(got) > 0
	})
	if d := got[0].Mismatch; math.Abs(d.X-0.020) > 0.003 || math.Abs(d.Y) > 0.003 {
		t.Errorf("read as %v mm, want the left hole's (0.020, 0)", d)
	}
	hand.end()
}

// +X is turned along a straight edge of the part that the photo shows.
func TestPlusXSnapsToAnEdgeOfThePartOnAScreen(t *testing.T) {
	const edgeDeg = 7.0
	im := drawnPhoto(t, "--bore", "6mm", "--scale", "90", "--off-y", "-120", "--seed", "5")
	for y := range im.Rect.Dy() {
		for x := range im.Rect.Dx() {
			// Below the edge the part ends; it rises to the right by edgeDeg.
			below := (float64(y) - 1090 + float64(x)*math.Tan(edgeDeg*math.Pi/180)) * math.Cos(edgeDeg*math.Pi/180)
			if below > -1 {
				share := min((below+1)/2, 1)
				c := im.NRGBAAt(x, y)
				mix := func(v uint8) uint8 { return uint8(float64(v)*(1-share) + 22*share) }
				im.SetNRGBA(x, y, color.NRGBA{mix(c.R), mix(c.G), mix(c.B), 255})
			}
		}
	}
	hand := &hand{openOnScreen(t, filepath.Join(t.TempDir(), "shop"), 90*time.Second, "--bore", "6mm", "--chamfer", "0.25mm", savePNG(t, im, "edge.png"))}
	hand.waitForWindow()
	first := hand.kept("the first reading", func(record.Entry) bool { return true })
	hand.do("key", "ctrl+shift+x")
	snapped := hand.kept("the reading with +X along the edge", func(e record.Entry) bool { return e.Replaces == first.ID })
	found := regexp.MustCompile(`\+X 0\.00° to ([0-9.]+)°`).FindStringSubmatch(strings.ReplaceAll(snapped.Why, "\u00a0", ""))
	if found == nil {
		t.Fatalf("kept because of %q, want +X turned", snapped.Why)
	}
	if deg, err := strconv.ParseFloat(found[1], 64); err != nil || math.Abs(deg-edgeDeg) > 0.2 {
		t.Errorf("+X turned to %s°, want %g: the edge's", found[1], edgeDeg)
	}
	hand.end()
}
