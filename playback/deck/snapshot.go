package deck

import (
	"cmp"
	"time"

	"drylane/show"
	"drylane/show/ready"
	"drylane/show/timebase"
)

// An Urgency says how loudly a message is to be shown.
type Urgency uint8

// The urgencies.
const (
	Plain Urgency = iota
	Alarm
)

// A Message is the last thing the deck had to say.
type Message struct {
	Urgency Urgency
	Text    string
	At      time.Time
}

// A Snapshot is everything a screen needs, at one moment. It is never changed
// once published.
type Snapshot struct {
	Transport show.Transport
	Wall      time.Time // when it was taken
	Since     time.Time // when the state began
	Stood     time.Time // when the music last stopped; zero: as the state began
	Rendered  timebase.Frame
	Sounds    *timebase.Frame // the frame that sounds at Wall; see Deck.sounds
	Unheard   []show.Group    // what a drill lets nobody hear: the music, without a name, and the calls of positions
	Speed     float64
	Level     [2]float64 // peak of what is heard, 0..1
	Listening string     // the companion heard in place of the music; empty for the music
	Source    int        // what was last asked for: 0 the music, else 1 + the companion's index
	Second    *SecondNow // nil when there is no second output
	Output    string
	Silent    bool // no device: the wall clock drives the run
	Soundless bool // the output is a clock that plays nothing, for want of a device or as asked for
	Lost      bool // the device went away
	Latency   time.Duration
	Underruns int
	Logged    int64 // the last event written to the log
	LogErr    error
	// DiskBehind is for how long what has been written to the log has waited to be
	// safe from a power cut. Unwritten says that there are events in this snapshot
	// which are not yet written at all, so that a crash would lose them.
	DiskBehind time.Duration
	Unwritten  bool
	Taps       []Tap
	Message    Message
	Why        string      // while the show is held: who called for the hold and why, whatever was said since
	Radio      []RadioCall // messages from the field, the latest last
	Late       []LateOne   // what a drill let go while the music stood still
	Refused    int         // commands that were refused
	Trouble    bool        // held by the engine: device lost, music broken off
	Over       bool        // the drill is over
	Stops      []string    // what forbids arming
	Field      *FieldNow   // nil when there is no field board
	Ready      *ready.List // nil when nobody is asked before the arming
	Safe       *SafeNow    // nil when nobody keeps a book of who is in the field
	ResumesAt  time.Time   // end of a count-in; zero when nothing is counted in
	Ticked     int         // lines of the hold checklist
	Said       show.Sayings
	Again      Again      // what is done only when it is asked for again
	Follow     *FollowNow // how the music stands that somebody else plays; nil when it is played here
	Done       bool

	entries int64 // of the log that tell of all this
}

// SecondNow is the second output, at one moment.
type SecondNow struct {
	Name   string
	Output string
	Lost   bool
	Silent bool          // its device plays nothing
	Off    time.Duration // by how much it was ahead of the first when last measured
}

// Snapshot returns the latest snapshot. Safe to call from any goroutine.
func (d *Deck) Snapshot() *Snapshot { return d.snap.Load() }

// HeardAt estimates the frame that is heard at wall time t, from the last
// report of the device. It is for stamping keys and drawing; nothing fires by it.
func (s *Snapshot) HeardAt(t time.Time) timebase.Frame {
	f := s.Transport.Heard()
	if s.Transport.State() != show.Running {
		return f
	}
	passed := time.Duration(float64(t.Sub(s.Wall)) * s.Speed)
	rate := s.Transport.Plan().Rate
	return max(f-timebase.FrameAt(stepEvery*2, rate), min(f+timebase.FrameAt(passed, rate), max(f, s.Rendered)))
}

// Stopped returns how long the music has stood still at wall time t, 0 while
// it runs: what was lit burns on all the same, held or cut.
func (s *Snapshot) Stopped(t time.Time) time.Duration {
	switch s.Transport.State() {
	case show.Held, show.Safe, show.Ended:
		from := s.Stood
		if from.IsZero() {
			from = s.Since
		}
		return max(0, t.Sub(from))
	}
	return 0
}

func (d *Deck) say(u Urgency, text string) { d.message = Message{u, text, d.clock.Now()} }

// picture takes a snapshot.
func (d *Deck) picture() *Snapshot {
	heard := d.t.Heard()
	s := &Snapshot{
		Transport: *d.t, Wall: d.clock.Now(), Since: d.since, Stood: d.stood, Rendered: d.rendered, Speed: d.cfg.Speed,
		Silent: d.silent, Lost: d.out == nil, Taps: d.taps, Message: d.message, Done: d.done,
		Refused: d.refused, Trouble: d.trouble, Radio: d.radio, Late: d.late, Over: d.over,
		Stops: d.stops(), Field: d.field.now, Ready: d.ready.now, Safe: d.safe.now, Said: d.seen.said, ResumesAt: d.count.until, Ticked: d.ticked, Again: d.askedLately(d.clock.Now()),
	}
	s.Sounds, s.Unheard = d.sounds(s.Wall), d.muted()
	if d.t.State() == show.Held {
		s.Why = d.heldBy
	}
	if d.t.State() == show.Running {
		s.Level = d.meter.level(heard-timebase.FrameAt(30*time.Millisecond, d.plan.Rate), heard)
	}
	if d.out != nil {
		s.Output, s.Latency, s.Underruns = d.out.Name(), d.out.Latency(), d.out.Underruns()
		s.Soundless = soundless(d.out)
	}
	s.Listening, s.Source = d.ears.name(d.ears.at(heard)), cmp.Or(d.ears.opening, d.ears.next())
	if b := d.second; b != nil {
		s.Second = &SecondNow{Name: b.Name, Lost: b.out == nil, Silent: b.silent, Off: b.off}
		if b.out != nil {
			s.Second.Output = b.out.Name()
		}
	}
	s.Follow = d.followNow()
	log := d.log.state()
	s.Logged, s.LogErr, s.DiskBehind, s.entries = log.logged, log.err, log.behind, log.asked
	return s
}
