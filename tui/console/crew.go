package console

import (
	"fmt"
	"time"

	"drylane/playback/crew"
	"drylane/show"
	roles "drylane/show/crew"
	"drylane/show/words"
	members "drylane/tui/crew"
	"drylane/tui/screen"
)

// A Crew is who takes part from other machines; crew.Lead is one. All of it returns
// at once.
type Crew interface {
	Board() *crew.Board
	Invitation() crew.Invitation
}

// panelCrew is the panel of the crew; without one it is not there.
const panelCrew = panelCount

// panels is how many panels the panel key goes through.
func (m *Screen) panels() int {
	if m.Others == nil {
		return panelCount
	}
	return panelCount + 1
}

// panelBeside is the panel that a wide window has besides the chosen one: the crew
// where there is one, unless the taps have something to say and nothing is held.
func (m *Screen) panelBeside() int {
	if m.Others == nil || m.drift.any() && m.snap.Transport.State() == show.Running {
		return panelDrift
	}
	return panelCrew
}

// drawCrew lists who takes part, and while the show is safe how others join.
func (m *Screen) drawCrew(c *screen.Canvas, r screen.Rectangle) {
	b := m.Others.Board()
	title := "crew: nobody has joined"
	if n := len(b.Lines); n > 0 {
		title = fmt.Sprintf("crew: %d", n)
	}
	r = c.Heading(r, title)
	if m.snap.Transport.State() == show.Safe {
		r = m.drawInvitation(c, r)
	} else if n := len(b.Lines); n < r.H {
		m.drawAgain(c, screen.Rect(r.X, r.Y+n, r.W, r.H-n), b.Lines)
	}
	members.DrawLines(c, r, b.Lines, m.snap.Transport.State() == show.Held)
}

// drawInvitation says how others join, all of it, and returns what is left for the
// members.
func (m *Screen) drawInvitation(c *screen.Canvas, r screen.Rectangle) screen.Rectangle {
	i := m.Others.Invitation()
	rows := screen.WrapExact(i.Address, r.W)
	line := ""
	var ways []string
	for _, k := range roles.Kinds() {
		ways = append(ways, i.Codes[k])
	}
	if i.Page != "" {
		ways = append(ways, "telephones: "+m.Keys.Name(actLinks))
	}
	for _, way := range ways {
		if line != "" && screen.Width(line)+1+screen.Width(way) > r.W {
			rows, line = append(rows, line), ""
		}
		if line != "" {
			line += " "
		}
		line += way
	}
	rows = append(rows, line)
	for k, row := range rows[:min(len(rows), r.H)] {
		c.Text(r.X, r.Y+k, r.W, row, screen.Strong)
	}
	n := min(len(rows), r.H)
	return screen.Rect(r.X, r.Y+n, r.W, r.H-n)
}

// drawAgain says with which codes those who are lost join again, should their machines have
// to be started anew.
func (m *Screen) drawAgain(c *screen.Canvas, r screen.Rectangle, lines []crew.Line) {
	lost := map[roles.Kind]bool{}
	for _, l := range lines {
		if l.Lost > 0 {
			role, _ := roles.ParseRole(l.Role)
			lost[role.Kind] = true
		}
	}
	if len(lost) == 0 { // an invitation asks the machine for its addresses: not with each picture of a run
		return
	}
	codes := m.Others.Invitation().Codes
	for _, k := range roles.Kinds() {
		if lost[k] && r.H > 0 {
			c.Text(r.X, r.Y, r.W, "again with "+codes[k], screen.Strong)
			r.Y, r.H = r.Y+1, r.H-1
		}
	}
}

// awaited is who is lost or has not acknowledged the hold, the first to be struck off
// first.
func awaited(b *crew.Board) (lost, waits []string) {
	for _, l := range b.Lines {
		switch {
		case l.Struck:
		case l.Lost > 0:
			lost = append(lost, l.Name)
		case l.Answer == roles.Awaited || l.Answer == roles.NotTold:
			waits = append(waits, l.Name)
		}
	}
	return lost, waits
}

// strikeOff strikes off the first who is lost or awaited.
func (m *Screen) strikeOff(at time.Time) {
	if m.Others == nil {
		return
	}
	b := m.Others.Board()
	lost, waits := awaited(b)
	if list := append(lost, waits...); len(list) > 0 {
		m.Run.Do(show.ScriptAction{Kind: show.KindStrike, Text: list[0]}, at)
	}
}

// crewAlarm says what is wrong with the crew; empty when nothing is.
func (m *Screen) crewAlarm() string {
	if m.Others == nil {
		return ""
	}
	b := m.Others.Board()
	if b.Forbids != "" {
		return "A RESUME IS REFUSED BY " + members.Refused(b.Forbids)
	}
	lost, _ := awaited(b)
	if len(lost) > 0 {
		return "LOST: " + some(lost) + "; " + m.Keys.Name(actStrike) + " strikes " + lost[0] + " off"
	}
	return ""
}

// crewNews says who is awaited or asks for something; empty when nobody does.
func (m *Screen) crewNews() string {
	if m.Others == nil {
		return ""
	}
	b := m.Others.Board()
	_, waits := awaited(b)
	if m.snap.Transport.State() != show.Held {
		waits = nil
	}
	switch {
	case b.Asks != "":
		return m.asksAnd(b.Asks, waits)
	case len(waits) > 0:
		return "not acknowledged: " + some(waits) + m.strikes(waits[0])
	case b.Wrong > 0 && m.now.Sub(b.WrongAt) < 10*time.Second:
		return fmt.Sprintf("wrong codes: %d, the latest from %s", b.Wrong, b.WrongFrom)
	}
	return ""
}

// strikes says which key strikes somebody off.
func (m *Screen) strikes(name string) string {
	return "; " + m.Keys.Name(actStrike) + " strikes " + name + " off"
}

// alarmFor is how long an alarm keeps the message line: not so long where somebody of the
// crew asks for something, which a small window may say nowhere else.
func (m *Screen) alarmFor() time.Duration {
	if m.Others != nil && m.Others.Board().Asks != "" {
		return screen.MessageFor
	}
	return 4 * screen.MessageFor
}

// asksAnd says who asks to be stood down and, as far as there is room, who has not
// acknowledged the hold: that is asked once more before a resume.
func (m *Screen) asksAnd(asks string, waits []string) string {
	if len(waits) == 0 {
		return asks
	}
	more := asks + "; not acknowledged: " + some(waits)
	for _, text := range []string{more + m.strikes(waits[0]), more} {
		if m.Width(text) <= m.lay.message.W-2 {
			return text
		}
	}
	return asks
}

// some are two names and how many more there are.
func some(names []string) string {
	if len(names) > 2 {
		return fmt.Sprintf("%s and %d more", names[0], len(names)-1)
	}
	return words.List(names)
}
