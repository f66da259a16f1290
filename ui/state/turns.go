package state

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"evenrim/model"
)

// Turns is a turn set under way: which photos, and what they say together.
type Turns struct {
	N      int   // photos in the set: 2, half a turn apart, or 4, a quarter
	Photos []int // IDs so far, the first as clamped; 0 = taken off the bench
	again  bool  // a photo was taken off: the part may lie at any place
	// Result is what the photos say together once all have a reading, Set its part that
	// joins them, Joined the same in the form of a reading.
	Result *model.Joined
	Joined *model.Reading
	Set    *model.TurnSet
	Used   []*model.Reading // that Result was made from, in order
	Faulty string           // why they can't be joined

	// ToKeep is what the different pictures say together; nil when there is only one.
	ToKeep  *model.Joined
	Kept    string // the record's name for it; "" = not kept yet
	FromOld bool   // reopened from the record: shown as it was

	names []string // of a set laid away: the record's names of Used; "" = not kept yet
}

func (t *Turns) unkept() bool { return t.ToKeep != nil && (t.Kept == "" || t.Kept == BeingKept) }

// take lays a result on the guide.
func (t *Turns) take(j *model.Joined, used []*model.Reading) {
	t.Result, t.Used, t.Faulty, t.Kept, t.FromOld = j, used, "", "", false
	t.Joined, t.Set, t.ToKeep = nil, nil, nil
	if j != nil {
		t.Joined, t.Set = j.Reading(used[0]), &j.Set
	}
}

// StartTurns begins a turn set with the photo shown as its first; the one under way is
// laid away.
func (b *Bench) StartTurns(n int) {
	b.EndTurns()
	b.Turns = &Turns{N: n}
	if p := b.Selected(); p != nil {
		b.Turns.Photos = []int{p.ID}
	}
	b.joinTurns()
}

// EndTurns lays the guide away; the photos stay, and what they said together is still
// to be kept.
func (b *Bench) EndTurns() {
	if t := b.Turns; t != nil && t.unkept() {
		t.names = make([]string, len(t.Used))
		for k, r := range t.Used {
			if p := b.known(t.Photos[k]); p != nil && p.Reading == r && p.Kept != BeingKept {
				t.names[k] = p.Kept
			}
		}
		b.ended = append(b.ended, t)
	}
	b.Turns = nil
}

// leaveTurns empties the place of a photo that was taken off in the turn set under way.
// What the photos said together with it is still to be kept.
func (b *Bench) leaveTurns(id int) {
	t := b.Turns
	if t == nil || !slices.Contains(t.Photos, id) {
		return
	}
	b.EndTurns()
	b.Turns = &Turns{N: t.N}
	for _, o := range t.Photos {
		if o == id {
			o = 0
		}
		b.Turns.Photos = append(b.Turns.Photos, o)
	}
	for n := len(t.Photos); n > 0 && b.Turns.Photos[n-1] == 0; n-- {
		b.Turns.Photos = b.Turns.Photos[:n-1]
	}
	b.Turns.again = len(b.Turns.Photos) > 0
	b.joinTurns()
}

// ReopenTurns lays a kept turn set on the guide as it was; photos are those of its
// readings, reopened before, in the order of the turn.
func (b *Bench) ReopenTurns(j *model.Joined, kept string, photos []*Photo) {
	b.EndTurns()
	t := &Turns{N: len(photos)}
	var used []*model.Reading
	for _, p := range photos {
		t.Photos = append(t.Photos, p.ID)
		used = append(used, p.Reading)
	}
	t.take(j, used)
	t.Kept, t.FromOld = kept, true
	b.Turns = t
	b.Select(photos[0].ID)
}

// unkeptSets are the joined turn sets that the record doesn't have yet.
func (b *Bench) unkeptSets() (sets []*Turns) {
	for _, t := range append(slices.Clip(b.ended), b.Turns) {
		if t != nil && t.unkept() {
			sets = append(sets, t)
		}
	}
	return sets
}

// UnkeptTurns are the turn sets that can be kept now: joined, and every reading that is to
// be kept with them in the record. members are those readings' names there. A set that
// was laid away is among them until it is kept.
func (b *Bench) UnkeptTurns() (sets []*Turns, members [][]string) {
	b.ended = slices.DeleteFunc(b.ended, func(t *Turns) bool {
		_, stands := b.keptNames(t)
		return !t.unkept() || !stands
	})
	b.forget()
	for _, t := range b.unkeptSets() {
		if names, _ := b.keptNames(t); names != nil && t.Kept == "" {
			sets, members = append(sets, t), append(members, names)
		}
	}
	return sets, members
}

