package accents

import (
	"context"
	"time"

	"drylane/playback/listen"
)

// Changes finds the moments at which the music of a sound file changes.
func Changes(ctx context.Context, f listen.File, tell listen.Tell) ([]time.Duration, error) {
	o := new(listen.Onsets)
	c := &listen.Changes{Onsets: o}
	if err := listen.To(ctx, f, tell, o, c); err != nil {
		return nil, err
	}
	var at []time.Duration
	for _, x := range c.List {
		at = append(at, x.At.At(o.Music.Rate))
	}
	return at, nil
}
