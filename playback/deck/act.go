package deck

import (
	"cmp"
	"errors"
	"fmt"
	"time"

	"drylane/playback"
	"drylane/show"
	"drylane/show/session"
	"drylane/show/timebase"
)

// A Tap is one key press on an accent.
type Tap struct {
	At    timebase.Frame // heard when the key went down
	Cue   int            // the cue it was set against; -1 when none was near
	Late  timebase.Frame // effect less tap: positive = the cue came late
	Nudge time.Duration
}

// Do asks the deck to do something; at is the wall time at which the key went
// down. It returns at once. Safe to call from any goroutine.
//
// What is asked for is done in the order of those times, however late it comes
// in; see overruled for what a hold or a cut makes of what was asked for before it.
func (d *Deck) Do(a show.ScriptAction, at time.Time) {
	d.inbox.put(request{do: a, at: at, heard: d.Snapshot().HeardAt(at)})
}

// Command is Do for a transport command.
func (d *Deck) Command(c show.Command, at time.Time) {
	d.Do(show.ScriptAction{Command: c}, at)
}

// Quit ends Run. Safe to call from any goroutine.
func (d *Deck) Quit() { d.inbox.put(request{quit: true}) }

// take does what was asked for. more is false when that was to quit.
func (d *Deck) take(r request) (more bool) {
	switch {
	case r.quit:
		return false
	case r.gain != nil:
		d.gain = [2]float64{r.gain[0] * d.cfg.BangGain[0], r.gain[1] * d.cfg.BangGain[1]}
	case r.step != nil:
		d.drillStep(show.ByInstructor, *r.step, *r.crew)
	case r.listen != nil:
		d.listenTo(*r.listen)
	case r.opened != nil:
		d.openedCompanion(r.opened)
	case r.failed != show.NoCause:
		d.fail(r.failed)
	case r.crew != nil:
		d.takeCrew(*r.crew)
	default:
		d.act(cmp.Or(r.by, show.ByShooter), r.do, r.at, r.heard)
	}
	return true
}

// act does what was asked for at time stamp, when the music heard was at frame at.
func (d *Deck) act(by show.By, a show.ScriptAction, stamp time.Time, at timebase.Frame) {
	switch a.Kind {
	case show.KindGo:
		if c, ok := d.next(); ok {
			d.act(by, show.ScriptAction{Command: c}, stamp, at)
		}
	case show.KindStay:
		d.count = countIn{}
	case show.KindTap:
		d.tap(by, at)
	case show.KindCall:
		d.call(by, a.Late, at)
	case show.KindNote:
		d.entryBy(by, session.KindNote, session.Data{Text: a.Text})
	case show.KindSilent:
		d.goSilent(by)
	case show.KindMark, show.KindRepair:
		d.fieldDeed(by, a, stamp)
	case show.KindStrike:
		d.strikeOff(by, a.Text)
	case show.KindSaw:
		d.witness(by, a)
	case show.KindAnswer:
		d.readyDeed(by, a, stamp)
	case show.KindEnter, show.KindBack:
		d.safeDeed(by, a, stamp)
	case show.KindTick:
		d.tick(by, a.All)
	default:
		a.Command.By = by
		if d.overruled(a.Command, stamp) {
			return
		}
		if !d.again.is(a.Command) {
			d.endAgain()
		}
		if d.makesSalvo(&a.Command, stamp) {
			return
		}
		// A key is stamped by an estimate, which may lie ahead of the device.
		d.run(a.Command, stamp, min(at, d.t.Heard()))
		if isStop(a.Command) && d.stopped.won != "" { // its own message may have hidden that
			d.say(Alarm, d.stopped.won)
		}
	}
}

// next is what comes next in the run, by the state that it is in now. ok is
// false where nothing does.
func (d *Deck) next() (c show.Command, ok bool) {
	switch d.t.State() {
	case show.Armed:
		return show.Command{Action: show.Start}, true
	case show.Held:
		return show.Command{Action: show.Resume}, true
	case show.Ended:
		return show.Command{Action: show.Reset}, true
	}
	return c, false
}

// run does a transport command that was asked for at time stamp, and what it asks
// of the output.
func (d *Deck) run(c show.Command, stamp time.Time, at timebase.Frame) {
	state := d.t.State()
	switch {
	case c.Action == show.Arm, c.Action == show.Reenter:
		d.arm(c, stamp)
	case d.ledGoes(c, stamp):
	case c.Action == show.Hold && d.standsStill(c):
		d.count = countIn{}
		d.keepHeld()
	case c.Action == show.Hold && state == show.Running:
		d.holdNow(c)
	case c.Action == show.Cut && state == show.Running:
		if stopped, ok := d.silence(); ok {
			at = stopped
		}
		d.command(c, at)
	case c.Action == show.Start && state == show.Armed:
		d.goOn(c, d.t.Heard())
	case c.Action == show.Resume && state == show.Held:
		d.countOrResume(c, stamp)
	default:
		d.command(c, at)
	}
}

// cannotGoOn refuses a resume where there is nothing to go on with.
func (d *Deck) cannotGoOn(c show.Command) bool {
	if d.t.Heard() < d.musicEnd {
		return false
	}
	d.refuse(c, fmt.Sprintf("cannot resume: there is no music after %s; cut", d.moment(d.musicEnd)))
	return true
}

