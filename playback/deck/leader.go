package deck

import (
	"errors"
	"io"
	"time"

	"drylane/playback"
	"drylane/playback/follow"
	"drylane/show"
	"drylane/show/session"
	"drylane/show/timebase"
)

// A Leader tells where the music is that somebody else plays. Its player starts, holds
// and resumes the run; only a person here arms, cuts, holds the cues alone, and agrees
// to go on from another place.
type Leader interface {
	// Look tells how the music stands at a moment; the error says why nothing comes in
	// any more, io.EOF at the end of a file. It neither waits nor allocates in a run
	// that has a clock.
	Look(now time.Time) (follow.Now, error)
	// Step is by how much a run without a clock goes on between two looks; more is
	// false when there is nothing left.
	Step() (d time.Duration, more bool)
	// Waits reports that nothing comes in before the first Look, as from a file: the
	// run then looks from its first arming on.
	Waits() bool
	Name() string
	Close() error
}

// lateStart is how far into the music a run may be when its code is found, and still
// start or resume by itself: what came due meanwhile fires at once. Four frames pass
// until there is a lock, and input has its latency.
const lateStart = 500 * time.Millisecond

// lateByEar is the same for music that is heard, where no cue is due meanwhile: it takes
// some seconds to be found.
const lateByEar = 20 * time.Second

// A led is the output of a run that is led: it plays nothing, and what counts as heard
// is what the leader says. To the transport that is heard as any other.
type led struct {
	Leader
	rate    int
	now     follow.Now // as last looked at
	err     error      // why nothing comes in any more
	more    bool       // something may
	waits   bool       // it is not looked at yet
	place   timebase.Frame
	playing bool
	count   int64          // frames heard, as an output counts them
	from    timebase.Frame // the frame of music that began at count
	begun   int64

	loss  int // the latest loss that has been acted on
	locks int
	// same says that all code since the hold goes on from where it was lost: then the
	// player resumes the run. own says that a person holds, or that the engine does:
	// then only a person resumes it, who may do so ahead of the music: willing.
	same, own, willing bool
	agreed             show.Command
	tried              attempt
	free               time.Time // since when the run goes on by itself, behind the end of the music
}

// An attempt is a start or a resume by the player, which is made once for each lock.
type attempt struct {
	since time.Time
	locks int
}

func newLed(l Leader, rate int) *led {
	if l == nil {
		return nil
	}
	return &led{Leader: l, rate: rate, more: true, waits: l.Waits()}
}

func (l *led) Name() string             { return "nothing: follows " + l.Leader.Name() }
func (l *led) Soundless()               {}
func (l *led) Space() int               { return 0 }
func (l *led) Latency() time.Duration   { return 0 }
func (l *led) Underruns() int           { return 0 }
func (l *led) Start() error             { l.playing = true; return nil }
func (l *led) Write([][2]float64) error { return errors.New("the music is not ours") }
func (l *led) Heard() (int64, error)    { return l.count, nil }

// Close is of the output alone: a drill may lose it and have it back.
func (l *led) Close() error { return nil }

// shut closes the leader when the run is over.
func (l *led) shut() {
	if l != nil {
		l.Leader.Close()
	}
}

func (l *led) Hold() (int64, error) {
	l.playing = false
	return l.count, nil
}

var _ playback.Output = (*led)(nil)
var _ playback.Soundless = (*led)(nil)

// wind makes f the frame that counts from here on.
func (l *led) wind(f timebase.Frame) {
	if l != nil {
		l.from, l.begun = f, l.count
	}
}

// look asks the leader how the music stands. A run that goes on is at the place, and
// at that of a loss which it has not seen yet.
func (l *led) look(now time.Time) {
	l.now, l.err = l.Look(now)
	place := l.now.Place
	if l.playing && l.now.Loss.N != l.loss {
		place = l.now.Loss.Place
	}
	l.place = timebase.FrameAt(place, l.rate)
	if !l.free.IsZero() {
		l.place = l.from + timebase.FrameAt(now.Sub(l.free), l.rate)
	}
	if l.playing {
		l.count = max(l.count, l.begun+int64(l.place-l.from))
	}
}

// follows reports whether the music runs and its place is known.
func (l *led) follows() bool { return l.err == nil && l.now.Following() }

// tooLate reports whether the music is too far ahead of frame at for the run to go on from
// there by itself. No cue is due between it and the place of music that is heard.
func (d *Deck) tooLate(at timebase.Frame) bool {
	l := d.led
	switch {
	case l.place <= at+timebase.FrameAt(lateStart, l.rate):
		return false
	case !l.now.Music || l.place > at+timebase.FrameAt(lateByEar, l.rate):
		return true
	}
	next := d.t.Next()
	return next < len(d.plan.Cues) && d.t.FiresAt(next) <= l.place
}

// lead lets the leader start, hold and resume the run.
func (d *Deck) lead() {
	l := d.led
	if l == nil || l.waits {
		return
	}
	d.passLed()
	was := l.err
	l.look(d.clock.Now())
	if d.t.State() == show.Running {
		d.leadRunning()
	}
	d.lostStanding()
	d.tellLocked(was)
	switch d.t.State() {
	case show.Armed:
		if at := d.t.Heard(); l.follows() && l.place >= at && !d.tooLate(at) {
			d.playerGoes(show.Command{Action: show.Start, By: show.ByPlayer})
		}
	case show.Held:
		d.leadHeld()
	}
}

