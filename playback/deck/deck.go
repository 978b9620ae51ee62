// Package deck joins a show's transport to its soundtrack: the loop that
// plays the music, tells the transport what has been heard, mixes in the cues'
// reports and writes the session log. It draws nothing and reads no keys.
//
// Three goroutines meet here and none waits for another: the deck's own loop
// (Run), whoever gives commands (Do) and whoever draws (Snapshot).
package deck

import (
	"context"
	"errors"
	"fmt"
	"math"
	"strings"
	"sync/atomic"
	"time"

	"drylane/playback"
	"drylane/show"
	"drylane/show/board"
	"drylane/show/callplan"
	"drylane/show/drill"
	"drylane/show/session"
	"drylane/show/timebase"

	"github.com/faiface/beep"
)

// Config is what a Deck works with.
type Config struct {
	Plan *show.Plan
	Cues []show.Cue // the list the plan was made from

	// Music is the soundtrack, at Plan.Rate and of Plan.Length.
	Music beep.StreamSeeker

	// Leader tells where the music is that somebody else plays; nil when it is played
	// here. Then there is no Output, and the deck closes the leader.
	Leader Leader

	// Output plays; the deck closes it.
	Output playback.Output
	// Reopen opens the output again, on resume after the device was lost.
	Reopen func() (playback.Output, error)
	// Silent opens the output that goes on without a device. May be nil: then
	// a lost device can only be brought back.
	Silent func() playback.Output

	// Companions can be listened to in place of the music; the one of index
	// Listen-1 from the start on, which must be open. 0 is the music.
	Companions []Companion
	Listen     int
	// Second is the second output, beside that of the music; nil for none.
	Second *SecondOutput

	// Sound is the bang of an effect family at Plan.Rate; nil for none.
	Sound func(show.Family) []float64
	// BangGain scales the bangs on the left and the right.
	BangGain [2]float64

	// Quiet says that Output is the silent clock, for want of a device.
	Quiet bool

	// Log receives the session; Header is already written.
	Log *session.Writer
	// LogCues is the header's cue list.
	LogCues []session.CueLine
	// OnEntry, if not nil, is called with each entry once it has been written,
	// from the log's goroutine.
	OnEntry func(session.Entry)

	// Director says what goes wrong in the run; nil when it is no drill.
	Director Director
	// OnRadio, if not nil, is called with each message from the field, from
	// the deck's loop: it must not wait for anything.
	OnRadio func(from, text string)

	// Stops returns what forbids arming, a line each. It is asked from the deck's
	// loop and must not wait for anything. Nil: nothing does.
	Stops func() []string
	// Forbids says why the run must not be started or resumed, as when somebody of the
	// crew refuses it; empty when it may. It is asked from the deck's loop and must not
	// wait for anything. Nil: nobody does.
	Forbids func() string
	// Unheard is how many members of the crew have not acknowledged the hold that is on.
	// It is asked from the deck's loop and must not wait for anything. Nil: there is no
	// crew.
	Unheard func() int
	// Asks says who of the crew asks to have their position stood down; empty for nobody.
	// It is asked from the deck's loop and must not wait for anything. Nil: there is no
	// crew.
	Asks func() string
	// StrikeOff takes a member of the crew off the list of those who are awaited. It is
	// called from the deck's loop and must not wait for anything. Nil: there is no crew.
	StrikeOff func(name string)
	// Board is the field board that the run begins with; nil for none.
	Board *board.Board
	// Ready is who answers before the arming; nil where nobody is asked.
	Ready []show.Ask
	// Safe is how long to wait after a cut before anybody goes into the field; nil where
	// nobody keeps a book of that.
	Safe *time.Duration
	// Checklist is what is ticked off in a hold, line by line.
	Checklist []string
	// Calls watches over what companion tracks call; nil when none does.
	Calls *callplan.Watch
	// CountIn is how long a resume is counted in.
	CountIn time.Duration

	// Script drives the run; nil when a person does.
	Script []show.ScriptStep

	// Now is the wall clock of a live run. Nil means that the run goes as fast
	// as it can on a clock of its own, which only advances as music is heard
	// and as the script waits. The output must then hear at once what is written.
	Now func() time.Time
	// Speed is how many seconds of music a second of wall clock plays.
	Speed float64
}

