// Package desk plays a sound check: test signals and the show's own files,
// with a gain for each side and meters on what is heard. It knows no cue and
// no transport, and starts neither.
//
// Whoever gives commands (Do) and whoever draws (Snapshot) never wait for the
// loop that plays (Run), and it never waits for them.
package desk

import (
	"context"
	"fmt"
	"sync/atomic"
	"time"

	"drylane/playback"
	"drylane/playback/loudness"
	"drylane/show/timebase"
)

// Config is what a Desk works with.
type Config struct {
	Sources []Source
	// Open opens a file that a source names.
	Open Opener
	// Output opens an output for that many frames a second. It is called
	// again for a source at another rate; the output before is then still open,
	// silent, and closed right after.
	Output func(rate int) (playback.Output, error)
	// Rate is that of the test signals.
	Rate int
	// Now is the wall clock. Nil means as fast as it can: the output must then
	// hear at once what is written.
	Now func() time.Time
	// Gain of both sides and Level of the test signals at the start; they
	// are brought within what is allowed. Over allows gains above 0 dB.
	Gain  [2]Half
	Level Half
	Over  bool
}

// A Desk plays one source at a time. Make one with New, then Run it, or let it
// PlayOnce.
type Desk struct {
	cfg  Config
	out  playback.Output // nil before the first play, and after the device was lost
	rate int             // of out

	source  int // playing or stopped in; -1 before the first
	feed    *feed
	playing bool
	// Output frame base is frame start of the source; next is the next output
	// frame to write.
	base, next int64
	start, pos frames // pos has been heard
	end        frames // where the source ends; endless when negative
	limit      frames // where PlayOnce stops; none when 0
	started    bool   // the output was told to play

	gain  [2]Half
	mute  [2]bool
	level Half
	over  bool
	ramps [2]ramp

	meter     meter
	peak      [2]float64
	peaks     [2]peakHolder
	loud      [2]loudness.Level // momentary, short-term
	overs     int
	under     int
	buf       [chunk][2]float64
	inbox     inbox
	message   string
	failure   bool // message is one of
	messageAt time.Time
	done      bool
	snap      atomic.Pointer[Snapshot]
}

// chunk is how many frames are rendered in one go.
const chunk = 512

// How long gains take to get where they are set.
const (
	startRamp = 5 * time.Millisecond
	gainRamp  = 20 * time.Millisecond
)

// New returns a desk that plays nothing yet.
func New(cfg Config) *Desk {
	d := &Desk{cfg: cfg, source: -1, over: cfg.Over}
	d.inbox.wake = make(chan struct{}, 1)
	for ch, g := range cfg.Gain {
		d.gain[ch] = max(LeastGain, min(g, d.most()))
	}
	d.level = max(LeastLevel, min(cfg.Level, 0))
	d.quiet()
	d.publish()
	return d
}

// stepEvery is how often the loop looks at the device.
const stepEvery = 5 * time.Millisecond

// Run plays what is asked for until Quit or the end of ctx.
func (d *Desk) Run(ctx context.Context) {
	defer d.shut()
	tick := time.NewTicker(stepEvery)
	defer tick.Stop()
	for d.step() {
		d.publish()
		select {
		case <-ctx.Done():
			return
		case <-d.inbox.wake:
		case <-tick.C:
		}
	}
}

// PlayOnce plays one source for that long, or to its end, and returns. A
// length of 0 is for files: all of it.
func (d *Desk) PlayOnce(ctx context.Context, source int, length time.Duration) error {
	defer d.shut()
	if d.play(source, true); d.playing && length > 0 {
		d.limit = timebase.FrameAt(length, d.rate)
	}
	tick := time.NewTicker(stepEvery)
	defer tick.Stop()
	for d.playing && d.step() {
		if d.cfg.Now == nil {
			if ctx.Err() != nil {
				return ctx.Err()
			}
			continue
		}
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-tick.C:
		}
	}
	if d.failure {
		return fmt.Errorf("%s", d.message)
	}
	return nil
}

// shut silences and gives back everything.
func (d *Desk) shut() {
	d.stop("")
	if d.feed != nil {
		d.feed.close()
	}
	if d.out != nil {
		d.out.Close()
	}
	d.done = true
	d.publish()
}

// step takes what was asked for, hears what was heard and renders ahead. It
// returns false when the desk is to end.
func (d *Desk) step() bool {
	for _, c := range d.inbox.take() {
		if c.Action == leave {
			return false
		}
		d.act(c)
	}
	if d.playing {
		d.listen()
	}
	if d.playing {
		d.fill()
	}
	return true
}

// now is the wall clock, or that of the music where there is none.
func (d *Desk) now() time.Time {
	if d.cfg.Now != nil {
		return d.cfg.Now()
	}
	return time.Unix(0, 0).Add(timebase.Frame(d.next).At(max(1, d.rate)))
}

// say leaves a message for the screen.
func (d *Desk) say(failure bool, format string, a ...any) {
	d.message, d.failure, d.messageAt = fmt.Sprintf(format, a...), failure, d.now()
}
