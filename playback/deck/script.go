package deck

import (
	"fmt"
	"math"
	"time"

	"drylane/show"
	"drylane/show/timebase"
)

// A scriptRunner keeps the place in a script.
type scriptRunner struct {
	steps []show.ScriptStep
	last  time.Time // when the step before was done
}

func (s *scriptRunner) finished() bool { return len(s.steps) == 0 }

// nextStep returns the frame at which the script's next step is due in a
// running show; far away when there is none.
func (d *Deck) nextStep() timebase.Frame {
	if d.script.finished() {
		return math.MaxInt64
	}
	step := d.script.steps[0]
	if step.Wait >= 0 {
		left := d.script.last.Add(step.Wait).Sub(d.clock.Now())
		return d.t.Heard() + timebase.FrameAt(left, d.plan.Rate)
	}
	return timebase.FrameAt(step.At, d.plan.Rate)
}

// nextMoment is the next moment, while the music stands still, at which
// something comes without the script: a step of a drill, the end of a count-in, or
// somebody who is back from the field. It is zero when nothing does.
func (d *Deck) nextMoment() time.Time {
	_, at := d.nextDue()
	if back := d.field.nextBack(); !back.IsZero() && (at.IsZero() || back.Before(at)) {
		at = back
	}
	if until := d.count.until; d.count.on() && (at.IsZero() || until.Before(at)) {
		return until
	}
	return at
}

// runScript does the steps that are due.
func (d *Deck) runScript() error {
	s := &d.script
	for len(s.steps) > 0 {
		step := s.steps[0]
		at := d.t.Heard()
		running := d.t.State() == show.Running
		if step.Wait >= 0 {
			due := s.last.Add(step.Wait)
			if !running {
				if at := d.nextMoment(); !at.IsZero() && at.Before(due) {
					d.clock.wait(at)
					return nil
				}
				d.clock.wait(due)
			}
			if d.clock.Now().Before(due) {
				return nil
			}
		} else if frame := timebase.FrameAt(step.At, d.plan.Rate); frame > at {
			if running {
				return nil
			}
			if d.ledOn() {
				return nil
			}
			if d.count.on() {
				d.clock.wait(d.nextMoment())
				return nil
			}
			if d.t.State() != show.Ended {
				return fmt.Errorf("script line %d waits for %s of the music, which is %s at %s%s", step.Line,
					timebase.ClockMillis(step.At), d.t.State(), d.moment(at), d.why())
			}
			return fmt.Errorf("script line %d waits for %s of the music, but the show ended at %s", step.Line,
				timebase.ClockMillis(step.At), d.moment(at))
		} else if frame > 0 || running {
			at = frame
		}
		s.steps = s.steps[1:]
		s.last = d.clock.Now()
		d.act(show.ByScript, step.Do, s.last, at)
	}
	return nil
}

// why repeats what was last said of a trouble.
func (d *Deck) why() string {
	if d.message.Urgency != Alarm {
		return ""
	}
	return " (" + d.message.Text + ")"
}
