package bench

import (
	"context"

	"evenrim/model"
	"evenrim/ui/photo"
	"evenrim/ui/state"
)

// Size of a thumbnail in the tray, px.
const thumbW, thumbH = 240, 160

// shelfPixels is how many photo pixels are kept ready for the screen: two photos
// of 24 megapixels, so that stepping between neighbours is instant and two
// hundred photos need no more memory than three.
const shelfPixels = 50_000_000

// shelf keeps the pictures shown last, the newest first.
type shelf struct {
	order    []int
	pictures map[int]*photo.Pyramid
	loading  int // ID of the photo being loaded for the screen alone
	cancel   context.CancelFunc
}

func newShelf() *shelf { return &shelf{pictures: map[int]*photo.Pyramid{}} }

func (s *shelf) get(id int) *photo.Pyramid {
	p := s.pictures[id]
	if p != nil {
		s.touch(id)
	}
	return p
}

func (s *shelf) touch(id int) {
	for i, o := range s.order {
		if o == id {
			s.order = append(s.order[:i], s.order[i+1:]...)
			break
		}
	}
	s.order = append([]int{id}, s.order...)
}

func (s *shelf) put(id int, p *photo.Pyramid) {
	s.pictures[id] = p
	s.touch(id)
	total := 0
	for i, o := range s.order {
		w, h := s.pictures[o].Size()
		if total += w * h; total > shelfPixels && i > 0 {
			for _, old := range s.order[i:] {
				delete(s.pictures, old)
			}
			s.order = s.order[:i]
			return
		}
	}
}

func (s *shelf) drop(id int) {
	if _, ok := s.pictures[id]; !ok {
		return
	}
	s.touch(id)
	s.order = s.order[1:]
	delete(s.pictures, id)
}

// showPhoto puts the selected photo's picture into the viewer, loading it if it
// isn't at hand; a new wish cancels the last.
func (p *Page) showPhoto() {
	s := p.state.Selected()
	if s == nil {
		if p.shown != 0 {
			p.shown = 0
			p.viewer.SetPhoto(nil)
		}
		return
	}
	if pyramid := p.shelf.get(s.ID); pyramid != nil {
		if p.shown != s.ID {
			p.shown = s.ID
			p.viewer.SetPhoto(pyramid)
		}
		return
	}
	if p.shown != 0 {
		p.shown = 0
		p.viewer.SetPhoto(nil)
	}
	if s.Stage == state.Working || s.Stage == state.Waiting || s.Stage == state.Refused && s.Info.WidthPx == 0 {
		return // its own run brings the picture, or there is none
	}
	p.load(s)
}

// load decodes a photo for the screen alone.
func (p *Page) load(s *state.Photo) {
	if p.shelf.loading == s.ID {
		return
	}
	if p.shelf.cancel != nil {
		p.shelf.cancel()
	}
	ctx, cancel := context.WithCancel(context.Background())
	id, src := s.ID, s.Source
	p.shelf.loading, p.shelf.cancel = id, cancel
	p.crew.Go(func() {
		defer cancel()
		pic, err := p.deps.Photos.Open(ctx, src)
		var pyramid *photo.Pyramid
		var info model.Photo
		if err == nil {
			pyramid, err = photo.NewPyramid(pic.RGBA())
			info = pic.Info()
			pic.Close()
		}
		stopped := ctx.Err() != nil // now: when the result is taken, ctx is over in any case
		p.crew.Do(func() {
			if p.shelf.loading != id || stopped {
				return
			}
			p.shelf.loading, p.shelf.cancel = 0, nil
			s := p.state.Photo(id)
			if s == nil {
				return
			}
			if err != nil {
				// The reading stands; only its picture can't be shown.
				_, s.Problem = state.Explain(err)
				s.Info.WidthPx = 0
				p.shelf.loading = id // not again and again
				p.refresh()
				return
			}
			if s.Thumb == nil {
				s.Thumb = photo.Thumb(pyramid, thumbW, thumbH)
			}
			if s.Info.WidthPx == 0 {
				s.Info = info
			}
			p.shelf.put(id, pyramid)
			p.refresh()
		})
	})
}
