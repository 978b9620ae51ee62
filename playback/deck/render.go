package deck

import (
	"fmt"

	"drylane/playback"
	"drylane/show"
	"drylane/show/timebase"
	"drylane/show/words"
)

// fill renders as much as the output takes. It stops short of the edge of
// the guard, up to which the transport has said what will sound.
func (d *Deck) fill() {
	edge := d.t.Heard() + d.plan.Guard
	if d.cfg.Now == nil {
		due, _ := d.nextDue()
		edge = min(edge, d.nextStep(), due)
	}
	for d.rendered < edge && d.rendered < d.musicEnd {
		n := min(d.out.Space(), chunk, int(edge-d.rendered))
		if d.rendered < d.plan.Length {
			n = min(n, int(d.plan.Length-d.rendered)) // the music may end the show
		}
		if n <= 0 {
			return
		}
		part := d.render(n)
		if err := d.out.Write(part); err != nil {
			d.lost(err)
			return
		}
		if d.cfg.Now == nil {
			return // heard at once: see what comes of it first
		}
	}
}

// render makes the next n frames, or fewer where one source gives way to
// another or the music breaks off.
func (d *Deck) render(n int) [][2]float64 {
	fade := int(timebase.FrameAt(crossfade, d.plan.Rate))
	m := d.ears.mix(d.rendered, n, fade)
	part := d.play(m.to, d.buf[0][:m.n], d.rendered)
	if m.from >= 0 {
		other := d.play(m.from, d.buf[1][:len(part)], d.rendered)
		part = part[:len(other)]
		fadeOver(part, other, m.since, fade)
	}
	d.meter.add(d.rendered, len(part), d.peakOf(part))
	d.rendered += timebase.Frame(len(part))
	return part
}

// wind makes f the next frame of music to render.
func (d *Deck) wind(f timebase.Frame) error {
	d.led.wind(f)
	d.base += f - d.rendered
	d.rendered = f
	d.clock.heard = f
	d.ears.settle()
	return d.seek(f)
}

// seek winds the soundtrack alone. It may be wound anywhere while the music stands still:
// a start or a resume winds it anew.
func (d *Deck) seek(f timebase.Frame) error {
	if err := d.cfg.Music.Seek(int(min(f, d.plan.Length))); err != nil {
		return fmt.Errorf("the soundtrack cannot be wound to %s: %w", d.moment(f), err)
	}
	return nil
}

// handle turns the transport's events into sounds and log entries.
func (d *Deck) handle(ev []show.Event) {
	d.ev = ev
	defer func() { d.was = d.t.State() }()
	for _, e := range ev {
		switch e.Kind {
		case show.EventCommitted, show.EventMoved:
			d.addReport(e)
		case show.EventWithdrawn, show.EventBroke:
			d.voices.Remove(e.Cue)
		case show.EventArmed, show.EventReentered, show.EventReset, show.EventCut:
			d.voices.Clear()
		case show.EventFired:
			d.saw(e.Cue)
		}
		if e.Kind == show.EventHeld {
			d.heldBy = d.whyHeld(e)
		}
		d.logEvent(e)
		if (e.Kind == show.EventHeld || e.Kind == show.EventCut) && e.By.Machine() {
			d.stopped.at(d.clock.Now())
		}
		if d.cfg.Director != nil {
			d.cfg.Director.Saw(e.Kind, d.clock.Now())
		}
		d.field.saw(e.Kind, d.clock.Now())
		d.ready.upset(e.Kind.String(), e.Cause)
		if e.Kind == show.EventHeld || e.Kind == show.EventEnded || e.Kind == show.EventCut && d.was == show.Running {
			d.stood = d.clock.Now() // a cut of a hold goes on with what stood still
		}
		if changesState(e.Kind) { // every hold has its own checklist
			d.since, d.count, d.ticked = d.clock.Now(), countIn{}, 0
			d.endAgain()
		}
		d.sayEvent(e) // as of the new state: what was said before it is of the past
		d.sawLed(e)
	}
	if len(ev) > 0 && ev[len(ev)-1].Kind == show.EventEnded {
		d.silence()
		d.say(Plain, "the show has ended")
	}
}

// sayEvent says what a person would not see of an event by itself.
func (d *Deck) sayEvent(e show.Event) {
	switch e.Kind {
	case show.EventStoodDown:
		d.say(Plain, e.Group.Name+" is stood down: its cues are skipped and stay loaded")
	case show.EventBroughtBack:
		d.say(Plain, e.Group.Name+" is back")
	case show.EventStarted, show.EventResumed, show.EventNudged:
		d.saySalvo(e)
	case show.EventCut:
		if due := d.dueAtStop(); due != "" {
			d.say(Alarm, due)
		}
	}
}

// dueAtStop says which cues were due when the show was held or cut.
func (d *Deck) dueAtStop() string {
	var ids []string
	for _, i := range d.t.DueAtStop() {
		ids = append(ids, d.cfg.LogCues[i].ID)
	}
	return words.Due(ids)
}

func changesState(k show.EventKind) bool {
	switch k {
	case show.EventArmed, show.EventReentered, show.EventStarted, show.EventHeld, show.EventResumed, show.EventCut, show.EventReset, show.EventEnded:
		return true
	}
	return false
}

func (d *Deck) addReport(e show.Event) {
	if d.cfg.Sound == nil || d.isDead(e.Cue) {
		return
	}
	family := d.cfg.Cues[d.plan.Cues[e.Cue].List].Family
	if sound := d.cfg.Sound(family); len(sound) > 0 {
		d.voices.Add(playback.Voice{ID: e.Cue, Start: e.Effect, Sound: sound})
	}
}

// peakOf is the peak of what the console plays. Music that a drill has made
// silent counts: the fault is in the field, and the console knows nothing of it.
func (d *Deck) peakOf(part [][2]float64) [2]float64 {
	p := d.unheard
	d.unheard = [2]float64{}
	for _, f := range part {
		p[0], p[1] = max(p[0], f[0], -f[0]), max(p[1], f[1], -f[1])
	}
	return p
}

// A meter remembers the peaks of what was rendered, block by block, so that
// the level of what is being heard can be shown.
type meter struct {
	blocks [2048]block // seconds, whatever the device holds
	next   int
}

type block struct {
	from, to timebase.Frame
	peak     [2]float64
}

func (m *meter) add(from timebase.Frame, n int, peak [2]float64) {
	m.blocks[m.next%len(m.blocks)] = block{from: from, to: from + timebase.Frame(n), peak: peak}
	m.next++
}

// level is the peak of the blocks that overlap [from, to).
func (m *meter) level(from, to timebase.Frame) (peak [2]float64) {
	for _, b := range m.blocks {
		if b.from < to && b.to > from {
			peak[0] = max(peak[0], b.peak[0])
			peak[1] = max(peak[1], b.peak[1])
		}
	}
	return peak
}