// A Deck runs one show. Make one with New, run it with Run.
type Deck struct {
	cfg  Config
	plan *show.Plan
	t    *show.Transport
	out  playback.Output // nil after the device was lost
	ears ears            // what it plays

	led    *led         // nil when nobody else plays the music
	second *second      // nil when there is no second output
	broken map[int]bool // the companions, by source, that are known not to be readable

	// base is the frame of music that the output counts as 0; rendered is the
	// next frame to hand over. Rendering never passes what is committed.
	base, rendered timebase.Frame
	musicEnd       timebase.Frame // where the music was found to break off; far away if it was not
	silent         bool

	voices playback.Voices
	meter  meter
	buf    [2][chunk][2]float64
	ev     []show.Event

	script  scriptRunner
	inbox   inbox
	log     *logLoop
	taps    []Tap
	message Message
	heldBy  string     // who called for the latest hold, and why
	since   time.Time  // of the state
	stood   time.Time  // when the music last stopped
	was     show.State // before what the transport does now
	clock   clock
	snap    atomic.Pointer[Snapshot]
	draft   *Snapshot // the next, or the oldest that the log has yet to come to
	// overtaken says that later snapshots than the draft have been published.
	overtaken bool
	gain      [2]float64
	under     int
	still     standstill // of the output
	count     countIn
	field     fieldBoard
	seen      witness
	ready     readyList
	safe      safeBook
	again     Again
	ticked    int // lines of the checklist, in this hold
	stopped   stops
	faults    drill.Faults
	radio     []RadioCall
	late      []LateOne  // replaced, never written to: snapshots have it
	aside     aside      // sound beside the music, while that stands still
	over      bool       // the drill is
	unheard   [2]float64 // peak of the music that was made silent since the meter last looked
	refused   int        // commands
	failed    show.Cause // why the music cannot be trusted; see Fail
	trouble   bool       // the last hold was the engine's, not the shooter's
	done      bool
}

// chunk is how many frames are rendered in one go.
const chunk = 1024

// New returns a safe deck.
func New(cfg Config) *Deck {
	d := &Deck{
		cfg: cfg, plan: cfg.Plan, t: show.NewTransport(cfg.Plan), out: cfg.Output,
		musicEnd: math.MaxInt64, gain: cfg.BangGain,
		script: scriptRunner{steps: cfg.Script}, clock: clock{now: cfg.Now}, silent: cfg.Quiet,
		ears: newEars(cfg.Companions, cfg.Listen), broken: map[int]bool{},
	}
	if d.led = newLed(cfg.Leader, cfg.Plan.Rate); d.led != nil {
		d.out, d.cfg.Output = d.led, d.led
		d.cfg.Reopen = func() (playback.Output, error) { return d.led, nil }
	}
	d.second = newSecond(cfg.Second, d.muteSides)
	d.seen.fired = make([]atomic.Bool, len(cfg.Plan.Cues))
	d.inbox.wake = make(chan struct{}, 1)
	d.rearm()
	if cfg.Director != nil {
		d.cfg.breakable(d.deviceAway)
		d.out = d.cfg.Output
	}
	d.since = d.clock.Now()
	d.still.opened(d.since)
	if d.second != nil {
		d.second.still.opened(d.since)
	}
	d.script.last = d.since
	d.log = startLog(cfg.Log, cfg.OnEntry, d.inbox.poke)
	if d.second != nil {
		d.tellSecond(session.Data{Did: session.SecondPlays, Output: d.second.out.Name()})
	}
	d.openField()
	d.openReady()
	d.openSafe()
	d.publish()
	return d
}

// stepEvery is how often the live loop looks at the device.
const stepEvery = 5 * time.Millisecond

// Run runs the deck until ctx ends, a script has been played out, or Quit is
// asked for. It closes the output and the log. The error says why a script
// could not be finished or the log not be written.
func (d *Deck) Run(ctx context.Context) (err error) {
	defer func() {
		if d.out != nil {
			d.out.Close()
		}
		if d.second != nil && d.second.out != nil {
			d.keepSecond(d.second.out.Close())
		}
		d.led.shut()
		d.entry(session.KindClosed, session.Data{})
		if e := d.log.close(); err == nil && e != nil {
			err = fmt.Errorf("the session log could not be written: %w", e)
		}
		d.done = true
		d.publish()
	}()
	if d.cfg.Now != nil && d.cfg.Script == nil { // a person may ask for them
		d.openCompanions()
	}
	tick := time.NewTicker(stepEvery)
	defer tick.Stop()
	for {
		more, err := d.step()
		if err != nil || !more {
			return err
		}
		if d.cfg.Now == nil {
			if ctx.Err() != nil {
				return nil
			}
			continue
		}
		d.publish()
		select {
		case <-ctx.Done():
			return nil
		case <-d.inbox.wake:
		case <-tick.C:
		}
	}
}

// Step is one turn of Run's loop, for whoever keeps the time in Run's place: it
// waits until the log has been written, so that the snapshot is of now. more is
// false when there is nothing left to do.
func (d *Deck) Step() (more bool, err error) {
	more, err = d.step()
	d.log.drain()
	d.publish()
	return more, err
}

