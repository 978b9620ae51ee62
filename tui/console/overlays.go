package console

import (
	"fmt"
	"strings"

	"drylane/show/timebase"
	"drylane/show/words"
	"drylane/tui/screen"
)

// drawHelp lists the keys, and explains the words that are drylane's own.
func (m *Screen) drawHelp(c *screen.Canvas) {
	m.helpTop = c.KeyTable(m.Keys.Bindings, words.Owned, "keys and words", m.helpTop, c.H, "any key closes this")
}

func (m *Screen) drawQuit(c *screen.Canvas) {
	r := c.Box(58, 6, "quit?")
	state := screen.StateLookOf(m.snap.Transport.State()).Word
	c.Text(r.X, r.Y, r.W, fmt.Sprintf("The show is %s. Quit the rehearsal?", state), screen.Strong)
	c.Text(r.X, r.Y+1, r.W, m.leftBehind(r.W), screen.Alarm)
	c.Text(r.X, r.Y+2, r.W, "y or delete quits   n or esc goes back", screen.Normal)
	c.Text(r.X, r.Y+3, r.W, fmt.Sprintf("%s holds   %s cuts", m.Keys.Name(actHold), m.Keys.Name(actCut)), screen.Normal)
}

// leftBehind says, in so many columns, who is in the field and that nobody may go in yet;
// empty when neither is so.
func (m *Screen) leftBehind(room int) string {
	wait := ""
	if left := m.waiting(); left > 0 {
		wait = "NOBODY GOES IN for " + timebase.ClockUp(left)
	}
	var names []string
	for _, v := range m.inField() {
		names = append(names, v.Name)
	}
	for _, who := range m.fieldOut() {
		names = append(names, who.Device)
	}
	if len(names) == 0 {
		return wait
	}
	in := fmt.Sprintf("%d IN THE FIELD", len(names))
	list := in + ": " + some(names)
	if wait != "" {
		return m.firstFit(room, list+"; "+wait, list, in)
	}
	return m.firstFit(room, list, in)
}

// firstWords is what a shooter is told once, before anything else.
const firstWords = `drylane rehearses a firework display that is fired to music: the soundtrack plays, the cue list runs against it on this screen, and you practise hold, resume and nudge.

It is NO firing system. It fires nothing and controls nothing. Distances, fallout areas, abort procedures and licences follow local law, the authority having jurisdiction and the licensed operator in charge.`

func (m *Screen) drawFirst(c *screen.Canvas) {
	k := m.Keys.Name
	r := c.Box(66, 17, "drylane")
	y := r.Y
	for _, p := range strings.Split(firstWords, "\n") {
		for _, l := range m.Wrap(p, r.W) {
			c.Text(r.X, y, r.W, l, screen.Normal)
			y++
		}
	}
	y++
	for _, s := range [][2]string{
		{k(actArm) + ", then " + k(actGo), "arm and start"},
		{k(actHold) + ", then " + k(actGo), "hold, and resume"},
		{k(actEarlier) + " and " + k(actLater), "nudge the cues EARLIER or LATER by 0.1 s"},
	} {
		c.Text(r.X, y, 18, s[0], screen.KeyName)
		c.Text(r.X+19, y, r.W-19, s[1], screen.Normal)
		y++
	}
	c.Text(r.X, r.Y+r.H-1, r.W, fmt.Sprintf("any key goes on; %s shows all keys", k(screen.ActHelp)), screen.Quiet)
}
