package console

import (
	"fmt"
	"strings"
	"time"

	"drylane/show"
	"drylane/show/makesafe"
	"drylane/show/timebase"
	"drylane/show/words"
	"drylane/tui/screen"
)

// madeSafe reports whether the show is safe after it had been armed, or somebody is in
// the field.
func (m *Screen) madeSafe() bool {
	s := m.snap.Safe
	return s != nil && m.snap.Transport.State() == show.Safe && (!s.Since.IsZero() || len(m.inField()) > 0)
}

// inField are those who are in the field by name.
func (m *Screen) inField() []makesafe.Visit {
	if m.snap.Safe == nil {
		return nil
	}
	return m.snap.Safe.Book.In()
}

// outside is how many are in the field, whoever sent them.
func (m *Screen) outside() int { return len(m.fieldOut()) + len(m.inField()) }

// waiting is what is left of the waiting time while the show is safe.
func (m *Screen) waiting() time.Duration {
	if !m.madeSafe() {
		return 0
	}
	return m.snap.Safe.Book.Left(m.now)
}

// drawSafe is the panel of a show that was made safe: since when, how long nobody goes
// in, who is in, and what was last up.
func (m *Screen) drawSafe(c *screen.Canvas, r screen.Rectangle) {
	heading := "in the field"
	if !m.snap.Safe.Since.IsZero() { // the end of a show is not yet safe: that is one key more
		heading = "SAFE since " + m.snap.Since.Format("15:04:05")
	}
	p := c.Paragraph(c.Heading(r, heading))
	if left := m.waiting(); left > 0 {
		p.Write("WAIT: nobody goes in for "+timebase.ClockUp(left), screen.Alarm)
	} else if !m.snap.Safe.Since.IsZero() {
		waited := "waited " + timebase.ClockUp(m.snap.Safe.Book.Wait())
		p.Write(m.firstFit(p.Left.W, waited+"; the operator says who goes in", waited+"; the operator decides"), screen.Strong)
	}
	m.writeIn(p)
	if s := m.snap.Safe; !s.Since.IsZero() {
		if due := m.dueAtStop(); due != "" {
			p.WriteWhole(due, screen.Alarm)
		}
		p.WriteWhole("when it stopped: "+words.LastUp(s.UpThen, s.Unknown, s.LastUp), screen.Normal)
	}
	m.listUp(c, p.Left)
}

// writeIn writes who is in the field and for how long, or how many where there is no room
// for each.
func (m *Screen) writeIn(p *screen.Paragraph) {
	in := m.inField()
	if len(in) == 0 {
		p.Write(fmt.Sprintf("nobody is in (%s: who goes in)", m.Keys.Name(actRepair)), screen.Normal)
		return
	}
	since := func(v makesafe.Visit) string { return timebase.Clock(m.now.Sub(v.In)) }
	if len(in) > p.Left.H {
		p.Write(fmt.Sprintf("%d in the field, %s for %s", len(in), in[0].Name, since(in[0])), screen.Alarm)
		return
	}
	for _, v := range in {
		p.Write(v.Name+" in the field for "+since(v), screen.Alarm)
	}
}

// drawPeople asks who goes in, or is back.
func (m *Screen) drawPeople(c *screen.Canvas) {
	s := m.snap.Safe
	if s == nil {
		return
	}
	n := max(1, len(m.hand.people))
	r := c.Box(66, n+4, "who goes in, who is back?")
	for i, name := range m.hand.people {
		m.drawPick(c, r.X-1, r.Y+i, i+1)
		what, style := "goes in", screen.Normal
		for _, v := range s.Book.In() {
			if strings.EqualFold(v.Name, name) {
				what, style = "is back, after "+timebase.Clock(m.now.Sub(v.In)), screen.Alarm
			}
		}
		if i < mostPeople {
			c.Text(r.X, r.Y+i, 2, fmt.Sprint(i+1), screen.KeyName)
		}
		c.Text(r.X+3, r.Y+i, 24, name, screen.Strong)
		c.Text(r.X+28, r.Y+i, r.W-28, what, style)
	}
	if len(m.hand.people) == 0 {
		c.Text(r.X, r.Y, r.W, "show.toml names nobody: [safe] crew", screen.Quiet)
	}
	if left := m.waiting(); left > 0 {
		c.Text(r.X, r.Y+r.H-2, r.W, "WAIT: nobody goes in for "+timebase.ClockUp(left), screen.Alarm)
	}
	c.Text(r.X, r.Y+r.H-1, r.W, m.chooseHint(), screen.Quiet)
}

// safeHint says what comes now.
func (m *Screen) safeHint() string {
	k := m.Keys.Name
	switch {
	case m.waiting() > 0:
		return fmt.Sprintf("Made safe: nobody goes in for %s. %s: who goes in.", timebase.ClockUp(m.waiting()), k(actRepair))
	case m.snap.Ready != nil && m.ran():
		return m.firstFit(m.lay.message.W-2, fmt.Sprintf("Goes in: %s. Ask all: %s. Arm at the top: %s, at a place: %s.", k(actRepair), k(actField), k(actArm), k(actPlaces)),
			fmt.Sprintf("Goes in: %s. Ask all: %s. Arm: %s at the top, %s a place.", k(actRepair), k(actField), k(actArm), k(actPlaces)))
	case m.ran():
		return fmt.Sprintf("Made safe. %s: who goes in, who is back. %s arms from the top, %s from a place.", k(actRepair), k(actArm), k(actPlaces))
	case m.snap.Ready != nil:
		return fmt.Sprintf("Made safe. %s: who goes in. Before a new arming everybody is asked again: %s.", k(actRepair), k(actField))
	}
	return fmt.Sprintf("Made safe. %s: who goes in, who is back. %s arms again.", k(actRepair), k(actArm))
}
