package desk

import (
	"time"

	"drylane/playback/loudness"
)

// A Snapshot is the desk at one moment. It is never changed once published.
type Snapshot struct {
	Source   int // playing, or stopped in; -1 before the first
	Playing  bool
	Position time.Duration // heard, from the beginning of the source
	Length   time.Duration // of the source; 0 when it plays until stopped

	Gain  [2]Half
	Mute  [2]bool
	Level Half // of the test signals, as set
	Over  bool // gains may pass 0 dB

	// Peak is what is heard now, Held the highest of late, Max the highest
	// since it was cleared; 1 is full scale.
	Peak, Held, Max [2]float64
	Overs           int // samples beyond full scale since cleared
	// Loudness of what is heard, after the gains: the last 0.4 s and 3 s.
	Momentary, ShortTerm loudness.Level

	Output    string // empty before the first play and after a loss
	Rate      int    // of the output
	Latency   time.Duration
	Underruns int
	Message   string
	Failure   bool // Message says what went wrong
	MessageAt time.Time
	Done      bool
}

// Snapshot returns the newest snapshot. Safe to call from any goroutine.
func (d *Desk) Snapshot() *Snapshot { return d.snap.Load() }

func (d *Desk) publish() {
	now := d.now()
	s := &Snapshot{
		Source: d.source, Playing: d.playing,
		Gain: d.gain, Mute: d.mute, Level: d.level, Over: d.over,
		Peak: d.peak, Overs: d.overs, Momentary: d.loud[0], ShortTerm: d.loud[1],
		Rate: d.rate, Underruns: d.under, Message: d.message, Failure: d.failure, MessageAt: d.messageAt, Done: d.done,
	}
	for ch := range d.peaks {
		s.Held[ch], s.Max[ch] = d.peaks[ch].at(now), d.peaks[ch].Max
	}
	if d.feed != nil {
		s.Position = d.pos.At(d.feed.rate)
		if d.end >= 0 {
			s.Length = d.end.At(d.feed.rate)
		}
	}
	if d.out != nil {
		s.Output, s.Latency = d.out.Name(), d.out.Latency()
	}
	d.snap.Store(s)
}
