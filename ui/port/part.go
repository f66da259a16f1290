package port

import (
	"context"

	"evenrim/model"
)

// PartKeeper is a Keeper that takes the names of part and hole with a reading.
type PartKeeper interface {
	KeepOfPart(ctx context.Context, r *model.Reading, photo Source, l PartLabels) (id string, err error)
}

// PartLabels say what a photo of a part shows.
type PartLabels struct {
	Part, Hole string
	HoleAt     *model.Vec // mm; nil = not given
	TurnRad    *float64   // of a turn set; nil = in none
}