// passLed lets the clock of a run without one go on with the leader's samples, and
// behind their end for as long as the run goes on by itself.
func (d *Deck) passLed() {
	if d.cfg.Now != nil {
		return
	}
	step, more := d.led.Step()
	if !more && !d.led.free.IsZero() {
		step, more = stepEvery, true
	}
	d.led.more, d.clock.led = more, more
	d.clock.pass(step)
}

// leadRunning holds a run whose music has been lost.
func (d *Deck) leadRunning() {
	l := d.led
	switch {
	case l.now.Loss.N != l.loss:
		l.loss = l.now.Loss.N
		d.tellLost()
		if d.listen(); d.behindEnd() {
			l.free = d.clock.Now()
			d.wind(d.t.Heard())
			return
		}
		d.holdNow(show.Command{Action: show.Hold, By: show.ByPlayer, Cause: lossCause(l.now)})
		if loss := l.now.Loss; loss.Why == follow.Jumped {
			d.say(Alarm, "HELD: timecode jumped from "+loss.From.String()+" to "+loss.To.String())
		}
	case l.err != nil && !errors.Is(l.err, io.EOF) && l.free.IsZero():
		d.trouble = true
		d.holdNow(show.Command{Action: show.Hold, By: show.ByPlayer, Cause: show.CauseInputLost})
	}
}

// lostStanding takes down that what a run follows was lost while the run stood still. When
// the show is over, that is its end.
func (d *Deck) lostStanding() {
	l, s := d.led, d.t.State()
	if s == show.Running || l.now.Loss.N == l.loss {
		return
	}
	if l.loss = l.now.Loss.N; s != show.Ended {
		d.tellLost()
	}
}

// behindEnd reports whether nothing is left of a run but what is in the air: the music
// was heard to its end, within a frame of code, and no cue is to come.
func (d *Deck) behindEnd() bool {
	const frame = time.Second / 23
	return d.t.State() == show.Running && d.t.Next() == len(d.plan.Cues) &&
		d.t.Heard()+timebase.FrameAt(frame, d.plan.Rate) >= d.plan.Length
}

// lossCause is why a run whose code, or music, was lost is held.
func lossCause(now follow.Now) show.Cause {
	if now.Music {
		return show.CauseMusicStopped
	}
	switch now.Loss.Why {
	case follow.Jumped:
		return show.CauseCodeJumped
	case follow.Backwards:
		return show.CauseCodeBackwards
	case follow.WrongRate:
		return show.CauseCodeRate
	case follow.RateUnknown:
		return show.CauseCodeUnknown
	}
	return show.CauseCodeStopped
}

// leadHeld resumes a run that the player has held when its music is at the place again,
// and one for which a person has agreed to that.
func (d *Deck) leadHeld() {
	l, at := d.led, d.t.Heard()
	switch {
	case !l.follows():
	case d.tooLate(at):
		l.willing = false // it is asked for anew
	case l.place < at:
	case l.willing:
		l.willing = false
		d.resume(l.agreed)
	case l.same && !l.own:
		d.playerGoes(show.Command{Action: show.Resume, By: show.ByPlayer})
	}
}

// playerGoes starts or resumes for the player, once for each lock: what forbids it may
// be put right meanwhile, and then a person goes on.
func (d *Deck) playerGoes(c show.Command) {
	try := attempt{d.since, d.led.locks}
	if d.led.tried == try {
		return
	}
	d.led.tried = try
	if c.Action == show.Resume {
		d.resume(c)
	} else {
		d.goOn(c, d.t.Heard())
	}
}

// tellLocked logs that code has been found, and that no more will come.
func (d *Deck) tellLocked(was error) {
	l := d.led
	if l.now.Locks != l.locks {
		l.locks, l.same = l.now.Locks, l.same && l.now.Again
		data := d.followData(session.FollowLocked)
		if l.now.Rate != 0 {
			data.Rate = l.now.Rate.String()
		}
		d.entry(session.KindFollowed, data)
	}
	if l.err != nil && was == nil {
		said := "its end"
		if !errors.Is(l.err, io.EOF) {
			said = l.err.Error()
		}
		data := d.followData(session.FollowGone)
		data.Code, data.Error = "", said
		d.entry(session.KindFollowed, data)
	}
}

// followData is the data of an entry on what is followed: timecode by its label, music by
// its place.
func (d *Deck) followData(state string) session.Data {
	l := d.led
	if !l.now.Music {
		return session.Data{State: state, Code: l.now.Label.String()}
	}
	at := int64(l.place)
	return session.Data{State: state, At: &at}
}

// tellLost logs that code has been lost.
func (d *Deck) tellLost() {
	data, loss := d.followData(session.FollowLost), d.led.now.Loss
	switch {
	case data.At != nil:
		*data.At = int64(timebase.FrameAt(loss.Place, d.plan.Rate))
	case loss.Why == follow.Jumped:
		data.Code, data.CodeTo = loss.From.String(), loss.To.String()
	}
	d.entry(session.KindFollowed, data)
}

// ledOn reports whether a run that stands still may be gone on with by its player.
func (d *Deck) ledOn() bool {
	s := d.t.State()
	return d.led != nil && d.led.err == nil && d.led.more && (s == show.Armed || s == show.Held)
}

// unfinishedLed takes down that a run that is led has come to its end though its show
// has not: its player sends no more.
func (d *Deck) unfinishedLed() {
	l := d.led
	if l == nil || l.err == nil && l.more {
		return
	}
	switch d.t.State() {
	case show.Held:
		d.trouble = d.trouble || !l.own
	case show.Armed:
		d.trouble = true
		if l.now.Music {
			d.say(Alarm, "the music of this show was not heard: "+l.Leader.Name())
		} else {
			d.say(Alarm, "no timecode of this show came: "+l.Leader.Name())
		}
	}
}