// TurnsWaiting is how many joined turn sets still wait for a reading of theirs to be
// kept.
func (b *Bench) TurnsWaiting() (n int) {
	for _, t := range b.unkeptSets() {
		if names, stands := b.keptNames(t); stands && names == nil {
			n++
		}
	}
	return n
}

// keptNames are the record's names of a set's readings, each picture once, nil while one
// is missing. stands is false when one will never be there: its photo was read anew before
// it was kept, or is a sample.
func (b *Bench) keptNames(t *Turns) (names []string, stands bool) {
	different, _ := model.DistinctPhotos(t.Used)
	missing := false
	for k := range t.Used {
		if !different[k] {
			continue
		}
		name, stands := b.keptName(t, k)
		if !stands {
			return nil, false
		}
		missing = missing || name == ""
		names = append(names, name)
	}
	if missing {
		return nil, true
	}
	return names, true
}

// keptName is the record's name of a set's reading, "" while it has none.
func (b *Bench) keptName(t *Turns, k int) (name string, stands bool) {
	if k < len(t.names) && t.names[k] != "" {
		return t.names[k], true
	}
	switch p := b.known(t.Photos[k]); {
	case p == nil || p.Source.Sample:
		return "", false
	case p.keeping == t.Used[k]:
		return "", true
	case p.Reading != t.Used[k]:
		return "", false
	default:
		return p.Kept, true
	}
}

// turnOf is how far photo k is turned from the first, rad, counter-clockwise seen
// from above.
func (t *Turns) turnOf(k int) float64 { return 2 * math.Pi * float64(k) / float64(t.N) }

// next is the first place of the set without a photo, N when each has one.
func (t *Turns) next() int {
	if k := slices.Index(t.Photos, 0); k >= 0 {
		return k
	}
	return len(t.Photos)
}

// joinTurn makes a photo that is laid on the bench the set's next one. Turned
// counter-clockwise seen from above, +X turns counter-clockwise on the screen.
func (b *Bench) joinTurn(p *Photo) {
	t := b.Turns
	if t == nil || t.next() >= t.N {
		return
	}
	k := t.next()
	for i, id := range t.Photos {
		if o := b.Photo(id); o != nil {
			p.Card.PlusX = math.Remainder(o.Card.PlusX+t.turnOf(k)-t.turnOf(i), 2*math.Pi)
			break
		}
	}
	if k == len(t.Photos) {
		t.Photos = append(t.Photos, 0)
	}
	t.Photos[k] = p.ID
}

func (b *Bench) first() *Photo {
	if b.Turns == nil || len(b.Turns.Photos) == 0 {
		return nil
	}
	return b.Photo(b.Turns.Photos[0])
}

// turnsFollow keeps +X of the later photos in step with the first one's, unless
// it was set by hand there.
func (b *Bench) turnsFollow(changed *Photo, before float64) (e Effects) {
	t := b.Turns
	if t == nil || changed != b.first() || changed.Card.PlusX == before {
		return e
	}
	for k, id := range t.Photos[1:] {
		p := b.Photo(id)
		if p == nil || math.Abs(math.Remainder(p.Card.PlusX-before-t.turnOf(k+1), 2*math.Pi)) > 1e-6 {
			continue
		}
		card := p.Card
		card.PlusX = math.Remainder(changed.Card.PlusX+t.turnOf(k+1), 2*math.Pi)
		e.give(p, card, true)
	}
	return e
}

// joinTurns says what the photos say together, once they all have a reading.
func (b *Bench) joinTurns() {
	t := b.Turns
	if t == nil {
		return
	}
	b.findCopies()
	var used []*model.Reading
	turns := make([]float64, 0, t.N)
	for k, id := range t.Photos {
		p := b.Photo(id)
		if p == nil || p.Reading == nil || p.Stage != Done || !p.upToDate() {
			continue
		}
		used = append(used, p.Reading)
		turns = append(turns, t.turnOf(k))
	}
	if len(used) < t.N {
		t.take(nil, nil)
		return
	}
	if sameReadings(used, t.Used) {
		return
	}
	t.take(nil, used)
	h, err := model.JoinHole("", nil, used, turns)
	if err != nil {
		t.Faulty = "These photos cannot be joined: they must show one hole under one job card."
		return
	}
	t.take(h.Joined(b.Version, time.Now()), used)
	t.ToKeep = t.ofDifferent(turns)
}

