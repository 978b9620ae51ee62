package listen

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"

	"drylane/playback"
	"drylane/playback/loudness"
	"drylane/show/timebase"
)

// loudnessVersion numbers what Loudness works out.
const loudnessVersion = 1

// Loudness is the wish for loudness and peaks.
type Loudness struct {
	DualMono bool // see loudness.Options
	Result   loudness.Result

	ctx  context.Context // of the measuring, in a goroutine of its own
	stop context.CancelFunc
	pipe *playback.Pipe
	done chan error
}

func (l *Loudness) Key() (string, int) {
	if l.DualMono {
		return "loudness-dual", loudnessVersion
	}
	return "loudness", loudnessVersion
}

func (l *Loudness) Restore(b []byte) error {
	var r loudness.Result
	if err := unmarshal(b, &r); err != nil {
		return err
	}
	if r.Rate <= 0 || r.Frames < 0 || r.Channels < 1 || r.Channels > 2 || len(r.Channel) != r.Channels {
		return errors.New("found stored levels that contradict themselves")
	}
	for _, c := range r.FirstClips {
		if c.Channel < 0 || c.Channel >= r.Channels || c.Frame < 0 {
			return fmt.Errorf("found a stored clip of channel %d at frame %d", c.Channel, c.Frame)
		}
	}
	l.Result = r
	return nil
}

func (l *Loudness) Begin(i playback.Info) error {
	l.ctx, l.stop = context.WithCancel(context.Background())
	pipe := playback.NewPipe()
	l.pipe, l.done = pipe, make(chan error, 1)
	go func() {
		var err error
		l.Result, err = loudness.Measure(l.ctx, pipe, i.Rate, i.Channels, loudness.Options{DualMono: l.DualMono, CutOff: i.CutOff()})
		l.stop() // what is put in from now on is refused
		l.done <- err
	}()
	return nil
}

func (l *Loudness) Take(_ timebase.Frame, frames [][2]float64) error {
	if l.pipe.Put(l.ctx, frames) != nil {
		return l.end(nil)
	}
	return nil
}

func (l *Loudness) Done(playback.Info) ([]byte, error) {
	if err := l.end(nil); err != nil {
		return nil, err
	}
	return json.Marshal(l.Result)
}

func (l *Loudness) Drop() {
	if l.pipe != nil {
		l.stop()
		l.end(context.Canceled)
	}
}

// end ends the measuring and returns its error.
func (l *Loudness) end(why error) error {
	if l.pipe == nil {
		return nil
	}
	l.pipe.End(why)
	l.pipe = nil
	return <-l.done
}
