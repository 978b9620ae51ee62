package soundcheck

import (
	"context"

	"drylane/playback/desk"
	"drylane/tui/screen"
)

// Open gets a sound check ready for its screen; run plays it until it is quit or
// ctx ends.
func Open(l *desk.Library, s desk.Sound, look screen.Look) (setup Setup, run func(ctx context.Context), err error) {
	out, err := desk.NewOutputs(s, l.Rate())
	if err != nil {
		return setup, nil, err
	}
	d := l.Desk(l.Sources, out)
	setup = Setup{Title: l.Title, Desk: d, Sources: l.Sources, Look: look, Quiet: out.Quiet(), Warn: l.Warnings}
	return setup, func(ctx context.Context) { d.Run(ctx); out.Close() }, nil
}