// upToDate is false while a photo's reading is of another job card, or another +X, than
// it has now: a new one is on its way, and joining the old would give a wrong number.
func (p *Photo) upToDate() bool {
	card := p.Card.WithDefaults()
	return p.FromOld || p.answered == p.solve && !CardDiffers(p.Reading.Job, card) && p.Reading.Job.PlusX == card.PlusX
}

func sameReadings(a, b []*model.Reading) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if a[i] != b[i] {
			return false
		}
	}
	return true
}

// TurnsTitle says above a joined result what it was joined from.
func TurnsTitle(t *model.TurnSet) string {
	words := fmt.Sprintf("Turn set of %d photos, ", len(t.Turns))
	switch n := t.Pictures(); n {
	case len(t.Turns):
		return words + "joined"
	case 1:
		return words + "all one picture"
	default:
		return words + fmt.Sprintf("%d of them joined", n)
	}
}

// TurnWords is what the guide says.
type TurnWords struct {
	Head, Text string
	Want       bool // another photo
}

// layWords says how the part must lie for photo k, by a photo that is there.
func (t *Turns) layWords(k int) string {
	at := slices.IndexFunc(t.Photos, func(id int) bool { return id != 0 })
	quarters := (k - at) * 4 / t.N
	way := "counter-clockwise"
	if quarters < 0 {
		quarters, way = -quarters, "clockwise"
	}
	turn := []string{"", "a quarter turn", "half a turn", "three quarters of a turn"}[quarters]
	return fmt.Sprintf("The part must lie %s %s from how it lay for photo %d, seen from above, the hole at the same place.", turn, way, at+1)
}

// GuideWords words a turn set under way.
func (b *Bench) GuideWords() TurnWords {
	t := b.Turns
	if t == nil {
		return TurnWords{}
	}
	k := t.next()
	turn := "half a turn"
	if t.N == 4 {
		turn = "a quarter turn"
	}
	u := b.Units
	switch head := fmt.Sprintf("Photo %d of %d", k+1, t.N); {
	case k < t.N && t.again:
		// Where the part lies now, nobody knows: by how much to turn it can't be said.
		return TurnWords{Head: head, Text: "Leave camera and light as they are. " + t.layWords(k) + " Take the photo and open it. Spindle stopped, part at rest.", Want: true}
	case k == 0:
		return TurnWords{Head: head, Text: "Open the first photo, with the part as it lies. Then leave camera and light as they are.", Want: true}
	case k < t.N:
		return TurnWords{Head: head,
			Text: "Leave camera and light as they are. Turn the part by " + turn + ", counter-clockwise seen from above, the hole at the same place. Take the photo and open it. Spindle stopped, part at rest.", Want: true}
	case t.Faulty != "":
		return TurnWords{Head: "Not joined", Text: t.Faulty}
	case t.Joined == nil:
		return TurnWords{Head: fmt.Sprintf("All %d photos are here", t.N), Text: "Each of them needs a reading: look at its card in the tray."}
	}
	_, same := model.DistinctPhotos(t.Used)
	// A set that an older version kept may have counted a picture twice: it stays as it was.
	same = slices.DeleteFunc(same, func(w string) bool { return !slices.Contains(t.Set.Warnings, w) })
	if t.Set.Pictures() == 1 {
		same = append(same, "Turning took nothing out. Close this, turn the part by "+turn+", and begin again with a photo of its own for each turn.")
		return TurnWords{Head: "One picture", Text: strings.Join(same, " ")}
	}
	bias := t.Set.CameraBias
	text := fmt.Sprintf("Turning took out what camera and light had wrong: %s %s.", length(u, bias.Norm(), t.Set.U95MM), plusMinus(u, model.U95(t.Set.CameraBiasCov)))
	if t.Set.Gain > 1.05 {
		text += fmt.Sprintf(" Together the photos are %.1f times as sure as one.", t.Set.Gain)
	}
	return TurnWords{Head: "Joined", Text: strings.Join(append(same, text), " ")}
}
