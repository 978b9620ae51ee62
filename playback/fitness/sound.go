package fitness

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"drylane/playback"
	"drylane/playback/input"
	"drylane/playback/internal/dsp"
	"drylane/playback/output"
	"drylane/show/fitness"
	"drylane/show/timebase"
)

// What is played: a click every half second, quiet, from the first on.
const (
	Rate = 48000 // frames a second

	first = time.Second
	pause = 500 * time.Millisecond
	level = -30.0 // dBFS
)

// A Run measures the sound, and the timers and the clock while it plays.
type Run struct {
	Out    playback.Output // nil: there is no sound, and the others are measured all the same
	Server string          // what it plays through
	Ear    input.Input     // nil: nothing is taken in
	By     fitness.By      // what the ear is
	Length time.Duration
	Tell   func(part float64) // how much is done; may be nil

	written int64
	told    []told
	sound   []float64 // what was taken in
}

// told is a click and the frame of the ear at which it is captured if the output is
// right.
type told struct {
	at  timebase.Frame // of its first frame in what is played
	ear float64
}

// Listening are the options of the input that hears what an output plays.
func Listening(o output.Options, by fitness.By) input.Options {
	if by == fitness.Microphone {
		return input.Options{Server: o.Server, AppName: o.AppName, Microphone: true}
	}
	return input.Options{Server: o.Server, AppName: o.AppName, Device: o.Device, Playing: true}
}

// Measure plays and fills the figures.
func (r *Run) Measure(ctx context.Context, f *fitness.Figures) error {
	if r.Out != nil {
		f.Sound = &fitness.Sound{Name: r.Out.Name(), Server: r.Server, Rate: Rate, Latency: fitness.Milliseconds(r.Out.Latency())}
		if err := r.begin(ctx); err != nil {
			f.Sound = nil
			return err
		}
	}
	var w watch
	began := time.Now()
	err := w.every(ctx, r.Length, func() error {
		if r.Tell != nil {
			r.Tell(time.Since(began).Seconds() / r.Length.Seconds())
		}
		return r.step()
	})
	if err != nil {
		return err
	}
	f.Timer, f.Clock = w.timer(), w.clock()
	if r.Out != nil {
		f.Sound.Played, f.Sound.Underruns = fitness.Milliseconds(time.Since(began).Round(time.Millisecond)), r.Out.Underruns()
	}
	if r.Ear != nil {
		f.Loop = r.loop()
	}
	return nil
}

// errPlaysNothing is the error of a device that is there and plays nothing.
var errPlaysNothing = fmt.Errorf("%w: it takes sound and plays none", playback.ErrDeviceSilent)

// longestStart is how long a device that has been asleep may take to play.
const longestStart = 5 * time.Second

// begin starts the output and waits until it plays on: a device may have been asleep,
// and some begin with a start and a pause. That is none of what is measured.
func (r *Run) begin(ctx context.Context) error {
	if err := r.feed(); err != nil {
		return err
	}
	if err := r.Out.Start(); err != nil {
		return err
	}
	heard := errors.New("heard")
	err := new(watch).every(ctx, longestStart, func() error {
		if at, err := r.Out.Heard(); err != nil || at > int64(timebase.FrameAt(first/2, Rate)) {
			return cmp.Or(err, heard)
		}
		return r.step()
	})
	switch err {
	case heard:
		return nil
	case nil:
		return errPlaysNothing
	}
	return err
}

// feed writes what there is room for.
func (r *Run) feed() error {
	frames := make([][2]float64, r.Out.Space())
	for i := range frames {
		x := wave(timebase.Frame(r.written + int64(i)))
		frames[i] = [2]float64{x, x}
	}
	if len(frames) == 0 {
		return nil
	}
	err := r.Out.Write(frames)
	r.written += int64(len(frames))
	return err
}

var (
	clickAtRate = click(Rate)
	gain        = dsp.Gain(level)
)

// start is the first frame of a click, counted from 0.
func start(n int) timebase.Frame {
	return timebase.FrameAt(first+time.Duration(n)*pause, Rate)
}

// wave is the frame of what is played.
func wave(at timebase.Frame) float64 {
	since := at - start(0)
	if since < 0 {
		return 0
	}
	if i := int(since % timebase.FrameAt(pause, Rate)); i < len(clickAtRate) {
		return gain * clickAtRate[i]
	}
	return 0
}

// step sees to the sound once.
func (r *Run) step() error {
	if r.Out != nil {
		if err := r.feed(); err != nil {
			return err
		}
	}
	if r.Ear == nil {
		return nil
	}
	if err := r.listen(); err != nil {
		return err
	}
	heard, err := r.Out.Heard()
	if err != nil {
		return err
	}
	now := time.Now()
	if t, ok := r.Out.(output.Timed); ok {
		if at, ok := t.Sounding(now); ok {
			heard = at
		}
	}
	for n := len(r.told); heard >= int64(start(n)); n++ {
		since := timebase.Frame(heard - int64(start(n))).At(Rate)
		r.told = append(r.told, told{start(n), r.Ear.Captured(now.Add(-since))})
	}
	return nil
}

// listen takes in what has come.
func (r *Run) listen() error {
	frames := make([][2]float64, 4096)
	for {
		n, err := r.Ear.Read(frames)
		for _, x := range frames[:n] {
			r.sound = append(r.sound, (x[0]+x[1])/2)
		}
		if err != nil || n < len(frames) {
			return err
		}
	}
}

// How far from where the output says a click is looked for.
const (
	earlier = 100 * time.Millisecond
	later   = 390 * time.Millisecond
)

// loop finds the clicks again.
func (r *Run) loop() *fitness.Loop {
	hz := r.Ear.Rate()
	wanted := click(hz)
	l := &fitness.Loop{By: r.By}
	var late []time.Duration
	for _, t := range r.told {
		from, to := int(t.ear)-int(timebase.FrameAt(earlier, hz)), int(t.ear)+int(timebase.FrameAt(later, hz))
		if to+len(wanted) > len(r.sound) { // it has yet to come in
			break
		}
		l.Sent++
		if at, ok := find(r.sound, wanted, from, to); ok {
			late = append(late, time.Duration((at-t.ear)/float64(hz)*float64(time.Second)))
		}
	}
	l.Found = len(late)
	if len(late) == 0 {
		return l
	}
	slices.Sort(late)
	middle := at(late, 0.5)
	for i, x := range late {
		late[i] = (x - middle).Abs()
	}
	slices.Sort(late)
	l.Late, l.Spread = fitness.Milliseconds(middle), fitness.Milliseconds(at(late, 0.99))
	return l
}

// ServerOf is what plays, without the name of the device.
func ServerOf(name string) string {
	server, _, _ := strings.Cut(name, ",")
	return server
}