func (d *Deck) resume(c show.Command) {
	d.count = countIn{}
	c.HeldFor = d.clock.Now().Sub(d.since)
	c.Open = d.leftOpen(c.HeldFor)
	d.goOn(c, d.t.Heard())
}

// goOn starts or resumes: the transport first, because it says what sounds
// from the first frame on, then the music, then the device.
func (d *Deck) goOn(c show.Command, from timebase.Frame) {
	if d.mustNotGoOn(c) || d.noDevice(c) {
		return
	}
	d.endAside()
	if err := d.wind(from); err != nil {
		d.refuse(c, err.Error())
		return
	}
	if d.inbox.stopWaits() { // it came while the device was being opened
		d.overrule(c)
		return
	}
	if !d.command(c, from) {
		return
	}
	d.trouble = false
	d.readySecond(from)
	d.fill()
	if d.out == nil || d.t.State() != show.Running {
		return
	}
	if err := d.start(); err != nil {
		d.lost(err)
	}
}

// mustNotGoOn refuses a start or a resume that is not to be had by asking again. What is
// asked twice is forgotten by that: the question would hide the refusal.
func (d *Deck) mustNotGoOn(c show.Command) (refused bool) {
	refused = d.failing(c) || d.somebodyOut(c) || d.forbidden(c) || c.Action == show.Start && d.against(c)
	if refused {
		d.endAgain()
	}
	return refused
}

// noDevice refuses a start or a resume where there is no device to go on with. One that
// was lost is opened again.
func (d *Deck) noDevice(c show.Command) (refused bool) {
	if d.out == nil && !d.reopen(c) {
		return true
	}
	if suspended(d.out) {
		d.refuse(c, "cannot "+c.Action.String()+": the sound device "+isSuspended+"; wake it and try again")
		return true
	}
	return false
}

func (d *Deck) reopen(c show.Command) bool {
	out, err := d.cfg.Reopen()
	if err != nil {
		why := "cannot " + c.Action.String() + ": " + err.Error()
		if d.cfg.Silent != nil {
			why += "; connect it and try again, or go on silent"
		}
		d.refuse(c, why)
		return false
	}
	d.use(c.By, out)
	return true
}

// goSilent replaces a lost device by the silent clock.
func (d *Deck) goSilent(by show.By) {
	switch {
	case d.out != nil:
		d.say(Plain, "there is sound: "+d.out.Name())
	case d.cfg.Silent == nil:
		d.say(Alarm, "this run cannot go on silent")
	default:
		d.silent = true
		d.use(by, d.cfg.Silent())
		d.say(Alarm, "no sound device: silent clock")
	}
}

// use makes out the output; its frame 0 is the next frame to render.
func (d *Deck) use(by show.By, out playback.Output) {
	d.out, d.base, d.under, d.aside = out, d.rendered, 0, aside{}
	d.still.opened(d.clock.Now())
	d.entryBy(by, session.KindOutput, session.Data{Output: out.Name(), Silent: soundless(out)})
}

// soundless reports whether an output is a clock that plays nothing.
func soundless(out playback.Output) bool {
	_, ok := within(out).(playback.Soundless)
	return ok
}

// command gives c to the transport and handles what comes of it.
func (d *Deck) command(c show.Command, at timebase.Frame) bool {
	ev, err := d.t.Do(c, at, d.ev[:0])
	d.handle(ev)
	var refusal *show.Refusal
	if errors.As(err, &refusal) {
		d.refuse(c, refusal.Why)
		return false
	}
	if c.Action == show.Arm || c.Action == show.Reenter {
		d.taps = nil
		d.rearm()
	}
	return true
}

func (d *Deck) refuse(c show.Command, why string) { d.refuseFor(c, show.NoCause, why) }

func (d *Deck) refuseFor(c show.Command, cause show.Cause, why string) {
	d.refused++
	data := session.Data{Asked: c.Action.String(), Cause: cause, Text: why}
	if c.Member != "" && c.Cause == show.NoCause { // a HOLD where nothing runs: the shooter must know whose
		data.Member, data.Reason = c.Member, c.Reason
		data.Text = c.Member + " called HOLD; " + why
	}
	d.entryBy(c.By, session.KindRefused, data)
	d.say(Alarm, data.Text)
}

func (d *Deck) tap(by show.By, at timebase.Frame) {
	if s := d.t.State(); s != show.Running {
		d.say(Plain, "taps count while the music runs")
		return
	}
	tap := Tap{At: at, Cue: -1, Nudge: d.t.Asked()}
	data := session.Data{}
	if cue, late, ok := d.t.NearestEffect(at, -1); ok {
		tap.Cue, tap.Late = cue, late
		ms, frames := late.At(d.plan.Rate).Milliseconds(), int64(late)
		data = session.Data{Cue: d.cfg.LogCues[cue].ID, Index: &cue, LateMS: &ms, LateFr: &frames}
	}
	d.taps = append(d.taps, tap)
	d.entryAt(at, by, session.KindTap, data)
}

func (d *Deck) call(by show.By, late bool, at timebase.Frame) {
	word := "early"
	if late {
		word = "late"
	}
	d.entryAt(at, by, session.KindCall, session.Data{Call: word})
	d.say(Plain, "called: cues are "+word)
}

// SetBangs scales the bangs rendered from now on. Safe to call from any
// goroutine.
func (d *Deck) SetBangs(gain [2]float64) { d.inbox.put(request{gain: &gain}) }
