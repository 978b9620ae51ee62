package desk

import (
	"sync"
	"time"
)

// An Action is what a Command asks for.
type Action uint8

// The actions of a check.
const (
	Play   Action = iota // Source; goes on from where that source was stopped
	Top                  // Source, from its beginning
	Stop                 // at once
	Gain                 // Side by Step
	Mute                 // Side, and back
	Level                // of the test signals by Step
	Wind                 // a file by By
	Over                 // let the gain pass 0 dB, or no longer
	Low                  // both gains to LowGain
	Forget               // the highest peaks and the count of overs
	leave
)

// A Side is one of the channels, or both.
type Side uint8

// The sides.
const (
	Left Side = iota
	Right
	Both
)

// A Command is one thing asked of a Desk.
type Command struct {
	Action Action
	Source int // index into Config.Sources
	Side   Side
	Step   Half
	By     time.Duration
}

// An inbox holds what was asked for until the loop takes it. It never blocks
// and never drops: the stop may be the last thing in it.
type inbox struct {
	mu   sync.Mutex
	list []Command
	wake chan struct{}
}

func (b *inbox) put(c Command) {
	b.mu.Lock()
	b.list = append(b.list, c)
	b.mu.Unlock()
	select {
	case b.wake <- struct{}{}:
	default:
	}
}

func (b *inbox) take() []Command {
	b.mu.Lock()
	defer b.mu.Unlock()
	list := b.list
	b.list = nil
	return list
}

// Do asks the desk to do something and returns at once. Safe to call from any
// goroutine.
func (d *Desk) Do(c Command) { d.inbox.put(c) }

// Quit stops the sound and ends Run. Safe to call from any goroutine.
func (d *Desk) Quit() { d.inbox.put(Command{Action: leave}) }

// act does what was asked for.
func (d *Desk) act(c Command) {
	switch c.Action {
	case Play, Top:
		d.play(c.Source, c.Action == Top)
	case Stop:
		d.stop("")
	case Gain:
		d.each(c.Side, func(ch int) { d.gain[ch] = max(LeastGain, min(d.gain[ch]+c.Step, d.most())) })
	case Mute:
		d.each(c.Side, func(ch int) { d.mute[ch] = !d.mute[ch] })
	case Level:
		d.level = max(LeastLevel, min(d.level+c.Step, 0))
		d.retune(gainRamp)
	case Wind:
		d.wind(c.By)
	case Over:
		d.over = !d.over
		d.each(Both, func(ch int) { d.gain[ch] = min(d.gain[ch], d.most()) })
	case Low:
		d.each(Both, func(ch int) { d.gain[ch] = LowGain })
	case Forget:
		d.peaks, d.overs = [2]peakHolder{}, 0
	}
}

// each does something to one or both channels and lets the sound follow.
func (d *Desk) each(s Side, do func(ch int)) {
	for ch := range d.gain {
		if s == Both || int(s) == ch {
			do(ch)
		}
	}
	d.retune(gainRamp)
}

// most is the highest gain now.
func (d *Desk) most() Half {
	if d.over {
		return OverGain
	}
	return MostGain
}
