package accents

import (
	"context"
	"io"
	"path/filepath"
	"time"

	"drylane/playback"
	"drylane/playback/phrase"
	"drylane/show/timebase"
)

// Changes finds the moments at which the music of a sound file changes. Its beats come
// from Find, and tell is as for that.
func Changes(ctx context.Context, name string, open func() (io.ReadSeekCloser, error), tell func(what string, part float64)) ([]time.Duration, error) {
	m, err := Find(ctx, name, open, tell)
	if err != nil {
		return nil, err
	}
	l := phrase.NewListener(m.Rate)
	what := "listening for changes in " + filepath.Base(name)
	err = playback.Pass(ctx, name, open, func(start timebase.Frame, frames [][2]float64) error {
		l.Add(frames)
		tell(what, float64(start)/float64(max(1, m.Length)))
		return ctx.Err()
	})
	if err != nil {
		return nil, Stopped(err, name)
	}
	var at []time.Duration
	for _, c := range l.Changes(m.Beats) {
		at = append(at, c.At.At(m.Rate))
	}
	return at, nil
}
