package crew

import (
	"context"
	"fmt"
	"time"

	"drylane/show"
	"drylane/show/crew"
	"drylane/show/drill"
)

// A Report is something that happened at a member's machine.
type Report struct {
	At    time.Duration // by the lead's clock; 0 where it is not known
	Bound time.Duration // ... within
	Kind  string        // state, link, answer, over; did: what the person here did
	Text  string
}

// RunScript does a member's steps in their turn and reports what is seen meanwhile,
// until there are no more, the lead ends the run, or ctx ends.
func RunScript(ctx context.Context, m *Member, steps []crew.Step, report func(Report)) error {
	s := seen{m: m, report: report}
	t := time.NewTicker(tick)
	defer t.Stop()
	last := time.Now()
	for ctx.Err() == nil {
		v := s.look()
		if v.Over {
			return nil
		}
		for len(steps) > 0 && time.Since(last) >= steps[0].Wait {
			if until := steps[0].Until; until != "" && (!v.Came || v.Lost || v.State.State != until) {
				break
			}
			s.do(steps[0])
			steps, last = steps[1:], time.Now()
		}
		if len(steps) == 0 && s.answered() {
			return nil
		}
		select {
		case <-ctx.Done():
		case <-t.C:
		}
	}
	return nil
}

// seen is what a script's member has seen.
type seen struct {
	m       *Member
	report  func(Report)
	state   string
	hold    int
	lost    bool
	over    bool
	out     string
	answers int
	asked   int // deeds that are answered
	since   time.Time
}

// look reports what is new.
func (s *seen) look() View {
	v := s.m.View()
	say := func(kind, text string) { s.report(Report{v.Lead(), v.Clock.Bound, kind, text}) }
	if v.Lost != s.lost {
		s.lost = v.Lost
		if s.lost {
			say("link", "LINK LOST: held here")
		} else {
			say("link", "the lead is heard again")
		}
	}
	if v.Came && !v.Lost && (v.State.State != s.state || v.State.Hold != s.hold) {
		s.state, s.hold = v.State.State, v.State.Hold
		say("state", stateText(&v))
	}
	if v.Answers != s.answers {
		s.answers = v.Answers
		if v.Answer.Refused != "" {
			say("answer", string(v.Answer.Deed)+" refused: "+v.Answer.Refused)
		} else {
			say("answer", string(v.Answer.Deed)+" taken")
		}
	}
	if v.Out != s.out {
		if s.out = v.Out; s.out != "" {
			say("link", "NOT IN THE CREW: "+s.out)
		}
	}
	if v.Over && !s.over {
		s.over = true
		say("over", "the lead has ended the run")
	}
	return v
}

func stateText(v *View) string {
	if v.State.State == show.Held.String() {
		return fmt.Sprintf("HELD (%d) %s", v.State.Hold, v.State.Why)
	}
	return v.State.State
}

// do does a step.
func (s *seen) do(step crew.Step) {
	if step.Do == "" {
		return
	}
	d := Deed{Text: step.Text, From: step.From}
	switch step.Do {
	case crew.Seen, crew.Missing:
		d.Cue, d.Text = step.Text, ""
	case crew.Fault:
		d = faultOf(step.Text)
	case crew.Radio:
		if drill.Want(step.Wants) == drill.WantStandDown { // whoever speaks
			d.By, d.Of = show.LanesByPosition, step.From
		}
	}
	d.Wants = step.Wants
	s.asked, s.since = s.asked+1, time.Now()
	s.m.Do(step.Do, d)
}

// answered reports whether all that was asked has been answered, or has waited long
// enough.
func (s *seen) answered() bool { return s.answers >= s.asked || time.Since(s.since) > 2*time.Second }
