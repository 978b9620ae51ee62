package console

import (
	"cmp"
	"fmt"
	"slices"

	"drylane/show"
	"drylane/show/ready"
	"drylane/tui/screen"
)

// readyUp reports whether the go / no-go list stands in the lanes' place in the picture.
func (m *Screen) readyUp() bool { return m.hand.listUp(m.snap) }

// drawReady draws the go / no-go list where the music and the lanes stand else: who has
// answered what, and who answers next.
func (m *Screen) drawReady(c *screen.Canvas) {
	list := m.snap.Ready
	lines := list.Lines()
	r := screen.Rect(0, m.lay.wave.Y, c.W, m.lay.axis.Y+1-m.lay.wave.Y)
	r = c.Heading(r, "before the arming: "+list.Count())
	chosen, who := askedLine(list, m.asked), 8
	for _, l := range lines {
		who = max(who, min(24, m.Width(l.Who)))
	}
	shown := min(len(lines), r.H)
	if len(lines) > r.H { // the last line counts the others
		shown = max(0, r.H-1)
	}
	top := max(0, min(chosen-shown/2, len(lines)-shown))
	for i := range shown {
		m.drawAsked(c, screen.Rect(r.X, r.Y+i, r.W, 1), top+i, who)
	}
	if n := len(lines) - shown; n > 0 && r.H > 0 {
		c.Text(r.X+3, r.Y+shown, r.W-3, fmt.Sprintf("%d more: %d above, %d below", n, top, n-top), screen.Quiet)
	}
}

// drawAsked draws a line of the list, with names of that width.
func (m *Screen) drawAsked(c *screen.Canvas, r screen.Rectangle, i, who int) {
	l := m.snap.Ready.Lines()[i]
	mark, style := "□", screen.Normal
	switch l.Answer {
	case show.AnswerGo:
		mark, style = "✓", screen.Good
	case show.AnswerNoGo:
		mark, style = "×", screen.Alarm
	}
	if i == m.snap.Ready.Next() && style == screen.Normal {
		style = screen.Strong
	}
	if i == askedLine(m.snap.Ready, m.asked) {
		style = screen.Selected
		c.Fill(r, ' ', style)
		c.Set(r.X, r.Y, '▸', style)
	}
	c.Text(r.X+2, r.Y, 1, mark, style)
	c.Text(r.X+4, r.Y, who, l.Who, style)
	x := r.X + who + 6
	x = max(x+7, c.Text(x, r.Y, r.X+r.W-x, answerWord(&l), style)+1)
	x = c.Text(x, r.Y, r.X+r.W-x, m.answerText(&l, r.X+r.W-x), style)
	m.drawCrewReady(c, r, x, l.Who, style)
}

// answerWord is the answer in a word, or that it has to be given again.
func answerWord(l *ready.Line) string {
	if l.Upset != ready.NoUpset {
		return "again"
	}
	return string(l.Answer)
}

// answerText is what is asked, or why there is no go, and both where there is room.
func (m *Screen) answerText(l *ready.Line, room int) string {
	why := string(l.Upset)
	if l.Answer == show.AnswerNoGo {
		why = l.Reason
	}
	if both := why + "; asked: " + l.What; why != "" && m.Width(both) <= room {
		return both
	}
	return cmp.Or(why, l.What)
}

// drawReasons asks why somebody says no.
func (m *Screen) drawReasons(c *screen.Canvas) {
	list := append([]string{"no answer: it is withdrawn"}, ready.Reasons()...)
	r := c.Box(66, len(list)+3, "why is "+m.asked+" no-go?")
	for i, why := range list {
		m.drawPick(c, r.X-1, r.Y+i, i)
		c.Text(r.X, r.Y+i, 2, fmt.Sprint(i), screen.KeyName)
		c.Text(r.X+3, r.Y+i, r.W-3, why, screen.Normal)
	}
	c.Text(r.X, r.Y+r.H-1, r.W, m.chooseHint(), screen.Quiet)
}

// readyKeys are the keys of the bottom line while the list stands there.
var readyKeys = []bottomKey{{actArm, "ARM"}, {actTick, "go"}, {actFollow, "no-go"}, {actLaneDown, "next"},
	{actRepair, "in or back"}, {screen.ActHelp, "help"}, {screen.ActQuit, "quit"}, {actField, "lanes"}}

// withList are the keys of a safe show, with the one that leads to the list behind that
// which arms, where there is a list.
func (m *Screen) withList(keys []bottomKey) []bottomKey {
	if m.snap.Ready == nil {
		return keys
	}
	keys = slices.DeleteFunc(slices.Clone(keys), func(k bottomKey) bool { return k.act == actField })
	return slices.Insert(keys, 1, bottomKey{actField, "go / no-go"})
}

// readyHint says what the list is for.
func (m *Screen) readyHint() string {
	k, list := m.Keys.Name, m.snap.Ready
	i := askedLine(list, m.asked)
	if list.Next() < 0 {
		return fmt.Sprintf("Everybody is go: %s arms. %s says no-go all the same.", k(actArm), k(actFollow))
	}
	return fmt.Sprintf("%s go, %s no-go from %s. When in doubt, wait.", k(actTick), k(actFollow), list.Lines()[i].Who)
}
