package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"

	"evenrim/model"
	"evenrim/model/record"
	"evenrim/model/whole"
	"evenrim/ui/port"
)

// cardFile keeps job cards in one file of the data folder. It is small, so each
// change writes all of it beside the old one and moves it into place: whole or
// not at all.
type cardFile struct {
	dir string
	err error // why the data folder can't be used

	mu sync.Mutex
}

var _ port.Cards = (*cardFile)(nil)

func newCardFile(store *record.Store, err error) *cardFile {
	if err != nil {
		return &cardFile{err: err}
	}
	return &cardFile{dir: store.Dir()}
}

// cardFileName is the file; its format is a list of model.JobCard.
const cardFileName = "job-cards.json"

func (c *cardFile) path() string { return filepath.Join(c.dir, cardFileName) }

// All implements port.Cards.
func (c *cardFile) All() ([]model.JobCard, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.read()
}

func (c *cardFile) read() ([]model.JobCard, error) {
	if c.err != nil {
		return nil, c.err
	}
	data, err := os.ReadFile(c.path())
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("The job cards cannot be read: %w", err)
	}
	var cards []model.JobCard
	if err := json.Unmarshal(data, &cards); err != nil {
		return nil, fmt.Errorf("The job cards in %s cannot be read (%w). Mend the file or move it away; nothing is written over it.", c.path(), err)
	}
	return cards, nil
}

// Save implements port.Cards.
func (c *cardFile) Save(card model.JobCard) error {
	if strings.TrimSpace(card.Name) == "" {
		return errors.New("Give the job card a name first.")
	}
	return c.change(func(cards []model.JobCard) []model.JobCard {
		return append(without(cards, card.Name), card)
	})
}

// Delete implements port.Cards.
func (c *cardFile) Delete(name string) error {
	return c.change(func(cards []model.JobCard) []model.JobCard { return without(cards, name) })
}

func without(cards []model.JobCard, name string) []model.JobCard {
	return slices.DeleteFunc(cards, func(o model.JobCard) bool { return strings.EqualFold(o.Name, name) })
}

func (c *cardFile) change(f func([]model.JobCard) []model.JobCard) error {
	c.mu.Lock()
	defer c.mu.Unlock()
	cards, err := c.read()
	if err != nil {
		return err
	}
	cards = f(cards)
	slices.SortFunc(cards, func(a, b model.JobCard) int {
		return strings.Compare(strings.ToLower(a.Name), strings.ToLower(b.Name))
	})
	data, err := json.MarshalIndent(cards, "", "\t")
	if err != nil {
		return fmt.Errorf("The job card cannot be written: %w", err)
	}
	if err := whole.Bytes(c.path(), 0o600, data); err != nil {
		return fmt.Errorf("The job card was not kept: %w", err)
	}
	return nil
}
