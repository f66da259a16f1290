package main

import (
	"context"

	"evenrim/assets"
	"evenrim/model"
	"evenrim/model/record"
	"evenrim/ui/part"
	"evenrim/ui/port"
)

// samplePart is the part that ships with the program, for the Part page.
func samplePart() *part.Sample {
	s := assets.Part()
	return &part.Sample{Readings: s.Readings, Walls: s.Walls, Photos: s.Photos}
}

var _ port.PartKeeper = (*shelf)(nil)

// KeepOfPart implements port.PartKeeper.
func (s *shelf) KeepOfPart(ctx context.Context, r *model.Reading, photo port.Source, l port.PartLabels) (string, error) {
	if s.err != nil {
		return "", s.err
	}
	data, err := photoBytes(photo)
	if err != nil {
		return "", err
	}
	id, _, err := s.store.KeepInPlace(ctx, r, data, record.Labels{Part: l.Part, Hole: l.Hole, HoleAt: l.HoleAt, TurnRad: l.TurnRad}, whoAmI())
	return idText(id), err
}