// step takes what was asked for, tells the transport what was heard and
// renders ahead. more is false when there is nothing left to do.
func (d *Deck) step() (more bool, err error) {
	d.lead()
	d.listen() // commands count from what the device reports, not from an estimate
	for r, ok := d.inbox.take(); ok; r, ok = d.inbox.take() {
		if !d.take(r) {
			return false, nil
		}
	}
	d.listen()
	d.counted()
	d.fieldBack()
	d.lapse()
	d.direct()
	if d.cfg.Script != nil && d.over {
		return false, nil
	}
	if err := d.runScript(); err != nil {
		return false, err
	}
	d.lookIdle()
	if d.t.State() == show.Running {
		d.fill()
		d.tendSecond()
	} else if d.playAside(); d.cfg.Script != nil && d.script.finished() && !d.ledOn() {
		d.clock.wait(d.count.until)
		d.unfinishedLed()
		return d.count.on(), nil
	}
	return true, nil
}

// listen asks the output what was heard and advances the transport to it.
func (d *Deck) listen() {
	if d.t.State() != show.Running {
		return
	}
	heard, err := d.out.Heard()
	if err != nil {
		d.lost(err)
		return
	}
	if n := d.out.Underruns(); n != d.under && d.cfg.Speed <= 1 {
		d.under = n
		d.still.ranDry(d.clock.Now(), d.out.Latency())
		d.entry(session.KindUnderrun, session.Data{Count: n})
	}
	at := d.base + timebase.Frame(heard)
	d.clock.heardTo(at, d.plan.Rate)
	if d.led != nil {
		d.rendered = at // what is heard is all that there is
	}
	d.handle(d.t.Advance(at, d.ev[:0]))
	d.voices.Forget(at)
	d.ears.forget(at)
	if d.t.State() != show.Running {
		return
	}
	if at >= d.musicEnd {
		d.trouble = true
		d.holdNow(show.Command{Action: show.Hold, By: show.ByEngine, Cause: show.CauseMusicEnded})
	} else if d.still.look(d.clock.Now(), at, d.rendered) {
		d.lost(silent(d.out))
	}
}

func (d *Deck) moment(f timebase.Frame) string { return timebase.ClockMillis(f.At(d.plan.Rate)) }

// lost turns the loss of the device into a hold on the last frame heard.
func (d *Deck) lost(err error) {
	d.out.Close()
	d.out = nil
	c := show.Command{Action: show.Hold, By: show.ByEngine, Cause: causeOf(err)}
	said := outputSaid(err)
	if said != "" {
		d.entry(session.KindDevice, session.Data{Error: said})
	}
	d.trouble = true
	d.command(c, d.t.Heard())
	d.rendered = d.t.Heard()
	d.stopSecond(d.rendered)
	why := d.because(c)
	if c.Cause != show.CauseDeviceLost { // it may be for the person to mend
		why += ": " + said
	}
	d.say(Alarm, "HELD: "+why)
}

// causeOf is why an output that failed did.
func causeOf(err error) show.Cause {
	switch {
	case errors.Is(err, playback.ErrDeviceGone):
		return show.CauseDeviceLost
	case errors.Is(err, playback.ErrDeviceSilent):
		return show.CauseDeviceSilent
	}
	return show.CauseDeviceFailed
}

// outputSaid is what an output said when it failed, beyond what a cause says.
func outputSaid(err error) string {
	for _, known := range []error{playback.ErrDeviceGone, playback.ErrDeviceSilent} {
		if said, ok := strings.CutPrefix(err.Error(), known.Error()); ok {
			return strings.TrimPrefix(said, ": ")
		}
	}
	return err.Error()
}

// holdNow silences the output and does a hold on the frame it stopped at.
func (d *Deck) holdNow(c show.Command) {
	at, ok := d.silence()
	if !ok {
		return
	}
	d.command(c, at)
	if why := d.because(c); why != "" {
		d.say(Alarm, "HELD: "+why)
	}
}

// because says why a hold or cut was asked for.
func (d *Deck) because(c show.Command) string {
	switch {
	case c.Cause == show.CauseCrewLost && c.Member != "":
		return show.NothingHeardOf(c.Member)
	case c.Cause != show.NoCause:
		return d.sentence(c.Cause)
	case c.Member != "":
		return show.CalledBy(c.Member, c.Reason)
	}
	return c.Reason
}

// sentence says a cause at the frame heard.
func (d *Deck) sentence(c show.Cause) string {
	return c.Sentence(d.t.Heard().At(d.plan.Rate), d.plan.Length.At(d.plan.Rate))
}

// silence stops the sound and returns the frame it stopped at, from which the
// music is ready to go on. ok is false when the device was lost in doing so.
func (d *Deck) silence() (at timebase.Frame, ok bool) {
	heard, err := d.stop()
	if err != nil {
		d.lost(err)
		return 0, false
	}
	at = d.base + timebase.Frame(heard)
	d.clock.heardTo(at, d.plan.Rate)
	d.rendered = at // what Hold returned is what the output counts on from
	d.ears.settle()
	return at, true
}
