package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"time"

	"drylane/playback"
	"drylane/playback/sink"
	"drylane/playback/synth"
	"drylane/show/timebase"

	"github.com/charmbracelet/x/term"
)

// clickRate is the rate of the metronome's sound.
const clickRate = 48000

// errLeft is the error of a calibration that was given up.
var errLeft = errors.New("left before the end; nothing was kept")

// clicksOn opens the output that the clicks are heard on.
func (c calibrateCmd) clicksOn() (playback.Output, error) {
	s, err := sink.Place{Where: c.Out, Speed: "1", Latency: c.Latency}.Sink(clickRate, 50*time.Millisecond)
	if err != nil {
		return nil, err
	}
	if s.Quiet || s.Now == nil {
		s.Finish(false)
		return nil, errors.New("no sound device: the clicks must be heard; connect one, or give the taps with --taps FILE")
	}
	return s.Open()
}

// listen plays the metronome and takes the taps of the person at the keys.
func (c calibrateCmd) listen(e *env) (ticks, taps []time.Duration, name string, err error) {
	out, err := c.clicksOn()
	if err != nil {
		return nil, nil, "", err
	}
	defer out.Close()
	fmt.Fprintf(e.out, "Clicks come on %s. Tap space, j or f on each as you hear it, %d times; q leaves.\n", out.Name(), wantTaps)
	old, err := term.MakeRaw(e.in.Fd())
	if err != nil {
		return nil, nil, "", fmt.Errorf("the terminal cannot be read key by key: %w", err)
	}
	defer term.Restore(e.in.Fd(), old)
	keys := make(chan press)
	done := make(chan struct{})
	defer close(done)
	go readPresses(e.in, time.Now, keys, done)
	ticks, taps, err = playMetronome(e.ctx, out, keys, func(n int) { fmt.Fprintf(e.out, "\r%d of %d ", n, wantTaps) })
	fmt.Fprint(e.out, "\r\n")
	return ticks, taps, out.Name(), err
}

// playMetronome plays the clicks on out and takes taps from keys, in real time.
func playMetronome(ctx context.Context, out playback.Output, keys <-chan press, progress func(int)) (ticks, taps []time.Duration, err error) {
	tick := time.NewTicker(5 * time.Millisecond)
	defer tick.Stop()
	m := metronome{out: out, now: time.Now, wake: tick.C, keys: keys, progress: progress}
	return m.run(ctx)
}

// A press is a key and when it went down.
type press struct {
	at   time.Time
	quit bool
}

// readPresses reads keys from a raw terminal until it ends or done is closed.
func readPresses(r io.Reader, now func() time.Time, keys chan<- press, done <-chan struct{}) {
	buf := make([]byte, 64)
	for {
		n, err := r.Read(buf)
		at := now()
		for _, p := range presses(buf[:n], at) {
			select {
			case keys <- p:
			case <-done:
				return
			}
		}
		if err != nil {
			select {
			case keys <- press{at, true}:
			case <-done:
			}
			return
		}
	}
}

// presses are the keys in what came at one moment. Arrow keys and the like
// come as several bytes that begin with an escape; they are nothing here.
func presses(b []byte, at time.Time) []press {
	const escape, interrupt = 27, 3
	if len(b) > 1 && b[0] == escape {
		return nil
	}
	for _, c := range b {
		switch c {
		case 'q', interrupt, escape:
			return []press{{at, true}}
		case ' ', 'j', 'f':
			return []press{{at, false}} // what comes together is one tap
		}
	}
	return nil
}

// A metronome plays ticks and notes what was heard at each key press.
type metronome struct {
	out      playback.Output
	now      func() time.Time
	wake     <-chan time.Time // when to look at the output
	keys     <-chan press
	progress func(taps int)

	clicks  playback.Voices
	written timebase.Frame
	heard   timebase.Frame // at the moment seen
	seen    time.Time
	buf     [1024][2]float64
}

// run plays until there are enough taps or the ticks are over. The times are
// heard times.
func (m *metronome) run(ctx context.Context) (ticks, taps []time.Duration, err error) {
	click := synth.Click(clickRate)
	all := ticksUntil(time.Hour, mostTicks)
	for i, at := range all {
		m.clicks.Add(playback.Voice{ID: i, Start: timebase.FrameAt(at, clickRate), Sound: click})
	}
	end := all[len(all)-1] + tickEvery
	if err := m.fill(); err != nil {
		return nil, nil, err
	}
	if err := m.out.Start(); err != nil {
		return nil, nil, err
	}
	for {
		if err := m.look(); err != nil {
			return nil, nil, err
		}
		at := m.heard.At(clickRate)
		if at >= end || len(taps) == wantTaps {
			return ticksUntil(at+tickEvery/2, mostTicks), taps, nil
		}
		select {
		case <-ctx.Done():
			return nil, nil, errLeft
		case p := <-m.keys:
			if p.quit {
				return nil, nil, errLeft
			}
			if tap := m.heardAt(p.at); tap > firstTick-tickEvery/2 {
				taps = append(taps, tap)
				m.progress(len(taps))
			}
		case <-m.wake:
		}
	}
}

// look asks the output what is heard and gives it more to play.
func (m *metronome) look() error {
	heard, err := m.out.Heard()
	if err != nil {
		return err
	}
	m.heard, m.seen = timebase.Frame(heard), m.now()
	return m.fill()
}

func (m *metronome) fill() error {
	for n := m.out.Space(); n > 0; n = m.out.Space() {
		part := m.buf[:min(n, len(m.buf))]
		clear(part)
		m.clicks.MixInto(part, m.written, [2]float64{1, 1})
		if err := m.out.Write(part); err != nil {
			return err
		}
		m.written += timebase.Frame(len(part))
	}
	return nil
}

// heardAt is what was heard at a moment close to when the output was last
// looked at.
func (m *metronome) heardAt(at time.Time) time.Duration {
	return m.heard.At(clickRate) + at.Sub(m.seen)
}
