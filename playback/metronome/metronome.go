// Package metronome plays clicks on an output, and tells which moments were
// heard while somebody tapped along.
package metronome

import (
	"context"
	"time"

	"drylane/playback"
	"drylane/playback/synth"
	"drylane/show/timebase"
)

// Rate is the sample rate of the clicks: an output for them must have it.
const Rate = 48000

// The clicks: slow enough to tap each one on its own, quick enough to stay with
// them. Beyond some 2 s people react instead (Repp and Doggett 2007).
const (
	First = 2 * time.Second        // the first click, from the start of the sound
	Every = 600 * time.Millisecond // from click to click
)

// Wanted is how many taps are enough. There are twice as many clicks: who lets the
// first ones go to find the beat, and misses some, still gets there.
const (
	Wanted = 24
	most   = 2 * Wanted
)

// Clicks returns the times of the clicks up to t, from the start of the sound;
// no more than limit of them.
func Clicks(t time.Duration, limit int) []time.Duration {
	var at []time.Duration
	for c := First; c <= t && len(at) < limit; c += Every {
		at = append(at, c)
	}
	return at
}

// Play plays clicks on out, which it starts, and takes taps, each the moment at
// which a key went down, until there are Wanted of them or the clicks are over.
// It returns the clicks that were heard and what was heard at each tap, both
// from the start of the sound. progress is told how many taps there are. The
// error is the output's, or the context's if that ends first.
func Play(ctx context.Context, out playback.Output, taps <-chan time.Time, progress func(taps int)) (clicks, heard []time.Duration, err error) {
	wake := time.NewTicker(5 * time.Millisecond)
	defer wake.Stop()
	p := newPlayer(out)
	if err := p.fill(); err != nil {
		return nil, nil, err
	}
	if err := out.Start(); err != nil {
		return nil, nil, err
	}
	const end = First + most*Every
	for {
		if err := p.look(); err != nil {
			return nil, nil, err
		}
		if at := p.heard.At(Rate); at >= end || len(heard) == Wanted {
			return Clicks(at+Every/2, most), heard, nil
		}
		select {
		case <-ctx.Done():
			return nil, nil, ctx.Err()
		case tap := <-taps:
			if at := p.heardAt(tap); at > First-Every/2 {
				heard = append(heard, at)
				progress(len(heard))
			}
		case <-wake.C:
		}
	}
}

// A player keeps an output filled and knows what is heard of it.
type player struct {
	out     playback.Output
	clicks  playback.Voices
	written timebase.Frame
	heard   timebase.Frame // at the moment seen
	seen    time.Time
	buf     [1024][2]float64
}

func newPlayer(out playback.Output) *player {
	p := &player{out: out}
	click := synth.Click(Rate)
	for i, at := range Clicks(time.Hour, most) {
		p.clicks.Add(playback.Voice{ID: i, Start: timebase.FrameAt(at, Rate), Sound: click})
	}
	return p
}

// look asks the output what is heard and gives it more to play.
func (p *player) look() error {
	heard, err := p.out.Heard()
	if err != nil {
		return err
	}
	p.heard, p.seen = timebase.Frame(heard), time.Now()
	return p.fill()
}

func (p *player) fill() error {
	for n := p.out.Space(); n > 0; n = p.out.Space() {
		part := p.buf[:min(n, len(p.buf))]
		clear(part)
		p.clicks.MixInto(part, p.written, [2]float64{1, 1})
		if err := p.out.Write(part); err != nil {
			return err
		}
		p.written += timebase.Frame(len(part))
	}
	return nil
}

// heardAt is what was heard at a moment close to when the output was last
// looked at.
func (p *player) heardAt(at time.Time) time.Duration {
	return p.heard.At(Rate) + at.Sub(p.seen)
}
